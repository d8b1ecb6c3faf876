"""Renders a pack into a folder: all is made and proven on the machine first, then copied, file by file.

A run may end at any moment, by a pulled stick or a kill: the next one goes on from what is proven.
"""

import contextlib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path

from knownlight.errors import CannotCarry, CheckFailed, InTheWay, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.pack.budget import MemoryBudget
from knownlight.pack.cache import Cache, Proven
from knownlight.pack.copying import Copier, prune
from knownlight.pack.faults import stretched_problems
from knownlight.pack.folders import make_folder
from knownlight.pack.job import Job
from knownlight.pack.joined import Joined, join_chapters, retire_joined
from knownlight.pack.ledger import Ledger, outdated
from knownlight.pack.make import make
from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import ClipEntry, FileEntry
from knownlight.pack.plan import Joining, Plan, Stale, check_room, looks_proven
from knownlight.pack.progress import Event, Listener, Stage
from knownlight.pack.space import Copy
from knownlight.pack.stick import alone_in, refusals
from knownlight.readback.packets import file_sha256


@dataclass(frozen=True, kw_only=True)
class Rendered:
    """What a run did, by ids.

    made: proven anew, and copied. copied: proven before on this machine. reused: it was there. failures: id
    and problem of each file that could not be proven or put there. pruned, left: names of old files of ours
    that were removed, and of those that somebody changed since, which stay. joined: None where nothing was
    to be joined.
    """

    made: tuple[str, ...]
    copied: tuple[str, ...]
    reused: tuple[str, ...]
    failures: tuple[tuple[str, str], ...]
    pruned: tuple[str, ...]
    left: tuple[str, ...]
    joined: Joined | None
    manifest: Manifest


@dataclass(frozen=True, kw_only=True)
class _Ready:
    """A proven job: its entry where it is in the folder, else its file in the cache, and if that is new."""

    there: ClipEntry | None = None
    proven: Proven | None = None
    is_new: bool = False


def render(
    plan: Plan,
    *,
    workers: int,
    stop: Stop,
    listen: Listener,
    before_pruning: Callable[[Sequence[FileEntry]], None] = lambda _stale: None,
) -> Rendered:
    """Do what a plan says.

    Args:
        plan: checked when it was made.
        workers: jobs at a time.
        stop: ends the run from another thread.
        listen: is told of every step, also from worker threads.
        before_pruning: is told the old files of ours before any is removed.

    Raises:
        BadInput: for a folder or cache that cannot be written, a stick that is full or gone.
        ToolFailed, Cancelled: what ended the run early; what was proven until then stays, in the cache or
            listed in the folder.
    """
    make_folder(plan.folder)
    with refusals(plan.folder), alone_in(plan.folder), Cache(plan.cache) as cache, _stopping(stop):
        names = {path.as_posix() for job in plan.jobs for path in job.files(Path(job.file))}
        ledger = Ledger(plan.folder, plan.contents, names | set(plan.sources))
        run = _Run(plan, ledger, cache, stop, listen)
        run.make_all(workers)
        run.retire()
        pruned: list[str] = []
        left: list[str] = []

        def prune_old() -> None:
            spared = run.failed_files
            old = [each for each in ledger.manifest.stale if each.file not in spared]
            if plan.stale is Stale.REMOVED and old:
                before_pruning(old)
                prune(plan.folder, ledger, pruned.append, left.append, spared=spared)

        prune_old()  # first, to make room
        run.copy_all()
        joined = run.join()
        prune_old()  # what became old by that
        return Rendered(
            made=run.ids(lambda ready: ready.is_new),
            copied=run.ids(lambda ready: ready.proven is not None and not ready.is_new),
            reused=run.ids(lambda ready: ready.there is not None),
            failures=tuple(run.failures),
            pruned=tuple(pruned),
            left=tuple(left),
            joined=joined,
            manifest=ledger.manifest,
        )


@contextlib.contextmanager
def _stopping(stop: Stop) -> Iterator[None]:
    """Ends the other jobs where anything ends the run early, Ctrl-C included."""
    try:
        yield
    except BaseException:
        stop.ask()
        raise


class _Run:
    """The steps of a run, and what became of each job."""

    def __init__(self, plan: Plan, ledger: Ledger, cache: Cache, stop: Stop, listen: Listener) -> None:
        self._plan = plan
        self._ledger = ledger
        self._cache = cache
        self._stop = stop
        self._listen = listen
        self._copier = Copier(plan.folder, ledger, stop, listen)
        self._ready: dict[str, _Ready] = {}
        self.failures: list[tuple[str, str]] = []

    def ids(self, wanted: Callable[[_Ready], bool]) -> tuple[str, ...]:
        """Jobs in play order that are in the folder now and were had in some way."""
        ready = self._ready
        return tuple(job.id for job in self._plan.jobs if job.id in ready and wanted(ready[job.id]))

    @property
    def failed_files(self) -> set[str]:
        """Names of what could not be had in this run: an older file of that name is better than none."""
        failed = {identity for identity, _ in self.failures}
        jobs = [job for job in self._plan.jobs if job.id in failed]
        return {path.as_posix() for job in jobs for path in job.files(Path(job.file))}

    def make_all(self, workers: int) -> None:
        """Have every job proven, side by side; nothing is written to the folder."""
        budget = MemoryBudget(workers)
        with ThreadPoolExecutor(max_workers=workers) as pool, _stopping(self._stop):
            waiting = {pool.submit(self._prove, job, budget): job for job in self._plan.jobs}
            for future in as_completed(waiting):
                job = waiting[future]
                try:
                    self._ready[job.id] = future.result()
                except (CannotCarry, CheckFailed, UnreadableFile) as error:
                    self._fail(job, error)

    def _prove(self, job: Job, budget: MemoryBudget) -> _Ready:
        """Find a job proven in the folder or in the cache, or make it there."""
        self._stop.check()
        known = self._ledger.manifest.clip(job.id)
        if known is not None and _is_proven(known, job, self._plan.folder):
            return _Ready(there=known)
        proven = self._cache.take(job)
        is_new = proven is None
        if proven is None:
            place = self._cache.place(job)
            entry = make(
                job, place, work=self._cache.work, budget=budget, stop=self._stop, listen=self._listen
            )
            proven = self._cache.keep(job, place, entry)
        self._listen(Event(job=job, stage=Stage.PROVEN))
        return _Ready(proven=proven, is_new=is_new)

    def retire(self) -> None:
        """What the pack has no more, or could not have anew, is old from here on."""
        plan, manifest = self._plan, self._ledger.manifest
        gone = outdated(manifest, plan.contents, {job.id: job.file for job in plan.jobs})
        failed = {identity for identity, _ in self.failures}
        gone += [clip for clip in manifest.clips if clip.id in failed and clip not in gone]
        is_whole = {job.id for job in plan.jobs} >= set(plan.contents.order)
        unused = [each for each in manifest.sources if is_whole and each.file not in plan.sources]
        self._ledger.retire(gone, unused)

    def copy_all(self) -> None:
        """Put what is proven into the folder, in play order, and list each once it is there."""
        plan = self._plan
        check_room(plan, self._copies())
        self._ledger.begin(self._files())
        for file, path in plan.sources.items():
            self._copier.source(path, file)
        for job in plan.jobs:
            ready = self._ready.get(job.id)
            if ready is None:
                continue
            try:
                if ready.proven is not None:
                    self._copier.clip(job, ready.proven)
                elif ready.there is not None:
                    self._copier.words(job, ready.there)
            except (CheckFailed, InTheWay) as error:
                self._fail(job, error)
            else:
                self._listen(Event(job=job, stage=Stage.DONE if ready.proven else Stage.REUSED))
        self._ledger.end()

    def join(self) -> Joined | None:
        """Join what is in the folder by now, where that is wanted."""
        if self._plan.joining is Joining.NONE:
            retire_joined(self._ledger)
            return None
        folder, work = self._plan.folder, self._cache.work
        joined = join_chapters(folder, self._ledger, self._copier, work=work, stop=self._stop)
        self._ledger.end()
        return joined

    def _files(self) -> dict[str, str]:
        """What is to be put, with its SHA-256."""
        proven = [ready.proven for ready in self._ready.values() if ready.proven]
        sources = {file: file_sha256(path) for file, path in self._plan.sources.items()}
        return sources | {file: sha256 for each in proven for _, file, sha256 in each.files}

    def _copies(self) -> list[Copy]:
        """What is to be written, by its exact size."""
        replaced = {planned.job.id: planned.replaced for planned in self._plan.files}
        proven = {identity: ready.proven for identity, ready in self._ready.items() if ready.proven}
        return [
            *self._plan.copies(),
            *(Copy(bytes=file.bytes, replaced=replaced[identity]) for identity, file in proven.items()),
        ]

    def _fail(self, job: Job, error: Exception) -> None:
        self._ready.pop(job.id, None)
        self.failures.append((job.id, str(error)))
        self._listen(Event(job=job, stage=Stage.FAILED, problem=str(error)))


def _is_proven(known: ClipEntry, job: Job, folder: Path) -> bool:
    path = folder / job.file
    return (
        looks_proven(known, job, folder)
        and file_sha256(path) == known.sha256
        and not stretched_problems(known, path)
    )
