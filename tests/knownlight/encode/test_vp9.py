"""VP9 in WebM: exact, or bounded and said so."""

import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pymediainfo import MediaInfo

from knownlight.encode.delivery import Exactness
from knownlight.readback.matroska import read_matroska

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

GROUP = 12
LEVEL_3_1_RATE = 12_000_000  # bit/s: the WebM project's table of levels
NOISE_ERROR = 8  # codes of 8 bits, at the quantiser that this noise needs


@pytest.mark.parametrize("pattern", ["ramp", "grey-steps"])
@pytest.mark.parametrize(
    ("signal", "profile"), [("720p24-pq", "2"), ("720p24-sdr", "0")], ids=["10 bits", "8 bits"]
)
def test_a_still_is_exact_in_every_picture(
    *,
    pattern: str,
    signal: str,
    profile: str,
    shared_clip: "MakeClip",
    assert_exact: "Callable[[Clip], None]",
) -> None:
    """Every code and every patch, in two and a half groups, by plain ffmpeg; MediaInfo reads the profile."""
    clip = shared_clip(pattern, signal, 30, "vp9-webm")
    assert (Exactness.EXACT, 0, GROUP) == (
        clip.encoded.exactness,
        clip.encoded.error_limit,
        clip.encoded.group,
    )
    assert_exact(clip)
    assert profile == MediaInfo.parse(str(clip.path)).video_tracks[0].format_profile


@pytest.mark.parametrize(
    ("pattern", "keys"), [("pan", {"content": "bars", "pixels_per_frame": 64}), ("swinging-bar", {})]
)
@pytest.mark.parametrize("signal", ["720p24-hlg", "720p24-sdr"], ids=["10 bits", "8 bits"])
def test_motion_is_exact_in_every_picture(
    *,
    pattern: str,
    keys: dict[str, str | float],
    signal: str,
    make_clip: "MakeClip",
    assert_exact: "Callable[[Clip], None]",
) -> None:
    """By whole pixels over a period and into the next, and by parts of them."""
    clip = make_clip(pattern, signal, 12, "vp9-webm", **keys)
    assert Exactness.EXACT is clip.encoded.exactness
    assert_exact(clip)


def test_fresh_noise_becomes_bounded_and_says_so(
    shared_clip: "MakeClip", largest_error: "Callable[[Clip], int]"
) -> None:
    """What lossless coding cannot hold is within its stated error and the level's rate."""
    clip = shared_clip("fog", "720p24-sdr", 7, "vp9-webm", repeat_seconds=0.125)
    assert Exactness.BOUNDED is clip.encoded.exactness
    assert 0 < largest_error(clip) <= min(NOISE_ERROR, clip.encoded.error_limit)
    assert clip.encoded.peak_rate <= LEVEL_3_1_RATE


def test_the_same_clip_has_the_same_bytes(make_clip: "MakeClip") -> None:
    """Written twice in different folders, the files have one SHA-256, and no version in them."""
    first, second = (make_clip("ramp", "720p24-pq", 14, "vp9-webm").path.read_bytes() for _ in range(2))
    assert hashlib.sha256(first).hexdigest() == hashlib.sha256(second).hexdigest()
    assert re.search(rb"Lav[cf]\d|libvpx", first) is None


@pytest.mark.parametrize("frames", [2, 11, 13, 25])
def test_any_length_is_reached_by_repeating(
    frames: int, make_clip: "MakeClip", assert_exact: "Callable[[Clip], None]"
) -> None:
    """Shorter than a group, or part of one more: every picture is there and exact, keys at their places."""
    clip = make_clip("full-field", "720p24-sdr", frames, "vp9-webm")
    group = min(frames, GROUP)
    assert group == clip.encoded.group
    assert_exact(clip)
    keys = [sample.is_sync for sample in read_matroska(clip.path).samples]
    assert [index % group == 0 for index in range(frames)] == keys


@pytest.mark.parametrize(
    ("signal", "level"), [("720p24-sdr", "3.1"), ("720p60-sdr", "4"), ("1080p24-sdr", "4")]
)
def test_the_level_is_the_lowest_that_holds_size_and_rate(
    signal: str, level: str, make_clip: "MakeClip"
) -> None:
    """The WebM project's table, from memory: 36 864 000 samples/s at 3.1, 983 040 a picture."""
    assert level == make_clip("full-field", signal, 2, "vp9-webm").encoded.level


def test_the_largest_picture_and_the_peak_rate_are_those_of_the_file(
    shared_clip: "MakeClip", picture_sizes: Callable[[Path], list[int]]
) -> None:
    """What is reported is what ffmpeg's own packet list of the finished file adds up to."""
    clip = shared_clip("ramp", "720p24-pq", 30, "vp9-webm")
    sizes = picture_sizes(clip.path)
    assert 30 == len(sizes)
    assert max(sizes) == clip.encoded.largest_picture
    assert 8 * sum(sizes[:24]) == clip.encoded.peak_rate
