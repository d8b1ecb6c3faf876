"""Frame sources: one picture held, a period that repeats, or frames that never repeat.

A source knows how many of a clip's frames are different; only those are drawn, encoded and decoded again.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Protocol

from knownlight.frame.planes import Frame


class Levels(Enum):
    """Whether every frame of a moving source holds the same codes in another place."""

    MOVED = "moved"
    CHANGING = "changing"


class FrameSource(Protocol):
    """Where a clip's frames come from."""

    @property
    def levels(self) -> Levels:
        """MOVED where one frame has the light levels of all."""
        ...

    def unrepeated(self, frames: int) -> int:
        """How many of the first `frames` frames are different; frame i repeats frame i modulo this."""
        ...

    def frame(self, index: int) -> Frame:
        """The frame at an index from 0."""
        ...


@dataclass(frozen=True)
class Still:
    """One picture, held."""

    picture: Frame
    levels: Levels = Levels.MOVED

    def unrepeated(self, frames: int) -> int:  # noqa: ARG002
        """One."""
        return 1

    def frame(self, index: int) -> Frame:  # noqa: ARG002
        """The picture."""
        return self.picture


@dataclass(frozen=True)
class Cycle:
    """A period of frames that repeats."""

    period: int
    draw: Callable[[int], Frame]
    levels: Levels

    def unrepeated(self, frames: int) -> int:
        """The period, or the clip where it is shorter."""
        return min(self.period, frames)

    def frame(self, index: int) -> Frame:
        """The frame at its place in the period."""
        return self.draw(index % self.period)


@dataclass(frozen=True)
class Run:
    """Frames that never repeat."""

    draw: Callable[[int], Frame]
    levels: Levels = Levels.CHANGING

    def unrepeated(self, frames: int) -> int:
        """All of them."""
        return frames

    def frame(self, index: int) -> Frame:
        """The frame at an index."""
        return self.draw(index)


def unrepeated_frames(source: FrameSource, frames: int) -> Iterator[Frame]:
    """The frames that differ, in order."""
    for index in range(source.unrepeated(frames)):
        yield source.frame(index)
