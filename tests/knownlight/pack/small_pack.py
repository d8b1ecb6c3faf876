"""A pack that is made in a moment: two stills and a clip at 480p, as it was and as it is changed."""

from fractions import Fraction
from pathlib import Path

from knownlight.errors import KnownlightError
from knownlight.ffmpeg import Stop
from knownlight.frame.format import parse_signal_format
from knownlight.pack.job import Job
from knownlight.pack.ledger import Contents
from knownlight.pack.manifest_entries import ChapterEntry
from knownlight.pack.plan import Plan, Stale, plan_of
from knownlight.pack.progress import Listener
from knownlight.pack.recheck import manifest_problems, recheck, targets
from knownlight.pack.render import Rendered, render
from patterns.registry import build

CHAPTER = "010-light"
_STILLS = parse_signal_format("480p29.97-sdr", components="rgb", code_range="full")
_CLIPS = parse_signal_format("480p29.97-sdr")


def still(identity: str, place: int, code: int) -> Job:
    """A window of a code in a PNG."""
    return Job(
        id=identity,
        file=f"{CHAPTER}/{place:03d}-{identity}.png",
        pattern=build("window", {"code": code}),
        signal=_STILLS,
        delivery="png",
        seconds=Fraction(0),
        chapter="light",
    )


def clip(identity: str, place: int, **keys: object) -> Job:
    """A window of half a second in an MP4."""
    return Job(
        id=identity,
        file=f"{CHAPTER}/{place:03d}-{identity}.mp4",
        pattern=build("window", keys),
        signal=_CLIPS,
        delivery="hevc-mp4",
        seconds=Fraction(1, 2),
        chapter="light",
    )


FIRST = (still("grey", 10, 100), still("light", 20, 200), clip("window", 30, code=180))
# One changed in place, one gone, one renamed, one new.
SECOND = (still("grey", 10, 120), clip("pane", 30, code=180), still("dark", 40, 30))


def contents(jobs: tuple[Job, ...]) -> Contents:
    """A pack of these jobs."""
    chapter = ChapterEntry(name="light", folder=CHAPTER, title="Light", answers="How bright.")
    return Contents(
        pack="small", title="Small", summary="", chapters=(chapter,), order=tuple(job.id for job in jobs)
    )


def plan(jobs: tuple[Job, ...], folder: Path, cache: Path, stale: Stale = Stale.KEPT) -> Plan:
    """The plan of a pack of these jobs."""
    return plan_of(jobs, folder, contents=contents(jobs), cache=cache, stale=stale)


def rendered(
    jobs: tuple[Job, ...],
    folder: Path,
    cache: Path,
    stale: Stale = Stale.KEPT,
    listen: Listener = lambda _event: None,
) -> Rendered:
    """A pack of these jobs, rendered."""
    return render(plan(jobs, folder, cache, stale), workers=1, stop=Stop(), listen=listen)


def verified(folder: Path) -> list[str]:
    """What verifying the folder finds wrong."""
    _, manifest, entries, _ = targets(folder)
    problems = manifest_problems(manifest)
    for entry in entries:
        try:
            problems += recheck(entry, folder, build, Stop()).problems
        except KnownlightError as error:
            problems.append(str(error))
    return problems
