"""PQ, the perceptual quantizer: SMPTE ST 2084:2014, ITU-R BT.2100-2 Table 4.

Absolute: signal 1 is 10 000 cd/m². The standard's inverse gives 7.3e-7 at 0 cd/m², not 0; both are the
black code at every depth here, and the formula is kept as printed.
"""

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray

PEAK_LUMINANCE = 10000.0  # cd/m²
M1 = 2610 / 16384
M2 = 2523 / 4096 * 128
C1 = 3424 / 4096  # = C3 - C2 + 1, checked by a test
C2 = 2413 / 4096 * 32
C3 = 2392 / 4096 * 32


def luminance_from_signal(signal: ArrayLike) -> FloatArray:
    """EOTF: cd/m² from signal 0..1; signals outside are taken as the nearer end."""
    root = np.clip(np.asarray(signal, dtype=np.float64), 0.0, 1.0) ** (1.0 / M2)
    return np.asarray(PEAK_LUMINANCE * (np.maximum(root - C1, 0.0) / (C2 - C3 * root)) ** (1.0 / M1))


def signal_from_luminance(luminance: ArrayLike) -> FloatArray:
    """Inverse EOTF: signal 0..1 from cd/m² 0..10 000; light outside is taken as the nearer end."""
    power = (np.clip(np.asarray(luminance, dtype=np.float64), 0.0, PEAK_LUMINANCE) / PEAK_LUMINANCE) ** M1
    return np.asarray(((C1 + C2 * power) / (1.0 + C3 * power)) ** M2)
