"""Where in a picture a grid stands out: the blocking ratio of one place after another."""

from dataclasses import dataclass

import numpy as np

from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import FloatArray, PlaneArray
from knownlight.stress.grid import EASING, Grid


@dataclass(frozen=True, kw_only=True)
class GridMap:
    """Blocking ratios of square cells of whole blocks.

    ratios: (cells down, cells across). size: pixels a side of a cell; the last ones may be narrower.
    left, top: where the first cell begins in the area.
    """

    ratios: FloatArray
    size: int
    left: int
    top: int


def grid_map(part: PlaneArray, rect: Rect, grid: Grid, *, depth: int, across: int) -> GridMap:
    """The ratio of each cell, from the left and upper edges of its blocks and the steps inside them.

    Args:
        part: pixels of an area.
        rect: where the area lies in the picture.
        grid: of the picture. Blocks that begin with the area have no edge in it and are left out.
        depth: bits of a code.
        across: cells in the width, about.
    """
    period = grid.period
    left, top = (grid.x - rect.x - 1) % period + 1, (grid.y - rect.y - 1) % period + 1
    blocks_across, blocks_down = (rect.width - left) // period, (rect.height - top) // period
    right, bottom = left + blocks_across * period, top + blocks_down * period
    codes = part.astype(np.float64) / (1 << (depth - 8))
    shape = (blocks_down, period, blocks_across, period)
    steps_across = np.abs(np.diff(codes[top:bottom, left - 1 : right], axis=1))
    steps_down = np.abs(np.diff(codes[top - 1 : bottom, left:right], axis=0))
    by_column = steps_across.reshape(shape).mean(axis=1)
    by_row = steps_down.reshape(shape).mean(axis=3)
    edges = (by_column[..., 0] + by_row[:, 0]) / 2.0
    inside = (by_column[..., 1:].mean(axis=-1) + by_row[:, 1:].mean(axis=1)) / 2.0
    blocks = max(1, blocks_across // across)
    ratios = (_means(edges, blocks) + EASING) / (_means(inside, blocks) + EASING)
    return GridMap(ratios=ratios, size=blocks * period, left=left, top=top)


def _means(values: FloatArray, size: int) -> FloatArray:
    """Means of `size` by `size` values; of fewer at the right and lower edges."""
    starts = [np.arange(0, length, size) for length in values.shape]
    sums = np.add.reduceat(np.add.reduceat(values, starts[0], axis=0), starts[1], axis=1)
    counts = [np.diff(np.append(start, length)) for start, length in zip(starts, values.shape, strict=True)]
    return np.asarray(sums / np.outer(*counts))
