"""One picture: steps between neighbouring pixels, and blocks of one code, for every place a grid may have.

Work goes in stripes of rows that fit the cache. Codes are whole numbers in float32: sums over a stripe stay
below 2^24 for every size and depth there is, and are exact.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from knownlight.signal.arrays import CodeArray, FloatArray, PlaneArray

FLAT_SIZES = (8, 16)  # pixels a side
_STRIPE = 64  # rows at a time
_Floats = NDArray[np.float32]


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Mean magnitude of the step over each gap between neighbours: gap k lies between k and k + 1.

    across: between columns. down: between rows.
    """

    across: FloatArray
    down: FloatArray


@dataclass(frozen=True, kw_only=True)
class Content:
    """What one picture holds.

    codes: steps of codes, of the signal's own depth. light: steps of light, in the unit of the table.
    counts: pixels of each code; index by code.
    """

    codes: Steps
    light: Steps
    counts: CodeArray


def content(part: PlaneArray, table: _Floats) -> Content:
    """Steps and codes of a part of a picture; table: light of each code, index by code."""
    rows, columns = part.shape
    counts = np.zeros(table.size, dtype=np.int64)
    of_codes, of_light = _Adder(rows, columns), _Adder(rows, columns)
    for top in range(0, rows, _STRIPE):
        stripe = part[top : top + _STRIPE + 1]  # and the row below, for the steps down to it
        of_codes.add(top, stripe.astype(np.float32))
        index = stripe.astype(np.intp)  # once for both
        of_light.add(top, table.take(index))
        counts += np.bincount(index[:_STRIPE].ravel(), minlength=counts.size)
    return Content(codes=of_codes.steps, light=of_light.steps, counts=counts)


def code_steps(part: PlaneArray) -> Steps:
    """Steps of codes of a part of a picture, of the signal's own depth."""
    adder = _Adder(*part.shape)
    for top in range(0, part.shape[0], _STRIPE):
        adder.add(top, part[top : top + _STRIPE + 1].astype(np.float32))
    return adder.steps


class _Adder:
    """Adds up steps, stripe by stripe."""

    def __init__(self, rows: int, columns: int) -> None:
        self._across = np.zeros(columns - 1)
        self._down = np.zeros(rows - 1)
        self._each_column = np.ones(columns, dtype=np.float32)
        self._each_row = np.ones(_STRIPE, dtype=np.float32)
        self._size = rows, columns

    def add(self, top: int, stripe: _Floats) -> None:
        """Add rows from `top` on; one more than a stripe has, where there is one."""
        own = stripe[:_STRIPE]
        across = np.abs(own[:, 1:] - own[:, :-1])
        self._across += self._each_row[: len(own)] @ across
        down = np.abs(stripe[1:] - stripe[:-1])
        self._down[top : top + len(down)] = down @ self._each_column

    @property
    def steps(self) -> Steps:
        """Means."""
        rows, columns = self._size
        return Steps(across=self._across / rows, down=self._down / columns)


def flat_counts(part: PlaneArray) -> dict[int, CodeArray]:
    """Blocks of one code, by size and by where the grid of blocks begins.

    Returns:
        For each size, (size, size): how many blocks of one code begin at rows and columns of these rests.
    """
    found = {size: np.zeros((size, size), dtype=np.int64) for size in FLAT_SIZES}
    largest = FLAT_SIZES[-1]
    for top in range(0, part.shape[0], _STRIPE):
        low = high = part[top : top + _STRIPE + largest - 1]
        size = 1
        while size < largest:
            low, high = _extended(np.minimum, low, size), _extended(np.maximum, high, size)
            size *= 2
            if size in found and low.size:
                found[size] += _by_place(low[:_STRIPE] == high[:_STRIPE], size)
    return found


def _extended(extreme: np.ufunc, extremes: PlaneArray, size: int) -> PlaneArray:
    """Extremes of blocks of twice the size, from those of blocks of a size; at every place with room."""
    if min(extremes.shape) <= size:
        return extremes[:0, :0]
    wide = extreme(extremes[:, size:], extremes[:, :-size])
    return np.asarray(extreme(wide[size:], wide[:-size]))


def _by_place(flat: NDArray[np.bool_], size: int) -> CodeArray:
    """How many places are flat, by the rests of row and column; of no more than a stripe."""
    rows, columns = flat.shape
    whole = np.zeros((-(-rows // size) * size, -(-columns // size) * size), dtype=np.uint8)
    whole[:rows, :columns] = flat
    by_row = np.add.reduce(whole.reshape(-1, size, whole.shape[1]), axis=0, dtype=np.uint8)
    return np.asarray(by_row.reshape(size, -1, size).sum(axis=1, dtype=np.int64))


def difference(part: PlaneArray, drawn: PlaneArray) -> tuple[float, int]:
    """Sum of squared differences of codes, and the largest difference."""
    squares, largest = 0.0, 0
    for top in range(0, part.shape[0], _STRIPE):
        error = part[top : top + _STRIPE].astype(np.float32) - drawn[top : top + _STRIPE]
        squares += float(np.square(error).sum(dtype=np.float64))
        largest = max(largest, int(np.abs(error).max()))
    return squares, largest
