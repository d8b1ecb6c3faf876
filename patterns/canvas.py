"""Drawing greys: a luma plane, boxes and labels in it, and the pixel counts that claims are made of."""

from collections import Counter
from collections.abc import Iterable, Mapping

import numpy as np

from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import lit_pixels, text_mask, text_size
from knownlight.frame.planes import Frame, grey_frame, sample_type
from knownlight.signal.arrays import PlaneArray

LABEL_DOT_ROWS = 360  # picture rows for each pixel of a label's dot: 6 pixels at 2160 rows


def luma_plane(signal: SignalFormat, code: int) -> PlaneArray:
    """A luma plane of one code."""
    plane: PlaneArray = np.full((signal.height, signal.width), code, dtype=sample_type(signal.depth))
    return plane


def flat_frame(signal: SignalFormat, background: int, boxes: Mapping[Rect, int]) -> Frame:
    """A grey picture of boxes on a background; later boxes lie on top."""
    plane = luma_plane(signal, background)
    for rect, code in boxes.items():
        plane[rect.slices] = code
    return grey_frame(signal, plane)


def label_dot(signal: SignalFormat) -> int:
    """Pixels of a label's dot."""
    return max(2, signal.height // LABEL_DOT_ROWS)


def fitting_dot(signal: SignalFormat, texts: Iterable[str], width: int) -> int:
    """Pixels of a label's dot, or the most at which each of some texts is no wider than so many pixels."""
    widest = max(text_size(text, 1)[0] for text in texts)
    return max(1, min(label_dot(signal), width // widest))


def draw_label(plane: PlaneArray, text: str, dot: int, at: tuple[int, int], code: int) -> None:
    """Draw a line of text with its top left corner at (x, y)."""
    x, y = at
    mask = text_mask(text, dot)
    rows, columns = mask.shape
    plane[y : y + rows, x : x + columns][mask] = code


def centred_label(text: str, dot: int, rect: Rect) -> tuple[int, int]:
    """Top left corner that centres a label in a rectangle."""
    width, height = text_size(text, dot)
    return rect.x + (rect.width - width) // 2, rect.y + (rect.height - height) // 2


class Tally:
    """Pixels of each grey, by arithmetic: boxes take from the background, labels from what they lie on."""

    def __init__(self, signal: SignalFormat, background: int) -> None:
        self._signal = signal
        self._counts: Counter[int] = Counter({background: signal.width * signal.height})

    def put(self, pixels: int, code: int, *, on: int) -> None:
        """Some pixels of code `on` become `code`."""
        self._counts[on] -= pixels
        self._counts[code] += pixels

    def label(self, text: str, dot: int, code: int, *, on: int) -> None:
        """A label drawn on a code."""
        self.put(lit_pixels(text, dot), code, on=on)

    def areas(self) -> dict[CodeTriple, int]:
        """Pixels by the three codes."""
        grey = self._signal.encoding.grey
        return {grey(code): pixels for code, pixels in sorted(self._counts.items()) if pixels}
