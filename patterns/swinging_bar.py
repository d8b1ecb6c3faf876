"""Swinging bar: a bright bar that swings as a pendulum does, slow at the ends and fast in the middle.

Zones of a backlight follow it late or not at all, a motion processor meets every speed up to the fastest, and
light that spills shows beside it (common practice, no source). The bar passes any place at most twice a
second, which is less than ITU-R BT.1702-3 (known second-hand) counts as flashing.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.frame.planes import Frame, grey_frame
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import Tally, luma_plane
from patterns.family import Family
from patterns.parameters import Level, choice_parameter, level_parameter, number_parameter


@dataclass(frozen=True, kw_only=True)
class SwingingBar(Family):
    """One bar over the whole height, or two over half of it that swing against each other."""

    name: ClassVar[str] = "swinging-bar"
    title: ClassVar[str] = "Bright bar that swings as a pendulum"
    source: ClassVar[str] = "common practice, no source"

    bars: str = choice_parameter(
        "one", "two: one in the upper and one in the lower half, swinging against it", choices=("one", "two")
    )
    seconds: float = number_parameter(
        4.0, "there and back, to the nearest whole frame", minimum=1.0, maximum=10.0, unit="s"
    )
    bar_percent: float = number_parameter(
        5.0, "a bar's share of the picture's width", minimum=0.5, maximum=25.0, unit="%"
    )
    swing_percent: float = number_parameter(
        80.0, "share of the width that the bar sweeps", minimum=30.0, maximum=100.0, unit="%"
    )
    level: Level = level_parameter(75.0, "the bar")
    background_level: Level = level_parameter(0.0, "what it swings over")

    def draw(self, signal: SignalFormat) -> Cycle:
        """One swing there and back."""
        lit, dark = self._codes(signal)
        lefts, width, half = self._lefts(signal), self._bar_width(signal), 2 * (signal.height // 4)

        @lru_cache(maxsize=2)  # at the ends of the swing the bar stands for some frames: they are one object
        def picture(left: int) -> Frame:
            plane = luma_plane(signal, dark)
            if self.bars == "one":
                plane[:, left : left + width] = lit
            else:
                plane[:half, left : left + width] = lit
                plane[half:, signal.width - left - width : signal.width - left] = lit
            return grey_frame(signal, plane)

        return Cycle(len(lefts), lambda index: picture(lefts[index]), Levels.MOVED)

    def claims(self, signal: SignalFormat) -> Claims:
        """What the bar never reaches at both sides, and the pixels of bar and background."""
        lit, dark = self._codes(signal)
        lefts, width = self._lefts(signal), self._bar_width(signal)
        tally = Tally(signal, dark)
        tally.put(width * signal.height, lit, on=dark)
        clear = min(*lefts, signal.width - max(lefts) - width)
        sides = (("far-left", 0), ("far-right", signal.width - clear))
        steps = [abs(after - before) for before, after in zip(lefts, lefts[1:] + lefts[:1], strict=True)]
        return Claims(
            regions=tuple(
                Region(name, Rect(x, 0, clear, signal.height), signal.encoding.grey(dark))
                for name, x in sides
                if clear
            ),
            areas=tally.areas(),
            notes=MappingProxyType(
                {
                    "period_seconds": float(len(lefts) / signal.rate),
                    "bar_pixels": width,
                    "fastest_pixels_per_frame": max(steps),
                }
            ),
        )

    def _codes(self, signal: SignalFormat) -> tuple[int, int]:
        """The bar and the background."""
        lit, dark = self.code("level", signal), self.code("background_level", signal)
        if lit == dark:
            raise self.refuse(f"bar and background are both code {lit}; use two levels")
        return lit, dark

    def _bar_width(self, signal: SignalFormat) -> int:
        return max(2, even(signal.width * self.bar_percent / 100.0))

    def _lefts(self, signal: SignalFormat) -> list[int]:
        """The bar's left edge in each frame of a period: even, and as far from the middle each way.

        At the middle first, then to the right; a second bar is its mirror picture.
        """
        period = frames_in(Fraction(self.seconds).limit_denominator(1000), signal.rate)
        room = signal.width - self._bar_width(signal)
        middle = even(room / 2)
        farthest = min(middle, room - middle)
        reach = min(farthest, even(signal.width * self.swing_percent / 200.0) - self._bar_width(signal) // 2)
        return [middle + even(reach * math.sin(2.0 * math.pi * frame / period)) for frame in range(period)]
