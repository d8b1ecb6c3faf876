"""Fade: the whole field rises from black to a level and falls back, evenly in signal.

A set that follows the picture with its light is seen to lag, to step or to go out before the picture does.
No fade is faster than half a second: at most one rise and fall a second, where ITU-R BT.1702 (known
second-hand) allows three flashes.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any, ClassVar

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import code_at
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import flat_frame
from patterns.family import Family
from patterns.parameters import Level, level_parameter, number_parameter

_LONGEST = 1200  # frames of a period: all of them are encoded and proven


def _seconds_parameter(default: float, meaning: str, *, minimum: float) -> Any:  # noqa: ANN401
    return number_parameter(default, meaning, minimum=minimum, maximum=20.0, unit="s")


@dataclass(frozen=True, kw_only=True)
class Fade(Family):
    """The field up and down again."""

    name: ClassVar[str] = "fade"
    title: ClassVar[str] = "Fade of the whole field from black to a level and back"
    source: ClassVar[str] = "common practice, no source"

    level: Level = level_parameter(50.0, "the lit end")
    fade_seconds: float = _seconds_parameter(3.0, "each way", minimum=0.5)
    rest_seconds: float = _seconds_parameter(1.0, "at each end", minimum=0.0)

    def draw(self, signal: SignalFormat) -> Cycle:
        """A rest at black, the rise, a rest at the level, the fall."""

        @lru_cache(maxsize=1)
        def draw_field(code: int) -> Frame:
            return flat_frame(signal, code, {})

        def draw_frame(index: int) -> Frame:
            return draw_field(self._code_at(index, signal))

        return Cycle(self._period(signal), draw_frame, Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """The ends; no code stays."""
        black, lit = signal.quantisation.black, self.code("level", signal)
        if lit == black:
            raise self.refuse(f"the level is black, code {black}; use another")
        fade, rest = self._frames(signal)
        return Claims(
            notes=MappingProxyType(
                {
                    "lowest_code": min(black, lit),
                    "highest_code": max(black, lit),
                    "fade_frames": fade,
                    "rest_frames": rest,
                    "period_frames": self._period(signal),
                }
            )
        )

    def natural_seconds(self, signal: SignalFormat) -> Fraction:
        """Up and down once."""
        return self._period(signal) / signal.rate

    def _frames(self, signal: SignalFormat) -> tuple[int, int]:
        """Steps of a fade, and frames that an end is held for beyond the one that a fade ends with."""
        fade, rest = (
            int(Fraction(seconds).limit_denominator(1000) * signal.rate + Fraction(1, 2))
            for seconds in (self.fade_seconds, self.rest_seconds)
        )
        return fade, rest

    def _period(self, signal: SignalFormat) -> int:
        period = 2 * sum(self._frames(signal))
        if period > _LONGEST:
            most = _LONGEST // 2 / signal.rate
            raise self.refuse(
                f"up and down takes {period} frames, more than {_LONGEST}; "
                f"use fade_seconds and rest_seconds of {float(most):.4g} together or less"
            )
        return period

    def _code_at(self, index: int, signal: SignalFormat) -> int:
        """The field at a frame of the period."""
        fade, rest = self._frames(signal)
        black, lit = signal.quantisation.black, self.code("level", signal)
        risen = min(max(index - rest, 0), fade)
        fallen = max(index - 2 * rest - fade, 0)
        return code_at(black, lit, risen - fallen, fade + 1)
