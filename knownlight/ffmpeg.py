"""The ffmpeg binary: found once, run as a process, its own words raised when it fails.

Both encode and readback use it; nothing else of either is shared.
"""

import contextlib
import os
import queue
import re
import socket
import subprocess
import threading
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from knownlight.errors import BadInput, Cancelled, ToolFailed

ENVIRONMENT_VARIABLE = "KNOWNLIGHT_FFMPEG"
_PIPE_BYTES = 1 << 20
_BYTES_AHEAD = 100_000_000  # frames given to the encoder and not yet encoded; ffmpeg would queue two dozen
_PICTURES_AHEAD = 2  # one is compared while the next is read
_ERROR_LINES = 3
_ROWS_AT_ONCE = 512  # pieces of one gathered write; systems allow 1024
_CODER = re.compile(r"^ [VAS][A-Z.]{5} (\S+)", re.MULTILINE)  # a line of its lists
_PREFIX = re.compile(r"^\[[^\]]*\] *")  # which part of ffmpeg speaks, and where it lies in memory
_REMEDIES = {
    "No space left on device": "free some space, or choose another folder",
    "Read-only file system": "choose a folder that can be written",
    "Permission denied": "see that it may be read and written",
}


@lru_cache(maxsize=1)
def binary() -> str:
    """Path of the ffmpeg to run: the environment's, else the one that imageio-ffmpeg carries.

    Raises:
        BadInput: where there is none.
    """
    chosen = os.environ.get(ENVIRONMENT_VARIABLE)
    if chosen:
        if not Path(chosen).is_file():
            raise BadInput(f"{ENVIRONMENT_VARIABLE} names {chosen}, which is no file; unset it or correct it")
        return chosen
    import imageio_ffmpeg  # noqa: PLC0415 - slow to import, and not needed to list or to help

    try:
        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError as error:
        raise BadInput(f"no ffmpeg was found ({error}); set {ENVIRONMENT_VARIABLE} to one") from error


def has_encoder(name: str) -> bool:
    """Whether the ffmpeg in use can encode so; it is asked once.

    Raises:
        BadInput, ToolFailed: where there is none, or it does not run.
    """
    return name in _listed(binary(), "-encoders")


def has_decoder(name: str) -> bool:
    """Whether the ffmpeg in use can decode so; it is asked once.

    Raises:
        BadInput, ToolFailed: where there is none, or it does not run.
    """
    return name in _listed(binary(), "-decoders")


@lru_cache(maxsize=8)
def _listed(path: str, what: str) -> frozenset[str]:
    try:
        finished = subprocess.run([path, "-hide_banner", what], capture_output=True, check=True)
    except (OSError, subprocess.CalledProcessError) as error:
        raise ToolFailed(f"ffmpeg could not be asked ({error}); set {ENVIRONMENT_VARIABLE}") from error
    return frozenset(_CODER.findall(finished.stdout.decode(errors="replace")))


class Stop:
    """Lets one thread end the processes that others wait for."""

    def __init__(self) -> None:
        self._asked = threading.Event()
        self._lock = threading.Lock()
        self._running: set[subprocess.Popen[bytes]] = set()

    def ask(self) -> None:
        """End what runs now and refuse what would start later."""
        self._asked.set()
        with self._lock:
            for process in self._running:
                process.kill()

    def check(self) -> None:
        """Raise Cancelled where a stop was asked for."""
        if self._asked.is_set():
            raise Cancelled("stopped; nothing unfinished was left under a final name")

    @contextlib.contextmanager
    def watching(self, process: subprocess.Popen[bytes]) -> Iterator[None]:
        """Make a process one that `ask` ends; one that was asked for before is ended at once."""
        with self._lock:
            self._running.add(process)
            if self._asked.is_set():
                process.kill()
        try:
            yield
        finally:
            with self._lock:
                self._running.discard(process)


def _start(
    arguments: Sequence[str], stop: Stop, *, stdin: int = subprocess.DEVNULL, stdout: int = subprocess.PIPE
) -> subprocess.Popen[bytes]:
    stop.check()
    try:
        return subprocess.Popen(
            [binary(), "-hide_banner", "-y", *arguments],
            stdin=stdin,
            stdout=stdout,
            stderr=subprocess.PIPE,
            start_new_session=True,  # Ctrl-C is ours to answer: ffmpeg would close the file as if whole
        )
    except OSError as error:
        raise ToolFailed(f"ffmpeg could not be started ({error}); set {ENVIRONMENT_VARIABLE}") from error


def _failure(what: str, words: bytes, stop: Stop) -> Exception:
    """The exception for a process that ended badly."""
    try:
        stop.check()
    except Cancelled as error:
        return error
    text = words.decode(errors="replace")
    for cause, remedy in _REMEDIES.items():
        if cause in text:
            return ToolFailed(f"{what}: {cause}; {remedy}")
    lines = dict.fromkeys(_PREFIX.sub("", line).strip() for line in text.splitlines() if line.strip())
    return ToolFailed(f"{what}: ffmpeg says: {'; '.join(list(lines)[:_ERROR_LINES]) or 'nothing'}")


def run(arguments: Sequence[str], *, what: str, stop: Stop) -> tuple[bytes, str]:
    """Run ffmpeg to its end and return its output and its words.

    Raises:
        ToolFailed: where it ends with an error; `what` opens the message.
    """
    process = _start(arguments, stop)
    with stop.watching(process):
        output, words = process.communicate()
    if process.returncode:
        raise _failure(what, words, stop)
    return output, words.decode(errors="replace")


class _Collector(threading.Thread):
    """Reads a stream to its end and keeps it."""

    def __init__(self, stream: IO[bytes]) -> None:
        super().__init__(daemon=True)
        self._stream = stream
        self.words = b""
        self.start()

    def run(self) -> None:
        """Read."""
        self.words = self._stream.read()


class _Progress(threading.Thread):
    """Follows the encoder's count of finished frames, and lets the feeder wait for it."""

    def __init__(self, stream: IO[bytes], on_frames: Callable[[int], None]) -> None:
        super().__init__(daemon=True)
        self._stream = stream
        self._on_frames = on_frames
        self._changed = threading.Condition()
        self._done = 0
        self._ended = False
        self.start()

    def run(self) -> None:
        """Read `frame=` lines of ffmpeg's -progress."""
        for line in self._stream:
            if line.startswith(b"frame="):
                with self._changed:
                    self._done = int(line[6:])
                    self._changed.notify_all()
                self._on_frames(self._done)
        with self._changed:
            self._ended = True
            self._changed.notify_all()

    def wait_for(self, done: int) -> None:
        """Wait until so many frames are encoded, or none will be any more."""
        with self._changed:
            self._changed.wait_for(lambda: self._done >= done or self._ended)


def feed(
    arguments: Sequence[str],
    pieces: Iterable[Sequence[NDArray[np.integer[Any]]]],
    *,
    what: str,
    stop: Stop,
    on_frames: Callable[[int], None],
) -> None:
    """Run ffmpeg with raw pictures, or blocks of sound, on its standard input (`-i pipe:0` in the arguments).

    They are handed over a few ahead of the encoder, so that memory stays flat.

    Raises:
        ToolFailed: where ffmpeg ends with an error; `what` opens the message.
    """
    process = _start(
        ["-nostats", "-stats_period", "0.02", "-progress", "pipe:1", *arguments],
        stop,
        stdin=subprocess.PIPE,
    )
    assert process.stdin is not None  # noqa: S101 - three pipes were asked for
    assert process.stdout is not None  # noqa: S101
    assert process.stderr is not None  # noqa: S101
    with stop.watching(process):
        _widen(process.stdin)
        collector = _Collector(process.stderr)
        progress = _Progress(process.stdout, on_frames)
        try:
            for index, planes in enumerate(pieces):
                ahead = max(2, _BYTES_AHEAD // sum(plane.nbytes for plane in planes))
                progress.wait_for(index - ahead)
                for plane in planes:
                    _write_plane(process.stdin, plane)
            process.stdin.close()
        except BrokenPipeError:
            pass  # ffmpeg ended first; its words say why
        except BaseException:
            process.kill()
            raise
        finally:
            with contextlib.suppress(BrokenPipeError):
                process.stdin.close()
            process.wait()
            collector.join()
            progress.join()
            process.stdout.close()
            process.stderr.close()
    if process.returncode:
        raise _failure(what, collector.words, stop)


def _write_plane(stream: IO[bytes], plane: NDArray[np.integer[Any]]) -> None:
    """Hand over a plane; one that is a view into a wider picture goes row by row, without a copy."""
    if plane.flags.c_contiguous or not hasattr(os, "writev"):
        stream.write(np.ascontiguousarray(plane).data.cast("B"))
        return
    stream.flush()
    rows = [row.data.cast("B") for row in plane]
    while rows:
        written = os.writev(stream.fileno(), rows[:_ROWS_AT_ONCE])
        while rows and written >= len(rows[0]):
            written -= len(rows.pop(0))
        if written:
            rows[0] = rows[0][written:]


class _Prefetch(threading.Thread):
    """Reads pictures ahead of who compares them, into a few buffers that go round."""

    def __init__(self, receive: Callable[[memoryview], int], size: int) -> None:
        super().__init__(daemon=True)
        self._receive = receive
        self._size = size
        self._free: queue.SimpleQueue[memoryview | None] = queue.SimpleQueue()
        self._read: queue.SimpleQueue[tuple[memoryview, int]] = queue.SimpleQueue()
        for _ in range(_PICTURES_AHEAD):
            self._free.put(memoryview(bytearray(size)))
        self.start()

    def run(self) -> None:
        """Read until the stream ends, or until no more buffers come back."""
        while (buffer := self._free.get()) is not None:
            filled = self._receive(buffer)
            self._read.put((buffer, filled))
            if filled < self._size:
                return

    def blocks(self) -> Iterator[memoryview]:
        """Whole blocks, and what is left at the end where anything is."""
        while True:
            buffer, filled = self._read.get()
            if filled:
                yield buffer[:filled]
            if filled < self._size:
                return
            self._free.put(buffer)

    def end(self) -> None:
        """Let the thread go; the process must have ended."""
        self._free.put(None)
        self.join()


def blocks_of(arguments: Sequence[str], size: int, *, what: str, stop: Stop) -> Generator[memoryview]:
    """Run ffmpeg with raw data on its standard output and yield blocks of `size` bytes; the last may be less.

    A few buffers go round: a block is valid until the next is asked for.

    Raises:
        ToolFailed: where ffmpeg ends with an error.
    """
    with contextlib.ExitStack() as stack:
        ours, theirs = (stack.enter_context(end) for end in socket.socketpair())
        process = _start([*arguments, "pipe:1"], stop, stdout=theirs.fileno())
        theirs.close()
        assert process.stderr is not None  # noqa: S101 - its pipe was asked for
        with stop.watching(process):
            collector = _Collector(process.stderr)
            # a socket, because one call waits for a whole block: a pipe hands over a piece at a time,
            # and for each the thread would have to wait for the one that compares
            reader = _Prefetch(lambda buffer: ours.recv_into(buffer, 0, socket.MSG_WAITALL), size)
            try:
                yield from reader.blocks()
                process.wait()
            finally:
                process.kill()
                process.wait()
                collector.join()
                reader.end()
                process.stderr.close()
    if process.returncode:
        raise _failure(what, collector.words, stop)


def frames_of(arguments: Sequence[str], size: int, *, what: str, stop: Stop) -> Iterator[memoryview]:
    """Run ffmpeg with raw pictures on its standard output and yield each as `size` bytes.

    Raises:
        ToolFailed: where ffmpeg ends with an error, or with part of a picture.
    """
    left = False
    with contextlib.closing(blocks_of(arguments, size, what=what, stop=stop)) as blocks:
        for block in blocks:
            left = len(block) < size
            if not left:
                yield block
    if left:
        raise ToolFailed(f"{what}: the pictures are not of the expected size or depth")


def _widen(stream: IO[bytes]) -> None:
    """Let a pipe hold 1 MiB where the system allows; fewer switches between the two sides."""
    with contextlib.suppress(ImportError, AttributeError, OSError):
        import fcntl  # noqa: PLC0415 - not on every system

        fcntl.fcntl(stream.fileno(), fcntl.F_SETPIPE_SZ, _PIPE_BYTES)
