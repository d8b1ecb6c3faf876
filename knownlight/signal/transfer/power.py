"""Pure gamma: light = signal to a power. Common practice for SDR sets (2.2, 2.4), no source."""

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray


def linear_from_signal(signal: ArrayLike, *, gamma: float) -> FloatArray:
    """Linear light from signal 0..1; signals below 0 give no light."""
    return np.asarray(np.maximum(np.asarray(signal, dtype=np.float64), 0.0) ** gamma)


def signal_from_linear(linear: ArrayLike, *, gamma: float) -> FloatArray:
    """Signal from linear light; light below 0 is taken as 0."""
    return np.asarray(np.maximum(np.asarray(linear, dtype=np.float64), 0.0) ** (1.0 / gamma))
