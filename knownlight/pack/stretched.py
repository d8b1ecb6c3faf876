"""A picture of a dark frame with its codes stretched: to see where the faults are, never to measure.

What a viewer makes of a file without a colour description is enough for that, so it is an ordinary grey PNG.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import text_mask, text_size
from knownlight.frame.planes import Frame
from knownlight.pack.folders import PART

_SHARE = 0.995  # of the judged pixels are stretched; what is brighter is white
_SMALLEST_RANGE = 8  # codes of 8 bits
_LABEL_WIDTH = 0.9  # of the picture


@dataclass(frozen=True)
class Stretched:
    """The picture, its number in the clip, and the codes that became black and white."""

    pixels: NDArray[np.uint8]
    picture: int
    lowest: int
    highest: int


def stretched(frame: Frame, picture: int, judged: Rect) -> Stretched:
    """The luma of a frame from black, or its darkest code, to nearly its brightest, labelled so.

    judged: the part whose codes count for that; a bright rest becomes white.
    """
    luma, quantisation = frame.planes[0], frame.signal.quantisation
    counts = np.bincount(luma[judged.slices].ravel(), minlength=quantisation.largest + 1)
    lowest = max(quantisation.black, int(np.flatnonzero(counts)[0]))
    least = lowest + (_SMALLEST_RANGE << (frame.signal.depth - 8))
    highest = max(least, int(np.searchsorted(counts.cumsum(), _SHARE * judged.area)))
    levels = (np.arange(counts.size) - lowest) * 255 // (highest - lowest)
    pixels = np.clip(levels, 0, 255).astype(np.uint8)[luma]
    _label(pixels, f"CODES {lowest} TO {highest} STRETCHED, FOR ORIENTATION ONLY - NOT FOR MEASURING")
    return Stretched(pixels, picture, lowest, highest)


def _label(pixels: NDArray[np.uint8], text: str) -> None:
    """White on a black strip along the lower edge."""
    dot = max(1, int(pixels.shape[1] * _LABEL_WIDTH) // text_size(text, 1)[0])
    mask = text_mask(text, dot)
    rows, columns = mask.shape
    strip = pixels[-rows - 4 * dot :]
    strip[:] = 0
    left = (pixels.shape[1] - columns) // 2
    strip[2 * dot : 2 * dot + rows, left : left + columns][mask] = 255


def write_stretched(picture: Stretched, to: Path) -> None:
    """Write it as a PNG; whole or not at all."""
    from PIL import Image  # noqa: PLC0415 - slow to import

    part = to.with_name(to.name + PART)
    Image.fromarray(picture.pixels).save(part, format="PNG")
    part.replace(to)
