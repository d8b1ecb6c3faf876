"""Quantisation: signal to integer code and back.

ITU-T H.273 clause 8.3 (the same equations as H.264 Annex E, E-10 to E-21), BT.709-6, BT.2020-2 and
BT.2100-2 Table 9. Signals are 0..1 for luma and R'G'B', -0.5..+0.5 for colour difference.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from knownlight.errors import BadInput
from knownlight.signal.arrays import ArrayLike, CodeArray, FloatArray
from knownlight.signal.rounding import round_half_away

DEPTHS = (8, 10, 12)


class CodeRange(Enum):
    """Narrow ("video", 16..235 at 8 bits) or full (0..255 at 8 bits)."""

    NARROW = "narrow"
    FULL = "full"


@dataclass(frozen=True, kw_only=True)
class Quantisation:
    """How many bits a sample has and which of its codes are black and white."""

    depth: int
    code_range: CodeRange

    def __post_init__(self) -> None:
        if self.depth not in DEPTHS:
            raise BadInput(f"depth {self.depth} is not a bit depth of these standards; use 8, 10 or 12")

    @property
    def _scale(self) -> int:
        """2^(n-8), the factor that all narrow-range figures carry."""
        return 1 << (self.depth - 8)

    @property
    def largest(self) -> int:
        """The largest code that `depth` bits hold."""
        return int((1 << self.depth) - 1)

    @property
    def black(self) -> int:
        """The code of signal 0."""
        return 16 * self._scale if self.code_range is CodeRange.NARROW else 0

    @property
    def white(self) -> int:
        """The code of signal 1."""
        return 235 * self._scale if self.code_range is CodeRange.NARROW else self.largest

    @property
    def neutral(self) -> int:
        """The code of a colour difference of 0."""
        return 128 * self._scale

    @property
    def lowest_allowed(self) -> int:
        """The lowest code a pattern may use: below it lie the timing references of narrow range."""
        return self._scale if self.code_range is CodeRange.NARROW else 0

    @property
    def highest_allowed(self) -> int:
        """The highest code a pattern may use: 254, 1019 or 4079 in narrow range."""
        return 255 * self._scale - 1 if self.code_range is CodeRange.NARROW else self.largest

    def luma_code(self, signal: ArrayLike) -> CodeArray:
        """Code of a luma, R', G' or B' signal; full range is clipped to the codes there are."""
        value = np.asarray(signal, dtype=np.float64)
        if self.code_range is CodeRange.NARROW:
            return round_half_away(self._scale * (219.0 * value + 16.0))
        return np.clip(round_half_away(self.largest * value), 0, self.largest)

    def chroma_code(self, difference: ArrayLike) -> CodeArray:
        """Code of a colour-difference signal (-0.5..+0.5).

        At full range +0.5 lands one above the largest code and is clipped; -0.5 is code 1 at 8 bits.
        """
        value = np.asarray(difference, dtype=np.float64)
        if self.code_range is CodeRange.NARROW:
            return round_half_away(self._scale * (224.0 * value + 128.0))
        return np.clip(round_half_away(self.largest * value + self.neutral), 0, self.largest)

    def luma_signal(self, code: ArrayLike) -> FloatArray:
        """Signal of a luma, R', G' or B' code; sub-black is below 0, super-white above 1."""
        value = np.asarray(code, dtype=np.float64)
        return (value - self.black) / (self.white - self.black)

    def chroma_signal(self, code: ArrayLike) -> FloatArray:
        """Signal of a colour-difference code."""
        value = np.asarray(code, dtype=np.float64)
        span = 224.0 * self._scale if self.code_range is CodeRange.NARROW else float(self.largest)
        return (value - self.neutral) / span
