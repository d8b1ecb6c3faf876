"""Drawing greys: boxes, labels and counts, all small enough to reckon by hand (our own layout, no source)."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from patterns.canvas import Tally, centred_label, draw_label, flat_frame, label_dot, luma_plane

STEADY = settings(deadline=None, derandomize=True)
SDR = replace(parse_signal_format("720p24-sdr"), width=8, height=4)
PQ_RGB = replace(parse_signal_format("720p60-pq", components="rgb"), width=8, height=4)
WIDE = replace(parse_signal_format("720p24-sdr"), width=64, height=36)


def test_a_plane_of_one_code() -> None:
    """A plane has the picture's shape, the depth's type and one code."""
    plane = luma_plane(PQ_RGB, 723)
    np.testing.assert_array_equal(np.full((4, 8), 723), plane)
    assert ["uint16", "uint8"] == [str(plane.dtype), str(luma_plane(SDR, 16).dtype)]


def test_later_boxes_lie_on_top() -> None:
    """Boxes are drawn in order over the background; chroma is neutral (BT.2100-2 Table 9)."""
    frame = flat_frame(SDR, 16, {Rect(0, 0, 4, 2): 50, Rect(2, 0, 4, 4): 90})
    expected = [[50, 50, 90, 90, 90, 90, 16, 16]] * 2 + [[16, 16, 90, 90, 90, 90, 16, 16]] * 2
    assert expected == frame.planes[0].tolist()
    assert [[[128] * 4] * 2] * 2 == [plane.tolist() for plane in frame.planes[1:]]


def test_greys_of_rgb_are_three_times_the_same() -> None:
    """In R'G'B' a grey has its code in all three planes."""
    planes = flat_frame(PQ_RGB, 64, {Rect(0, 0, 2, 2): 940}).planes
    assert [128, 128, 128] == [int((plane == 940).sum()) * 32 for plane in planes]
    assert [[64, 940]] * 3 == [np.unique(plane).tolist() for plane in planes]


@pytest.mark.parametrize(("height", "dot"), [(720, 2), (1080, 3), (2160, 6), (4320, 12), (36, 2)])
def test_dots_grow_with_the_picture(height: int, dot: int) -> None:
    """A label's dot is a 360th of the rows, at least 2 pixels."""
    assert dot == label_dot(replace(SDR, height=height))


# The figure 1 of the alphabet, written out by hand, with a dot of one pixel.
def test_a_label_is_drawn_where_it_is_put() -> None:
    """A label's dots take its code, with their top left corner where asked; all else stays."""
    plane = luma_plane(WIDE, 16)
    draw_label(plane, "1", 1, (10, 5), 200)
    dots = ["..#..", ".##..", "..#..", "..#..", "..#..", "..#..", ".###."]
    expected = np.full((36, 64), 16)
    for row, line in enumerate(dots):
        for column, dot in enumerate(line):
            if dot == "#":
                expected[5 + row, 10 + column] = 200
    np.testing.assert_array_equal(expected, plane)


# By hand: two letters of five dots with one between are 11 dots by 7: 22 by 14 pixels in 64 by 36.
def test_labels_are_centred() -> None:
    """A centred label has the same room on both sides."""
    assert (21 + 100, 11 + 200) == centred_label("16", 2, Rect(100, 200, 64, 36))


# By hand: 64 by 36 are 2304 pixels; the figure 1 has 10 dots, of 4 pixels each where a dot is 2.
def test_counts_by_hand() -> None:
    """Boxes take from the background, labels from what they lie on; what is used up is not claimed."""
    tally = Tally(WIDE, 16)
    tally.put(2000, 90, on=16)
    tally.label("1", 2, 200, on=90)
    expected = {(16, 128, 128): 304, (90, 128, 128): 1960, (200, 128, 128): 40}
    assert expected == tally.areas()
    tally.put(304, 90, on=16)
    assert {(90, 128, 128): 2264, (200, 128, 128): 40} == tally.areas()
    assert {(64, 64, 64): 32} == Tally(PQ_RGB, 64).areas()


@STEADY
@given(st.text("0123456789ABCXYZ %-", min_size=1, max_size=5), st.integers(1, 2), st.integers(1, 254))
def test_counts_are_the_pixels(text: str, dot: int, code: int) -> None:
    """Pixels counted for any label are the pixels that it lights."""
    plane = luma_plane(WIDE, 16)
    draw_label(plane, text, dot, (2, 3), code)
    tally = Tally(WIDE, 16)
    tally.label(text, dot, code, on=16)
    codes, counts = np.unique(plane, return_counts=True)
    expected = {triple[0]: pixels for triple, pixels in tally.areas().items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
