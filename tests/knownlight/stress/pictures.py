"""Pictures whose figures follow by hand, and the meter put to them."""

from collections.abc import Sequence

import numpy as np

from knownlight.frame.claims import Area
from knownlight.frame.format import Scan, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import PlaneArray
from knownlight.stress.figures import Figures
from knownlight.stress.grid import PERIODS
from knownlight.stress.meter import Meter, relative_light


def whole(picture: PlaneArray) -> Rect:
    """All of a picture."""
    return Rect(0, 0, picture.shape[1], picture.shape[0])


def measured(
    pictures: Sequence[PlaneArray],
    drawn: Sequence[PlaneArray] | None = None,
    *,
    area: Rect | None = None,
    depth: int = 8,
    scan: Scan = Scan.PROGRESSIVE,
    every: int = 1,
) -> tuple[Figures, ...]:
    """What the meter says of one area; the whole picture where none is given."""
    signal = parse_signal_format("1080p24-sdr", depth=depth)
    meter = Meter(
        [Area("picture", area or whole(pictures[0]))],
        depth=depth,
        light=relative_light(signal.encoding),
        scan=scan,
        every=every,
        periods=PERIODS,
    )
    for number, picture in enumerate(pictures):
        meter.add(picture, None if drawn is None else drawn[number])
    return meter.figures


def staircase(period: int, step: int, rows: int = 256, columns: int = 320, first: int = 16) -> PlaneArray:
    """A step up after each `period` pixels, across and down."""
    y, x = np.mgrid[0:rows, 0:columns]
    codes = first + step * (x // period + y // period)
    return np.asarray(codes, dtype=np.uint8 if step < 4 else np.uint16)


def baked(picture: PlaneArray, share: float, size: int = 8) -> PlaneArray:
    """(1 - share) of the picture and share of the mean of each block, to the nearest code."""
    rows, columns = picture.shape
    means = picture.reshape(rows // size, size, columns // size, size).mean(axis=(1, 3))
    blocks = means.repeat(size, axis=0).repeat(size, axis=1)
    return np.asarray(np.floor((1.0 - share) * picture + share * blocks + 0.5), dtype=picture.dtype)
