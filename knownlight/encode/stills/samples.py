"""Codes as the samples that a picture file stores."""

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.code_range import CodeRange

SAMPLE_BITS = 16  # of formats that widen codes of more than 8
_LARGEST_SAMPLE = (1 << SAMPLE_BITS) - 1


def sample_bits(signal: SignalFormat) -> int:
    """Bits of a stored sample where a format has 8 and 16: codes of 8 bits are stored as they are."""
    return 8 if signal.depth == 8 else SAMPLE_BITS  # noqa: PLR2004


def interleaved(frame: Frame) -> PlaneArray:
    """R', G', B' codes as (rows, columns, 3)."""
    codes: PlaneArray = np.stack(frame.planes, axis=-1)
    return codes


def widened(planes: PlaneArray, signal: SignalFormat) -> PlaneArray:
    """Codes as stored samples of 8 or 16 bits.

    Full range is scaled (PNG third edition clause 12.4), so that white stays the largest sample; narrow range
    is shifted by a power of two. Either way the codes are the high bits.
    """
    if sample_bits(signal) == signal.depth:
        return planes
    if signal.code_range is CodeRange.NARROW:
        return np.left_shift(planes.astype(np.uint16), np.uint16(SAMPLE_BITS - signal.depth))
    largest = signal.quantisation.largest
    table = (np.arange(largest + 1, dtype=np.int64) * _LARGEST_SAMPLE * 2 + largest) // (2 * largest)
    samples: PlaneArray = table.astype(np.uint16)[planes]
    return samples
