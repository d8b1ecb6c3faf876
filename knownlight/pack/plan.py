"""What a run will do, found before the first byte is written: what is there, what to make, what fits."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from pathlib import Path, PurePosixPath

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat
from knownlight.pack.cache import look_up
from knownlight.pack.copying import is_ours
from knownlight.pack.estimate import estimate
from knownlight.pack.folders import check_folder, sources_of
from knownlight.pack.job import Job, check_jobs, slate_id
from knownlight.pack.joined_groups import can_be_marked
from knownlight.pack.ledger import Contents, opened, outdated, stale_of
from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import ClipEntry, FileEntry
from knownlight.pack.names import check_names, check_neighbours
from knownlight.pack.settling import in_the_way
from knownlight.pack.space import FAT_LARGEST, Copy, cluster_bytes, free_bytes, is_fat, needed_bytes
from knownlight.pack.stick import refusals
from knownlight.readback.packets import file_sha256

_COPYING_RATE = 20e6  # bytes/s that an ordinary stick writes; common practice, no source


class State(Enum):
    """Where a file is before the run."""

    THERE = "there"  # in the folder, proven
    CACHED = "cached"  # proven on this machine
    TO_MAKE = "to make"


class Stale(Enum):
    """What becomes of files of ours that the pack has no more."""

    KEPT = "kept"
    REMOVED = "removed"


class Joining(Enum):
    """Whether the clips of a chapter are also joined into long files."""

    NONE = "none"
    CHAPTERS = "chapters"


@dataclass(frozen=True, kw_only=True)
class Planned:
    """A file of a plan.

    bytes: exact but of what is to be made, which is a guess. seconds: to make it, a guess, too; else 0.
    replaced: bytes of what lies under its name now.
    """

    job: Job
    state: State
    bytes: int
    seconds: float
    replaced: int


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A run before it begins.

    folder: to write. cache: folder of what is proven. free: bytes, None where nobody tells. old: files of
    ours that the pack has no more, as far as known now. sources: the user's files, by their names there.
    joined_bytes: of joined files that are not there; a guess.
    """

    folder: Path
    cache: Path
    contents: Contents
    stale: Stale
    joining: Joining
    joined_bytes: int
    files: tuple[Planned, ...]
    sources: dict[str, Path]
    old: tuple[FileEntry, ...]
    free: int | None
    cluster: int

    @property
    def jobs(self) -> list[Job]:
        """What is wanted, in play order."""
        return [planned.job for planned in self.files]

    @property
    def play_seconds(self) -> float:
        """Of all its clips."""
        return sum(float(job.frames / job.signal.rate) for job in self.jobs if not job.is_still)

    @property
    def make_seconds(self) -> float:
        """What making and proving takes where one file is made at a time; roughly."""
        return sum(planned.seconds for planned in self.files)

    @property
    def copy_seconds(self) -> float:
        """What copying takes on an ordinary stick; roughly."""
        return 2 * self.needed_bytes(*State) / _COPYING_RATE

    def needed_bytes(self, *states: State) -> int:
        """What must be free for files of some states; those that are there need nothing."""
        joined = [Copy(bytes=self.joined_bytes)] if self.joined_bytes else []
        return needed_bytes([*self.copies(*states), *joined], self.cluster)

    @property
    def warnings(self) -> list[str]:
        """What may go wrong, by what is only estimated."""
        found = []
        needed = self.needed_bytes(*State)
        if self.free is not None and needed > self.free:
            found.append(
                f"{self.folder} may be too small: about {megabytes(needed)} are needed by estimate, "
                f"{megabytes(self.free)} are free"
            )
        large = [each.job.file for each in self.files if each.bytes > FAT_LARGEST]
        if large:
            found.append(f"FAT32 holds files of up to 4 GiB; {', '.join(large)} may be larger: use exFAT")
        return found

    def copies(self, *states: State) -> list[Copy]:
        """What is to be written for files of some states, the user's own that are missing first."""
        wanted = [each for each in self.files if each.state is not State.THERE and each.state in states]
        missing = [path for file, path in self.sources.items() if not (self.folder / file).exists()]
        return [
            *(Copy(bytes=path.stat().st_size) for path in missing),
            *(Copy(bytes=each.bytes, replaced=each.replaced) for each in wanted),
        ]


def plan_of(
    jobs: Sequence[Job],
    folder: Path,
    *,
    contents: Contents,
    cache: Path,
    stale: Stale = Stale.KEPT,
    joining: Joining = Joining.NONE,
) -> Plan:
    """Find what a run would do; nothing is written.

    Args:
        jobs: what is wanted, in play order.
        folder: where; made by the run if only it is missing.
        contents: of the whole pack.
        cache: folder of what is proven on this machine.
        stale: what becomes of old files of ours.
        joining: whether clips are joined, too.

    Raises:
        InTheWay: where a file that is not ours has one of the names.
        BadInput: for a job that cannot be made, a name that a stick does not take, a folder that is missing
            or holds another pack, or too little room for what is known exactly.
    """
    check_jobs(jobs)
    sources = sources_of({name: path for job in jobs for name, path in job.sources.items()})
    names = [*(path.as_posix() for job in jobs for path in job.files(Path(job.file))), *sources]
    check_names(names)
    check_folder(folder)
    with refusals(folder):
        manifest = opened(folder, contents.pack)
        check_neighbours(folder, names)
        for file, path in sources.items():
            _check_free_name(folder, manifest, file, file_sha256(path))
        files = tuple(_planned(job, folder, manifest, cache) for job in jobs)
    gone = outdated(manifest, contents, {job.id: job.file for job in jobs})
    plan = Plan(
        folder=folder,
        cache=cache,
        contents=contents,
        stale=stale,
        joining=joining,
        joined_bytes=0 if joining is Joining.NONE else _joined_bytes(files, folder, manifest),
        files=files,
        sources=sources,
        old=(*manifest.stale, *stale_of(gone)),
        free=free_bytes(folder),
        cluster=cluster_bytes(folder),
    )
    check_room(plan, plan.copies(State.CACHED))
    return plan


def check_room(plan: Plan, copies: Sequence[Copy]) -> None:
    """Refuse what does not fit, by exact sizes and what is free now.

    Raises:
        BadInput: saying how much is needed and what would help.
    """
    if is_fat(plan.folder) and any(copy.bytes > FAT_LARGEST for copy in copies):
        raise BadInput(
            f"{plan.folder}: its file system is FAT, which ends files at 4 GiB; format it as exFAT"
        )
    free, needed = free_bytes(plan.folder), needed_bytes(copies, plan.cluster)
    old = sum(path.stat().st_size for each in plan.old if (path := plan.folder / each.file).is_file())
    may_go = old if plan.stale is Stale.REMOVED else 0
    if free is not None and needed > free + may_go:
        hint = f"; --prune frees {megabytes(old)} of old files" if old > may_go else ""
        raise BadInput(
            f"{plan.folder}: {megabytes(needed)} are needed, {megabytes(free)} are free; "
            f"free some space, choose less with --only, or use a larger stick{hint}"
        )


def megabytes(count: int) -> str:
    """Bytes for people."""
    return f"{count / 1e9:.1f} GB" if count >= 1e9 else f"{count / 1e6:.1f} MB"  # noqa: PLR2004


def _joined_bytes(files: Sequence[Planned], folder: Path, manifest: Manifest) -> int:
    """Of joined files that are not there yet, which take as much as their clips.

    A guess: clips of one chapter, signal and delivery may still be set up otherwise.
    """
    known: set[str] = set()  # clips that are in a joined file, or cannot be
    for entry in manifest.joined:
        if (folder / entry.file).is_file():
            known |= {mark.clip for mark in entry.marks} | {left.clip for left in entry.left_out}
    alike: dict[tuple[PurePosixPath, SignalFormat, str], list[Planned]] = {}
    for planned in files:
        job = planned.job
        if can_be_marked(job.delivery):
            alike.setdefault((PurePosixPath(job.file).parent, job.signal, job.delivery), []).append(planned)
    total = 0
    for group in alike.values():
        slates = {slate_id(each.job.id) for each in group}
        clips = sum(each.job.id not in slates for each in group)
        is_there = all(each.state is State.THERE and each.job.id in known for each in group)
        if clips > 1 and not is_there:
            total += sum(each.bytes for each in group)
    return total


def _planned(job: Job, folder: Path, manifest: Manifest, cache: Path) -> Planned:
    known = manifest.clip(job.id)
    replaced = sum(path.stat().st_size for path in job.files(folder / job.file) if path.is_file())
    if known is not None and looks_proven(known, job, folder):
        return Planned(job=job, state=State.THERE, bytes=replaced, seconds=0.0, replaced=0)
    cached = look_up(cache, job)
    hashes = {file: sha256 for _, file, sha256 in cached.files} if cached else {}
    for path in job.files(Path(job.file)):
        _check_free_name(folder, manifest, path.as_posix(), hashes.get(path.as_posix(), ""))
    if cached is not None:
        return Planned(job=job, state=State.CACHED, bytes=cached.bytes, seconds=0.0, replaced=replaced)
    guess = estimate(job)
    return Planned(job=job, state=State.TO_MAKE, bytes=guess.bytes, seconds=guess.seconds, replaced=replaced)


def looks_proven(known: ClipEntry, job: Job, folder: Path) -> bool:
    """Whether what is known of a job is as asked for and there, by its size; a run also reads it."""
    names = known.files
    return (
        (known.recipe, known.file, known.proof.passed) == (job.recipe(), job.file, True)
        and all((folder / name).is_file() for name in names)
        and (folder / known.file).stat().st_size == known.bytes
    )


def _check_free_name(folder: Path, manifest: Manifest, file: str, sha256: str) -> None:
    """Refuse a name that a file has which is neither ours nor what is to be written, by its SHA-256."""
    path = folder / file
    for parent in PurePosixPath(file).parents[:-1]:
        if os.path.lexists(folder / parent) and not (folder / parent).is_dir():
            raise in_the_way(folder / parent)
    if os.path.lexists(path) and not path.is_file():
        raise in_the_way(path)
    if path.is_file() and not is_ours(manifest, file, path) and file_sha256(path) != sha256:
        raise in_the_way(path)
