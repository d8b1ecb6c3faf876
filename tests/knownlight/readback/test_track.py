"""The rate that a file's times and durations stand for."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knownlight.frame.rates import RATES
from knownlight.readback.track import are_steady, known_rate, rate_of_times

# ticks/s, and the pictures after which 119.88 and 120 frames/s are told apart, by a whole tick: 1/120 s in a
# thousand is 1/120 000 s a picture
CLOCKS = {90_000: 3, 1_000: 121}
NANOSECONDS = 1_000_000_000


def rounded(value: Fraction) -> int:
    """The nearest whole number; halves up."""
    return int(value + Fraction(1, 2))


def times_of(rate: Fraction, clock: int, pictures: int, start: int = 0) -> list[int]:
    """Times of pictures of a rate on a clock, from a tick on."""
    return [start + rounded(index * clock / rate) for index in range(pictures)]


@pytest.mark.parametrize("rate", RATES.values(), ids=str)
def test_a_duration_in_whole_nanoseconds_stands_for_its_rate(rate: Fraction) -> None:
    """Matroska's DefaultDuration (RFC 9559) rounds 1001/24000 s to 41 708 333 ns; the rate is exact again."""
    assert rate == known_rate(Fraction(NANOSECONDS, rounded(NANOSECONDS / rate)))


@pytest.mark.parametrize("rate", [Fraction(15), Fraction(2397, 100), Fraction(35964, 600)])
def test_a_rate_that_stands_for_none_stays(rate: Fraction) -> None:
    """15 is no rate of ours, 23.97 is not 24000/1001 and 59.94 not 60000/1001."""
    assert rate == known_rate(rate)


@given(
    rate=st.sampled_from(list(RATES.values())),
    clock=st.sampled_from(list(CLOCKS)),
    more=st.integers(0, 50),
    start=st.integers(0, 1 << 33),
)
def test_times_rounded_to_a_clock_are_steady_and_tell_the_rate(
    rate: Fraction, clock: int, more: int, start: int
) -> None:
    """Every rate is told from the others on the clocks of transport streams and of Matroska."""
    times = times_of(rate, clock, CLOCKS[clock] + more, start)
    assert are_steady(times, clock, rate)
    assert rate == rate_of_times(times, clock)


@given(
    rate=st.sampled_from(list(RATES.values())),
    clock=st.sampled_from(list(CLOCKS)),
    pictures=st.integers(2, 50),
    moved=st.sampled_from([-2, 2]),
    data=st.data(),
)
def test_a_time_two_ticks_off_is_not_steady(
    rate: Fraction, clock: int, pictures: int, moved: int, data: st.DataObject
) -> None:
    """Whichever picture it is, the first one too."""
    times = times_of(rate, clock, pictures, start=10)
    times[data.draw(st.integers(0, pictures - 1))] += moved
    assert not are_steady(times, clock, rate)


def test_drift_is_not_steady() -> None:
    """Pictures of 24 frames/s are no longer those of 23.976 once their difference passes a tick."""
    times = times_of(Fraction(24), 1_000, 48)
    assert are_steady(times[:12], 1_000, RATES["23.976"])
    assert not are_steady(times, 1_000, RATES["23.976"])


def test_times_of_no_known_rate_have_their_mean() -> None:
    """Five pictures in 0.4 s are 10 a second, steady or not."""
    assert Fraction(10) == rate_of_times([0, 9_000, 20_000, 27_000, 36_000], 90_000)


@pytest.mark.parametrize("times", [[], [5], [5, 5]], ids=["none", "one", "no time between"])
def test_too_few_times_tell_no_rate(times: list[int]) -> None:
    """A rate needs two times that differ."""
    assert rate_of_times(times, 90_000) is None
