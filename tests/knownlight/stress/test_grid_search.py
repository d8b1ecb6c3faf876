"""Looking for a grid: where it is put it is found, and where there is none nothing is made up."""

import math

import numpy as np
import pytest

from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import PlaneArray
from knownlight.stress.grid import Grid
from knownlight.stress.grid_search import FoundGrid, find_grid
from knownlight.stress.picture import content
from tests.knownlight.stress.conftest import fog
from tests.knownlight.stress.pictures import baked, whole

LIGHT = np.zeros(256, dtype=np.float32)


def found(picture: PlaneArray, area: Rect | None = None) -> FoundGrid | None:
    """In one picture."""
    rect = area or whole(picture)
    return find_grid(content(picture[rect.slices], LIGHT).codes, rect)


@pytest.mark.parametrize("period", [8, 16, 32])
@pytest.mark.parametrize("share", [0.5, 1.0])
def test_baked_blocks_are_found_at_their_size(period: int, share: float) -> None:
    """Blocks of each size in fog of 704x480, half as strong as can be and as strong."""
    grid = found(baked(fog(1)[0][:, :704], share, period))

    assert grid is not None
    assert Grid(period=period) == grid.grid


@pytest.mark.parametrize(("x", "y"), [(0, 0), (3, 0), (5, 7), (13, 2), (8, 16)])
def test_a_shifted_picture_has_its_grid_elsewhere(x: int, y: int) -> None:
    """What lies left of and above a crop is lost: blocks then begin at the rest of minus the shift."""
    grid = found(baked(fog(1)[0], 1.0)[y:, x:])

    assert grid is not None
    assert Grid(period=8, x=-x % 8, y=-y % 8) == grid.grid


def test_the_place_is_the_pictures_not_the_areas() -> None:
    """An area at any place tells the grid that the picture has."""
    grid = found(baked(fog(1)[0], 1.0), Rect(101, 37, 333, 299))

    assert grid is not None
    assert Grid(period=8) == grid.grid


def test_a_busy_half_does_not_hide_a_calm_one() -> None:
    """Blocks in the dark, and steps forty times as large beside them."""
    picture = baked(fog(1)[0], 1.0)
    picture[:, 360:] = np.random.default_rng(1).integers(16, 236, (480, 360))

    assert found(picture, Rect(0, 0, 360, 480)) is not None
    assert found(picture, Rect(360, 0, 360, 480)) is None


@pytest.mark.parametrize("shape", [(64, 64), (180, 320), (480, 720)])
def test_no_grid_is_found_in_noise(shape: tuple[int, int]) -> None:
    """Forty fields of noise of each size, and 4 periods and their places in each."""
    generator = np.random.default_rng(7)
    grids = [found(generator.integers(16, 40, shape).astype(np.uint8)) for _ in range(40)]

    assert [None] * 40 == grids


def test_no_grid_is_found_in_what_has_none() -> None:
    """A flat picture, a ramp, clean fog, and a picture of pixels that are doubled."""
    ramp = np.add.outer(np.arange(100), np.arange(120)).astype(np.uint8)
    doubled = fog(1)[0][:240, :360].repeat(2, axis=0).repeat(2, axis=1)

    assert [None] * 4 == [
        found(picture) for picture in (np.full((200, 300), 28, np.uint8), ramp, fog(1)[0], doubled)
    ]


def test_lines_in_one_direction_are_no_blocks() -> None:
    """Upright bars each 8 pixels, over noise."""
    picture = np.random.default_rng(2).integers(20, 24, (256, 256)).astype(np.uint8)
    picture += np.tile((np.arange(256) // 8 % 2 * 20).astype(np.uint8), (256, 1))

    assert found(picture) is None


def test_very_wide_pictures_are_counted_without_overflow() -> None:
    """2000 stretches: the number of ways is beyond the largest double."""
    picture = np.tile(np.repeat(np.arange(2000, dtype=np.int64) % 50, 8).astype(np.uint8), (40, 1))
    picture += np.repeat(np.arange(5, dtype=np.uint8), 8)[:, np.newaxis]
    grid = found(picture)

    assert math.comb(2000, 1000) > 10**308
    assert grid is not None
    assert Grid(period=8) == grid.grid
