"""Moving edge: exact motion and period by plain integers. Levels and speeds are ours, no source."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import Cycle, Levels
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True)
PQ = parse_signal_format("720p60-pq")
SMALL = replace(PQ, width=320, height=180)


def source(signal: SignalFormat = PQ, **keys: float) -> Cycle:
    """The frames of an edge."""
    frames = build("moving-edge", keys).draw(signal)
    assert isinstance(frames, Cycle)
    return frames


# By hand: the width over its greatest common divisor with the speed.
@pytest.mark.parametrize(
    ("height", "speed", "expected"),
    [(720, 16, 80), (1080, 16, 120), (2160, 16, 240), (4320, 16, 480), (720, 12, 320), (2160, 15, 256),
     (720, 256, 5), (1080, 256, 15)],
)  # fmt: skip
def test_the_period_is_the_way_round(height: int, speed: int, expected: int) -> None:
    """The band is back after the width over its common divisor with the speed."""
    signal = parse_signal_format(f"{height}p60-pq")
    assert expected == source(signal, pixels_per_frame=speed).period
    assert expected == build("moving-edge", {"pixels_per_frame": speed}).claims(signal).notes["period_frames"]


@STEADY
@given(st.sampled_from([1, 2, 4, 7, 16, 64, 200]), st.integers(0, 319))
def test_each_frame_is_the_one_before_moved_left(speed: int, index: int) -> None:
    """Frame i + 1 is frame i moved left by the speed and wrapped round; after the last comes the first."""
    frames = source(SMALL, pixels_per_frame=speed)
    before, after = (frames.frame(at).planes[0] for at in (index, index + 1))
    np.testing.assert_array_equal(np.roll(before, -speed, axis=1), after)
    np.testing.assert_array_equal(frames.draw(frames.period).planes[0], frames.frame(0).planes[0])
    assert Levels.MOVED is frames.levels


# 60 % and 20 % of 10 bits: 64 + 876 * 0.6 = 589.6 and 64 + 175.2 = 239.2 (BT.2100-2 Table 9, by hand).
def test_half_is_lit() -> None:
    """The first frame is lit from the left edge to the middle, from top to bottom."""
    expected = np.tile(np.repeat([590, 239], 640), (720, 1))
    np.testing.assert_array_equal(expected, source().frame(0).planes[0])


# By hand: 1280 / 480 asks for a divisor of 3 or more, so 10, 12, 25 and 28 are speeds and 11, 26 and 27 are
# not; 640 / 60 = 10.67, 640 / 24 = 26.67, 1920 / 60 = 32.
@pytest.mark.parametrize(
    ("written", "expected"), [("720p60-pq", 10), ("720p24-pq", 28), ("2160p60-pq", 32), ("4320p60-pq", 64)]
)
def test_half_a_width_a_second(written: str, expected: int) -> None:
    """A speed in widths is the nearest that brings the band back within 480 frames; notes say what it is."""
    signal = parse_signal_format(written)
    notes = build("moving-edge", {"widths_per_second": 0.5}).claims(signal).notes
    assert expected == notes["pixels_per_frame"]
    assert float(expected * signal.rate / signal.width) == notes["widths_per_second"]
    assert source(signal, widths_per_second=0.5).period <= 480


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"pixels_per_frame": 11}, "comes round after 1280 frames at a width of 1280; use 10, the nearest"),
        (
            {"code": 400, "background_code": 400},
            "both levels are code 400, so there is no edge; use two levels",
        ),
    ],
)
def test_what_is_refused(keys: dict[str, int], said: str) -> None:
    """A speed that takes too long to come round, and an edge between equals, are refused with a remedy."""
    pattern = build("moving-edge", keys)
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput) as caught:
            refused(PQ)
        assert said in str(caught.value)


# By hand: 64 pixels at 60 frames are three widths of 1280 a second, 80 are 3.75; BT.1702-3 (second-hand)
# permits three flashes a second, and changes of less than 20 cd/m².
@pytest.mark.parametrize(
    ("keys", "flashes"),
    [({}, False), ({"pixels_per_frame": 64}, False), ({"pixels_per_frame": 80}, True),
     ({"pixels_per_frame": 80, "luminance": 19, "background_luminance": 0}, False)],
)  # fmt: skip
def test_a_fast_band_flashes(keys: dict[str, float], flashes: bool) -> None:  # noqa: FBT001 - a table's column
    """A band that passes each place more than three times a second is a hazard where its edge is strong."""
    expected = frozenset({Hazard.FLASHING}) if flashes else frozenset()
    assert expected == build("moving-edge", keys).claims(PQ).hazards
