"""Fade: even in signal (codes: H.273 clause 8.3); times are ours, common practice, no source."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True, max_examples=40)
SMALL = replace(parse_signal_format("720p60-pq"), width=64, height=36)
WHOLE = 0.5 + 0.06  # frames: half a one, and what a time held to a thousandth of a second is of 60
FILM = replace(parse_signal_format("720p23.976-sdr"), width=64, height=36)


def codes(signal: SignalFormat, **keys: float) -> list[int]:
    """The code of the field in every frame of a period."""
    frames = build("fade", keys).draw(signal)
    found = []
    for index in range(frames.unrepeated(10**6)):
        (code,) = np.unique(frames.frame(index).planes[0])
        found.append(int(code))
    return found


# By hand: half a second of 60 is 30 frames, 64 to 502 (50 % by H.273 clause 8.3) are 438 codes.
def test_up_and_down_again() -> None:
    """Black is held, then rises evenly to the level, which is held, and falls the same way."""
    up = [64 + int(np.floor(438 * index / 30 + 0.5)) for index in range(31)]
    expected = [64] * 12 + up + [502] * 12 + up[-2:0:-1]
    assert expected == codes(SMALL, fade_seconds=0.5, rest_seconds=0.2)


@STEADY
@given(st.integers(4, 1019).filter(lambda code: code != 64), st.floats(0.5, 3.0), st.floats(0.0, 2.0))
def test_every_fade_is_even_and_comes_round(code: int, fade: float, rest: float) -> None:
    """The period is as long as its parts, its halves mirror, and each step is the nearest code."""
    claims = build("fade", {"code": code, "fade_seconds": fade, "rest_seconds": rest}).claims(SMALL)
    found = codes(SMALL, code=code, fade_seconds=fade, rest_seconds=rest)
    steps, held = int(claims.notes["fade_frames"]), int(claims.notes["rest_frames"])
    assert abs(steps - 60 * fade) <= WHOLE
    assert 2 * (steps + held) == len(found) == claims.notes["period_frames"]
    assert (min(code, 64), max(code, 64)) == (min(found), max(found))
    assert found[held : held + steps + 1] == [*found[2 * held + steps :], 64][::-1]
    even = [64 + (code - 64) * index / steps for index in range(steps + 1)]
    assert max(abs(a - b) for a, b in zip(even, found[held:], strict=False)) <= 0.5


# 3 s of 24000/1001 are 71.93 frames, one second 23.98.
def test_a_period_is_whole_frames() -> None:
    """Times become the nearest whole frames, and the natural length is theirs."""
    assert Fraction(2 * (72 + 24) * 1001, 24000) == build("fade", {}).natural_seconds(FILM)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            {"fade_seconds": 8, "rest_seconds": 3},
            "up and down takes 1320 frames, more than 1200; use fade_seconds and rest_seconds of 10 together",
        ),
        ({"signal_percent": 0}, "the level is black, code 64; use another"),
        ({"fade_seconds": 0.4}, "fade_seconds=0.4 is out of range; use 0.5 to 20 s"),
    ],
)
def test_what_is_refused(keys: dict[str, float], said: str) -> None:
    """Periods too long to prove, a fade to black and one that flashes are refused with what to use."""
    with pytest.raises(BadInput) as caught:
        build("fade", keys).claims(SMALL)
    assert str(caught.value).startswith(f"fade: {said}")
