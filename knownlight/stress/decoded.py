"""What a coder made of pictures, as a source of frames: to code once more, or to show beside the drawn."""

import contextlib
import hashlib
from collections.abc import Callable, Generator
from pathlib import Path

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame, Planes
from knownlight.frame.sources import Cycle, FrameSource, Levels
from knownlight.readback.decode import decoded_planes


class _Tape:
    """Decodes forwards; whoever asks for an earlier picture starts it again."""

    def __init__(self, path: Path, signal: SignalFormat, frames: int, stop: Stop) -> None:
        self._path, self._signal, self._frames, self._stop = path, signal, frames, stop
        self._running: Generator[Planes] | None = None
        self._next = 0
        self._frame: Frame | None = None

    def frame(self, index: int) -> Frame:
        if self._frame is None or index < self._next - 1:
            self.close()
            self._running = self._decoding()
            self._next = 0
        while self._next <= index:
            assert self._running is not None  # noqa: S101 - started above
            planes = next(self._running, None)
            if planes is None:
                raise ToolFailed(f"{self._path.name}: it ends before picture {index}")
            self._frame = Frame(self._signal, planes)
            self._next += 1
        assert self._frame is not None  # noqa: S101
        return self._frame

    def close(self) -> None:
        if self._running is not None:
            self._running.close()

    def _decoding(self) -> Generator[Planes]:
        yield from decoded_planes(self._path, self._signal, self._frames, self._stop)


@contextlib.contextmanager
def decoded_source(path: Path, signal: SignalFormat, frames: int, stop: Stop) -> Generator[FrameSource]:
    """The first `frames` pictures of a clip, over and over; each is valid until the next is asked for.

    Raises:
        ToolFailed: where they do not decode, when they are asked for.
    """
    tape = _Tape(path, signal, frames, stop)
    with contextlib.closing(tape):
        yield Cycle(frames, tape.frame, Levels.CHANGING)


class LumaHash:
    """SHA-256 of luma planes one after another, which tells decoded pictures whatever file they are in."""

    def __init__(self) -> None:
        self._digest = hashlib.sha256()

    def add(self, frame: Frame) -> None:
        """The next picture."""
        self._digest.update(frame.planes[0].tobytes())

    @property
    def hexadecimal(self) -> str:
        """Of all pictures so far."""
        return self._digest.hexdigest()


def luma_sha256(frame: Callable[[int], Frame], frames: int) -> str:
    """Of the first `frames` pictures of a source."""
    luma = LumaHash()
    for index in range(frames):
        luma.add(frame(index))
    return luma.hexadecimal
