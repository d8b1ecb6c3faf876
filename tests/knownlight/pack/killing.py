"""A program that kills runs at random moments and says what it found: how often, and what was wrong.

    python killing.py FOLDER KILLS SEED

Everything is imported once and each run is a fork, so that a run lasts as long as its work. A run is of one
of two packs on the same stick, with old files kept or removed, and finds the cache empty, full or as it was
left, so that kills fall on making, on copying, on removing and on writing the manifest.
"""

import hashlib
import json
import os
import random
import shutil
import signal
import sys
import time
from contextlib import suppress
from enum import Enum
from pathlib import Path

from knownlight.errors import KnownlightError
from knownlight.pack.folders import PART
from knownlight.pack.job import Job
from knownlight.pack.manifest import FILE_NAME, digest, read_manifest
from knownlight.pack.plan import Stale
from tests.knownlight.pack import small_pack

FOREIGN = {"holiday.jpg": b"beach", f"{small_pack.CHAPTER}/film.mp4": b"film"}


def files(folder: Path) -> dict[str, str]:
    """SHA-256 of every file by its name."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def lay_foreign(folder: Path) -> None:
    """Files of somebody else, also in a folder of the pack's name."""
    for name, data in FOREIGN.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


class Proven:
    """Hashes of all that was ever proven: of entries in the cache, which is sometimes emptied."""

    def __init__(self, cache: Path) -> None:
        self._cache = cache
        self.hashes: set[str] = set()

    def gather(self) -> None:
        """Take in what is there now."""
        for path in self._cache.glob("proven/*/entry.json"):
            self.hashes.add(json.loads(path.read_bytes())["sha256"])


def problems(folder: Path, proven: set[str]) -> list[str]:
    """What must never be, at no moment."""
    there = files(folder)
    found = [
        f"foreign {name} was touched"
        for name, data in FOREIGN.items()
        if there.pop(name, "") != hashlib.sha256(data).hexdigest()
    ]
    listed: dict[str, str] = {}
    known: set[str] = set()
    if there.pop(FILE_NAME, ""):
        try:
            manifest = read_manifest(folder / FILE_NAME)
        except KnownlightError as error:
            return [*found, f"manifest: {error}"]
        if manifest.digest != digest(manifest):
            found.append("manifest: its seal is broken")
        listed = {clip.file: clip.sha256 for clip in manifest.clips}
        known |= manifest.owned.keys() | {each.file for each in manifest.unfinished}
        stale = {each.file: each.sha256 for each in manifest.stale}
        found += [f"both listed and old: {name}" for name in listed.keys() & stale.keys()]
    found += [
        f"listed, not there as listed: {name}" for name, sha in listed.items() if there.get(name) != sha
    ]
    named = {name: sha for name, sha in there.items() if not name.endswith(PART)}
    found += [f"not proven: {name}" for name, sha in named.items() if sha not in proven]
    found += [f"ours, and nobody knows: {name}" for name in named.keys() - known]
    return found


def run(jobs: tuple[Job, ...], stick: Path, cache: Path, stale: Stale) -> int:
    """A run in a process of its own; its id."""
    child = os.fork()
    if child:
        return child
    try:
        small_pack.rendered(jobs, stick, cache, stale)
    except BaseException as error:  # told by the code it ends with
        sys.stderr.write(f"{type(error).__name__}: {error}\n")
        os._exit(1)
    os._exit(0)


def killed(child: int, after: float) -> bool | None:
    """Kill a run after some seconds; whether it came to that, None where the run failed by itself."""
    end = time.monotonic() + after
    while time.monotonic() < end:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return False if status == 0 else None
        time.sleep(0.0005)
    with suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) or (False if status == 0 else None)


class Cache(Enum):
    """How a run finds the cache."""

    EMPTY = "empty"
    FULL = "full"
    AS_LEFT = "as left"  # by the run before, killed or not


def lengths(top: Path, full: Path) -> dict[Cache, float]:
    """Seconds of runs onto an empty stick; after it, all is imported and `full` holds both packs."""
    found = {}
    for cache, jobs in (
        (Cache.FULL, small_pack.SECOND),  # only to import
        (Cache.EMPTY, small_pack.FIRST),
        (Cache.FULL, small_pack.FIRST),
    ):
        began = time.monotonic()
        small_pack.rendered(jobs, top / f"try-{began}", full)
        found[cache] = time.monotonic() - began
    return {**found, Cache.AS_LEFT: found[Cache.EMPTY]}


def main(top: Path, kills: int, seed: int) -> dict[str, object]:
    """Kill so many runs; some end before."""
    chance = random.Random(seed)
    stick, cache, full = top / "stick", top / "cache", top / "full"
    stick.mkdir()
    lay_foreign(stick)
    longest = lengths(top, full)
    proven = Proven(cache)
    proven.gather()
    wrong: list[str] = []
    seen = {"making": 0, "copying": 0}
    count = whole = 0
    while count < kills and not wrong:
        kind = chance.choice(tuple(Cache))
        if kind is not Cache.AS_LEFT:
            shutil.rmtree(cache, ignore_errors=True)
        if kind is Cache.FULL:
            shutil.copytree(full, cache)
        jobs = chance.choice((small_pack.FIRST, small_pack.SECOND))
        stale = chance.choice(tuple(Stale))
        before = files(stick)
        proven.gather()
        was_killed = killed(run(jobs, stick, cache, stale), chance.uniform(0, longest[kind]))
        proven.gather()
        if was_killed is None:
            wrong.append(f"run {count + whole} failed by itself")
        elif was_killed:
            count += 1
            seen["copying" if files(stick) != before else "making"] += 1
        else:
            whole += 1
        wrong += problems(stick, proven.hashes)
    end = small_pack.rendered(small_pack.SECOND, stick, cache, Stale.REMOVED)
    proven.gather()
    wrong += problems(stick, proven.hashes) + small_pack.verified(stick)
    wrong += [f"{identity}: {problem}" for identity, problem in end.failures]
    wanted = {job.file for job in small_pack.SECOND} | FOREIGN.keys() | {FILE_NAME}
    wrong += [f"left or missing at the end: {name}" for name in files(stick).keys() ^ wanted]
    return {"kills": count, "whole": whole, "seen": seen, "wrong": wrong}


if __name__ == "__main__":
    folder, how_often, first = sys.argv[1:]
    sys.stdout.write(json.dumps(main(Path(folder), int(how_often), int(first))))
