"""Dark fade: a dark field of soft texture falls to a darker one and rises again, evenly in signal.

Codes in between are dithered, so that the mean moves by as much from each picture to the next. A poor coder
lets the fade stall and makes up for it in one jump, where a closed group of pictures begins.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.frame.rates import frames_in
from patterns.fog import fog_plane
from patterns.grain import FINE, codes_of, fine_bits, fine_codes, grain_parameter
from patterns.grainy import Dithered, Ground
from patterns.noise import CLIP
from patterns.parameters import Level, level_parameter, number_parameter


@dataclass(frozen=True, kw_only=True)
class DarkFade(Dithered):
    """Down and up again in one round of the clip."""

    name: ClassVar[str] = "dark-fade"
    title: ClassVar[str] = "Fade in the dark: a textured field falls and rises by fractions of a code"
    source: ClassVar[str] = "our own measurements of what makes coders stall and jump; no published source"
    remedy: ClassVar[str] = "a higher low level or weaker texture and grain"

    grain_percent: float = grain_parameter(0.34)
    high_level: Level = level_parameter(11.9, "the mean where the fall begins; 11.9 % is code 42 at 8 bits")
    low_level: Level = level_parameter(1.83, "the mean where it ends; 1.83 % is code 20 at 8 bits")
    texture_percent: float = number_parameter(
        0.68, "strength of the texture, standard deviation", minimum=0.0, maximum=10.0, unit="%"
    )
    repeat_seconds: float = number_parameter(
        4.0,
        "seconds of a fall and a rise together, after which the clip repeats",
        minimum=1.0,
        maximum=60.0,
        unit="s",
    )

    def period(self, signal: SignalFormat) -> int:
        """Frames of a fall and a rise."""
        return frames_in(Fraction(self.repeat_seconds).limit_denominator(1000), signal.rate)

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:  # noqa: ARG002
        """The texture at the level of each picture."""
        frames = self.period(signal)
        texture = codes_of(self.texture_percent, signal) * fog_plane(signal.height, signal.width, self.seed)
        high, low = self.code("high_level", signal), self.code("low_level", signal)
        plane, fine = fine_codes(high + texture, signal), 1 << fine_bits(signal)

        def lowered(index: int) -> FINE:
            """Halves of a part are rounded up."""
            away = min(index, frames - index)  # pictures from the nearer one of the high level
            fallen = (4 * fine * (high - low) * away + frames) // (2 * frames)
            return plane - np.int16(fallen)

        return lowered

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """Both levels, and texture both ways."""
        levels = self.code("high_level", signal), self.code("low_level", signal)
        reach = CLIP * codes_of(self.texture_percent, signal)
        return min(levels) - reach, max(levels) + reach

    def notes(self, signal: SignalFormat) -> dict[str, float]:
        """How even the fade is meant to be."""
        codes = abs(self.code("high_level", signal) - self.code("low_level", signal))
        return {"codes_per_frame": 2 * codes / self.period(signal)}

    def natural_seconds(self, signal: SignalFormat) -> Fraction:
        """A fall and a rise."""
        return self.period(signal) / signal.rate
