"""Raw pictures and sound into ffmpeg and out of it, a few ahead of each other, so that memory stays flat."""

import contextlib
import os
import queue
import socket
import subprocess
import threading
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop, failure, start

_PIPE_BYTES = 1 << 20
_BYTES_AHEAD = 100_000_000  # frames given to the encoder and not yet encoded; ffmpeg would queue two dozen
_PICTURES_AHEAD = 2  # one is compared while the next is read
_ROWS_AT_ONCE = 512  # pieces of one gathered write; systems allow 1024


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
    process = start(
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
        raise failure(what, collector.words, stop)


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
        process = start([*arguments, "pipe:1"], stop, stdout=theirs.fileno())
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
        raise failure(what, collector.words, stop)


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
