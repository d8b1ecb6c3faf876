"""What a run tells while it goes."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from knownlight.pack.job import Job


class Stage(Enum):
    """How far a job is. Its last news is one of DONE, REUSED and FAILED."""

    ENCODING = "encoding"
    PROVING = "proving"
    PROVEN = "proven"  # made now, or found in the cache; not in the pack's folder yet
    COPYING = "copying"
    CHECKING = "checking"  # reading back from the stick
    DONE = "done"
    REUSED = "reused"  # it was in the folder, proven
    FAILED = "failed"


@dataclass(frozen=True, kw_only=True)
class Event:
    """News of a job: frames, or bytes of copying and checking, and what went wrong where it failed."""

    job: Job
    stage: Stage
    done: int = 0
    total: int = 0
    problem: str = ""


Listener = Callable[[Event], None]
