"""MPEG-2 in transport streams: bounded, with fields, closed groups, colour and shape of broadcasts."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from pymediainfo import MediaInfo

from knownlight.encode.deliveries import check_carries
from knownlight.encode.delivery import Exactness
from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat, parse_signal_format

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

STILL_ERROR = 3  # codes at the finest quantiser, whose step is 1; measured, the transform is not exact
GROUP_START = b"\x00\x00\x01\xb8"  # H.262 Table 6-1
CLOSED = 0x40  # of the byte after the 25 bits of the time code: closed_gop (clause 6.2.2.6)


def words(path: Path) -> dict[str, Any]:
    """What MediaInfo says of the video."""
    facts: dict[str, Any] = MediaInfo.parse(str(path)).video_tracks[0].to_data()
    return facts


@pytest.mark.parametrize("pattern", ["ramp", "grey-steps"])
def test_a_still_is_within_a_few_codes(
    pattern: str, shared_clip: "MakeClip", largest_error: "Callable[[Clip], int]"
) -> None:
    """Every sample of every picture of two and a half groups; it is called bounded."""
    clip = shared_clip(pattern, "720p24-sdr", 30, "mpeg2-ts")
    assert Exactness.BOUNDED is clip.encoded.exactness
    assert largest_error(clip) <= min(STILL_ERROR, clip.encoded.error_limit)


def test_noise_is_within_the_stated_limit_and_the_rate_of_the_level(
    shared_clip: "MakeClip", largest_error: "Callable[[Clip], int]"
) -> None:
    """Fog at High level: 80 Mbit/s (H.262 Table 8-13, from memory)."""
    clip = shared_clip("fog", "720p24-sdr", 7, "mpeg2-ts", repeat_seconds=0.125)
    assert 0 < largest_error(clip) <= clip.encoded.error_limit
    assert clip.encoded.peak_rate <= 80_000_000


@pytest.mark.parametrize(
    ("signal", "level", "size", "aspect", "colour"),
    [
        ("1080i25-sdr", "High", (1920, 1080), "1.778", ("BT.709",) * 3),
        ("576i25-sdr", "Main", (720, 576), "1.778", ("BT.601 PAL", "BT.601", "BT.470 System B/G")),
        ("480i29.97-sdr", "Main", (720, 480), "1.778", ("BT.601 NTSC", "BT.601", "BT.601")),
    ],
)
def test_fields_shape_and_colour_are_those_of_the_signal(
    *,
    signal: str,
    level: str,
    size: tuple[int, int],
    aspect: str,
    colour: tuple[str, str, str],
    make_clip: "MakeClip",
    largest_error: "Callable[[Clip], int]",
) -> None:
    """MediaInfo reads top field first, 16:9 and the colour; a bar that swings is within the limit."""
    clip = make_clip("swinging-bar", signal, 4, "mpeg2-ts")
    told = words(clip.path)
    assert f"Main@{level}" == told["format_profile"]
    assert size == (told["width"], told["height"])
    assert ("Interlaced", "TFF", aspect) == (
        told["scan_type"], told["scan_order"], told["display_aspect_ratio"],
    )  # fmt: skip
    assert colour == (
        told["color_primaries"], told["transfer_characteristics"], told["matrix_coefficients"],
    )  # fmt: skip
    assert largest_error(clip) <= clip.encoded.error_limit


def test_a_progressive_picture_says_so(shared_clip: "MakeClip") -> None:
    """720p has no fields."""
    assert "Progressive" == words(shared_clip("ramp", "720p24-sdr", 30, "mpeg2-ts").path)["scan_type"]


def test_every_group_is_closed(shared_clip: "MakeClip", run_ffmpeg: Callable[..., bytes]) -> None:
    """30 pictures are three groups of at most twelve, each with its header and closed_gop set."""
    path = shared_clip("ramp", "720p24-sdr", 30, "mpeg2-ts").path
    stream = run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "data", "-")
    heads = stream.split(GROUP_START)[1:]
    assert 3 == len(heads)
    assert [CLOSED] * 3 == [head[3] & CLOSED for head in heads]


def test_groups_are_as_short_as_broadcasts_have_them(
    make_clip: "MakeClip", run_ffmpeg: Callable[..., bytes]
) -> None:
    """A run of 20 different pictures has a key picture after at most 15 (common practice, no source)."""
    clip = make_clip("swinging-bar", "576i25-sdr", 20, "mpeg2-ts")
    text = run_ffmpeg("-i", clip.path, "-map", "0:v", "-c", "copy", "-f", "framecrc", "-").decode()
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    assert 20 == len(lines)
    assert [0, 15] == [index for index, line in enumerate(lines) if "F=" not in line]


def test_the_same_clip_has_the_same_bytes(make_clip: "MakeClip") -> None:
    """Written twice in different folders, the files have one SHA-256, and name no encoder."""
    first, second = (make_clip("ramp", "576i25-sdr", 14, "mpeg2-ts").path.read_bytes() for _ in range(2))
    assert hashlib.sha256(first).hexdigest() == hashlib.sha256(second).hexdigest()
    assert [] == [word for word in (b"Lavc", b"Lavf", b"FFmpeg") if word in first]


@pytest.mark.parametrize("frames", [2, 13, 25])
def test_any_length_is_reached_by_repeating(
    frames: int, make_clip: "MakeClip", largest_error: "Callable[[Clip], int]"
) -> None:
    """Shorter than a group, or part of one more: every picture is there, within the limit."""
    clip = make_clip("full-field", "576i25-sdr", frames, "mpeg2-ts")
    assert largest_error(clip) <= STILL_ERROR


def test_the_largest_picture_and_the_peak_rate_are_those_of_the_file(
    shared_clip: "MakeClip", picture_sizes: Callable[[Path], list[int]]
) -> None:
    """What is reported is what ffmpeg's own packet list of the finished file adds up to."""
    clip = shared_clip("ramp", "720p24-sdr", 30, "mpeg2-ts")
    sizes = picture_sizes(clip.path)
    assert 30 == len(sizes)
    assert max(sizes) == clip.encoded.largest_picture
    assert 8 * sum(sizes[:24]) == clip.encoded.peak_rate


@pytest.mark.parametrize(
    ("signal", "problem"),
    [
        (parse_signal_format("720p24-pq"), "mpeg2-ts carries sdr only, not pq"),
        (parse_signal_format("720p24-sdr", depth=10), "mpeg2-ts carries 8 bits, not 10"),
        (parse_signal_format("720p24-sdr", code_range="full"), "mpeg2-ts cannot say that its range is full"),
        (parse_signal_format("720p48-sdr"), "mpeg2-ts has no such frame rate (H.262 Table 6-4)"),
        (parse_signal_format("1080p50-sdr"), "mpeg2-ts cannot hold 1080p50-sdr"),
    ],
    ids=["pq", "10 bits", "full range", "48 frames/s", "beyond High level"],
)
def test_what_it_cannot_carry_is_refused(signal: SignalFormat, problem: str) -> None:
    """The refusal names what is wrong; 1080p50 passes High level's 62.7 million samples/s."""
    with pytest.raises(CannotCarry) as caught:
        check_carries("mpeg2-ts", signal)
    assert str(caught.value).startswith(problem)
