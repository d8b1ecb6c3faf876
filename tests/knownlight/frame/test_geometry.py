"""Rectangles on even positions: vectors/windows.toml (common practice, no source) and properties."""

import tomllib
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.geometry import Rect, around, code_at, even, even_edges, window_of_area

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "windows.toml").read_text("utf-8"))
STEADY = settings(deadline=None, derandomize=True)
SIDES = st.integers(1, 400).map(lambda half: 2 * half)
CODES = st.integers(0, 4095)


@pytest.mark.parametrize("row", VECTORS["window"], ids=lambda row: f"{row['percent']}%")
def test_window_sizes(row: dict[str, Any]) -> None:
    """Windows of the usual areas have the printed sizes."""
    for width, height in ((1920, 1080), (3840, 2160)):
        window = window_of_area(width, height, row["percent"])
        assert row[f"at_{height}"] == [window.width, window.height]


# By hand: 1214 * 684 pixels of 3840 * 2160.
def test_window_of_ten_percent() -> None:
    """10 % at 2160 rows is 10.011 % after rounding to even sides."""
    share = Fraction(window_of_area(3840, 2160, 10.0).area * 100, 3840 * 2160)
    expected = 10.011
    assert expected == pytest.approx(float(share), abs=0.0005)


@STEADY
@given(SIDES, SIDES, st.floats(0.001, 100.0))
def test_windows_are_even_centred_and_inside(width: int, height: int, percent: float) -> None:
    """Any window starts and ends on even numbers, inside the picture and no further off centre than that."""
    window = window_of_area(width, height, percent)
    assert not any(number % 2 for number in (window.x, window.y, window.width, window.height))
    for before, size, after in (
        (window.x, window.width, width - window.right),
        (window.y, window.height, height - window.bottom),
    ):
        assert size >= 2
        assert before >= 0
        assert 0 <= after - before <= 2


@STEADY
@given(SIDES, SIDES)
def test_window_of_everything(width: int, height: int) -> None:
    """100 % is the picture."""
    assert Rect(0, 0, width, height) == window_of_area(width, height, 100.0)


@STEADY
@given(SIDES, SIDES, st.floats(0.001, 100.0))
def test_window_and_around_are_the_picture(width: int, height: int, percent: float) -> None:
    """A window and the rectangles around it cover every pixel once."""
    window = window_of_area(width, height, percent)
    covered = np.zeros((height, width), dtype=np.uint8)
    for rect in (window, *(rect for _, rect in around(window, width, height))):
        covered[rect.slices] += 1
    assert (covered == 1).all()


def test_around_leaves_out_what_is_empty() -> None:
    """A rectangle in a corner has two neighbours, named by where they lie."""
    expected = [("below", Rect(0, 4, 10, 4)), ("right", Rect(6, 0, 4, 4))]
    assert expected == around(Rect(0, 0, 6, 4), 10, 8)


def test_rectangle_figures() -> None:
    """Area, ends and index of a rectangle."""
    rect = Rect(2, 4, 6, 8)
    expected = [48, 8, 12]
    assert expected == [rect.area, rect.right, rect.bottom]
    assert (slice(4, 12), slice(2, 8)) == rect.slices


@pytest.mark.parametrize(
    ("expected", "value"), [(2, 1.0), (2, 2.9), (4, 3.0), (0, 0.9), (-2, -1.0), (1214, 1214.31)]
)
def test_even(expected: int, value: float) -> None:
    """The nearest even number; an odd one goes away from zero (our own rule)."""
    assert expected == even(value)


@STEADY
@given(SIDES, st.data())
def test_even_edges(length: int, data: st.DataObject) -> None:
    """Edges are even, run from 0 to the length, and the parts differ by no more than two pixels."""
    parts = data.draw(st.integers(1, length // 2))
    edges = even_edges(length, parts)
    sizes = [after - before for before, after in pairwise(edges)]
    assert parts == len(sizes)
    assert [0, length] == [edges[0], edges[-1]]
    assert all(edge % 2 == 0 for edge in edges)
    assert min(sizes) > 0
    assert max(sizes) - min(sizes) <= 2


@STEADY
@given(CODES, CODES, st.integers(2, 5000), st.data())
def test_ramps_are_even(first: int, last: int, positions: int, data: st.DataObject) -> None:
    """A ramp ends right, never turns back, and lies within half a code of the straight line."""
    assert [first, last] == [code_at(first, last, place, positions) for place in (0, positions - 1)]
    position = data.draw(st.integers(1, positions - 1))
    before, here = (code_at(first, last, place, positions) for place in (position - 1, position))
    assert (here - before) * (1 if last >= first else -1) >= 0
    straight = first + Fraction((last - first) * position, positions - 1)
    assert -Fraction(1, 2) < here - straight <= Fraction(1, 2)


@STEADY
@given(CODES, CODES, st.integers(2, 5000), st.sampled_from([2, 4, 8, 16]), st.data())
def test_ramps_of_fewer_bits(first: int, last: int, positions: int, step: int, data: st.DataObject) -> None:
    """With a step the lowest bits are cut off the code that the even ramp has."""
    position = data.draw(st.integers(0, positions - 1))
    fine = code_at(first, last, position, positions)
    coarse = code_at(first, last, position, positions, step)
    assert not coarse % step
    assert 0 <= fine - coarse < step


# By hand: 0 to 3 over 5 positions is 0, 0.75, 1.5, 2.25, 3; one position has only the first code.
def test_ramp_by_hand() -> None:
    """Halves are rounded up, and a ramp of one position is its first code."""
    expected = [0, 1, 2, 2, 3]
    assert expected == [code_at(0, 3, place, 5) for place in range(5)]
    assert expected[-1] == code_at(3, 9, 0, 1)
