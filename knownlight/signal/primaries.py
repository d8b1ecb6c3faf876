"""Primaries and white, and the matrix from linear R, G, B to CIE XYZ.

Chromaticities: ITU-T H.273 Table 2 (BT.709-6, BT.601-7, SMPTE RP 431-2 with D65, BT.2020-2). D65 is
(0.3127, 0.3290) in all of them. The matrix is the normalised primary matrix of SMPTE RP 177.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray
from knownlight.signal.h273 import ColourPrimaries

Chromaticity = tuple[float, float]

D65: Chromaticity = (0.3127, 0.3290)


@dataclass(frozen=True)
class Primaries:
    """Red, green, blue and white as CIE 1931 x, y."""

    name: str
    code_point: ColourPrimaries
    red: Chromaticity
    green: Chromaticity
    blue: Chromaticity
    white: Chromaticity = D65

    @cached_property
    def xyz_from_rgb_matrix(self) -> FloatArray:
        """3 by 3 matrix from linear R, G, B to X, Y, Z, with Y = 1 for R = G = B = 1."""
        columns = np.array([_xyz_of_unit_luminance(xy) for xy in (self.red, self.green, self.blue)]).T
        gains = np.linalg.solve(columns, _xyz_of_unit_luminance(self.white))
        return columns * gains

    def xyz_from_linear_rgb(self, rgb: ArrayLike) -> FloatArray:
        """X, Y, Z in the unit of `rgb` (cd/m² in, cd/m² out). Shape (..., 3)."""
        return np.asarray(rgb, dtype=np.float64) @ self.xyz_from_rgb_matrix.T

    def linear_rgb_from_xyz(self, xyz: ArrayLike) -> FloatArray:
        """Linear R, G, B in the unit of `xyz`; below 0 for colours outside the primaries. Shape (..., 3)."""
        return np.asarray(xyz, dtype=np.float64) @ np.linalg.inv(self.xyz_from_rgb_matrix).T


def _xyz_of_unit_luminance(xy: Chromaticity) -> FloatArray:
    x, y = xy
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


BT709 = Primaries("bt709", ColourPrimaries.BT709, (0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
BT601_625 = Primaries("bt601-625", ColourPrimaries.BT601_625, (0.640, 0.330), (0.290, 0.600), (0.150, 0.060))
BT601_525 = Primaries("bt601-525", ColourPrimaries.BT601_525, (0.630, 0.340), (0.310, 0.595), (0.155, 0.070))
P3_D65 = Primaries("p3-d65", ColourPrimaries.P3_D65, (0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
BT2020 = Primaries("bt2020", ColourPrimaries.BT2020, (0.708, 0.292), (0.170, 0.797), (0.131, 0.046))

PRIMARIES = {primaries.name: primaries for primaries in (BT709, P3_D65, BT2020, BT601_625, BT601_525)}
