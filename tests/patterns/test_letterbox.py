"""Letterbox: the aspect by hand; steps by H.273 clause 8.3; the layout has no source."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.claims import Purpose
from knownlight.frame.format import parse_signal_format
from patterns.registry import build

SNAPPED = 2  # rows: two bars, each within one row of the exact one
STEADY = settings(deadline=None, derandomize=True, max_examples=40)
PQ = parse_signal_format("720p60-pq")


# By hand: 1920 / 2.39 is 803.3, bars of 138.3; 3840 / 1.85 is 2075.7, bars of 42.2; 1280 / 2.76 is 463.8.
@pytest.mark.parametrize(
    ("written", "aspect", "bar"),
    [("1080p24-sdr", 2.39, 138), ("2160p60-pq", 1.85, 42), ("720p50-hlg", 2.76, 128)],
)
def test_bars_leave_the_aspect(written: str, aspect: float, bar: int) -> None:
    """Both bars are of the rows that the aspect leaves, all black, each measured in three parts."""
    signal = parse_signal_format(written)
    pattern = build("letterbox", {"aspect": aspect})
    claims = pattern.claims(signal)
    plane = pattern.draw(signal).frame(0).planes[0]
    black = signal.quantisation.black
    assert bar == claims.notes["bar_rows"]
    assert [black] == np.unique(np.concatenate([plane[:bar], plane[-bar:]])).tolist()
    assert black < plane[bar, -1]
    assert black < plane[-bar - 1, 0]
    measured = [region for region in claims.regions if region.purpose is Purpose.MEASURE]
    assert 6 == len(measured)
    assert 2 * bar * signal.width == sum(region.rect.area for region in measured)


# 0 and 75 % of narrow 10 bits are 64 and 721 (vectors/code_levels.toml); 64 + 657 / 2, halves up, is 393.
def test_steps_rise_above_and_fall_below() -> None:
    """Each bar has every step at its edge, in either order."""
    plane = build("letterbox", {"steps": 3}).draw(PQ).frame(0).planes[0]
    columns = [200, 640, 1080]
    assert [64, 393, 721] == plane[200, columns].tolist()
    assert [721, 393, 64] == plane[500, columns].tolist()


@STEADY
@given(st.floats(1.85, 2.76), st.integers(1, 64), st.integers(4, 1019))
def test_regions_tile_the_picture(aspect: float, steps: int, bar: int) -> None:
    """Bars and steps make up the whole picture on even places, and the aspect is met to two rows."""
    claims = build("letterbox", {"aspect": aspect, "steps": steps, "bar_code": bar}).claims(PQ)
    assert 1280 * 720 == sum(region.rect.area for region in claims.regions)
    for region in claims.regions:
        rect = region.rect
        assert not any(number % 2 for number in (rect.x, rect.y, rect.width, rect.height))
        if region.purpose is Purpose.MEASURE:
            assert bar == region.code[0]
    assert abs(720 - 2 * claims.notes["bar_rows"] - 1280 / aspect) <= SNAPPED
    assert 1280 / (720 - 2 * claims.notes["bar_rows"]) == claims.notes["aspect"]
