"""Soft light: a faint light without an edge goes round slowly over a dark field, under grain.

Nothing in the picture is finer than the grain: a coder that drops the grain makes contours of the light, and
they jump from one group of pictures to the next where the light should glide.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.signal.rounding import round_half_away
from patterns.grain import FINE, fine_codes
from patterns.grainy import Grainy, Ground
from patterns.parameters import Level, level_parameter, number_parameter

_ROUND_SECONDS = 8  # of the light's way in a clip without repetition
_EDGE = 4.0  # standard deviations beyond which no light is left: 1/3000 of its peak


@dataclass(frozen=True, kw_only=True)
class SoftLight(Grainy):
    """A Gaussian on a path that closes."""

    name: ClassVar[str] = "soft-light"
    title: ClassVar[str] = "Faint soft light that moves slowly over a dark field under grain"
    source: ClassVar[str] = "common practice, no source"
    remedy: ClassVar[str] = "a higher field or weaker grain"

    field_level: Level = level_parameter(3.0, "the dark field; 3 % is code 23 at 8 bits")
    light_level: Level = level_parameter(11.0, "the middle of the light; 11 % is code 40 at 8 bits")
    light_size: float = number_parameter(
        20.0,
        "standard deviation of the light in % of the picture's height",
        minimum=2.0,
        maximum=50.0,
        unit="%",
    )
    path_percent: float = number_parameter(
        15.0,
        "how far the light goes from the middle, in % of the picture's width and height",
        minimum=0.0,
        maximum=50.0,
        unit="%",
    )
    repeat_seconds: float = number_parameter(
        4.0,
        "seconds until the clip repeats, the light having gone round once; 0 never repeats, and it goes "
        f"round in {_ROUND_SECONDS}",
        minimum=0.0,
        maximum=60.0,
        unit="s",
    )

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:
        """The light at whole pixels of its path: in a pixel it changes by a small part of a code."""
        light, shape = self._light(signal), (signal.height, signal.width)
        field = fine_codes(self.code("field_level", signal), signal)
        round_frames = period or float(_ROUND_SECONDS * signal.rate)

        def moved(index: int) -> FINE:
            angle = 2.0 * math.pi * (index % round_frames) / round_frames
            plane = np.full(shape, field, dtype=np.int16)
            parts = []
            for length, way in zip(shape, (-math.sin(angle), math.cos(angle)), strict=True):
                middle = length / 2.0 + length * self.path_percent / 100.0 * way
                first = int(round_half_away(middle)) - light.shape[0] // 2
                seen = slice(max(0, first), min(length, first + light.shape[0]))
                parts.append((seen, slice(seen.start - first, seen.stop - first)))
            (rows, light_rows), (columns, light_columns) = parts
            plane[rows, columns] = light[light_rows, light_columns]
            return plane

        return moved

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """The two levels."""
        field, light = self.code("field_level", signal), self.code("light_level", signal)
        return min(field, light), max(field, light)

    def natural_seconds(self, signal: SignalFormat) -> Fraction:
        """Once round."""
        period = self.period(signal)
        return Fraction(_ROUND_SECONDS) if period is None else period / signal.rate

    def _light(self, signal: SignalFormat) -> FINE:
        """The field and the light on it, as far as it reaches, in parts of a code."""
        field, light = self.code("field_level", signal), self.code("light_level", signal)
        sigma = self.light_size / 100.0 * signal.height
        reach = math.ceil(_EDGE * sigma)
        profile = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
        return fine_codes(field + (light - field) * np.outer(profile, profile), signal)
