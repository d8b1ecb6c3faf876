"""Writes files to a stick: nothing unproven bears a final name, and nothing that is not ours is touched.

A file is copied under a temporary name, forced out, read back past the system's cache where it lets us,
compared, and only then renamed. A stick that is pulled or full is told in one line, with what to do.
"""

import contextlib
import errno
import fcntl
import hashlib
import mmap
import os
import time
from collections.abc import Callable, Iterator
from enum import Enum
from pathlib import Path
from typing import BinaryIO

from knownlight.errors import BadInput, CheckFailed
from knownlight.ffmpeg import Stop
from knownlight.pack.folders import PART
from knownlight.pack.settling import UNKNOWN, Over, settle

_CHUNK = 4 << 20  # bytes; a multiple of every sector's size, as reading past the cache asks for
_SECTOR = 4096  # bytes; of the largest sectors
_PATIENCE = 2.0  # seconds in which a killed run's last process ends
_FULL = {errno.ENOSPC, errno.EDQUOT}
_GONE = {errno.ENODEV, errno.ENXIO, errno.EIO, errno.ESTALE, errno.ENOTCONN, errno.ENOENT}


class Pass(Enum):
    """What is being done to a file on the stick."""

    WRITING = "writing"
    READING = "reading"


OnBytes = Callable[[Pass, int, int], None]  # is told bytes done and bytes to do


def untold(running: Pass, done: int, total: int) -> None:
    """Where nobody wants to be told."""


def put(
    source: Path,
    to: Path,
    *,
    stop: Stop,
    sha256: str = "",
    over: Over = Over.NOTHING,
    on_bytes: OnBytes = untold,
) -> None:
    """Copy a file; its folder must be there.

    Args:
        source: what to copy.
        to: final name.
        stop: ends it from another thread.
        sha256: of what was proven, in hexadecimal; empty where the source is trusted.
        over: what may be replaced.
        on_bytes: is told how far it is.

    Raises:
        InTheWay: where a file that may not be replaced has the final name, however late it came.
        CheckFailed: where the source is not what was proven, or what is read back is not what was written.
        BadInput: where the stick is full, gone or cannot be written.
        Cancelled: where a stop was asked for.
    """
    part = to.with_name(to.name + PART)
    with refusals(to), _gone_after(part):
        written = _copied(source, part, stop, on_bytes)
        if sha256 and written != sha256:
            raise CheckFailed(f"{source}: it is not what was proven any more; run the same command again")
        if written != _read_back(part, stop, on_bytes):
            raise CheckFailed(
                f"{to}: what was read back is not what was written: the stick is faulty, or smaller than it "
                "says; use another one"
            )
        settle(part, to, over)


def put_bytes(data: bytes, to: Path, *, over: Over = Over.OURS) -> None:
    """Write a small file with the same care; one of that name is replaced unless told otherwise.

    Raises:
        InTheWay, CheckFailed, BadInput: as `put`.
    """
    part = to.with_name(to.name + PART)
    with refusals(to), _gone_after(part):
        with _new(part) as file:
            file.write(data)
            _force_out(file.fileno())
        if hashlib.sha256(data).hexdigest() != _read_back(part, Stop()):
            raise CheckFailed(f"{to}: what was read back is not what was written: use another stick")
        settle(part, to, over)


@contextlib.contextmanager
def refusals(to: Path) -> Iterator[None]:
    """Words what the file system refuses, with what to do."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        if error.errno in _FULL:
            remedy = "free some space, or use a larger stick, and run the same command again"
        elif error.errno in _GONE:
            remedy = "the stick is gone or fails; put it in again and run the same command"
        elif error.errno == errno.EFBIG:
            remedy = "its file system holds no file of that size; format the stick as exFAT"
        else:
            remedy = "choose a folder that can be written, with room enough"
        raise BadInput(f"{to}: {reason}; {remedy}") from error


@contextlib.contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Keeps two runs from writing one folder at a time, where its file system can tell.

    Raises:
        BadInput: where another run is at it.
    """
    with refusals(folder):
        descriptor = os.open(folder, os.O_RDONLY)
    try:
        end = time.monotonic() + _PATIENCE
        while True:
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                if time.monotonic() > end:
                    raise BadInput(f"{folder}: another run is writing to it; wait for its end") from None
                time.sleep(_PATIENCE / 20)
                continue
            except OSError as error:
                if error.errno not in UNKNOWN:
                    raise
            break
        yield
    finally:
        os.close(descriptor)


@contextlib.contextmanager
def _gone_after(part: Path) -> Iterator[None]:
    """Leaves no part behind, where the stick is still there."""
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def _new(part: Path) -> BinaryIO:
    part.unlink(missing_ok=True)  # of a run that was killed
    return part.open("xb")


def _copied(source: Path, part: Path, stop: Stop, on_bytes: OnBytes) -> str:
    """Copy and force out; the SHA-256 of what was copied."""
    digest, done = hashlib.sha256(), 0
    with _refused_source(source):
        reading = source.open("rb")
    with reading, _new(part) as writing:
        total = os.fstat(reading.fileno()).st_size
        while True:
            stop.check()
            with _refused_source(source):
                data = reading.read(_CHUNK)
            if not data:
                break
            writing.write(data)
            digest.update(data)
            done += len(data)
            on_bytes(Pass.WRITING, done, total)
        _force_out(writing.fileno())
    return digest.hexdigest()


@contextlib.contextmanager
def _refused_source(source: Path) -> Iterator[None]:
    """What is copied from is no stick: its troubles are told apart."""
    try:
        yield
    except OSError as error:
        raise BadInput(f"{source}: {error.strerror}; see that it can be read, and run again") from error


def _force_out(descriptor: int) -> None:
    """To the stick, and out of the system's cache where it lets us."""
    os.fsync(descriptor)
    if hasattr(os, "posix_fadvise"):
        os.posix_fadvise(descriptor, 0, 0, os.POSIX_FADV_DONTNEED)


def _read_back(path: Path, stop: Stop, on_bytes: OnBytes = untold) -> str:
    """The SHA-256 of what lies on the stick: past the cache, or from a cache that was told to let go."""
    if hasattr(os, "O_DIRECT"):
        try:
            return _hash_of(path, os.O_RDONLY | os.O_DIRECT, stop, on_bytes)
        except OSError as error:
            if error.errno not in UNKNOWN:
                raise
    return _hash_of(path, os.O_RDONLY, stop, on_bytes)


def _hash_of(path: Path, flags: int, stop: Stop, on_bytes: OnBytes) -> str:
    digest, done = hashlib.sha256(), 0
    descriptor = os.open(path, flags)
    try:
        total = os.fstat(descriptor).st_size
        with mmap.mmap(-1, _CHUNK) as buffer, memoryview(buffer) as view:  # aligned, as O_DIRECT asks
            while done < total:
                stop.check()
                count = os.readv(descriptor, [view])
                if not count:
                    break
                digest.update(view[:count])
                done += count
                on_bytes(Pass.READING, done, total)
                if done < total and count % _SECTOR:
                    raise OSError(errno.EINVAL, "it cannot be read on from within a sector")
    finally:
        os.close(descriptor)
    return digest.hexdigest()
