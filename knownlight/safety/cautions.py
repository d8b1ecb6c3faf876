"""Cautions for a clip, from what its pixels hold and how long it lasts.

The thresholds for glare and for a static hold are common practice, no source: they decide when a caution is
shown, not what is safe. Stripes and flashing: ITU-R BT.1702-3, known second-hand; the standard and the rules
of the place where the clip is shown come before this program's words.
"""

from dataclasses import dataclass

from knownlight.frame.claims import Hazard, LightLevels

GLARE_AVERAGE = 200.0  # cd/m² of frame average
STATIC_HOLD = "static-hold"  # the caution's name
HOLD_SECONDS = 60.0
HOLD_LUMINANCE = 100.0  # cd/m² of the brightest pixel


@dataclass(frozen=True)
class Caution:
    """A name for machines and a sentence for people."""

    name: str
    words: str


_GLARE = Caution(
    "glare", "Bright over much of the screen: turn some room light on first, and rest your eyes after."
)
_HOLD = Caution(
    STATIC_HOLD,
    "A bright picture that stands still: panels that retain images may keep it. Show it no longer than the "
    "reading takes and let the set rest on moving pictures after.",
)
_STRIPES = Caution(
    "stripes",
    "Stripes over much of the screen can provoke seizures in sensitive people (ITU-R BT.1702): warn "
    "whoever is in the room, keep it short.",
)
_FLASHING = Caution(
    "flashing",
    "Flashing light can provoke seizures in sensitive people (ITU-R BT.1702): warn whoever is in the room.",
)


def cautions(
    *, light: LightLevels, seconds: float, moves: bool, hazards: frozenset[Hazard]
) -> tuple[Caution, ...]:
    """The cautions to show beside a clip of these light levels (cd/m²) and this length."""
    found = []
    if light.max_fall >= GLARE_AVERAGE:
        found.append(_GLARE)
    if not moves and seconds >= HOLD_SECONDS and light.max_cll >= HOLD_LUMINANCE:
        found.append(_HOLD)
    if Hazard.STRIPES in hazards:
        found.append(_STRIPES)
    if Hazard.FLASHING in hazards:
        found.append(_FLASHING)
    return tuple(found)
