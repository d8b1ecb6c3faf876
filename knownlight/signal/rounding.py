"""The standards' rounding, once: half away from zero.

ITU-T H.273 clause 8.3 and ITU-R BT.2100 Table 9 write Round(x) = Sign(x) * Floor(Abs(x) + 0.5).
Python's `round` and numpy's `rint` go half to even (170.5 becomes 170, not 171), so they are banned
in this project by a test.
"""

import numpy as np

from knownlight.signal.arrays import ArrayLike, CodeArray


def round_half_away(value: ArrayLike) -> CodeArray:
    """Round to the nearest integer, halves away from zero.

    Args:
        value: numbers of any shape.

    Returns:
        int64 of the same shape.
    """
    number = np.asarray(value, dtype=np.float64)
    return np.asarray(np.sign(number) * np.floor(np.abs(number) + 0.5)).astype(np.int64)
