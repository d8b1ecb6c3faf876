"""max(R, G, B) in cd/m² of Y'CbCr pictures of very many colours, several times faster than by formula.

The largest of R', G', B' is worked out in single precision and its light taken from a table with straight
lines between its entries: the mean is right to 1e-6 of itself. The largest is that of the pixel which has it,
by formula.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from knownlight.signal.arrays import PlaneArray
from knownlight.signal.encoding import Encoding, grey_light

_LOWEST, _HIGHEST = -0.15, 2.2  # of signal: no code of any depth has a largest component outside
_ENTRIES = 1 << 17
_STRIPE = 32  # rows at a time: the work fits in cache
Single = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class LightTable:
    """For one encoding of which the light of a component depends on its own signal alone: PQ and SDR."""

    encoding: Encoding
    light: Single  # at evenly spaced signals
    slope: Single  # to the next entry
    luma: Single  # signal of each code
    difference: Single  # colour-difference signal of each code

    @classmethod
    def of(cls, encoding: Encoding) -> "LightTable":
        """The table of an encoding; kept."""
        return _made(encoding)

    def largest_and_mean(
        self, luma: PlaneArray, first: PlaneArray, second: PlaneArray
    ) -> tuple[float, float]:
        """Of planes Y', Cb, Cr of one shape."""
        total, largest, where = 0.0, -np.inf, (0, 0, 0)
        for row in range(0, luma.shape[0], _STRIPE):
            rows = slice(row, row + _STRIPE)
            signal = self._largest_signal(luma[rows], first[rows], second[rows])
            place = (signal - np.float32(_LOWEST)) * np.float32((_ENTRIES - 1) / (_HIGHEST - _LOWEST))
            entry = place.astype(np.int32)
            part = place - entry
            total += float((self.light[entry] + part * self.slope[entry]).sum(dtype=np.float64))
            top = int(signal.argmax())
            if signal.flat[top] > largest:
                largest = float(signal.flat[top])
                where = (int(luma[rows].flat[top]), int(first[rows].flat[top]), int(second[rows].flat[top]))
        return float(self.encoding.rgb_light(where).max()), total / luma.size

    def _largest_signal(self, luma: PlaneArray, first: PlaneArray, second: PlaneArray) -> Single:
        """max(R', G', B'): luma, and the largest of what colour difference adds to it."""
        matrix, blue, red = self.encoding.matrix, self.difference[first], self.difference[second]
        to_red, to_blue = 2.0 * (1.0 - matrix.kr), 2.0 * (1.0 - matrix.kb)
        kg = 1.0 - matrix.kr - matrix.kb
        green = np.float32(-matrix.kr * to_red / kg) * red + np.float32(-matrix.kb * to_blue / kg) * blue
        added = np.maximum(np.maximum(np.float32(to_red) * red, np.float32(to_blue) * blue), green)
        return np.asarray(self.luma[luma] + added)


@lru_cache(maxsize=4)
def _made(encoding: Encoding) -> LightTable:
    signals = np.linspace(_LOWEST, _HIGHEST, _ENTRIES)
    light = grey_light(encoding.transfer, signals)
    slope = np.diff(light, append=light[-1])
    quantisation = encoding.quantisation
    codes = np.arange(quantisation.largest + 1)
    tables = (light, slope, quantisation.luma_signal(codes), quantisation.chroma_signal(codes))
    return LightTable(encoding, *(table.astype(np.float32) for table in tables))
