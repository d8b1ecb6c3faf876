"""Credits: text that rolls by whole pixels without a seam. No source but the docstring."""

import hashlib
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import Cycle, FrameSource, Levels, Run
from patterns.registry import build

SDR = parse_signal_format("1080p24-sdr")
BLACK, TEXT = 16, 143  # 58 % by hand: 16 + 127.02


def source(signal: SignalFormat = SDR, **keys: object) -> FrameSource:
    """Frames of credits."""
    return build("credits", keys).draw(signal)


def luma(frames: FrameSource, index: int) -> Any:
    """The luma plane of a frame."""
    return frames.frame(index).planes[0]


# By hand: a picture in 8 s is 5.6 rows a frame at 1080p24, 1.5 at 720p60, 4.5 at 2160p60; halves go up.
@pytest.mark.parametrize(
    ("signal", "rows"), [("1080p24-sdr", 6), ("720p60-sdr", 2), ("2160p60-pq", 5), ("720p24-sdr", 4)]
)
def test_text_rolls_by_whole_pixels(signal: str, rows: int) -> None:
    """Each picture is the one before, so many rows up; from the last to the first picture as well."""
    parsed = parse_signal_format(signal)
    frames = source(parsed)
    assert isinstance(frames, Cycle)
    assert 8 * parsed.rate == frames.period
    for first in (0, 1, frames.period // 2, frames.period - 1):
        before, after = luma(frames, first), luma(frames, (first + 1) % frames.period)
        np.testing.assert_array_equal(before[rows:], after[:-rows])
        assert (before != after).any()
    assert rows == build("credits", {}).claims(parsed).notes["pixels_per_frame"]


def test_text_stands_in_two_columns_on_black() -> None:
    """Two codes alone; trades end where a gap begins in the middle, words begin where it ends."""
    frames = source()
    lit = np.zeros(1920, dtype=np.bool_)
    for index in range(0, 192, 8):
        plane = luma(frames, index)
        assert [BLACK, TEXT] == np.unique(plane).tolist()
        lit |= (plane == TEXT).any(axis=0)
    columns = np.flatnonzero(lit)
    gap = 32  # eight dots of four pixels
    assert not lit[960 - gap // 2 : 960 + gap // 2].any()
    assert lit[960 - gap // 2 - 1]
    assert lit[960 + gap // 2]
    assert 300 < columns[0] < 960 < columns[-1] < 1620


def test_rows_of_text_keep_apart() -> None:
    """Lines are seven dots high and twelve apart: text of 28 rows and at least 20 rows of black."""
    rows = np.flatnonzero((luma(source(), 0) == TEXT).any(axis=1))
    runs = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    whole = [run for run in runs if run[0] > 0 and run[-1] < 1079]
    assert {28} == {run.size for run in whole}
    assert all(after[0] - before[0] >= 48 for before, after in pairwise(whole))


def test_endless_credits_have_other_words() -> None:
    """Without repetition 120 lines of 48 rows come first: 40 s at 6 rows a frame and 24 frames a second."""
    frames = source(repeat_seconds=0)
    assert isinstance(frames, Run)
    pictures = {luma(frames, index).tobytes() for index in range(0, 960, 40)}
    assert 24 == len(pictures)
    np.testing.assert_array_equal(luma(frames, 0), luma(frames, 960))


def test_a_seed_is_a_list() -> None:
    """The same words in any order of drawing; other words for another seed."""
    np.testing.assert_array_equal(luma(source(seed=4), 7), luma(source(seed=4), 7))
    assert (luma(source(seed=4), 7) != luma(source(seed=5), 7)).any()


# By hand: half a second at 24 is 12 frames of 6 rows; a line takes 12 dots of 4.
def test_a_round_shorter_than_a_line_is_refused() -> None:
    """72 rows hold a line of text, 42 do not."""
    build("credits", {"repeat_seconds": 0.5}).claims(SDR)
    pattern = build("credits", {"repeat_seconds": 0.3})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput) as caught:
            refused(SDR)
        assert str(caught.value) == (
            "credits: 42 rows roll by in 7 frames, fewer than a line of text has, 48; use a longer "
            "repeat_seconds or a shorter rise_seconds"
        )


def test_a_round_of_one_picture_shows_all_text_at_any_time() -> None:
    """720 rows in a round of 720p30 are the picture itself: every frame holds the same codes as often."""
    signal = parse_signal_format("720p30-hlg")
    frames = source(signal)
    assert Levels.MOVED is frames.levels
    counts = {int((luma(frames, index) == luma(frames, index).max()).sum()) for index in range(0, 240, 17)}
    assert 1 == len(counts)
    assert Levels.CHANGING is source(signal, grain_percent=0.2).levels
    assert Levels.CHANGING is source().levels


def test_grain_lies_on_black_and_on_text() -> None:
    """With grain both are rough, and the text is where it was."""
    rough, plain = luma(source(grain_percent=0.5), 9).astype(int), luma(source(), 9).astype(int)
    for code in (BLACK, TEXT):
        part = rough[plain == code]
        assert abs(part.mean() - code) < 0.2
        assert 0.9 < part.std() < 1.4  # 0.5 % of 219 codes are 1.1


def test_pictures_are_pinned() -> None:
    """The fifth picture is that of every earlier version."""
    assert (
        "786d712d66bf45dbddcb00369a2389108af79b8804850393e1e18c6f42441d71"
        == hashlib.sha256(luma(source(), 5).tobytes()).hexdigest()
    )
