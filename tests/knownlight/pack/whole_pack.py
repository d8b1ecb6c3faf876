"""The small pack with every kind of file that a stick may hold, as it was and as it is changed.

Beside stills: clips to join, one of them of some pictures only, a clip of faults with its stretched picture
in a chapter of its own, and pictures of the user's, of which one is changed under its name and one is gone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path

from PIL import Image

from knownlight.errors import KnownlightError
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Pattern
from knownlight.frame.sound import Sound
from knownlight.pack.folders import SOURCES
from knownlight.pack.job import Job
from knownlight.pack.joined import recheck_joined
from knownlight.pack.ledger import Contents
from knownlight.pack.manifest_entries import ChapterEntry
from knownlight.pack.plan import Joining, Plan, Stale, plan_of
from knownlight.pack.recheck import manifest_problems, recheck, targets
from patterns.registry import build
from presets.opening import build_in
from tests.knownlight.pack import small_pack

_FAULTS = "020-faults"
_CHAPTERS = (
    ChapterEntry(name="light", folder=small_pack.CHAPTER, title="Light", answers="How bright."),
    ChapterEntry(name="faults", folder=_FAULTS, title="Faults", answers="How clean."),
)
_SIZE = (16, 9)  # pixels of the user's pictures


@dataclass(frozen=True)
class Packs:
    """Jobs of both."""

    first: tuple[Job, ...]
    second: tuple[Job, ...]

    @property
    def both(self) -> tuple[tuple[Job, ...], tuple[Job, ...]]:
        """One, then the other."""
        return self.first, self.second


def _clip(identity: str, place: int, *, code: int, seconds: Fraction = Fraction(1)) -> Job:
    """Without sound, which takes as long to make as the pictures."""
    clip = small_pack.clip(identity, place, code=code)
    return replace(clip, seconds=seconds, sound=Sound.NONE)


def _fog(code: int) -> Job:
    """A clip of faults, of so few pictures that it is made as quickly as the others."""
    pattern = build("fog", {"grain_percent": 0.0, "block_percent": 100, "seed": code})
    clip = _clip("fog", 10, code=code, seconds=Fraction(1, 10))
    return replace(clip, file=f"{_FAULTS}/010-fog.mp4", pattern=pattern, chapter="faults")


def _shown(identity: str, place: int, picture: Path) -> Job:
    """A still of a picture of the user's."""
    opened: dict[str, Path] = {}
    pattern = build_in(picture.parent, name="picture", values={"file": picture.name}, opened=opened)
    return replace(small_pack.still(identity, place, 100), pattern=pattern, sources=opened)


def _picture(path: Path, grey: int) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("RGB", _SIZE, (grey, grey, grey)).save(path)
    return path


def packs(folder: Path) -> Packs:
    """Both packs; the user's pictures are made in a folder."""
    before, after = folder / "before", folder / "after"
    stays = (_clip("frame", 50, code=60), _clip("short", 60, code=90, seconds=Fraction(1, 10)))
    grey, light, _ = small_pack.FIRST
    changed, _, dark = small_pack.SECOND
    return Packs(
        first=(
            grey,
            light,
            _clip("window", 30, code=180),
            *stays,
            _shown("cat", 70, _picture(before / "cat.png", 50)),
            _shown("dog", 80, _picture(before / "dog.png", 70)),
            _fog(1),
        ),
        second=(
            changed,
            _clip("pane", 30, code=180),
            dark,
            *stays,
            _shown("cat", 70, _picture(after / "cat.png", 90)),
            _fog(2),
        ),
    )


def plan(
    jobs: tuple[Job, ...],
    folder: Path,
    cache: Path,
    stale: Stale = Stale.KEPT,
    joining: Joining = Joining.CHAPTERS,
) -> Plan:
    """The plan of one of them."""
    contents = Contents(
        pack="whole", title="Whole", summary="", chapters=_CHAPTERS, order=tuple(job.id for job in jobs)
    )
    return plan_of(jobs, folder, contents=contents, cache=cache, stale=stale, joining=joining)


def verified(folder: Path) -> list[str]:
    """What verifying the folder finds wrong, from the stick alone."""

    def rebuild(family: str, values: Mapping[str, object]) -> Pattern:
        return build_in(folder, folder / SOURCES, name=family, values=values)

    _, manifest, entries, _ = targets(folder)
    found = manifest_problems(manifest)
    checks = [
        *(partial(recheck, entry, folder, rebuild, Stop()) for entry in entries),
        *(partial(recheck_joined, entry, manifest, folder, Stop()) for entry in manifest.joined),
    ]
    for check in checks:
        try:
            checked = check()
        except KnownlightError as error:
            found.append(str(error))
        else:
            found += [f"{checked.file}: {problem}" for problem in checked.problems]
    return found
