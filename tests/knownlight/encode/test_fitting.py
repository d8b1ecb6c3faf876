"""The level's bucket and the search for the finest quantiser, against closed forms."""

import math
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pymediainfo import MediaInfo

from knownlight.encode.fitting import (
    buffer_peak,
    first_that_fits,
    fits,
    packet_sizes,
    peak_rate,
)
from knownlight.encode.quantiser import error_limit, index_error_limit, scale_error_limit
from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.metadata.levels import Limits

RATE = Fraction(25)
DRAINED = 8_000  # bits a picture at 200 000 bit/s and 25 pictures/s: one thousand bytes
BITS_PER_SECOND = 25 * DRAINED
SIZES = st.lists(st.integers(0, 5_000), min_size=1, max_size=40)
LADDER = tuple(range(2, 40, 2))


def test_even_pictures_never_fill_more_than_one_of_them() -> None:
    """Pictures no larger than what drains between two leave an empty bucket for the next."""
    assert 8_000.0 == buffer_peak([1_000] * 50, RATE, BITS_PER_SECOND)


def test_pictures_above_the_rate_pile_up() -> None:
    """Each picture leaves its excess behind: after 2n of them, one picture and 2n - 1 excesses."""
    assert 8 * 1_500 + (2 * 10 - 1) * 8 * 500 == buffer_peak([1_500] * 10, RATE, BITS_PER_SECOND)


def test_a_large_picture_drains_under_the_small_ones() -> None:
    """A first picture of 5 000 bytes is the peak where the group lasts long enough to drain it."""
    assert 8 * 5_000 == buffer_peak([5_000, *[0] * 9], RATE, BITS_PER_SECOND)


def test_a_group_too_short_to_drain_carries_over_to_its_repeat() -> None:
    """Of 5 000 bytes, two intervals drain 2 000; the repeat comes on top of the 3 000 that are left."""
    assert 8 * (3_000 + 5_000) == buffer_peak([5_000, 0], RATE, BITS_PER_SECOND)


@given(SIZES)
def test_the_bucket_is_the_largest_excess_of_any_stretch(sizes: list[int]) -> None:
    """The fill is the largest sum over consecutive pictures of their bits less what drained between them.

    That is the closed form of a queue (Lindley); whole numbers, so both sides are exact.
    """
    twice = [*sizes, *sizes]
    expected = max(
        8 * sum(twice[first : last + 1]) - DRAINED * (last - first)
        for first in range(len(twice))
        for last in range(first, len(twice))
    )
    assert expected == buffer_peak(sizes, RATE, BITS_PER_SECOND)


@pytest.mark.parametrize(
    ("sizes", "limits", "expected"),
    [
        pytest.param([1_000] * 4, Limits(BITS_PER_SECOND, 8_000, 0), True, id="rate and buffer met exactly"),
        pytest.param([1_000] * 4, Limits(BITS_PER_SECOND - 1, 80_000, 0), False, id="one bit a second over"),
        pytest.param(
            [2_000, 0, 0, 0], Limits(BITS_PER_SECOND, 16_000, 0), True, id="large picture in buffer"
        ),
        pytest.param(
            [2_000, 0, 0, 0], Limits(BITS_PER_SECOND, 15_999, 0), False, id="one bit over the buffer"
        ),
        pytest.param(
            [1_000] * 4, Limits(BITS_PER_SECOND, 8_000, 1_000), True, id="picture limit met exactly"
        ),
        pytest.param([1_000] * 4, Limits(BITS_PER_SECOND, 8_000, 999), False, id="one byte over the picture"),
    ],
)
def test_each_limit_counts_to_the_last_bit(*, sizes: list[int], limits: Limits, expected: bool) -> None:
    """A stream at a limit fits; one unit beyond any of the three does not."""
    assert expected == fits(sizes, RATE, limits)


def test_the_peak_rate_of_even_pictures_is_their_rate() -> None:
    """1 000 bytes 25 times a second are 200 000 bit/s, over any window."""
    assert 200_000 == peak_rate([1_000] * 60, RATE)


def test_the_peak_rate_is_that_of_the_busiest_second() -> None:
    """Only the second with both large pictures counts: 25 pictures, 23 of 100 bytes and two of 10 000."""
    sizes = [100] * 100
    sizes[40] = sizes[60] = 10_000
    assert 8 * (23 * 100 + 2 * 10_000) == peak_rate(sizes, RATE)


def test_large_pictures_more_than_a_second_apart_do_not_add_up() -> None:
    """Twenty-five pictures apart, no window of 25 holds both."""
    sizes = [100] * 100
    sizes[40] = sizes[65] = 10_000
    assert 8 * (24 * 100 + 10_000) == peak_rate(sizes, RATE)


def test_a_stream_shorter_than_a_second_counts_as_repeating() -> None:
    """Five pictures of 1 000 bytes last a fifth of a second: still 200 000 bit/s."""
    assert 200_000 == peak_rate([1_000] * 5, RATE)


def test_the_peak_rate_keeps_a_fractional_rate() -> None:
    """24 pictures at 24000/1001 last 1.001 s: 24 024 bytes in them are 192 000 bit/s exactly.

    A window of 23 pictures would find the same bytes in a shorter time.
    """
    sizes = [24 * 1_001, *[0] * 23] * 2
    assert 192_000 == peak_rate(sizes, Fraction(24_000, 1_001))


@given(SIZES)
def test_the_peak_rate_is_the_busiest_window_by_brute_force(sizes: list[int]) -> None:
    """The running sum finds what summing every window anew finds."""
    window = min(25, len(sizes))
    busiest = max(sum(sizes[start : start + window]) for start in range(len(sizes) - window + 1))
    assert round(8 * busiest * 25 / window) == peak_rate(sizes, RATE)


@pytest.mark.parametrize("threshold", LADDER)
def test_the_first_value_that_fits_is_found(threshold: int) -> None:
    """Whichever value is the first to fit is returned, in as many looks as bisection needs."""
    asked: list[int] = []

    def is_fit(value: int) -> bool:
        asked.append(value)
        return value >= threshold

    assert threshold == first_that_fits(LADDER, is_fit)
    assert len(asked) <= math.ceil(math.log2(len(LADDER)))


def test_the_last_value_is_returned_where_none_fits() -> None:
    """The caller tries it for real and finds that it does not fit."""
    assert LADDER[-1] == first_that_fits(LADDER, lambda _: False)


def test_one_value_needs_no_look() -> None:
    """A ladder of one rung is answered without asking."""

    def never(value: int) -> bool:
        raise AssertionError(value)

    assert 7 == first_that_fits([7], never)


@pytest.mark.parametrize("name", ["hevc-pq-metadata", "avc-sdr-sound"])
def test_packet_sizes_add_up_to_the_stream(
    name: str, independent_clip: Callable[[str], Path], stop: Stop
) -> None:
    """Twenty pictures, whose sizes add up to MediaInfo's size of the video stream."""
    path = independent_clip(name)
    sizes = packet_sizes(path, stop)
    assert 20 == len(sizes)
    assert MediaInfo.parse(str(path)).video_tracks[0].stream_size == sum(sizes)


def test_a_file_without_video_has_no_packets_to_list(
    independent_clip: Callable[[str], Path], stop: Stop
) -> None:
    """A sound file is told, with the file's name."""
    with pytest.raises(ToolFailed, match=r"^sound-only\.mp4: its packets could not be listed: ffmpeg says: "):
        packet_sizes(independent_clip("sound-only"), stop)


@pytest.mark.parametrize(
    ("quantiser", "depth", "expected"), [(4, 8, 4), (10, 8, 8), (16, 8, 16), (10, 10, 32), (22, 8, 32)]
)
def test_error_limit_doubles_every_six_steps(quantiser: int, depth: int, expected: int) -> None:
    """The step is 1 at QP 4 and doubles every 6 (H.264 clause 8.5); ten bits have four times the codes."""
    assert expected == error_limit(quantiser, depth)


# By hand: step (4 + 7) / 8 = 1.375 codes of 8 bits at index 4, four of them 5.5; (92 + 7) / 8 = 12.375 at 92.
@pytest.mark.parametrize(("index", "depth", "expected"), [(4, 8, 6), (4, 10, 24), (92, 8, 50), (92, 10, 200)])
def test_limits_of_quantiser_indices(index: int, depth: int, expected: int) -> None:
    """Four steps of the table that AV1 and VP9 share, at 8 bits and as much of the range at 10."""
    assert expected == index_error_limit(index, depth)


def test_an_index_past_the_even_part_has_no_limit() -> None:
    """The formula ends where the table's steps grow faster."""
    with pytest.raises(ValueError, match="102"):
        index_error_limit(102, 8)


@pytest.mark.parametrize(("scale", "expected"), [(1, 14), (31, 194)])
def test_limits_of_quantiser_scales(scale: int, expected: int) -> None:
    """Eight codes and six steps: with flat matrices of 8, a step is the scale (H.262 clause 7.4.2.3)."""
    assert expected == scale_error_limit(scale)
