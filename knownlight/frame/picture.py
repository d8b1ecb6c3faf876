"""Somebody's picture on its way into codes: linear light, fitted to a size, then the signal's own codes."""

from collections.abc import Callable
from enum import Enum
from typing import Protocol

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import sample_type
from knownlight.frame.subsample import subsample_420
from knownlight.signal.arrays import FloatArray, PlaneArray
from knownlight.signal.encoding import Components, rgb_signal
from knownlight.signal.primaries import Primaries

Decode = Callable[[FloatArray], FloatArray]


class Fit(Enum):
    """How a picture of another shape fills a frame."""

    INSIDE = "inside"  # all of it, with black beside or above it
    FILL = "fill"  # no black; what sticks out is cut off
    PIXELS = "pixels"  # pixel for pixel, centred


class PictureContent(Protocol):
    """A picture that can be asked for at a size."""

    @property
    def name(self) -> str:
        """Where it comes from, as the user wrote it; empty for the built-in one."""
        ...

    @property
    def sha256(self) -> str:
        """Of the file; empty for the built-in one."""
        ...

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns as stored."""
        ...

    def fitted(self, rows: int, columns: int, fit: Fit, decode: Decode) -> FloatArray:
        """Linear R, G, B at a size; (rows, columns, 3). `decode` turns samples into linear light."""
        ...


def placed(picture: FloatArray, rows: int, columns: int) -> FloatArray:
    """A picture centred in another size: cut where it is larger, black (0) around it where it is smaller."""
    result = np.zeros((rows, columns, 3), dtype=np.float64)
    height, width = picture.shape[:2]
    from_y, from_x = max(0, (height - rows) // 2), max(0, (width - columns) // 2)
    to_y, to_x = max(0, (rows - height) // 2), max(0, (columns - width) // 2)
    part = picture[from_y : from_y + rows, from_x : from_x + columns]
    result[to_y : to_y + part.shape[0], to_x : to_x + part.shape[1]] = part
    return result


def scaled_size(shape: tuple[int, int], rows: int, columns: int, fit: Fit) -> tuple[int, int]:
    """Rows and columns to scale a picture to before it is placed, keeping its shape to the nearest pixel."""
    if fit is Fit.PIXELS:
        return shape
    height, width = shape
    wide = columns * height > rows * width  # the frame is wider than the picture
    by_height = wide == (fit is Fit.INSIDE)
    if by_height:
        return rows, max(1, (2 * width * rows + height) // (2 * height))
    return max(1, (2 * height * columns + width) // (2 * width)), columns


def planes_of_light(light: FloatArray, primaries: Primaries, signal: SignalFormat) -> list[PlaneArray]:
    """Code planes of linear R, G, B in cd/m² of some primaries; light is (rows, columns, 3), even sizes.

    What the signal cannot hold is clipped: below 0 (outside its primaries) to 0, above its white to white.
    Chroma of 4:2:0 is filtered as its siting asks.
    """
    encoding = signal.encoding
    container = encoding.primaries.linear_rgb_from_xyz(primaries.xyz_from_linear_rgb(light))
    codes = encoding.codes_from_signal_rgb(
        np.clip(rgb_signal(encoding.transfer, np.maximum(container, 0.0)), 0.0, 1.0)
    )
    kind = sample_type(signal.depth)
    planes: list[PlaneArray] = [np.ascontiguousarray(codes[..., index]).astype(kind) for index in range(3)]
    if signal.components is Components.YCBCR_420:
        planes[1:] = [subsample_420(plane, signal.siting) for plane in planes[1:]]
    return planes
