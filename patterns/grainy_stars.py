"""Stars behind grain: soft points of one to three pixels, most of them faint, on a dark field.

What is a star and what is grain a coder cannot tell from one picture; faint stars go with the grain, or come
and go with the groups of pictures.
"""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.format import SignalFormat
from patterns.grain import fine_codes
from patterns.grainy import Grainy, Ground
from patterns.noise import Purpose, raw_words
from patterns.parameters import Level, count_parameter, level_parameter

_SIZES = (1, 2, 3)  # pixels at half of a star's light
_WIDTH = 2.355  # of a Gaussian at half its height, in standard deviations: 2 √(2 ln 2)
_REACH = 4  # pixels from the middle of a star at which nothing is left of it


@dataclass(frozen=True, kw_only=True)
class GrainyStars(Grainy):
    """Stars that stand still, under grain that does not."""

    name: ClassVar[str] = "grainy-stars"
    title: ClassVar[str] = "Star field of soft points, many of them faint, behind grain"
    source: ClassVar[str] = "common practice, no source"
    remedy: ClassVar[str] = "a higher field, darker stars or weaker grain"

    count: int = count_parameter(800, "how many stars", minimum=1, maximum=20000, unit="stars")
    star_level: Level = level_parameter(50.0, "the brightest star there can be")
    field_level: Level = level_parameter(4.0, "the dark field; 4 % is code 25 at 8 bits")

    @property
    def stands_still(self) -> bool:
        """Without grain."""
        return self.grain_percent == 0.0

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:  # noqa: ARG002
        """The same stars for every picture; where two meet, the brighter one is seen."""
        field, brightest = self.code("field_level", signal), self.code("star_level", signal)
        plane = np.zeros((signal.height, signal.width))
        away = np.arange(-_REACH, _REACH + 1)
        profiles = [np.exp(-0.5 * (away * _WIDTH / size) ** 2) for size in _SIZES]
        points = [np.outer(profile, profile) for profile in profiles]
        words = raw_words(self.seed, Purpose.STARS, 0, self.count)
        for word in words.tolist():
            x = _REACH + (word & 0xFFFF) % (signal.width - 2 * _REACH)
            y = _REACH + (word >> 16 & 0xFFFF) % (signal.height - 2 * _REACH)
            light = ((word >> 32 & 0xFFFF) / 0xFFFF) ** 3  # few are bright
            around = plane[y - _REACH : y + _REACH + 1, x - _REACH : x + _REACH + 1]
            np.maximum(around, light * points[(word >> 48) % len(points)], out=around)
        stars = fine_codes(field + (brightest - field) * plane, signal)
        return lambda _: stars

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """The two levels."""
        field, star = self.code("field_level", signal), self.code("star_level", signal)
        return min(field, star), max(field, star)
