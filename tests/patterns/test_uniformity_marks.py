"""Uniformity marks: 5, 9 and 25 places are common practice (from memory, no source); 13 is our own choice."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True, max_examples=25)
SNAPPED = 2  # pixels: sizes and positions are even
SIZES = ["720p24-sdr", "1080p60-pq", "2160p50-hlg"]


# By hand, tenths of the width and height.
@pytest.mark.parametrize(
    ("places", "across"),
    [
        ("5", {1: [1, 9], 5: [5], 9: [1, 9]}),
        ("9", {1: [1, 5, 9], 5: [1, 5, 9], 9: [1, 5, 9]}),
        ("13", {1: [1, 5, 9], 3: [3, 7], 5: [1, 5, 9], 7: [3, 7], 9: [1, 5, 9]}),
        ("25", {row: [1, 3, 5, 7, 9] for row in (1, 3, 5, 7, 9)}),
    ],
)
@pytest.mark.parametrize("written", SIZES)
def test_places_are_at_odd_tenths(places: str, across: dict[int, list[int]], written: str) -> None:
    """Each place's middle is at its tenths of the width and height, to the two pixels of even numbers."""
    signal = parse_signal_format(written)
    regions = build("uniformity-marks", {"places": places}).claims(signal).regions
    expected = [(column, row) for row, columns in across.items() for column in columns]
    assert int(places) == len(regions) == len(expected)
    assert int(places) == len({region.name for region in regions})
    for (column, row), region in zip(expected, regions, strict=True):
        rect = region.rect
        assert rect.width == rect.height
        assert abs(rect.x + rect.width / 2 - signal.width * column / 10) <= SNAPPED
        assert abs(rect.y + rect.height / 2 - signal.height * row / 10) <= SNAPPED
        assert f"row{(row + 1) // 2}-column{(column + 1) // 2}" == region.name


@STEADY
@given(st.floats(2.0, 14.0), st.sampled_from(["5", "9", "13", "25"]), st.sampled_from(SIZES))
def test_marks_are_about_pure_places(percent: float, places: str, written: str) -> None:
    """A place and a rim about it are pure field; outside, each corner has a mark; areas are the pixels."""
    signal = parse_signal_format(written)
    pattern = build(
        "uniformity-marks", {"places": places, "place_percent": percent, "mark_signal_percent": 0}
    )
    plane = pattern.draw(signal).frame(0).planes[0]
    claims = pattern.claims(signal)
    field, mark, thick = (
        claims.regions[0].code[0],
        signal.quantisation.black,
        2 * max(1, signal.height // 1080),
    )
    for region in claims.regions:
        rect = region.rect
        rim = plane[rect.y - thick : rect.bottom + thick, rect.x - thick : rect.right + thick]
        assert [field] == np.unique(rim).tolist()
        outside = plane[
            rect.y - 2 * thick : rect.bottom + 2 * thick, rect.x - 2 * thick : rect.right + 2 * thick
        ]
        assert [mark] * 4 == [int(outside[row, column]) for row in (0, -1) for column in (0, -1)]
        assert field in (outside[0, outside.shape[1] // 2], outside[outside.shape[0] // 2, 0])
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    drawn = dict(zip(codes.tolist(), counts.tolist(), strict=True))
    assert {triple[0]: pixels for triple, pixels in claims.areas.items()} == drawn


def test_marks_hide() -> None:
    """Marks at the level of the field leave nothing but the field."""
    signal = parse_signal_format("720p24-sdr")
    plane = build("uniformity-marks", {"mark_signal_percent": 50}).draw(signal).frame(0).planes[0]
    assert [126] == np.unique(plane).tolist()
