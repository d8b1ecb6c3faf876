"""Frame sources: one picture held, a few held in turn, a period that repeats, or frames that never repeat.

A source knows how many of a clip's frames are different; only those are drawn, encoded and decoded again.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cached_property, lru_cache
from itertools import cycle
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


@dataclass(frozen=True)
class Hold:
    """A picture of a sequence, by its number, and the frames that it stays."""

    picture: int
    frames: int


@dataclass(frozen=True)
class Sequence:
    """A few pictures, each held for a while, one after another, then again from the first.

    Each is drawn, encoded and decoded for a moment only, however long it is held.
    """

    draw: Callable[[int], Frame]
    holds: tuple[Hold, ...]
    levels: Levels = Levels.CHANGING

    @cached_property
    def _picture(self) -> Callable[[int], Frame]:
        return lru_cache(maxsize=2)(self.draw)

    @property
    def period(self) -> int:
        """Frames of a round."""
        return sum(hold.frames for hold in self.holds)

    def picture(self, number: int) -> Frame:
        """The picture of a number."""
        return self._picture(number)

    def plan(self, frames: int) -> tuple[Hold, ...]:
        """What a clip of so many frames shows: whole rounds, and the last one cut where the clip ends."""
        plan: list[Hold] = []
        left = frames
        for hold in cycle(self.holds):
            if left <= 0:
                return tuple(plan)
            plan.append(Hold(hold.picture, min(hold.frames, left)))
            left -= hold.frames
        raise AssertionError("a sequence holds at least one picture")

    def unrepeated(self, frames: int) -> int:
        """A round, or the clip where it is shorter."""
        return min(self.period, frames)

    def frame(self, index: int) -> Frame:
        """The picture that is held at an index; the same object while it is held."""
        place = index % self.period
        for hold in self.holds:
            if place < hold.frames:
                return self.picture(hold.picture)
            place -= hold.frames
        raise AssertionError("the place lies inside the period")
