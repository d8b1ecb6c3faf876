"""Baked blocks: (1 - a) · code + a · mean of its block, halves up, reckoned again in exact fractions."""

from fractions import Fraction
from math import floor
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.signal.arrays import PlaneArray
from patterns.baked_blocks import BLOCK_SIZES, BakedBlocks

STEADY = settings(deadline=None, derandomize=True, max_examples=60)


def by_fractions(codes: Any, percent: int, size: int) -> list[list[int]]:
    """The same picture in Python's fractions, a sample at a time."""
    share, rows = Fraction(percent, 100), codes.tolist()
    height, width = codes.shape
    result = [[0] * width for _ in range(height)]
    for y in range(height):
        for x in range(width):
            block = [
                rows[v][u]
                for v in range(y - y % size, min(height, y - y % size + size))
                for u in range(x - x % size, min(width, x - x % size + size))
            ]
            mean = Fraction(sum(block), len(block))
            result[y][x] = floor((1 - share) * rows[y][x] + share * mean + Fraction(1, 2))
    return result


@STEADY
@given(
    rows=st.integers(1, 20),
    columns=st.integers(1, 20),
    percent=st.integers(0, 100),
    bits=st.sampled_from([8, 10, 12]),
    seed=st.integers(0, 1000),
)
def test_any_picture(rows: int, columns: int, percent: int, bits: int, seed: int) -> None:
    """Whatever the codes, the depth and the size, cut blocks included, every sample is the exact one."""
    kind = np.uint8 if bits == 8 else np.uint16
    codes: PlaneArray = np.random.default_rng(seed).integers(0, 1 << bits, (rows, columns), dtype=kind)
    baked = BakedBlocks(percent, 8).baked(codes)
    assert kind == baked.dtype
    assert by_fractions(codes, percent, 8) == baked.tolist()


# By hand: a ramp of 0 to 7 has the mean 3.5; halfway to it 0 is 1.75, 1 is 2.25, 2 is 2.75, 3 is 3.25.
def test_a_ramp_halfway() -> None:
    """A ramp of eight codes is drawn half the way to its mean, halves up."""
    codes = np.tile(np.arange(8, dtype=np.uint8), (8, 1))
    expected = [[2, 2, 3, 3, 4, 4, 5, 5]] * 8
    assert expected == BakedBlocks(50, 8).baked(codes).tolist()
    assert [[4] * 8] * 8 == BakedBlocks(100, 8).baked(codes).tolist()


# By hand: of 12 columns the last 4 are a block of their own, and 9 rows leave one of a single row.
def test_a_cut_block_has_its_own_mean() -> None:
    """A block that the edge cuts has the mean of what is left of it: at the right, below, in the corner."""
    codes = np.zeros((9, 12), dtype=np.uint16)
    codes[:8, 8:], codes[8, :8], codes[8, 8:] = 1000, 2000, (3000, 3002, 3001, 3001)
    baked = BakedBlocks(100, 8).baked(codes)
    assert [[0] * 8 + [1000] * 4] * 8 == baked[:8].tolist()
    assert [2000] * 8 + [3001] * 4 == baked[8].tolist()


@pytest.mark.parametrize("size", [int(size) for size in BLOCK_SIZES])
def test_blocks_of_every_size_lie_from_the_top_left_corner(size: int) -> None:
    """At full depth every block is one code, and its neighbours are others: the largest codes fit."""
    rows, columns = np.indices((3, 4))
    codes = (4095 - 5 * (4 * rows + columns)).astype(np.uint16).repeat(size, axis=0).repeat(size, axis=1)
    noisy = codes.copy()
    noisy[::2], noisy[1::2] = codes[::2] - 2, codes[1::2]
    expected = codes - np.uint16(1)
    np.testing.assert_array_equal(expected, BakedBlocks(100, size).baked(noisy))


def test_no_depth_leaves_the_picture_alone() -> None:
    """At 0 % it is the same picture, not even copied."""
    codes = np.arange(64, dtype=np.uint8).reshape(8, 8)
    assert codes is BakedBlocks(0, 8).baked(codes)
