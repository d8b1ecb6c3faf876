"""Chromaticity coordinates of a colour: CIE 1931 x, y and CIE 1976 u', v' (CIE 15)."""

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray


def xy_from_xyz(xyz: ArrayLike) -> FloatArray:
    """CIE 1931 x, y; shape (..., 3) in, (..., 2) out. Not a number where there is no light."""
    value = np.asarray(xyz, dtype=np.float64)
    total = value.sum(axis=-1, keepdims=True)
    return np.asarray(
        np.divide(value[..., :2], total, out=np.full_like(value[..., :2], np.nan), where=total > 0)
    )


def uv_prime_from_xyz(xyz: ArrayLike) -> FloatArray:
    """CIE 1976 u', v'; shape (..., 3) in, (..., 2) out. Not a number where there is no light."""
    value = np.asarray(xyz, dtype=np.float64)
    x, y, z = value[..., 0], value[..., 1], value[..., 2]
    total = (x + 15.0 * y + 3.0 * z)[..., None]
    numerator = np.stack([4.0 * x, 9.0 * y], axis=-1)
    return np.divide(numerator, total, out=np.full_like(numerator, np.nan), where=total > 0)


def uv_prime_from_xy(xy: ArrayLike) -> FloatArray:
    """CIE 1976 u', v' from CIE 1931 x, y; shape (..., 2)."""
    value = np.asarray(xy, dtype=np.float64)
    x, y = value[..., 0], value[..., 1]
    denominator = -2.0 * x + 12.0 * y + 3.0
    return np.stack([4.0 * x / denominator, 9.0 * y / denominator], axis=-1)
