"""Claims: what a pattern says of its picture, by scalar arithmetic from its parameters.

A claim and the drawn frame share no array code; they meet only in verify, against decoded pixels.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import Protocol

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.sound import Beeps
from knownlight.frame.sources import FrameSource
from knownlight.signal.encoding import Components, Encoding

CodeTriple = tuple[int, int, int]


class Purpose(Enum):
    """What a region is there for."""

    MEASURE = "measure"
    LOOK = "look"


@dataclass(frozen=True)
class Region:
    """A rectangle that holds one colour in every frame."""

    name: str
    rect: Rect
    code: CodeTriple
    purpose: Purpose = Purpose.MEASURE


class DrawnBlocks(Enum):
    """Whether blocks are part of a picture."""

    NONE = "none"
    ON_PURPOSE = "on purpose"  # they count as faults, as if a coder had made them


@dataclass(frozen=True)
class Area:
    """A part of the picture in which the faults of coding are measured by themselves."""

    name: str
    rect: Rect
    blocks: DrawnBlocks = DrawnBlocks.NONE


class Hazard(Enum):
    """What a pattern's content may do to people; what light and length do is measured elsewhere."""

    STRIPES = "stripes"
    FLASHING = "flashing"


@dataclass(frozen=True)
class LightLevels:
    """Picture level, each figure by its own name.

    max_cll: largest max(R, G, B) of any pixel of any frame, cd/m² (CTA-861.3 MaxCLL).
    max_fall: largest frame mean of max(R, G, B), cd/m² (CTA-861.3 MaxFALL).
    fall: mean over all frames of the frame mean of max(R, G, B), cd/m².
    apl_percent: mean luma signal over all frames, in % (signal domain).
    """

    max_cll: float
    max_fall: float
    fall: float
    apl_percent: float


def mean_levels(parts: Sequence[tuple[LightLevels, int]]) -> LightLevels:
    """Light levels of stretches of frames together: each with its own levels and its number of frames."""
    frames = sum(count for _, count in parts)
    return LightLevels(
        max_cll=max(levels.max_cll for levels, _ in parts),
        max_fall=max(levels.max_fall for levels, _ in parts),
        fall=math.fsum(levels.fall * count for levels, count in parts) / frames,
        apl_percent=math.fsum(levels.apl_percent * count for levels, count in parts) / frames,
    )


@dataclass(frozen=True)
class Claims:
    """Everything a pattern claims.

    regions: rectangles of one colour, the same in every frame.
    areas: pixels of each colour in every frame, where the pattern can say; they add up to the picture.
    pictures: claims of each picture of a sequence, by its number; then regions and areas are theirs.
    notes: further figures by name, with the unit in the name (`area_percent`).
    hazards: what the content may do to people.
    beeps: when beeps of 1 kHz begin that belong to the pictures.
    areas_of_faults: where the faults of coding are measured, of content that is made to show them.
    """

    regions: tuple[Region, ...] = ()
    areas: Mapping[CodeTriple, int] | None = None
    pictures: tuple["Claims", ...] = ()
    notes: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    hazards: frozenset[Hazard] = frozenset()
    beeps: Beeps | None = None
    areas_of_faults: tuple[Area, ...] = ()

    def light(self, encoding: Encoding) -> LightLevels | None:
        """Light levels from the claimed areas, by scalar sums.

        None where no areas are claimed, or where colours share chroma samples: what light lies between two
        of them is for the upsampling to say, and is measured from frames.
        """
        if self.areas is None:
            return None
        shared = encoding.components is Components.YCBCR_420
        if shared and any(code != encoding.grey(code[0]) for code in self.areas):
            return None
        pixels = sum(self.areas.values())
        levels = [(content_light(encoding, code), count) for code, count in self.areas.items()]
        mean = math.fsum(level * count for level, count in levels) / pixels
        return LightLevels(
            max_cll=max(level for level, count in levels if count),
            max_fall=mean,
            fall=mean,
            apl_percent=100.0
            * math.fsum(luma_signal(encoding, code) * count for code, count in self.areas.items())
            / pixels,
        )


def content_light(encoding: Encoding, code: CodeTriple) -> float:
    """max(R, G, B) of a colour in cd/m², as CTA-861.3 counts light."""
    return float(encoding.rgb_light(code).max())


def luma_signal(encoding: Encoding, code: CodeTriple) -> float:
    """Luma signal 0..1 of a colour; of R'G'B' codes, their luma."""
    return float(encoding.matrix.ycbcr_from_rgb(encoding.signal_rgb(code))[0])


class Pattern(Protocol):
    """What the engine asks of a pattern; the families live in `patterns/`."""

    @property
    def name(self) -> str:
        """The family's name on the command line."""
        ...

    def parameters(self) -> dict[str, str | int | float]:
        """Every parameter by its command-line key: enough to build the same pattern again."""
        ...

    def draw(self, signal: SignalFormat) -> FrameSource:
        """The pattern's frames."""
        ...

    def claims(self, signal: SignalFormat) -> Claims:
        """What the frames are claimed to hold."""
        ...
