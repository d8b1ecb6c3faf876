"""4:4:4 chroma to 4:2:0 and back, for chroma sited left (type 0) or top left (type 2).

Integer arithmetic, halves rounded away from zero (codes are positive), edges repeated.
"""

import numpy as np
from numpy.typing import NDArray

from knownlight.signal.arrays import PlaneArray
from knownlight.signal.h273 import ChromaSampleLocation
from knownlight.signal.siting import MIDWAY, Taps, taps

Int32Array = NDArray[np.int32]  # twelve bits times the sum of all weights fits


def subsample_420(plane: PlaneArray, location: ChromaSampleLocation) -> PlaneArray:
    """One chroma plane at half size in both directions; (rows, columns) even in, half out."""
    across, down = taps(location)
    summed = _weighted(_weighted(plane.astype(np.int32), down, axis=0), across, axis=1)
    total = sum(across.weights) * sum(down.weights)
    return _as_sample((2 * summed + total) // (2 * total), plane)


def _weighted(values: Int32Array, filter_taps: Taps, *, axis: int) -> Int32Array:
    """Weighted sum at every second sample along an axis."""
    moved = np.moveaxis(values, axis, 0)
    count = moved.shape[0]
    even = np.arange(0, count, 2)
    result = np.zeros((count // 2, *moved.shape[1:]), dtype=np.int32)
    for offset, weight in enumerate(filter_taps.weights):
        result += weight * moved[np.clip(even + filter_taps.first + offset, 0, count - 1)]
    return np.moveaxis(result, 0, axis)


def upsample_420(plane: PlaneArray, location: ChromaSampleLocation) -> PlaneArray:
    """One chroma plane at full size, linear interpolation between the sites."""
    across, down = taps(location)
    wide = _interpolated(_interpolated(plane.astype(np.int32), down, axis=0), across, axis=1)
    return _as_sample((2 * wide + 16) // 32, plane)


def _interpolated(values: Int32Array, filter_taps: Taps, *, axis: int) -> Int32Array:
    """Twice the samples along an axis, four times their value (linear weights in quarters)."""
    moved = np.moveaxis(values, axis, 0)
    before = np.concatenate([moved[:1], moved[:-1]])
    after = np.concatenate([moved[1:], moved[-1:]])
    result = np.empty((2 * moved.shape[0], *moved.shape[1:]), dtype=np.int32)
    if filter_taps == MIDWAY:
        result[0::2] = 3 * moved + before
        result[1::2] = 3 * moved + after
    else:
        result[0::2] = 4 * moved
        result[1::2] = 2 * (moved + after)
    return np.moveaxis(result, 0, axis)


def _as_sample(values: Int32Array, like: PlaneArray) -> PlaneArray:
    return np.ascontiguousarray(values, dtype=like.dtype)
