"""Moving window: exact motion by whole even pixels. Paths and speeds are ours, common practice, no source."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import Cycle
from knownlight.signal.arrays import PlaneArray
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True, max_examples=25)
SMALL = replace(parse_signal_format("720p60-pq"), width=640, height=360)


def moving(signal: SignalFormat = SMALL, /, **keys: str | float) -> Cycle:
    """The frames of a moving window."""
    frames = build("moving-window", keys).draw(signal)
    assert isinstance(frames, Cycle)
    return frames


def corner(plane: PlaneArray) -> tuple[int, int]:
    """Left and top of the lit pixels."""
    rows, columns = np.nonzero(plane == 940)
    return int(columns.min()), int(rows.min())


# By hand: 4 % of 640 by 360 is 128 by 72, which leaves 512 by 288; at 8 pixels a frame 64 frames each way
# across and 36 down. A wide speed cuts the room to whole frames: 60 goes 8 times into 512, 4 times into 288.
@pytest.mark.parametrize(("speed", "across", "down"), [(8, 64, 36), (60, 8, 4)])
def test_a_round_is_a_rectangle(speed: int, across: int, down: int) -> None:
    """The window goes right, down, left and up by its speed and is back where it was when the period ends."""
    frames = moving(pixels_per_frame=speed)
    assert 2 * (across + down) == frames.period
    places = [corner(frames.frame(index).planes[0]) for index in range(frames.period + 1)]
    steps = [(after[0] - before[0], after[1] - before[1]) for before, after in pairwise(places)]
    expected = [(speed, 0)] * across + [(0, speed)] * down + [(-speed, 0)] * across + [(0, -speed)] * down
    assert expected == steps


@STEADY
@given(st.floats(0.01, 20.0), st.integers(1, 32))
def test_a_round_never_meets_its_own_trail(area: float, half_speed: int) -> None:
    """No place is lit, left and lit again within a round, and the claimed middle is never lit."""
    keys = {"area_percent": area, "pixels_per_frame": 2 * half_speed}
    frames = moving(**keys)
    lit = np.zeros((360, 640), dtype=np.int64)
    before = np.zeros((360, 640), dtype=bool)
    for index in range(frames.period):
        now = frames.frame(index).planes[0] == 940
        lit += now & ~before
        before = now
    lit -= (frames.frame(0).planes[0] == 940) & before  # lit at the end and at the start is lit once
    assert 1 == lit.max()
    (middle,) = build("moving-window", keys).claims(SMALL).regions
    assert 0 == lit[middle.rect.slices].max()


@pytest.mark.parametrize(("path", "axis", "length"), [("across", 1, 640), ("down", 0, 360)])
@pytest.mark.parametrize("speed", [2, 8, 20])
def test_straight_ways_wrap(path: str, axis: int, length: int, speed: int) -> None:
    """Each frame is the first moved on, what leaves comes in; the period is the shortest exact one."""
    frames = moving(path=path, pixels_per_frame=speed)
    first = frames.frame(0).planes[0]
    for index in (1, frames.period // 2, frames.period - 1, frames.period):
        expected = np.roll(first, index * speed, axis)
        np.testing.assert_array_equal(expected, frames.frame(index).planes[0])
    assert 0 == frames.period * speed % length
    assert all(index * speed % length for index in range(1, frames.period))


# BT.1702-3, known second-hand: more than three flashes a second over more than a quarter of the screen, each
# of 20 cd/m² or more. By hand: 640 at 40 a frame is 16 frames, 3.75 times a second, at 32 it is 3; 9 %
# of the area passes 30 % of the height, 4 % passes 20 %.
@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ({"pixels_per_frame": 40, "area_percent": 9}, True),
        ({"pixels_per_frame": 32, "area_percent": 9}, False),
        ({"pixels_per_frame": 40, "area_percent": 4}, False),
        ({"pixels_per_frame": 40, "area_percent": 9, "luminance": 19}, False),
    ],
)
def test_a_window_that_comes_by_too_often_flashes(keys: dict[str, float], *, expected: bool) -> None:
    """A wide way that is lit more than three times a second is a hazard."""
    hazards = build("moving-window", {"path": "across", **keys}).claims(SMALL).hazards
    assert expected == (Hazard.FLASHING in hazards)


def test_the_period_is_the_natural_length() -> None:
    """Fifty steps of 16 pixels and fifty back, at 60 a second, are five thirds of a second."""
    assert Fraction(5, 3) == build("moving-window", {}).natural_seconds(SMALL)


@pytest.mark.parametrize(
    ("written", "keys", "said"),
    [
        ("720p60-pq", {"pixels_per_frame": 9}, "pixels_per_frame=9 is odd; use 8"),
        (
            "2160p60-pq",
            {"path": "across", "pixels_per_frame": 2},
            "pixels_per_frame=2 comes back after 1920 frames, more than 1200; use 4",
        ),
        (
            "720p60-pq",
            {"surround_code": 940},
            "the window and its surround are both code 940; use two levels",
        ),
    ],
)
def test_what_is_refused(written: str, keys: dict[str, str | int], said: str) -> None:
    """Odd speeds, periods too long to prove and a window that is not seen are refused with what to use."""
    with pytest.raises(BadInput) as caught:
        build("moving-window", keys).claims(parse_signal_format(written))
    assert f"moving-window: {said}" == str(caught.value)
