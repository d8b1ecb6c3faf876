"""The reference SDR display: ITU-R BT.1886 Annex 1.

L = a max(V + b, 0)^2.4 with a and b from the luminance of white and black. BT.1886 sets no white; BT.2035
clause 3.2 gives 100 cd/m² and a black below 0.01 cd/m².
"""

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray

EXPONENT = 2.4


def gain_and_lift(white: float, black: float) -> tuple[float, float]:
    """A (cd/m²) and b (signal) of the formula for a display of `white` and `black` cd/m²."""
    if black == 0.0:
        return white, 0.0  # exactly: the two powers below would miss it by a rounding error
    white_root, black_root = white ** (1.0 / EXPONENT), black ** (1.0 / EXPONENT)
    return (white_root - black_root) ** EXPONENT, black_root / (white_root - black_root)


def luminance_from_signal(signal: ArrayLike, *, white: float, black: float = 0.0) -> FloatArray:
    """EOTF: cd/m² from signal; super-white continues the curve."""
    gain, lift = gain_and_lift(white, black)
    return np.asarray(gain * np.maximum(np.asarray(signal, dtype=np.float64) + lift, 0.0) ** EXPONENT)


def signal_from_luminance(luminance: ArrayLike, *, white: float, black: float = 0.0) -> FloatArray:
    """Inverse EOTF: signal from cd/m²."""
    gain, lift = gain_and_lift(white, black)
    light = np.maximum(np.asarray(luminance, dtype=np.float64), 0.0)
    return np.asarray((light / gain) ** (1.0 / EXPONENT) - lift)
