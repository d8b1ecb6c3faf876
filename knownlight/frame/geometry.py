"""Rectangles on even positions, so that a 4:2:0 chroma sample never lies across an edge."""

import math
from dataclasses import dataclass

from knownlight.signal.rounding import round_half_away


@dataclass(frozen=True)
class Rect:
    """Left, top, width and height in pixels."""

    x: int
    y: int
    width: int
    height: int

    @property
    def area(self) -> int:
        """Pixels."""
        return self.width * self.height

    @property
    def right(self) -> int:
        """The first column past it."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """The first row past it."""
        return self.y + self.height

    @property
    def slices(self) -> tuple[slice, slice]:
        """Index for a luma plane."""
        return slice(self.y, self.bottom), slice(self.x, self.right)


def even(value: float) -> int:
    """The nearest even whole number, halves away from zero."""
    return 2 * int(round_half_away(value / 2.0))


def even_edges(length: int, parts: int) -> list[int]:
    """`parts` + 1 even positions from 0 to `length`, as evenly spaced as even numbers allow."""
    return [2 * ((length * index) // (2 * parts)) for index in range(parts)] + [length]


def window_of_area(width: int, height: int, area_percent: float) -> Rect:
    """A window of the screen's own aspect, centred at the origin of an even grid.

    The linear share is the root of the area share; both sides are even (10 % at 2160p is 1214 by 684).
    """
    share = math.sqrt(area_percent / 100.0)
    size = (min(width, max(2, even(width * share))), min(height, max(2, even(height * share))))
    return Rect(2 * ((width - size[0]) // 4), 2 * ((height - size[1]) // 4), *size)


def around(inner: Rect, width: int, height: int) -> list[tuple[str, Rect]]:
    """The picture outside a rectangle as up to four named rectangles that do not overlap."""
    parts = [
        ("above", Rect(0, 0, width, inner.y)),
        ("below", Rect(0, inner.bottom, width, height - inner.bottom)),
        ("left", Rect(0, inner.y, inner.x, inner.height)),
        ("right", Rect(inner.right, inner.y, width - inner.right, inner.height)),
    ]
    return [(name, rect) for name, rect in parts if rect.area]


def code_at(first: int, last: int, position: int, positions: int, step: int = 1) -> int:
    """Code of an even ramp at a position, by exact integer arithmetic.

    The ramp runs from `first` at position 0 to `last` at position `positions` - 1; halves are rounded up.
    With `step` 2^n the lowest n bits are then cut off, as a source of fewer bits lacks them.
    """
    intervals = max(1, positions - 1)
    doubled = 2 * (first * intervals + (last - first) * position)
    code = (doubled + intervals) // (2 * intervals)
    return code - code % step
