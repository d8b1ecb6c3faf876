"""Renders a pack into a folder: jobs side by side, each proven, the manifest true at every moment."""

import contextlib
import tempfile
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path

import msgspec

import knownlight
from knownlight.errors import BadInput, CannotCarry, CheckFailed, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.pack.budget import MemoryBudget
from knownlight.pack.faults import stretched_problems
from knownlight.pack.folders import PART, keep_sources, make_folder
from knownlight.pack.job import Job, check_jobs
from knownlight.pack.make import Event, Listener, Stage, make
from knownlight.pack.manifest import (
    FILE_NAME,
    SCHEMA,
    ChapterEntry,
    ClipEntry,
    Manifest,
    read_manifest,
    write_manifest,
)
from knownlight.pack.times import now
from knownlight.readback.packets import file_sha256


@dataclass(frozen=True, kw_only=True)
class Contents:
    """A pack as a whole. order: ids of all its clips in play order, also of what a run leaves out."""

    pack: str
    title: str
    summary: str
    chapters: tuple[ChapterEntry, ...]
    order: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Rendered:
    """What a run did. failures: id and problem of each file that could not be proven."""

    made: tuple[str, ...]
    reused: tuple[str, ...]
    failures: tuple[tuple[str, str], ...]
    manifest: Manifest


class _Ledger:
    """The manifest as it grows; written after every proven file, so that it lists only what is there."""

    def __init__(self, folder: Path, contents: Contents) -> None:
        self._path = folder / FILE_NAME
        self._lock = threading.Lock()
        self._contents = contents
        self._order = {identity: place for place, identity in enumerate(contents.order)}
        self._manifest = _opened(self._path, contents.pack)

    @property
    def manifest(self) -> Manifest:
        return self._manifest

    def known(self, identity: str) -> ClipEntry | None:
        return self._manifest.clip(identity)

    def put(self, entry: ClipEntry | None, *, without: str = "") -> None:
        """Add or replace an entry, or drop one, and write the manifest."""
        with self._lock:
            dropped = without or (entry.id if entry else "")
            kept = [old for old in self._manifest.clips if old.id != dropped]
            clips = sorted(
                [*kept, *([entry] if entry else [])],
                key=lambda clip: self._order.get(clip.id, len(self._order)),
            )
            self._manifest = Manifest(
                schema=SCHEMA,
                knownlight=knownlight.__version__,
                pack=self._contents.pack,
                title=self._contents.title,
                summary=self._contents.summary,
                created=now(),
                chapters=list(self._contents.chapters),
                clips=clips,
            )
            write_manifest(self._manifest, self._path)


def _opened(path: Path, pack: str) -> Manifest:
    """The manifest of a folder, or an empty one; another pack's folder is refused."""
    if not path.exists():
        return Manifest(schema=SCHEMA, knownlight=knownlight.__version__, pack=pack, created="", clips=[])
    manifest = read_manifest(path)
    if manifest.pack != pack:
        raise BadInput(f"{path.parent}: it holds pack {manifest.pack}; choose another folder for {pack}")
    return manifest


def render(
    jobs: Sequence[Job],
    folder: Path,
    *,
    contents: Contents,
    workers: int,
    stop: Stop,
    listen: Listener,
) -> Rendered:
    """Make and prove every job, reusing files that are proven and unchanged.

    Args:
        jobs: what to make.
        folder: where; made if only it is missing. Files that are not this pack's are not touched.
        contents: of the pack.
        workers: jobs at a time.
        stop: ends the run from another thread.
        listen: is told of every step, from the worker threads.

    Raises:
        BadInput: for a job that cannot be made or a folder that cannot be written, before any work.
        ToolFailed, Cancelled: what ended the run early; what was proven until then stays, listed.
    """
    check_jobs(jobs)
    make_folder(folder)
    for job in jobs:
        keep_sources(folder, job.sources)
    ledger = _Ledger(folder, contents)
    budget = MemoryBudget(workers)
    made: list[str] = []
    reused: list[str] = []
    failures: list[tuple[str, str]] = []
    with (
        tempfile.TemporaryDirectory(prefix="knownlight-") as work,
        ThreadPoolExecutor(max_workers=workers) as pool,
        _stopping(stop),
    ):
        waiting = {
            pool.submit(
                _one, job, folder, Path(work), ledger=ledger, budget=budget, stop=stop, listen=listen
            ): job
            for job in jobs
        }
        for future in as_completed(waiting):
            job = waiting[future]
            try:
                (reused if future.result() else made).append(job.id)
            except (CannotCarry, CheckFailed, UnreadableFile) as error:
                failures.append((job.id, str(error)))
                ledger.put(None, without=job.id)
                listen(Event(job=job, stage=Stage.FAILED, problem=str(error)))
    return Rendered(
        made=tuple(made), reused=tuple(reused), failures=tuple(failures), manifest=ledger.manifest
    )


@contextlib.contextmanager
def _stopping(stop: Stop) -> Iterator[None]:
    """Ends the other jobs where anything ends the run early, Ctrl-C included."""
    try:
        yield
    except BaseException:
        stop.ask()
        raise


def _one(
    job: Job,
    folder: Path,
    work: Path,
    *,
    ledger: _Ledger,
    budget: MemoryBudget,
    stop: Stop,
    listen: Listener,
) -> bool:
    """One job; whether it was reused."""
    stop.check()
    path = folder / job.file
    path.with_name(path.name + PART).unlink(missing_ok=True)  # of a run that was killed
    known = ledger.known(job.id)
    if known is not None and _is_proven(known, job, path):
        if (known.chapter, known.look, known.measure) != (job.chapter, job.look, job.measure):
            ledger.put(
                msgspec.structs.replace(known, chapter=job.chapter, look=job.look, measure=job.measure)
            )
        listen(Event(job=job, stage=Stage.REUSED))
        return True
    for each in job.files(path):
        if each.exists() and known is None:
            raise BadInput(
                f"{each}: it is there and not in the manifest; move it away, or choose another folder"
            )
    if known is not None:
        ledger.put(None, without=job.id)
    entry = make(job, path, work=work, budget=budget, stop=stop, listen=listen)
    ledger.put(entry)
    listen(Event(job=job, stage=Stage.DONE))
    return False


def _is_proven(known: ClipEntry, job: Job, path: Path) -> bool:
    return (
        known.recipe == job.recipe()
        and known.file == job.file
        and known.proof.passed
        and path.is_file()
        and path.stat().st_size == known.bytes
        and file_sha256(path) == known.sha256
        and not stretched_problems(known, path)
    )
