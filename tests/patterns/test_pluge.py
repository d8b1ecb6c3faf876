"""PLUGE: the levels of BT.814 at each depth, and what has none."""

from itertools import pairwise

import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.registry import build


@pytest.mark.parametrize(
    ("written", "depth", "expected"),
    [
        ("720p60-sdr", 10, (48, 80, 940)),
        ("720p60-sdr", 12, (192, 320, 3760)),
        ("720p60-sdr", 8, (12, 20, 235)),
        ("720p60-pq", 10, (48, 80, 399)),
        ("720p60-hlg", 10, (48, 80, 399)),
        ("720p60-hlg", 12, (192, 320, 1596)),
    ],
)
def test_levels(written: str, depth: int, expected: tuple[int, int, int]) -> None:
    """ITU-R BT.814-4 as known second-hand; the 8-bit SDR codes are a quarter of the 10-bit ones."""
    signal = parse_signal_format(written, depth=depth)
    regions = {region.name: region.code[0] for region in build("pluge", {}).claims(signal).regions}

    assert expected == (regions["darker"], regions["lighter"], regions["higher"])


@pytest.mark.parametrize(
    ("depth", "code_range", "words"),
    [(10, "full", "full range has no codes below black"), (8, "narrow", "HDR levels of 10 and 12 bits")],
)
def test_what_has_no_levels_is_refused(depth: int, code_range: str, words: str) -> None:
    """Full range cannot go below black; the table has no 8-bit HDR column."""
    signal = parse_signal_format("720p60-pq", depth=depth, code_range=code_range)

    with pytest.raises(BadInput, match=words):
        build("pluge", {}).claims(signal)


def test_parts_do_not_touch() -> None:
    """The bars, the field and the edges are apart, on even positions (the layout is ours)."""
    signal = parse_signal_format("1080p60-sdr")
    rects = [region.rect for region in build("pluge", {}).claims(signal).regions]

    assert [True, True] == [left.right < right.x for left, right in pairwise(rects)]
    assert {0} == {value % 2 for rect in rects for value in (rect.x, rect.y, rect.width, rect.height)}
