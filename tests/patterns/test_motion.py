"""Speeds in picture widths a second, by plain integers; rates are the fractions of SMPTE ST 2036-1."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from knownlight.frame.rates import RATES
from patterns.motion import speed_notes, whole_speed

ROUNDING = 1e-15  # relative: one division of exact fractions


# By hand: 3840 / 2 / 60 = 32; 1920 * 1001 / 60000 = 32.03; 1920 * 1001 / 24000 = 80.08; 640 / 60 = 10.67;
# 7680 * 4 / 24 = 1280, over 256; 1280 * 0.01 / 144 = 0.09, under 1; 1280 * 1.5 / 60 = 32.
@pytest.mark.parametrize(
    ("written", "widths", "expected"),
    [("2160p60-pq", 0.5, 32), ("2160p59.94-pq", 0.5, 32), ("2160p23.976-pq", 0.5, 80),
     ("720p60-sdr", 0.5, 11), ("4320p24-pq", 4.0, 256), ("720p144-sdr", 0.01, 1), ("720p60-sdr", 1.5, 32)],
)  # fmt: skip
def test_nearest_whole_speed(written: str, widths: float, expected: int) -> None:
    """A speed is the nearest whole number of pixels a frame, held to 1 to 256."""
    assert expected == whole_speed(widths, parse_signal_format(written))


@given(st.sampled_from(sorted(RATES)), st.sampled_from([320, 1280, 1920, 3840, 7680]), st.integers(1, 400))
def test_no_whole_speed_is_nearer(rate: str, width: int, hundredths: int) -> None:
    """Twice the distance to what was asked is at most a pixel, in integers, where it is within the limits."""
    signal = replace(parse_signal_format(f"720p{rate}-sdr"), width=width)
    speed = whole_speed(hundredths / 100, signal)
    over, under = signal.rate.numerator, signal.rate.denominator
    distance = 2 * abs(speed * 100 * over - hundredths * width * under)
    assert speed in (1, 256) or distance <= 100 * over * (1 + ROUNDING)
    assert 1 <= speed <= 256


# By hand: 11 * 60 / 1280 and 80 * 24000 / 1001 / 3840.
@pytest.mark.parametrize(
    ("written", "speed", "expected"), [("720p60-sdr", 11, 0.515625), ("2160p23.976-pq", 80, 500 / 1001)]
)
def test_notes_say_what_a_speed_really_is(written: str, speed: int, expected: float) -> None:
    """Notes state pixels a frame and the widths a second that they are."""
    notes = speed_notes(speed, parse_signal_format(written))
    assert {"pixels_per_frame": speed, "widths_per_second": pytest.approx(expected, rel=ROUNDING)} == notes
