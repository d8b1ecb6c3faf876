"""Where the grid stands out, on pictures that have blocks in one place."""

import numpy as np
import pytest

from knownlight.frame.geometry import Rect
from knownlight.stress.grid import Grid
from knownlight.stress.grid_map import grid_map
from tests.knownlight.stress.pictures import staircase, whole

EXACT = 1e-12  # relative


def test_every_block_of_a_staircase_has_its_ratio() -> None:
    """2.05 over 0.05 everywhere; the first row and column of blocks have no edge in the picture."""
    picture = staircase(8, 2, 64, 96)
    cells = grid_map(picture, whole(picture), Grid(period=8), depth=8, across=100)

    assert (7, 11) == cells.ratios.shape
    assert (8, 8, 8) == (cells.size, cells.left, cells.top)
    np.testing.assert_allclose(cells.ratios, 2.05 / 0.05, rtol=EXACT)


def test_blocks_are_shown_where_they_are() -> None:
    """Steps of 3 in the right half alone; cells of 2 by 2 blocks, the last of them of 1."""
    picture = np.full((64, 144), 20, np.uint8)
    picture[:, 72:] = staircase(8, 3, 64, 72, first=20)
    cells = grid_map(picture, whole(picture), Grid(period=8), depth=8, across=8)

    assert (16, (4, 9)) == (cells.size, cells.ratios.shape)
    np.testing.assert_allclose(cells.ratios[:, :4], 1.0, rtol=EXACT)
    np.testing.assert_allclose(cells.ratios[:, 5:], 3.05 / 0.05, rtol=EXACT)


@pytest.mark.parametrize("rect", [Rect(13, 21, 60, 40), Rect(16, 8, 40, 40), Rect(7, 7, 33, 33)])
def test_an_areas_cells_lie_on_the_pictures_grid(rect: Rect) -> None:
    """Edges are where the picture's blocks begin, whatever the area's place; 10 bits are told as 8."""
    picture = staircase(8, 4)[rect.slices]
    cells = grid_map(picture, rect, Grid(period=8), depth=10, across=100)

    assert (0, 0) == ((rect.x + cells.left) % 8, (rect.y + cells.top) % 8)
    np.testing.assert_allclose(cells.ratios, 1.05 / 0.05, rtol=EXACT)
