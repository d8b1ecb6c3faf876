"""Swinging bar: a pendulum against numpy's sine; periods by hand. Sizes and levels are ours, no source."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import Cycle
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True)
PQ = parse_signal_format("720p60-pq")
SMALL = replace(PQ, width=320, height=180)


def drawn(signal: SignalFormat, keys: dict[str, float | str]) -> tuple[Cycle, list[int], int]:
    """The frames, the bar's left edge in each, and its width, read from the first row of pixels."""
    source = build("swinging-bar", keys).draw(signal)
    assert isinstance(source, Cycle)
    lit = [np.flatnonzero(source.frame(index).planes[0][0] != 64) for index in range(source.period)]
    widths = {len(columns) for columns in lit}
    assert 1 == len(widths)
    assert all(columns[-1] - columns[0] + 1 == len(columns) for columns in lit)
    return source, [int(columns[0]) for columns in lit], widths.pop()


@pytest.mark.parametrize(
    ("rate", "seconds", "expected"),
    [("60", 4, 240), ("59.94", 4, 240), ("23.976", 4, 96), ("25", 1, 25), ("144", 1.5, 216)],
)
def test_periods(rate: str, seconds: float, expected: int) -> None:
    """A period is the nearest whole number of frames, by hand."""
    signal = replace(parse_signal_format(f"720p{rate}-pq"), width=320, height=180)
    assert expected == drawn(signal, {"seconds": seconds})[0].period


# By hand at 1280: a bar of 5 % is 64, its left edge 608 in the middle; 80 % is 512 each way less half a bar.
def test_the_bar_follows_a_sine() -> None:
    """Each left edge is the even position nearest to middle and sine; held frames are one object."""
    source, lefts, width = drawn(PQ, {})
    assert 64 == width
    exact = 608 + 480 * np.sin(2 * np.pi * np.arange(240) / 240)
    assert np.abs(exact - lefts).max() <= 1.0
    assert {0} == {left % 2 for left in lefts}
    assert [608, 1088, 608, 128] == [lefts[index] for index in (0, 60, 120, 180)]
    assert source.frame(60) is source.frame(61)
    assert (
        max(abs(after - before) for before, after in pairwise(lefts))
        == build("swinging-bar", {}).claims(PQ).notes["fastest_pixels_per_frame"]
    )


@STEADY
@given(
    st.sampled_from(["one", "two"]),
    st.integers(5, 250),
    st.integers(30, 100),
    st.sampled_from([1.0, 1.3, 2.0]),
)
def test_claims_are_the_pixels(bars: str, tenths: int, swing: int, seconds: float) -> None:
    """Whatever swings: areas are the pixels of every frame, and the dark sides are as wide as can be."""
    keys: dict[str, float | str] = {
        "bars": bars, "bar_percent": tenths / 10, "swing_percent": swing, "seconds": seconds
    }  # fmt: skip
    source, lefts, width = drawn(SMALL, keys)
    claims = build("swinging-bar", keys).claims(SMALL)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    ever = np.zeros((180, 320), dtype=np.bool_)
    for index in range(source.period):
        plane = source.frame(index).planes[0]
        codes, counts = np.unique(plane, return_counts=True)
        assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
        ever |= plane != 64
    columns = np.flatnonzero(ever.any(axis=0))
    clear = min(int(columns[0]), 319 - int(columns[-1]))
    assert [clear] * 2 == [region.rect.width for region in claims.regions] or (clear, claims.regions) == (
        0,
        (),
    )
    assert 2 * (clear // 2) == clear
    assert min(lefts) >= 0
    assert max(lefts) + width <= 320


def test_two_bars_are_mirror_pictures() -> None:
    """The lower bar is the upper one's mirror picture in every frame, and each is half the height."""
    source = build("swinging-bar", {"bars": "two"}).draw(PQ)
    for index in (0, 13, 60, 200):
        plane = source.frame(index).planes[0]
        np.testing.assert_array_equal(plane[:360], plane[360:, ::-1])
        assert 1 == len(np.unique(plane[:360], axis=0))


def test_equal_levels_are_refused() -> None:
    """A bar as dark as what lies around it is refused in words."""
    pattern = build("swinging-bar", {"code": 64})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput, match="bar and background are both code 64; use two levels"):
            refused(PQ)
