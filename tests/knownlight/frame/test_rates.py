"""Frame rates as exact fractions: BT.2020-2 Table 2 and SMPTE ST 2036-1 (from memory), plus 48 and 144."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.rates import RATES, frames_in, rate_from_text, text_from_rate

STEADY = settings(deadline=None, derandomize=True)


# The thousand-and-first rates are N * 1000 / 1001 there; 48 and 144 are common practice, no source.
@pytest.mark.parametrize(
    ("text", "over", "under"),
    [
        ("23.976", 24000, 1001),
        ("24", 24, 1),
        ("25", 25, 1),
        ("29.97", 30000, 1001),
        ("30", 30, 1),
        ("48", 48, 1),
        ("50", 50, 1),
        ("59.94", 60000, 1001),
        ("60", 60, 1),
        ("100", 100, 1),
        ("119.88", 120000, 1001),
        ("120", 120, 1),
        ("144", 144, 1),
    ],
)
def test_rate(text: str, over: int, under: int) -> None:
    """A written rate is its exact fraction, and is written so again."""
    assert Fraction(over, under) == rate_from_text(text)
    assert text == text_from_rate(Fraction(over, under))


def test_no_rate_is_left_out() -> None:
    """The rates above are all there are."""
    expected = 13
    assert expected == len(RATES)


@pytest.mark.parametrize("text", ["23.98", "60.0", "0", "61", ""])
def test_unknown_rate_is_refused(text: str) -> None:
    """A rate that is none of the known ones is refused with the whole list."""
    with pytest.raises(
        BadInput, match=rf"frame rate '{text}' is not known; use one of 23\.976, 24, .*, 144$"
    ):
        rate_from_text(text)


# By hand: 10 s of 60000/1001 are 599.4 frames; 0.0125 s of 60 are 0.75, of 120 are 1.5.
@pytest.mark.parametrize(
    ("expected", "seconds", "rate"),
    [
        (599, Fraction(10), "59.94"),
        (240, Fraction(10), "24"),
        (1, Fraction(1, 80), "60"),
        (2, Fraction(1, 80), "120"),
        (1, Fraction(0), "60"),
    ],
)
def test_frames_in_a_length(expected: int, seconds: Fraction, rate: str) -> None:
    """A length has the nearest number of whole frames, and never none."""
    assert expected == frames_in(seconds, rate_from_text(rate))


@STEADY
@given(st.integers(1, 100_000), st.sampled_from(sorted(RATES.values())))
def test_frames_there_and_back(frames: int, rate: Fraction) -> None:
    """The exact length of some frames has that many frames."""
    assert frames == frames_in(frames / rate, rate)
