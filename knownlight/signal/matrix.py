"""Y'CbCr and R'G'B', non-constant luminance.

ITU-T H.273 clause 8.3; KR and KB of BT.709-6, BT.601-7 and BT.2020-2 (BT.2100 NCL is the same).
"""

from dataclasses import dataclass

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray
from knownlight.signal.h273 import MatrixCoefficients


@dataclass(frozen=True)
class Matrix:
    """The luma weights of red and blue; green has the rest."""

    code_point: MatrixCoefficients
    kr: float
    kb: float

    def ycbcr_from_rgb(self, rgb: ArrayLike) -> FloatArray:
        """Y' 0..1 and Cb, Cr -0.5..0.5 from R', G', B' 0..1; shape (..., 3)."""
        value = np.asarray(rgb, dtype=np.float64)
        r, g, b = value[..., 0], value[..., 1], value[..., 2]
        y = self.kr * r + (1.0 - self.kr - self.kb) * g + self.kb * b
        return np.stack([y, (b - y) / (2.0 * (1.0 - self.kb)), (r - y) / (2.0 * (1.0 - self.kr))], axis=-1)

    def rgb_from_ycbcr(self, ycbcr: ArrayLike) -> FloatArray:
        """R', G', B' from Y', Cb, Cr; the exact inverse; shape (..., 3)."""
        value = np.asarray(ycbcr, dtype=np.float64)
        y, cb, cr = value[..., 0], value[..., 1], value[..., 2]
        r = y + 2.0 * (1.0 - self.kr) * cr
        b = y + 2.0 * (1.0 - self.kb) * cb
        g = (y - self.kr * r - self.kb * b) / (1.0 - self.kr - self.kb)
        return np.stack([r, g, b], axis=-1)


BT709 = Matrix(MatrixCoefficients.BT709, kr=0.2126, kb=0.0722)
BT601_625 = Matrix(MatrixCoefficients.BT601_625, kr=0.299, kb=0.114)
BT601_525 = Matrix(MatrixCoefficients.BT601_525, kr=0.299, kb=0.114)
BT2020_NCL = Matrix(MatrixCoefficients.BT2020_NCL, kr=0.2627, kb=0.0593)
