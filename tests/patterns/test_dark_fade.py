"""Dark fade: the mean of every picture on straight lines between two levels. No published source."""

import hashlib
from fractions import Fraction

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import Cycle
from patterns.registry import build

SDR = parse_signal_format("720p24-sdr")
SDR_60 = parse_signal_format("720p60-sdr")
PQ = parse_signal_format("720p60-pq")
# Codes: half a part of 1/16 for the level of each picture, and what a tile of grain of 0.75 or 3 codes adds
# to the mean of a whole picture that it covers unevenly; measured 0.040 and 0.072.
EVEN = {8: 0.05, 10: 0.08}


def means(signal: SignalFormat, **keys: object) -> list[float]:
    """Mean code of every picture of a round."""
    source = build("dark-fade", keys).draw(signal)
    assert isinstance(source, Cycle)
    return [float(source.frame(index).planes[0].mean()) for index in range(source.period)]


# 11.9 % and 1.83 % by hand: 16 + 26.06 = 42 and 16 + 4.008 = 20 at 8 bits; 64 + 104.2 = 168 and 64 + 16.03
# = 80 at 10. At 24 a second a fall of two seconds has 48 steps of 22/48 codes.
@pytest.mark.parametrize(
    ("signal", "high", "low", "fall"), [(SDR, 42, 20, 48), (SDR_60, 42, 20, 120), (PQ, 168, 80, 120)]
)
def test_the_mean_moves_evenly(signal: SignalFormat, high: int, low: int, fall: int) -> None:
    """It falls on a straight line from the high level to the low one and rises on another."""
    asked = [high - (high - low) * min(index, 2 * fall - index) / fall for index in range(2 * fall)]
    np.testing.assert_allclose(asked, means(signal), atol=EVEN[signal.depth])


def test_without_grain_dither_keeps_the_mean() -> None:
    """Dither alone makes the levels between codes; without it a flat field stays for pictures, then jumps."""
    keys = {"grain_percent": 0, "texture_percent": 0}
    # half a part of 1/16 higher: a level that is a whole part lies at the lower end of what is dithered alike
    asked = [42 + 1 / 32 - 22 * min(index, 96 - index) / 48 for index in range(96)]
    np.testing.assert_allclose(asked, means(SDR, **keys), atol=1 / 32 + 0.002)
    bare = means(SDR, **keys, dither="none")
    assert all(level == int(level) for level in bare)


def test_it_may_rise_first() -> None:
    """A low level above the high one is a rise and then a fall."""
    found = means(SDR, high_code=20, low_code=42, repeat_seconds=1)
    assert abs(found[0] - 20) < EVEN[8]
    assert abs(found[12] - 42) < EVEN[8]


def test_texture_stays() -> None:
    """What is dark at the high level is dark at the low one: the texture itself does not move."""
    source = build("dark-fade", {"grain_percent": 0, "dither": "none", "texture_percent": 2}).draw(SDR)
    high, low = (source.frame(index).planes[0].astype(int) for index in (0, 48))
    np.testing.assert_array_equal(high - 22, low)


def test_a_round_is_the_natural_length() -> None:
    """Four seconds at whole rates; at 23.976 the nearest whole number of pictures, 96."""
    pattern = build("dark-fade", {})
    assert Fraction(4) == pattern.natural_seconds(SDR)
    assert 96 * Fraction(1001, 24000) == pattern.natural_seconds(parse_signal_format("1080p23.976-sdr"))
    with pytest.raises(BadInput, match="repeat_seconds=0 is out of range; use 1 to 60 s"):
        build("dark-fade", {"repeat_seconds": 0})


def test_the_step_is_claimed() -> None:
    """22 codes in 48 pictures, or in 120."""
    for signal, fall in ((SDR, 48), (SDR_60, 120)):
        found = build("dark-fade", {}).claims(signal).notes["codes_per_frame"]
        np.testing.assert_allclose(22 / fall, found)


def test_pictures_are_pinned() -> None:
    """The fifth picture is that of every earlier version."""
    plane = build("dark-fade", {}).draw(SDR).frame(5).planes[0]
    assert (
        "b4534552c74947f3814209cb0d5632b45650b32436d117ccd011da628f50daa1"
        == hashlib.sha256(plane.tobytes()).hexdigest()
    )
