"""sRGB: IEC 61966-2-1:1999 with its amendment, constants as printed there."""

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray

KNEE_SIGNAL = 0.04045
KNEE_LINEAR = 0.0031308


def linear_from_signal(signal: ArrayLike) -> FloatArray:
    """Linear light 0..1 from signal 0..1; mirrored below 0."""
    value = np.asarray(signal, dtype=np.float64)
    magnitude = np.abs(value)
    return np.sign(value) * np.where(
        magnitude <= KNEE_SIGNAL, magnitude / 12.92, ((magnitude + 0.055) / 1.055) ** 2.4
    )


def signal_from_linear(linear: ArrayLike) -> FloatArray:
    """Signal 0..1 from linear light 0..1; mirrored below 0."""
    value = np.asarray(linear, dtype=np.float64)
    magnitude = np.abs(value)
    return np.sign(value) * np.where(
        magnitude <= KNEE_LINEAR, 12.92 * magnitude, 1.055 * magnitude ** (1.0 / 2.4) - 0.055
    )
