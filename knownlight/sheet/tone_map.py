"""A picture that an ordinary screen shows, from light: for recognising a pattern, never for measuring.

Light above diffuse white is compressed, dark pictures are made lighter, colours outside BT.709 are clipped.
"""

import numpy as np
from numpy.typing import NDArray

from knownlight.signal import primaries
from knownlight.signal.arrays import FloatArray
from knownlight.signal.encoding import Transfer
from knownlight.signal.transfer.srgb import signal_from_linear

_DIFFUSE_WHITE = {  # cd/m²; of HDR that of BT.2408
    Transfer.SDR: 100.0,
    Transfer.SRGB: 100.0,
    Transfer.PQ: 203.0,
    Transfer.HLG: 203.0,
}
_DARKEST = 0.2  # of diffuse white: where no pixel reaches it, the picture is made lighter until one does


def bt709_light(xyz: FloatArray, transfer: Transfer) -> FloatArray:
    """Linear R, G, B of BT.709 relative to diffuse white, from X, Y, Z in cd/m²; shape (..., 3)."""
    return np.maximum(primaries.BT709.linear_rgb_from_xyz(xyz), 0.0) / _DIFFUSE_WHITE[transfer]


def srgb_picture(light: FloatArray) -> NDArray[np.uint8]:
    """SRGB samples of a whole picture from its light relative to diffuse white; shape (rows, columns, 3).

    Where the brightest component b is above 1, components are scaled by (1 + m / b²) / (1 + m), m the largest
    of the pixel: Reinhard's extended curve (from memory), which takes b to 1 and keeps a colour's hue.
    """
    brightest = float(light.max())
    if 0.0 < brightest < _DARKEST:
        light = light * (_DARKEST / brightest)
    if brightest > 1.0:
        largest = light.max(axis=-1, keepdims=True)
        light = light * ((1.0 + largest / brightest**2) / (1.0 + largest))
    return np.floor(255.0 * np.clip(signal_from_linear(light), 0.0, 1.0) + 0.5).astype(np.uint8)
