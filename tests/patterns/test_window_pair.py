"""Two windows: area at the screen's aspect is common practice, no source; even sides are our own rule."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.claims import Purpose
from knownlight.frame.format import parse_signal_format
from patterns.registry import build

SNAPPED = 1.0  # pixels: sides are even
STEADY = settings(deadline=None, derandomize=True, max_examples=50)
PQ = parse_signal_format("1080p60-pq")


# By hand: the root of 4 % is a fifth: 384 by 216 of 1920 by 1080; 25 % is half of each side. PQ codes of 1000
# and 100 cd/m² at 10 bits are 723 and 509 (ST 2084, vectors/pq.toml).
@pytest.mark.parametrize(
    ("arrangement", "first", "second"),
    [("beside", (288, 432), (960, 270)), ("above", (768, 162), (480, 540))],
)
def test_each_has_its_area_place_and_level(
    arrangement: str, first: tuple[int, int], second: tuple[int, int]
) -> None:
    """4 % and 25 % stand in the middle of the halves, each with its own level."""
    keys = {
        "first_area_percent": 4,
        "second_area_percent": 25,
        "first_luminance": 1000,
        "second_luminance": 100,
    }
    claims = build("window-pair", {**keys, "arrangement": arrangement}).claims(PQ)
    windows = [region for region in claims.regions if region.purpose is Purpose.MEASURE]
    assert ["first", "second"] == [region.name for region in windows]
    assert [723, 509] == [region.code[0] for region in windows]
    assert [first, second] == [(region.rect.x, region.rect.y) for region in windows]
    assert [(384, 216), (960, 540)] == [(region.rect.width, region.rect.height) for region in windows]
    assert {"first_area_percent": 4.0, "second_area_percent": 25.0} == dict(claims.notes)


@STEADY
@given(
    st.floats(0.01, 25.0),
    st.floats(0.01, 25.0),
    st.sampled_from(["beside", "above"]),
    st.sampled_from(["720p24-sdr", "1080p60-pq", "4320p60-hlg"]),
)
def test_regions_tile_the_picture(first: float, second: float, arrangement: str, written: str) -> None:
    """Windows and surround lie inside, on even places, and make up the whole picture without overlap."""
    signal = parse_signal_format(written)
    keys = {"first_area_percent": first, "second_area_percent": second, "arrangement": arrangement}
    regions = build("window-pair", keys).claims(signal).regions
    rects = [region.rect for region in regions]
    assert signal.width * signal.height == sum(rect.area for rect in rects)
    for index, one in enumerate(rects):
        assert not any(number % 2 for number in (one.x, one.y, one.width, one.height))
        assert one.x >= 0
        assert one.y >= 0
        assert one.right <= signal.width
        assert one.bottom <= signal.height
        for other in rects[index + 1 :]:
            across = min(one.right, other.right) - max(one.x, other.x)
            down = min(one.bottom, other.bottom) - max(one.y, other.y)
            assert across <= 0 or down <= 0
    for region, area in zip(
        (r for r in regions if r.purpose is Purpose.MEASURE), (first, second), strict=True
    ):
        share = math.sqrt(area / 100.0)
        assert abs(region.rect.width - max(2.0, signal.width * share)) <= SNAPPED
        assert abs(region.rect.height - max(2.0, signal.height * share)) <= SNAPPED
