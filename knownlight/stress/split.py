"""Two sources on one screen: drawn pictures on one side of an edge that moves, coded ones on the other."""

from dataclasses import dataclass

import numpy as np

from knownlight.frame.claims import Area
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame, Planes
from knownlight.frame.sources import Cycle, FrameSource, Levels
from knownlight.signal.arrays import PlaneArray

CLEAN_SIDE, CODED_SIDE = "clean side", "coded side"
_GRID = 64  # pixels: the largest block of any coder, so that an area's own blocks are whole
_NEAR, _FAR = 3, 7  # tenths of the picture between which the edge moves


@dataclass(frozen=True)
class Split:
    """Where the edge is.

    axis: of numpy, along which the two sides lie: 1 side by side, 0 one above the other, for pictures that
    have two halves side by side themselves.
    """

    signal: SignalFormat
    axis: int

    def areas(self, inside: Rect) -> tuple[Area, Area]:
        """What the edge never reaches of either side, within a part of the picture, in whole blocks."""
        length = self._length
        near = length * _NEAR // 10 // _GRID * _GRID
        far = -(-(length * _FAR // 10) // _GRID) * _GRID
        return (
            Area(CLEAN_SIDE, self._within(inside, 0, near)),
            Area(CODED_SIDE, self._within(inside, far, length)),
        )

    def edge(self, index: int, period: int) -> int:
        """The first row or column of the coded side: there and back once in a period, at even positions."""
        near, far = self._length * _NEAR // 10, self._length * _FAR // 10
        half = max(1, period // 2)
        there = half - abs(index % period - half)
        return (near + (far - near) * there // half) // 2 * 2

    def source(self, drawn: FrameSource, coded: FrameSource, period: int) -> Cycle:
        """Drawn pictures before the edge, coded ones from it on."""

        def draw(index: int) -> Frame:
            edge = self.edge(index, period)
            left, right = drawn.frame(index), coded.frame(index)
            first, second, third = (
                self._joined(clean, poor, edge * clean.shape[self.axis] // self._length)
                for clean, poor in zip(left.planes, right.planes, strict=True)
            )
            planes: Planes = (first, second, third)
            return Frame(self.signal, planes)

        return Cycle(period, draw, Levels.CHANGING)

    @property
    def _length(self) -> int:
        return (self.signal.height, self.signal.width)[self.axis]

    def _joined(self, clean: PlaneArray, poor: PlaneArray, edge: int) -> PlaneArray:
        first, second = np.split(clean, [edge], self.axis)[0], np.split(poor, [edge], self.axis)[1]
        return np.concatenate((first, second), self.axis)

    def _within(self, inside: Rect, first: int, last: int) -> Rect:
        """A stretch of the axis, and all of `inside` across it."""
        if self.axis == 1:
            return Rect(first, inside.y, last - first, inside.height)
        return Rect(inside.x, first, inside.width, last - first)
