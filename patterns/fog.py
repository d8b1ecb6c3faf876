"""Dark fog: the content that makes weak encoders and weak displays show blocks.

Energy at the size of a coding block and larger provokes blocking; white noise does not. Fog with a power
spectrum of 1/f³ drifts slowly under soft grain that is new in every frame.
"""

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.signal.arrays import FloatArray
from patterns.drift import Drifting
from patterns.grain import codes_of, fine_codes
from patterns.grainy import Grainy, Ground
from patterns.noise import CLIP, Purpose, enlarged, falling_gain, shaped, white_noise
from patterns.parameters import Level, choice_parameter, count_parameter, level_parameter, number_parameter

_COARSE = 4  # without a longest wave fog is so smooth that a quarter of the size is enough to make it
_POWER = 3.0


def fog_plane(rows: int, columns: int, seed: int, longest: float = math.inf) -> FloatArray:
    """Fog of mean 0 and standard deviation 1, periodic.

    longest: pixels of a wave; longer ones are no stronger.
    """
    coarse = _COARSE if longest == math.inf else 1
    rows, columns = rows // coarse, columns // coarse
    gain = falling_gain(rows, columns, _POWER, longest)
    return enlarged(shaped(white_noise(rows, columns, seed, Purpose.FOG), gain), coarse)


@dataclass(frozen=True, kw_only=True)
class Fog(Grainy):
    """Drifting fog with grain."""

    name: ClassVar[str] = "fog"
    title: ClassVar[str] = "Dark fog under soft grain"
    source: ClassVar[str] = "our own measurements of what provokes blocking; no published source"
    remedy: ClassVar[str] = "a higher mean or weaker fog and grain"

    mean_level: Level = level_parameter(5.5, "the mean; 5.5 % is code 28 at 8 bits")
    fog_percent: float = number_parameter(
        1.37, "strength of the fog, standard deviation", minimum=0.0, maximum=10.0, unit="%"
    )
    fog_size: float = number_parameter(
        0.0,
        "longest wave in % of the picture's height: longer ones are no stronger; 0 sets no limit",
        minimum=0.0,
        maximum=100.0,
        unit="%",
    )
    drift: int = count_parameter(
        2, "pixels the fog moves a frame", minimum=0, maximum=16, unit="pixels a frame"
    )
    repeat_seconds: float = number_parameter(
        4.0,
        "seconds until the clip repeats, the fog coming back by a square path; 0 never repeats",
        minimum=0.0,
        maximum=60.0,
        unit="s",
    )

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:
        """Fog on its path."""
        longest = self.fog_size / 100.0 * signal.height or math.inf
        fog = codes_of(self.fog_percent, signal) * fog_plane(signal.height, signal.width, self.seed, longest)
        codes = self.quantised(self.code("mean_level", signal) + fog, signal)
        return Drifting(fine_codes(codes, signal), self.drift, period).at

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """The mean, and fog both ways."""
        mean, reach = self.code("mean_level", signal), CLIP * codes_of(self.fog_percent, signal)
        return mean - reach, mean + reach

    def quantised(self, codes: FloatArray, signal: SignalFormat) -> FloatArray:  # noqa: ARG002
        """Fog before grain lies on it: as it is."""
        return codes


@dataclass(frozen=True, kw_only=True)
class CoarseFog(Fog):
    """Fog that was cut to a few bits before its grain was added."""

    name: ClassVar[str] = "coarse-fog"
    title: ClassVar[str] = "Dark fog of 8, 7 or 6 bits under soft grain of the signal's own"

    bits: str = choice_parameter(
        "6", "of the fog's codes: 6 leaves every fourth code of 8 bits", choices=("8", "7", "6")
    )

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """Half a step more each way."""
        low, high = super().ground_codes(signal)
        return low - self._step(signal) / 2, high + self._step(signal) / 2

    def quantised(self, codes: FloatArray, signal: SignalFormat) -> FloatArray:
        """To the nearest codes that end in zeros, as a source of fewer bits has them."""
        step = self._step(signal)
        return np.asarray(step * np.floor(codes / step + 0.5))

    def _step(self, signal: SignalFormat) -> int:
        return 1 << (signal.depth - int(self.bits))
