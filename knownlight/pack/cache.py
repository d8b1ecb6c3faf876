"""What was proven on this machine, by what made it, so that no stick and no second run has it made again.

    lock            held by every run: shared while it runs, alone by who cleans up
    work/NAME/      what a run throws away after; of a killed run, removed by the next that runs alone
    proven/KEY/     a file, the picture beside it if there is one, and entry.json

A folder below `proven` is made elsewhere and renamed whole, so there is never half of one.
"""

import contextlib
import fcntl
import hashlib
import os
import shutil
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

import msgspec
import platformdirs

from knownlight.errors import BadInput
from knownlight.pack.fingerprint import program_hash
from knownlight.pack.folders import STRETCHED
from knownlight.pack.job import Job
from knownlight.pack.manifest_entries import ClipEntry
from knownlight.readback.packets import file_sha256

FOLDER_VARIABLE = "KNOWNLIGHT_CACHE"
GIGABYTES_VARIABLE = "KNOWNLIGHT_CACHE_GB"
_GIGABYTES = 20.0
_ENTRY = "entry.json"


def cache_folder(asked: Path | None = None) -> Path:
    """Where the cache is: as asked for, else the environment's, else where this system has such."""
    chosen = os.environ.get(FOLDER_VARIABLE)
    return asked or (Path(chosen) if chosen else platformdirs.user_cache_path("knownlight"))


def cache_bytes() -> int:
    """How large it may grow: the environment's, else 20 GB.

    Raises:
        BadInput: where the environment has no number.
    """
    words = os.environ.get(GIGABYTES_VARIABLE)
    try:
        return int(1e9 * (float(words) if words else _GIGABYTES))
    except (ValueError, OverflowError):
        raise BadInput(f"{GIGABYTES_VARIABLE}={words} is not a number of gigabytes; write it as 20") from None


@dataclass(frozen=True, kw_only=True)
class Proven:
    """A proven file in the cache and its entry, as it is in the pack that asks. path: of the file."""

    path: Path
    entry: ClipEntry

    @property
    def files(self) -> tuple[tuple[Path, str, str], ...]:
        """Path, name in the pack and SHA-256 of the file, and of the picture beside it if there is one."""
        return tuple(
            (
                self.path if file == self.entry.file else self.path.with_name(self.path.name + STRETCHED),
                file,
                sha256,
            )
            for file, sha256 in self.entry.files.items()
        )

    @property
    def bytes(self) -> int:
        """Of all its files."""
        return sum(path.stat().st_size for path, _, _ in self.files)


def key_of(job: Job) -> str:
    """What a file is found by: its recipe and the program that makes it."""
    return hashlib.sha256(f"{job.recipe()} {program_hash(job.pattern)}".encode()).hexdigest()


def look_up(folder: Path, job: Job) -> Proven | None:
    """What the cache has for a job, by its size alone; nothing is made or locked by it."""
    home = folder / "proven" / key_of(job)
    try:
        kept = msgspec.json.decode((home / _ENTRY).read_bytes(), type=ClipEntry)
        proven = Proven(path=home / Path(kept.file).name, entry=_as_asked(kept, job))
        whole = proven.path.stat().st_size == kept.bytes and proven.bytes > 0
    except (OSError, msgspec.MsgspecError):
        return None
    return proven if whole and kept.proof.passed else None


def _as_asked(kept: ClipEntry, job: Job) -> ClipEntry:
    """An entry with the names and words of the job that takes it."""
    stress = kept.stress
    if stress is not None and stress.stretched is not None:
        beside = msgspec.structs.replace(stress.stretched, file=job.file + STRETCHED)
        stress = msgspec.structs.replace(stress, stretched=beside)
    return msgspec.structs.replace(
        kept,
        id=job.id,
        file=job.file,
        chapter=job.chapter,
        look=job.look,
        measure=job.measure,
        stress=stress,
    )


class Cache:
    """The cache while a run uses it, as a context; several programs may at a time."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._proven, self._works = folder / "proven", folder / "work"
        self._used: set[str] = set()
        self._guard = threading.Lock()

    def __enter__(self) -> Self:
        self._largest = cache_bytes()  # now: an hour of work is not to end in a word that is misspelt
        try:
            for each in (self._proven, self._works):
                each.mkdir(parents=True, exist_ok=True)
            self._lock = os.open(self._folder / "lock", os.O_RDWR | os.O_CREAT, 0o644)
        except OSError as error:
            raise self._refused(error) from error
        try:
            if self._is_alone():
                for left in self._works.iterdir():
                    shutil.rmtree(left, ignore_errors=True)
            fcntl.flock(self._lock, fcntl.LOCK_SH)
            self._work = Path(tempfile.mkdtemp(dir=self._works))
        except OSError as error:
            os.close(self._lock)
            raise self._refused(error) from error
        return self

    def _refused(self, error: OSError) -> BadInput:
        return BadInput(
            f"{self._folder}: {error.strerror}; name a folder for the cache by --cache or {FOLDER_VARIABLE}"
        )

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        shutil.rmtree(self._work, ignore_errors=True)
        with contextlib.suppress(OSError):  # what cannot be removed now is removed after another run
            if self._is_alone():
                self._trim()
        os.close(self._lock)

    @property
    def work(self) -> Path:
        """For what this run throws away."""
        return self._work

    def take(self, job: Job) -> Proven | None:
        """What is proven of a job, read and compared with its hash; what is damaged is removed."""
        proven = look_up(self._folder, job)
        if proven is None:
            return None
        home = proven.path.parent
        try:
            is_whole = all(file_sha256(path) == sha256 for path, _, sha256 in proven.files)
        except OSError:
            is_whole = False
        if not is_whole:
            self._discard(home)
            return None
        self._use(home)
        return proven

    def place(self, job: Job) -> Path:
        """Where a job's file is to be made, to be kept after: a folder of its own."""
        try:
            return Path(tempfile.mkdtemp(dir=self._work)) / Path(job.file).name
        except OSError as error:
            raise self._refused(error) from error

    def keep(self, job: Job, made: Path, entry: ClipEntry) -> Proven:
        """Keep what was made and proven at a place; where another program was quicker, that of the other."""
        try:
            (made.parent / _ENTRY).write_bytes(msgspec.json.encode(entry))
        except OSError as error:
            raise self._refused(error) from error
        home = self._proven / key_of(job)
        try:
            made.parent.rename(home)
        except OSError:  # a folder that is not empty
            return self.take(job) or Proven(path=made, entry=entry)
        self._use(home)
        return Proven(path=home / made.name, entry=entry)

    def _discard(self, home: Path) -> None:
        """Remove a folder whole: from its place at once, from the disk after."""
        with contextlib.suppress(OSError):
            gone = Path(tempfile.mkdtemp(dir=self._works))
            home.rename(gone / home.name)
            shutil.rmtree(gone, ignore_errors=True)

    def _use(self, home: Path) -> None:
        with self._guard:
            self._used.add(home.name)
        with contextlib.suppress(OSError):
            os.utime(home)

    def _is_alone(self) -> bool:
        """Take the lock alone, where no other run holds it."""
        try:
            fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _trim(self) -> None:
        """Remove what was not used for longest until the rest is small enough; what this run used stays."""
        homes = sorted(self._proven.iterdir(), key=lambda home: home.stat().st_mtime, reverse=True)
        total = 0
        for home in sorted(homes, key=lambda home: home.name not in self._used):
            total += sum(path.stat().st_size for path in home.iterdir())
            if total > self._largest and home.name not in self._used:
                self._discard(home)
