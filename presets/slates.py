"""Slates of a pack: a short dim clip before each clip that names it, for whoever films the screen."""

import hashlib
from dataclasses import replace
from enum import Enum
from fractions import Fraction
from pathlib import PurePosixPath

from knownlight.encode.delivery import PastLevel
from knownlight.pack import names
from knownlight.pack.job import Job, slate_id
from patterns.slate import LONGEST, Slate
from presets import naming

SECONDS = Fraction(3)
_LOOK = "Names the clip after it, for the camera: nothing is to be judged or measured here."
_DIGEST = 8  # figures of a hash that keep shortened names apart


class Slates(Enum):
    """Where slates are put."""

    NONE = "none"
    BEFORE_CLIPS = "before clips"  # stills have none


def slate_of(job: Job, place: int) -> Job:
    """The slate of a clip: a clip of the same signal and delivery, numbered one before it.

    A clip that is coded poorly or declares what is not so has a slate that is coded well and says the truth.

    Args:
        job: of the clip.
        place: of the clip in its chapter, from 0.
    """
    path = PurePosixPath(job.file)
    return replace(
        job,
        id=slate_id(job.id),
        file=str(path.with_name(_named(f"{naming.number(place, before=1)}-{slate_id(job.id)}", path.suffix))),
        pattern=Slate(
            place=_cut(str(path.parent)),
            clip=_cut(path.stem),
            shows=_cut(_shows(job)),
        ),
        seconds=SECONDS,
        declaration=None,
        sources={},
        past_level=PastLevel.BOUNDED,
        poor=None,
        look=_LOOK,
        measure="",
    )


def _shows(job: Job) -> str:
    """The pattern, its main level, and whether it is coded poorly."""
    level = naming.main_level(job.pattern)
    words = [job.pattern.name, *([level.in_words] if level else [])]
    if job.poor and job.poor.is_coded_poorly:
        words.append("poorly coded")
    return ", ".join(words)


def _cut(text: str) -> str:
    """As much of a text as a slate takes."""
    return text[:LONGEST]


def _named(stem: str, suffix: str) -> str:
    """A file's name; one that is too long is cut and ends in a hash of the whole."""
    room = names.LONGEST - len(suffix)
    if len(stem) > room:
        digest = hashlib.sha256(stem.encode()).hexdigest()[:_DIGEST]
        stem = f"{stem[: room - _DIGEST - 1].rstrip('-')}-{digest}"
    return stem + suffix
