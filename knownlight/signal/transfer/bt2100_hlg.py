"""HLG, hybrid log-gamma: ITU-R BT.2100-2 Table 5 and notes 5e to 5h (OETF as ARIB STD-B67).

The OETF works on each of R, G, B; the OOTF raises all three by a power of their luminance, so a pure
colour is dimmer than its share of white. Light is cd/m², scene light 0..1, white peak `peak`.
"""

import math

import numpy as np

from knownlight.signal.arrays import ArrayLike, FloatArray

A = 0.17883277
B = 1.0 - 4.0 * A
C = 0.5 - A * math.log(4.0 * A)
LUMINANCE_WEIGHTS = np.array([0.2627, 0.6780, 0.0593])  # Table 5, Y_S of BT.2020 primaries
REFERENCE_SURROUND = 5.0  # cd/m²
_KNEE_SIGNAL = 0.5  # where the square root meets the logarithm, scene light 1/12
_LOG_FORM = (400.0, 2000.0)  # cd/m², where note 5f gives the logarithmic form


def signal_from_scene(scene: ArrayLike) -> FloatArray:
    """OETF: signal from linear scene light 0..1; light below 0 is taken as 0."""
    light = np.maximum(np.asarray(scene, dtype=np.float64), 0.0)
    upper = A * np.log(np.maximum(12.0 * light - B, 1e-12)) + C
    return np.where(light <= 1.0 / 12.0, np.sqrt(3.0 * light), upper)


def scene_from_signal(signal: ArrayLike) -> FloatArray:
    """Inverse OETF: linear scene light from signal; super-white continues the curve, sub-black is 0."""
    value = np.maximum(np.asarray(signal, dtype=np.float64), 0.0)
    return np.where(value <= _KNEE_SIGNAL, value * value / 3.0, (np.exp((value - C) / A) + B) / 12.0)


def system_gamma(peak: float, surround: float = REFERENCE_SURROUND) -> float:
    """System gamma of a display of `peak` cd/m² in a surround of `surround` cd/m².

    BT.2100 note 5f: 1.2 + 0.42 log10(peak / 1000) from 400 to 2000 cd/m², 1.2 * 1.111^log2(peak / 1000)
    outside; BT.2390 clause 6.2: times 0.98^log2(surround / 5). The two forms do not meet at the ends
    (1.033 and 1.044 at 400 cd/m²), as published.
    """
    low, high = _LOG_FORM
    if low <= peak <= high:
        gamma = 1.2 + 0.42 * math.log10(peak / 1000.0)
    else:
        gamma = 1.2 * 1.111 ** math.log2(peak / 1000.0)
    return float(gamma * 0.98 ** math.log2(surround / REFERENCE_SURROUND))


def black_lift(peak: float, black: float, gamma: float) -> float:
    """β of BT.2100 Table 5: sqrt(3 (black / peak)^(1 / gamma))."""
    return math.sqrt(3.0 * (black / peak) ** (1.0 / gamma))


def display_from_scene(scene_rgb: ArrayLike, *, peak: float, gamma: float) -> FloatArray:
    """OOTF: display R, G, B in cd/m² from scene R, G, B; shape (..., 3)."""
    scene = np.asarray(scene_rgb, dtype=np.float64)
    luminance = scene @ LUMINANCE_WEIGHTS
    return np.asarray(
        peak
        * np.power(luminance, gamma - 1.0, where=luminance > 0, out=np.zeros_like(luminance))[..., None]
        * scene
    )


def display_from_signal(
    signal_rgb: ArrayLike, *, peak: float, black: float = 0.0, surround: float = REFERENCE_SURROUND
) -> FloatArray:
    """EOTF: display R, G, B in cd/m² from R', G', B'; shape (..., 3). Includes the black lift."""
    gamma = system_gamma(peak, surround)
    beta = black_lift(peak, black, gamma)
    lifted = np.maximum((1.0 - beta) * np.asarray(signal_rgb, dtype=np.float64) + beta, 0.0)
    return display_from_scene(scene_from_signal(lifted), peak=peak, gamma=gamma)


def grey_signal_from_luminance(
    luminance: ArrayLike, *, peak: float, black: float = 0.0, surround: float = REFERENCE_SURROUND
) -> FloatArray:
    """Signal of a grey that shows `luminance` cd/m²: the inverse of the EOTF for R' = G' = B'."""
    gamma = system_gamma(peak, surround)
    beta = black_lift(peak, black, gamma)
    scene = (np.maximum(np.asarray(luminance, dtype=np.float64), 0.0) / peak) ** (1.0 / gamma)
    return (signal_from_scene(scene) - beta) / (1.0 - beta)


def signal_from_display(
    display_rgb: ArrayLike, *, peak: float, surround: float = REFERENCE_SURROUND
) -> FloatArray:
    """R', G', B' that show display R, G, B in cd/m² at black 0: the inverse of the EOTF; shape (..., 3).

    The inverse OOTF needs scene luminance, which is (display luminance / peak)^(1 / gamma) (BT.2100 Table 5).
    """
    gamma = system_gamma(peak, surround)
    share = np.maximum(np.asarray(display_rgb, dtype=np.float64), 0.0) / peak
    luminance = share @ LUMINANCE_WEIGHTS
    gain = np.power(luminance, (1.0 - gamma) / gamma, where=luminance > 0, out=np.zeros_like(luminance))
    return signal_from_scene(share * gain[..., None])
