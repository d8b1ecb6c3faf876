"""Drift: a plane that is periodic moves past the picture, straight on or around a square and back."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray


class Path(Protocol):
    """Where a plane is: pixels down and to the right of its start."""

    @property
    def reach(self) -> tuple[int, int]:
        """The farthest it gets in each direction."""
        ...

    def place(self, index: int) -> tuple[int, int]:
        """At a frame."""
        ...


@dataclass(frozen=True)
class Straight:
    """To the right for ever, in a plane that is periodic over `width`."""

    drift: int
    width: int

    @property
    def reach(self) -> tuple[int, int]:
        """Across the whole plane."""
        return 0, self.width

    def place(self, index: int) -> tuple[int, int]:
        """At a frame."""
        return 0, self.drift * index


@dataclass(frozen=True)
class Square:
    """Right, down, left, up, and back at the start after the period; one frame of rest where it is odd."""

    drift: int
    period: int

    @property
    def _sides(self) -> tuple[int, int]:
        """Frames to the right (and left), and down (and up)."""
        half = self.period // 2
        return half // 2, half - half // 2

    @property
    def reach(self) -> tuple[int, int]:
        """Two sides."""
        across, down = self._sides
        return self.drift * down, self.drift * across

    def place(self, index: int) -> tuple[int, int]:
        """At a frame of the period."""
        across, down = self._sides
        right = min(index, across) - min(max(index - across - down, 0), across)
        below = min(max(index - across, 0), down) - min(max(index - 2 * across - down, 0), down)
        return self.drift * below, self.drift * right


class Drifting:
    """A periodic plane on a path: around a square in a period, or straight on where there is none."""

    def __init__(self, plane: NDArray[np.int16], drift: int, period: int | None) -> None:
        self._rows, self._columns = plane.shape
        self._path: Path = Straight(drift, self._columns) if period is None else Square(drift, period)
        down, right = self._path.reach
        room = ((0, min(down, self._rows)), (0, min(right, self._columns)))
        self._plane = np.pad(plane, room, mode="wrap")

    def at(self, index: int) -> NDArray[np.int16]:
        """What is seen at a frame: a view of the plane's own size."""
        down, right = self._path.place(index)
        top, left = down % self._rows, right % self._columns
        return self._plane[top : top + self._rows, left : left + self._columns]
