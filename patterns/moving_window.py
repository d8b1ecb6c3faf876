"""Moving window: a bright object to see trails behind, in a picture that no set can take for a still one.

It moves by whole even pixels a frame, so every frame holds the same pixels in another place. Round is along a
rectangle inside the picture, which brings it over its own trail only after a whole round; across and down
leave at one edge while they come in at the other.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Hazard, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, window_of_area
from knownlight.frame.planes import Frame, grey_frame
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import Tally, luma_plane
from patterns.family import Family
from patterns.flashing import MOST_FLASHES, QUARTER, is_flash
from patterns.parameters import Level, choice_parameter, count_parameter, level_parameter, number_parameter

_SLOWEST, _FASTEST = 2, 64  # pixels a frame
_LONGEST = 1200  # frames of a period: all of them are encoded and proven
_LARGEST = 20.0  # % of the picture: a larger one would come back over its own trail going round


@dataclass(frozen=True, kw_only=True)
class MovingWindow(Family):
    """A window that moves on a surround."""

    name: ClassVar[str] = "moving-window"
    title: ClassVar[str] = "Moving window: trails, and light from a set that dims pictures that stand still"
    source: ClassVar[str] = "common practice, no source"

    area_percent: float = number_parameter(
        4.0, "share of the screen's area", minimum=0.01, maximum=_LARGEST, unit="%"
    )
    level: Level = level_parameter(100.0, "the window")
    surround_level: Level = level_parameter(0.0, "what it moves on")
    path: str = choice_parameter("round", "the way it takes", choices=("round", "across", "down"))
    pixels_per_frame: int = count_parameter(
        16, "speed, an even number", minimum=_SLOWEST, maximum=_FASTEST, unit="pixels a frame"
    )

    def draw(self, signal: SignalFormat) -> Cycle:
        """One round, or one way over the picture."""
        size, speed = self._size(signal), self._speed(signal)
        lit, surround = self.code("level", signal), self.code("surround_level", signal)

        def draw_frame(index: int) -> Frame:
            x, y = self._place(index * speed, signal)
            plane = luma_plane(signal, surround)
            for left in (x, x - signal.width):  # what has left at one edge comes in at the other
                for top in (y, y - signal.height):
                    rows = slice(max(top, 0), max(top + size.height, 0))
                    plane[rows, max(left, 0) : max(left + size.width, 0)] = lit
            return grey_frame(signal, plane)

        return Cycle(self._period(speed, signal), draw_frame, Levels.MOVED)

    def claims(self, signal: SignalFormat) -> Claims:
        """The pixels of each level, and the parts of the surround that the window never passes."""
        size, speed = self._size(signal), self._speed(signal)
        lit, surround = self.code("level", signal), self.code("surround_level", signal)
        if lit == surround:
            raise self.refuse(f"the window and its surround are both code {lit}; use two levels")
        tally = Tally(signal, surround)
        tally.put(size.area, lit, on=surround)
        grey, clear = signal.encoding.grey(surround), self._clear(signal)
        return Claims(
            regions=tuple(Region(name, rect, grey, Purpose.MEASURE) for name, rect in clear),
            areas=tally.areas(),
            notes=MappingProxyType(
                {
                    "area_percent": 100.0 * size.area / (signal.width * signal.height),
                    "pixels_per_frame": speed,
                    "period_frames": self._period(speed, signal),
                }
            ),
            hazards=frozenset({Hazard.FLASHING}) if self._flashes(signal) else frozenset(),
        )

    def natural_seconds(self, signal: SignalFormat) -> Fraction:
        """One period."""
        return self._period(self._speed(signal), signal) / signal.rate

    def _flashes(self, signal: SignalFormat) -> bool:
        """Whether the window comes by too often, over too much of the screen; it lights all of its way."""
        lit, surround = self.code("level", signal), self.code("surround_level", signal)
        picture = signal.width * signal.height
        passed = picture - sum(rect.area for _, rect in self._clear(signal))
        often = signal.rate > MOST_FLASHES * self._period(self._speed(signal), signal)
        return often and passed > QUARTER * picture and is_flash(signal, lit, surround)

    def _size(self, signal: SignalFormat) -> Rect:
        """The window in the middle of the picture."""
        return window_of_area(signal.width, signal.height, self.area_percent)

    def _speed(self, signal: SignalFormat) -> int:
        """Pixels a frame, where they are even and bring the window back within the longest period."""
        asked = self.pixels_per_frame
        good = [
            speed for speed in range(_SLOWEST, _FASTEST + 1, 2) if self._period(speed, signal) <= _LONGEST
        ]
        if asked not in good:
            problem = (
                "is odd"
                if asked % 2
                else f"comes back after {self._period(asked, signal)} frames, more than {_LONGEST}"
            )
            nearest = min(good, key=lambda speed: abs(speed - asked))
            raise self.refuse(f"pixels_per_frame={asked} {problem}; use {nearest}")
        return asked

    def _sides(self, speed: int, signal: SignalFormat) -> tuple[int, int]:
        """Pixels that a window going round moves across and down: all the room, in whole frames."""
        size = self._size(signal)
        return (signal.width - size.width) // speed * speed, (signal.height - size.height) // speed * speed

    def _period(self, speed: int, signal: SignalFormat) -> int:
        """Frames until every frame has been shown."""
        if self.path == "round":
            return 2 * sum(self._sides(speed, signal)) // speed
        length = signal.width if self.path == "across" else signal.height
        return length // math.gcd(length, speed)

    def _place(self, moved: int, signal: SignalFormat) -> tuple[int, int]:
        """Top left corner after so many pixels of the way."""
        size = self._size(signal)
        if self.path == "across":
            return moved % signal.width, size.y
        if self.path == "down":
            return size.x, moved % signal.height
        across, down = self._sides(self.pixels_per_frame, signal)
        return (
            min(max(moved, 0), across) - min(max(moved - across - down, 0), across),
            min(max(moved - across, 0), down) - max(moved - 2 * across - down, 0),
        )

    def _clear(self, signal: SignalFormat) -> list[tuple[str, Rect]]:
        """What the window never passes, by name."""
        size = self._size(signal)
        if self.path == "across":
            below = size.bottom
            return [
                ("above", Rect(0, 0, signal.width, size.y)),
                ("below", Rect(0, below, signal.width, signal.height - below)),
            ]
        if self.path == "down":
            right = size.right
            return [
                ("left", Rect(0, 0, size.x, signal.height)),
                ("right", Rect(right, 0, signal.width - right, signal.height)),
            ]
        across, down = self._sides(self.pixels_per_frame, signal)
        return [("middle", Rect(size.width, size.height, across - size.width, down - size.height))]
