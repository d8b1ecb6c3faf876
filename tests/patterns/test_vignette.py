"""Vignette: its fall in exact fractions, its dither against the theory that test_grain.py names."""

import hashlib
from fractions import Fraction
from math import floor

import numpy as np
import pytest

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import Cycle
from patterns.registry import build

SDR = parse_signal_format("1080p24-sdr")
PQ = parse_signal_format("720p60-pq")
FULL_12 = parse_signal_format("720p50-hlg", depth=12, code_range="full")
MEAN = 0.002  # codes; two million samples with a deviation of half a code: four deviations are 0.0014
ERROR = 0.002  # codes²; measured 0.0004


def meant(signal: SignalFormat, middle: int, corner: int, x: int, y: int) -> Fraction:
    """The level at a pixel: from the middle of the picture by the square of the distance, in fractions."""
    half_x, half_y = Fraction(signal.width - 1, 2), Fraction(signal.height - 1, 2)
    share = ((x - half_x) ** 2 + (y - half_y) ** 2) / (half_x**2 + half_y**2)
    return middle + (corner - middle) * share


# 13.7 % and 0.46 % by hand: 16 + 30.003 = 46 and 16 + 1.007 = 17 at 8 bits; 64 + 120.01 = 184 and 64 + 4.03
# = 68 at 10; 561.0 and 18.8 of 4095 at 12 bits full.
@pytest.mark.parametrize(("signal", "middle", "corner"), [(SDR, 46, 17), (PQ, 184, 68), (FULL_12, 561, 19)])
def test_light_falls_with_the_square(signal: SignalFormat, middle: int, corner: int) -> None:
    """Without dither every pixel has the code nearest to its level, halves up; corners have the last."""
    plane = build("vignette", {"dither": "none"}).draw(signal).frame(0).planes[0]
    rows, columns = plane.shape
    assert {corner} == {int(plane[y, x]) for y in (0, rows - 1) for x in (0, columns - 1)}
    assert {middle} == set(
        np.unique(plane[rows // 2 - 4 : rows // 2 + 4, columns // 2 - 4 : columns // 2 + 4])
    )
    for y in (0, 3, 100, 301, rows // 2, rows - 1):
        for x in range(0, columns, 37):
            expected = floor(meant(signal, middle, corner, x, y) + Fraction(1, 2))
            assert expected == plane[y, x], (x, y)


def test_dither_keeps_the_light_and_has_one_error() -> None:
    """The mean of a dithered picture is that of its levels, its error 1/4 code², in light and dark alike."""
    down, across = (np.arange(1 - length, length, 2.0) ** 2 for length in (1080, 1920))
    levels = 46 - 29 * (down[:, np.newaxis] + across) / (down[0] + across[0])
    plane = build("vignette", {}).draw(SDR).frame(7).planes[0]
    error = plane - levels
    assert abs(error.mean()) < MEAN
    for part in (error[:200, :400], error[400:680, 700:1220], error[-200:, -400:]):
        np.testing.assert_allclose(0.25, (part**2).mean(), atol=3 * ERROR)
    np.testing.assert_allclose(0.25, (error**2).mean(), atol=ERROR)


def test_dither_moves_stays_or_is_not_there() -> None:
    """Moving dither is another in every picture of a round; still dither is the first of them, held."""
    moving, still = build("vignette", {}).draw(SDR), build("vignette", {"dither": "still"}).draw(SDR)
    assert isinstance(moving, Cycle)
    assert 24 == len({moving.frame(index).planes[0].tobytes() for index in range(24)})
    np.testing.assert_array_equal(moving.frame(0).planes[0], still.frame(50).planes[0])


def test_pictures_are_pinned() -> None:
    """The fifth picture is that of every earlier version."""
    plane = build("vignette", {}).draw(SDR).frame(5).planes[0]
    assert (
        "f62cf058fcba2da75eb51fb76a02410b6092bf22e9af9a4106e3f21cd03416bf"
        == hashlib.sha256(plane.tobytes()).hexdigest()
    )
