"""Moving edge: a lit band of half the picture's width that moves sideways and wraps round.

A rising and a falling edge cross the screen at the same speed; a camera that follows them, or a sensor that
they pass, shows response, overshoot and blur. Methods of moving-picture response scroll such an edge (IDMS
chapter 12, from memory).
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims, Hazard
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame, grey_frame, sample_type
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import Tally
from patterns.family import Family
from patterns.flashing import MOST_FLASHES, is_flash
from patterns.motion import FASTEST, SLOWEST, exact_speed, speed_notes, speed_parameter
from patterns.parameters import Level, count_parameter, level_parameter

_LONGEST = 480  # frames of a period: all of them are encoded and proven


@dataclass(frozen=True, kw_only=True)
class MovingEdge(Family):
    """Half the picture lit, moving to the left."""

    name: ClassVar[str] = "moving-edge"
    title: ClassVar[str] = "Moving edge between two greys: response, overshoot and blur"
    source: ClassVar[str] = "scrolled edge: IDMS chapter 12 (from memory); band and speeds: our own"

    pixels_per_frame: int = count_parameter(
        16, "speed, to the left", minimum=SLOWEST, maximum=FASTEST, unit="pixels a frame"
    )
    widths_per_second: float = speed_parameter()
    level: Level = level_parameter(60.0, "the band")
    background_level: Level = level_parameter(20.0, "the other half")

    def draw(self, signal: SignalFormat) -> Cycle:
        """One way across."""
        (lit, dark), speed = self._codes(signal), self._speed(signal)
        row = np.full(2 * signal.width, dark, sample_type(signal.depth))
        for start in (0, signal.width):
            row[start : start + signal.width // 2] = lit

        def draw_frame(index: int) -> Frame:
            left = index * speed % signal.width
            shown = row[left : left + signal.width]
            return grey_frame(signal, np.broadcast_to(shown, (signal.height, signal.width)))

        return Cycle(_period(signal.width, speed), draw_frame, Levels.MOVED)

    def claims(self, signal: SignalFormat) -> Claims:
        """Half the pixels at each level; nothing stands still to be measured."""
        (lit, dark), speed = self._codes(signal), self._speed(signal)
        tally = Tally(signal, dark)
        tally.put(signal.width // 2 * signal.height, lit, on=dark)
        notes = {**speed_notes(speed, signal), "period_frames": _period(signal.width, speed)}
        # Every place is lit once for each width that the band moves.
        flashes = speed * signal.rate > MOST_FLASHES * signal.width and is_flash(signal, lit, dark)
        return Claims(
            areas=tally.areas(),
            notes=MappingProxyType(notes),
            hazards=frozenset({Hazard.FLASHING}) if flashes else frozenset(),
        )

    def _codes(self, signal: SignalFormat) -> tuple[int, int]:
        """The band and the other half."""
        lit, dark = self.code("level", signal), self.code("background_level", signal)
        if lit == dark:
            raise self.refuse(f"both levels are code {lit}, so there is no edge; use two levels")
        return lit, dark

    def _speed(self, signal: SignalFormat) -> int:
        """Pixels a frame, of those that bring the band back within the longest period."""
        closing = [speed for speed in range(SLOWEST, FASTEST + 1) if _period(signal.width, speed) <= _LONGEST]
        if self.widths_per_second:
            return _nearest(closing, exact_speed(self.widths_per_second, signal))
        if self.pixels_per_frame not in closing:
            raise self.refuse(
                f"pixels_per_frame={self.pixels_per_frame} comes round after "
                f"{_period(signal.width, self.pixels_per_frame)} frames at a width of {signal.width}; use "
                f"{_nearest(closing, Fraction(self.pixels_per_frame))}, the nearest that takes "
                f"{_LONGEST} or fewer"
            )
        return self.pixels_per_frame


def _period(width: int, speed: int) -> int:
    """Frames until the band has moved by whole widths."""
    return width // math.gcd(width, speed)


def _nearest(speeds: list[int], wanted: Fraction) -> int:
    """The speed nearest to a wanted one; of two, the slower."""
    return min(speeds, key=lambda speed: abs(speed - wanted))
