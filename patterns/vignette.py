"""Vignette: a dark round fall of light from the middle to the corners, in codes that dither keeps smooth.

A coder that takes the dither for noise leaves rings: banding without blocks, at figures of error that look
good. The fall is with the square of the distance from the middle.
"""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.format import SignalFormat
from patterns.grain import FINE, fine_bits, grain_parameter
from patterns.grainy import Dithered, Ground
from patterns.parameters import Level, level_parameter


@dataclass(frozen=True, kw_only=True)
class Vignette(Dithered):
    """Light in the middle, dark in the corners."""

    name: ClassVar[str] = "vignette"
    title: ClassVar[str] = "Dark vignette with dither, of which weak coders make rings"
    source: ClassVar[str] = "our own measurements of what provokes banding; no published source"
    remedy: ClassVar[str] = "levels further inside, weaker grain or dither=none"

    grain_percent: float = grain_parameter(0.0)
    middle_level: Level = level_parameter(13.7, "the middle; 13.7 % is code 46 at 8 bits")
    corner_level: Level = level_parameter(0.46, "the corners; 0.46 % is code 17 at 8 bits")

    @property
    def stands_still(self) -> bool:
        """Without moving dither and without grain."""
        return self.dither != "moving" and self.grain_percent == 0.0

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:  # noqa: ARG002
        """The same plane for every picture."""
        plane = self._plane(signal)
        return lambda _: plane

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """The two levels."""
        middle, corner = self.code("middle_level", signal), self.code("corner_level", signal)
        return min(middle, corner), max(middle, corner)

    def _plane(self, signal: SignalFormat) -> FINE:
        """Parts of a code, by integers alone; distances are doubled, since the middle lies between pixels."""
        middle, corner = self.code("middle_level", signal), self.code("corner_level", signal)
        across, down = (
            np.arange(1 - length, length, 2, dtype=np.int64) ** 2 for length in (signal.width, signal.height)
        )
        square, farthest = down[:, np.newaxis] + across, int(down[0] + across[0])
        doubled = 2 * (middle * farthest + (corner - middle) * square) + farthest
        return ((doubled << fine_bits(signal)) // (2 * farthest)).astype(np.int16)
