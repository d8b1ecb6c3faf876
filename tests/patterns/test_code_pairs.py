"""Code pairs: each code beside the next (codes: H.273 clause 8.3, code_levels.toml; layout: no source)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True, max_examples=30)
PQ = parse_signal_format("720p60-pq")


# Black and -2 % as vectors/code_levels.toml has them.
@pytest.mark.parametrize(
    ("depth", "code_range", "percent", "first"),
    [(8, "narrow", 0, 16), (10, "narrow", 0, 64), (12, "narrow", 0, 256), (10, "full", 0, 0),
     (10, "narrow", -2, 46)],
)  # fmt: skip
def test_each_code_is_beside_the_next(depth: int, code_range: str, percent: float, first: int) -> None:
    """Pair after pair is a code beside the next one, from the first code up, below black too."""
    signal = parse_signal_format("720p24-sdr", depth=depth, code_range=code_range)
    regions = build("code-pairs", {"first_signal_percent": percent}).claims(signal).regions
    expected = [code for left in range(first, first + 24) for code in (left, left + 1)]
    assert expected == [region.code[0] for region in regions]


@STEADY
@given(st.integers(4, 950), st.integers(1, 60), st.integers(4, 1019))
def test_halves_touch_and_are_the_pixels(first: int, pairs: int, surround: int) -> None:
    """Two halves are of one size with nothing between; pairs are apart; areas are the pixels."""
    pattern = build("code-pairs", {"first_code": first, "pairs": pairs, "surround_code": surround})
    plane = pattern.draw(PQ).frame(0).planes[0]
    claims = pattern.claims(PQ)
    lefts, rights = claims.regions[::2], claims.regions[1::2]
    covered = np.zeros(plane.shape, dtype=np.uint8)
    for left, right in zip(lefts, rights, strict=True):
        rect = left.rect
        assert Rect(rect.right, rect.y, rect.width, rect.height) == right.rect
        for region in (left, right):
            covered[region.rect.slices] += 1
            assert [region.code[0]] == np.unique(plane[region.rect.slices]).tolist()
        assert surround in plane[rect.y, [rect.x - 1, right.rect.right]]
    assert 1 == covered.max()
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))


def test_labels_hide() -> None:
    """Labels at the level of the surround are not seen."""
    plane = build("code-pairs", {"label_signal_percent": 0}).draw(PQ).frame(0).planes[0]
    assert list(range(64, 89)) == np.unique(plane).tolist()


def test_pairs_past_the_highest_code_are_refused() -> None:
    """The last pair must end at the highest code there is, 1019 of 10 bits; the message names what fits."""
    assert build("code-pairs", {"first_code": 995}).claims(PQ).regions[-1].code[0] == 1019
    words = (
        "24 pairs from code 996 end at code 1020, above the highest, 1019; use a first code of 995 or less"
    )
    with pytest.raises(BadInput, match=words):
        build("code-pairs", {"first_code": 996}).claims(PQ)
    with pytest.raises(BadInput, match="use a level inside"):
        build("code-pairs", {"first_signal_percent": -2}).claims(
            parse_signal_format("720p60-pq", code_range="full")
        )
