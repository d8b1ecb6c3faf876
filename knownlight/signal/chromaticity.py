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


def xyz_from_xy(xy: ArrayLike, luminance: ArrayLike) -> FloatArray:
    """CIE X, Y, Z of x, y at a luminance; shape (..., 2) and (...) in, (..., 3) out, in its unit."""
    value, level = np.asarray(xy, dtype=np.float64), np.asarray(luminance, dtype=np.float64)
    x, y = value[..., 0], value[..., 1]
    return np.stack([level * x / y, level, level * (1.0 - x - y) / y], axis=-1)


def xy_from_uv_prime(uv: ArrayLike) -> FloatArray:
    """CIE 1931 x, y from CIE 1976 u', v'; shape (..., 2)."""
    value = np.asarray(uv, dtype=np.float64)
    u, v = value[..., 0], value[..., 1]
    denominator = 6.0 * u - 16.0 * v + 12.0
    return np.stack([9.0 * u / denominator, 4.0 * v / denominator], axis=-1)
