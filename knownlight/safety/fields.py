"""Whether a picture that stands still flashes where its two fields are shown one after the other.

A set that shows fields as they come lights the even rows and the odd rows in turn: where one of them is much
lighter, as in level stripes of one row, the place flashes at the frame rate. What counts is BT.1702-3's flash
(known second-hand): 20 cd/m² of change, or an eighth of the darker state, over more than a quarter of the
picture; SDR as on a display of 200 cd/m².
"""

import numpy as np

from knownlight.frame.format import Scan, SignalFormat
from knownlight.frame.planes import Frame
from knownlight.frame.sources import FrameSource, Sequence, Still
from knownlight.signal.arrays import FloatArray

_BLOCK = 16  # rows and columns that are judged as one place
_LEAST_CHANGE = 20.0  # cd/m²
_DARKER_SHARE = 1.0 / 8.0
_SDR_WHITE = 200.0  # cd/m²
_AREA = 0.25


def flashes_between_fields(source: FrameSource, signal: SignalFormat, pictures: int) -> bool:
    """Whether any held picture of an interlaced signal flashes on a set that shows its fields in turn.

    pictures: of a sequence, how many it has. What moves is drawn for its fields, and judged by its pattern.
    """
    if signal.scan is not Scan.INTERLACED:
        return False
    if isinstance(source, Still):
        return _flashes(source.picture)
    if isinstance(source, Sequence):
        return any(_flashes(source.picture(number)) for number in range(pictures))
    return False


def _flashes(frame: Frame) -> bool:
    """By the light of greys of the luma codes, in blocks."""
    encoding = frame.signal.encoding
    table = encoding.grey_luminance_table * (_SDR_WHITE / encoding.white_luminance)
    luma = frame.planes[0]
    rows, columns = (side // _BLOCK * _BLOCK for side in luma.shape)
    light = table[luma[:rows, :columns]]
    even, odd = _block_means(light[0::2]), _block_means(light[1::2])
    darker = np.minimum(even, odd)
    changes = np.abs(even - odd) >= np.maximum(_LEAST_CHANGE, _DARKER_SHARE * darker)
    return bool(changes.mean() > _AREA)


def _block_means(field: FloatArray) -> FloatArray:
    """Mean light of blocks; a field has half of a block's rows."""
    rows, columns = field.shape
    blocks = field.reshape(rows * 2 // _BLOCK, _BLOCK // 2, columns // _BLOCK, _BLOCK)
    return np.asarray(blocks.mean(axis=(1, 3)))
