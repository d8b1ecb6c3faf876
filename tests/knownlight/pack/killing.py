"""A program that kills runs at random moments and says what it found: how often, and what was wrong.

    python killing.py FOLDER KILLS SEED...

Everything is imported once and each run is a fork, so that a run lasts as long as its work. A run is of one
of two packs on the same stick, joined or not, with old files kept or removed, and ends with the run sheet. It
finds the cache empty, full or as it was left, and is killed at a random moment of a random step, or right
after a name changed on the stick. Between runs somebody types readings into the sheet's table.
"""

import json
import mmap
import os
import random
import shutil
import signal
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from enum import IntEnum
from functools import partial
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path

from knownlight.ffmpeg import Stop
from knownlight.pack.job import Job
from knownlight.pack.manifest import FILE_NAME, read_manifest
from knownlight.pack.plan import Joining, Plan, Stale
from knownlight.pack.progress import Event, Stage
from knownlight.pack.render import render
from knownlight.sheet.make import make_sheet
from knownlight.sheet.write import check_sheet
from tests.knownlight.pack import whole_pack
from tests.knownlight.pack.never import Proven, lay_foreign, listed_in, problems, problems_of_whole
from tests.knownlight.pack.typing_in import Reviewer

_FULL = 0.6  # of runs that are to be killed when all is made find all of it in the cache
_ANYWHERE = 0.5  # of kills are at any moment of a step, the others right after a file got or lost a name
_CHANGES = 8  # of names in a step, at most; a joined file makes six, with the manifest before and after
_SOON = 0.004  # seconds
_POLL = 0.0005  # seconds
_TYPED = 0.4  # of runs find a reading typed in


class Step(IntEnum):
    """What a run does; retiring and removing what is old is counted with the step before."""

    MAKING = 0
    COPYING = 1
    JOINING = 2
    SHEET = 3


# Steps to kill at, dealt again and again: making takes longest, and copying has most to go wrong.
_DECK = (*(Step.MAKING,) * 2, *(Step.COPYING,) * 4, *(Step.JOINING,) * 2, *(Step.SHEET,) * 2)


@dataclass(frozen=True, kw_only=True)
class Aim:
    """When to kill: seconds after so many changes of names on the stick since a step began."""

    step: Step
    changes: int
    after: float


def aim(chance: random.Random, step: Step, longest: float) -> Aim:
    """Anywhere in a step, or right after a name: a file that is there and not listed is soon listed."""
    if step is Step.MAKING:  # of what is not there: mostly it takes less
        return Aim(step=step, changes=0, after=chance.uniform(0, longest / 2))
    if chance.random() < _ANYWHERE:
        return Aim(step=step, changes=0, after=chance.uniform(0, longest))
    return Aim(step=step, changes=chance.randint(1, _CHANGES), after=chance.uniform(0, _SOON))


@dataclass
class Run:
    """A run in a process of its own, and the step that it is at."""

    jobs: tuple[Job, ...]
    joining: Joining = Joining.CHAPTERS
    stale: Stale = Stale.KEPT
    step: mmap.mmap = field(default_factory=lambda: mmap.mmap(-1, 1))

    def whole(self, stick: Path, cache: Path) -> list[float]:
        """All of it, as the program does it; raises where any of it fails. When each step began."""
        began = [time.monotonic()]

        def reach(step: Step) -> None:
            if self.step[0] < step:
                self.step[0] = step
                began.append(time.monotonic())

        def listen(event: Event) -> None:
            if event.stage in (Stage.COPYING, Stage.DONE, Stage.REUSED):
                reach(Step.COPYING)
            if event.stage in (Stage.DONE, Stage.REUSED) and event.job is self.jobs[-1]:
                reach(Step.JOINING)

        plan: Plan = whole_pack.plan(self.jobs, stick, cache, self.stale, self.joining)
        check_sheet(stick)
        result = render(plan, workers=1, stop=Stop(), listen=listen)
        failed = [*result.failures, *(result.joined.failures if result.joined else ())]
        if failed:
            raise AssertionError(failed)
        reach(Step.SHEET)
        make_sheet(stick, cache=cache, stop=Stop())
        return [*began, time.monotonic()]

    def begin(self, stick: Path, cache: Path) -> int:
        """In a process of its own; its id."""
        child = os.fork()
        if child:
            return child
        try:
            self.whole(stick, cache)
        except BaseException as error:  # told by the code it ends with
            sys.stderr.write(f"{type(error).__name__}: {error}\n")
            os._exit(1)
        os._exit(0)

    def killed(self, child: int, stick: Path, aim: Aim) -> Step | None:
        """Kill it where that is aimed at; where it was then, None where it had ended.

        Raises:
            ChildProcessError: where it failed by itself.
        """
        end, changes, names = None, 0, _names(stick)
        while end is None or time.monotonic() < end:
            if end is None and self.step[0] >= aim.step:
                now = _names(stick) if aim.changes else names
                changes, names = changes + (now != names), now
                end = time.monotonic() + aim.after if changes >= aim.changes else None
            ended, status = os.waitpid(child, os.WNOHANG)
            if ended:
                _check_ended(status)
                return None
            time.sleep(_POLL)
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return Step(self.step[0])
        _check_ended(status)
        return None


def _names(stick: Path) -> list[int]:
    """What changes whenever a file on the stick gets or loses a name."""
    with os.scandir(stick) as entries:
        folders = [entry.stat().st_mtime_ns for entry in entries if entry.is_dir()]
    return [stick.stat().st_mtime_ns, *folders]


def _check_ended(status: int) -> None:
    if status:
        raise ChildProcessError(f"a run failed by itself, with {status}")


@dataclass(frozen=True, kw_only=True)
class Tried:
    """What runs that were let be have left. full: a cache. longest: seconds of each step. hashes: proven."""

    packs: whole_pack.Packs
    full: Path
    longest: list[float]
    hashes: frozenset[str]


def tries(top: Path) -> Tried:
    """Make both packs; after it, all is imported."""
    packs, full = whole_pack.packs(top / "pictures"), top / "full"
    hashes: set[str] = set()
    lengths: list[list[float]] = []
    for jobs in (*packs.both, packs.first):
        stick = top / f"try-{len(lengths)}"
        began = Run(jobs).whole(stick, full)
        lengths.append([after - before for before, after in pairwise(began)])
        hashes |= set(listed_in(read_manifest(stick / FILE_NAME)).values())
    longest = [lengths[0][Step.MAKING], *lengths[-1][1:]]  # but for making, of what is made
    return Tried(packs=packs, full=full, longest=longest, hashes=frozenset(hashes))


def kill(top: Path, tried: Tried, kills: int, seed: int) -> dict[str, object]:
    """Kill so many runs on a stick; some end before."""
    chance = random.Random(seed)
    stick, cache = top / f"stick-{seed}", top / f"cache-{seed}"
    stick.mkdir()
    lay_foreign(stick)
    proven, reviewer = Proven(cache, tried.hashes), Reviewer(chance)
    wrong: list[str] = []
    seen = dict.fromkeys((step.name.lower() for step in Step), 0)
    whole, deck = 0, list[Step]()
    while sum(seen.values()) < kills and not wrong:
        deck = deck or chance.sample(_DECK, len(_DECK))
        step = deck.pop()
        if step is Step.MAKING or chance.random() < _FULL:
            shutil.rmtree(cache, ignore_errors=True)
        if not cache.exists() and step is not Step.MAKING:
            shutil.copytree(tried.full, cache)
        run = Run(chance.choice(tried.packs.both), chance.choice(tuple(Joining)), chance.choice(tuple(Stale)))
        if chance.random() < _TYPED:
            reviewer.type_in(stick)
        proven.gather()
        try:
            killed_at = run.killed(run.begin(stick, cache), stick, aim(chance, step, tried.longest[step]))
        except ChildProcessError as error:
            wrong.append(str(error))
            break
        proven.gather()
        if killed_at is None:
            whole += 1
            wrong += problems_of_whole(stick, run.jobs, run.joining)
        else:
            seen[killed_at.name.lower()] += 1
        wrong += problems(stick, proven.hashes) + reviewer.problems(stick)
    last = Run(tried.packs.second, stale=Stale.REMOVED)
    last.whole(stick, cache)
    proven.gather()
    wrong += (
        problems(stick, proven.hashes)
        + reviewer.problems(stick)
        + problems_of_whole(stick, last.jobs, last.joining)
    )
    wrong += whole_pack.verified(stick)
    wrong += [f"old at the end: {each.file}" for each in read_manifest(stick / FILE_NAME).stale]
    return {
        "kills": sum(seen.values()),
        "whole": whole,
        "seen": seen,
        "typed": len(reviewer.typed),
        "wrong": wrong,
    }


def main(top: Path, kills: int, seeds: list[int]) -> list[dict[str, object]]:
    """Kill so many runs with each seed, side by side."""
    tried = tries(top)
    with ProcessPoolExecutor(len(seeds), get_context("fork")) as pool:
        return list(pool.map(partial(kill, top, tried, kills), seeds))


if __name__ == "__main__":
    folder, how_often, *given = sys.argv[1:]
    sys.stdout.write(json.dumps(main(Path(folder), int(how_often), [int(seed) for seed in given])))
