"""avc-mp4: 8-bit SDR for players without HEVC; bounded, with a measured error."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pymediainfo import MediaInfo

from knownlight.encode.deliveries import check_carries
from knownlight.encode.delivery import Exactness
from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Planes

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

AllPictures = Callable[[Path, SignalFormat], list[Planes]]
LargestError = Callable[["Clip"], int]

FINEST_LIMIT = 2  # codes of 8 bits
COARSER_LIMIT = 12  # codes of 8 bits: what this level's rate forces here
LEVEL_3_1_RATE = 16_800_000  # bit/s: H.264 Table A-1, 14 000 kbit/s, times 1.2 for NAL units of Main

BLOCK = 16  # pixels of a macroblock (H.264 clause 3)


@pytest.mark.parametrize("pattern", ["ramp", "near-black"])
def test_a_still_is_within_the_finest_limit(
    pattern: str, shared_clip: "MakeClip", largest_error: LargestError
) -> None:
    """At the finest quantiser every sample of every picture is within two codes; still called bounded."""
    clip = shared_clip(pattern, "720p24-sdr", 30, "avc-mp4")
    assert (Exactness.BOUNDED, FINEST_LIMIT) == (clip.encoded.exactness, clip.encoded.error_limit)
    assert largest_error(clip) <= FINEST_LIMIT


@pytest.mark.parametrize("family", ["path-card", "grey-steps", "colour-samples", "saturation-card"])
def test_measured_patches_have_their_codes(
    family: str, make_clip: "MakeClip", all_pictures: AllPictures
) -> None:
    """By plain ffmpeg, every patch has its codes in all planes of every frame, a block inside its edges."""
    clip = make_clip(family, "720p50-sdr", 24, "avc-mp4")
    claims = clip.intent.pattern.claims(clip.intent.signal)
    for planes in all_pictures(clip.path, clip.intent.signal):
        for region in claims.regions:
            rect = region.rect
            if min(rect.width, rect.height) <= 2 * BLOCK:
                continue
            for index, (plane, code) in enumerate(zip(planes, region.code, strict=True)):
                each = 2 if index else 1
                part = plane[
                    (rect.y + BLOCK) // each : (rect.bottom - BLOCK) // each,
                    (rect.x + BLOCK) // each : (rect.right - BLOCK) // each,
                ]
                assert {code} == set(np.unique(part).tolist()), region.name


def test_content_that_the_level_forces_coarser_states_a_wider_limit(
    make_clip: "MakeClip", largest_error: LargestError
) -> None:
    """A fast pan of text needs more than the finest quantiser's two codes, and keeps to the level's rate."""
    clip = make_clip("pan", "720p24-sdr", 25, "avc-mp4", content="text", pixels_per_frame=64)
    assert Exactness.BOUNDED is clip.encoded.exactness
    assert FINEST_LIMIT < largest_error(clip) <= min(COARSER_LIMIT, clip.encoded.error_limit)
    assert clip.encoded.peak_rate <= LEVEL_3_1_RATE


@pytest.mark.parametrize(
    ("signal", "level"),
    [("720p24-sdr", "3.1"), ("720p60-sdr", "3.2"), ("1080p24-sdr", "4"), ("1080p60-sdr", "4.2")],
)
def test_profile_and_level(signal: str, level: str, make_clip: "MakeClip") -> None:
    """Main, never High 4:4:4 Predictive; the lowest level of H.264 Table A-1 for MaxFS and MaxMBPS."""
    clip = make_clip("full-field", signal, 2, "avc-mp4")
    assert level == clip.encoded.level
    assert f"Main@L{level}" == MediaInfo.parse(str(clip.path)).video_tracks[0].format_profile


@pytest.mark.parametrize(
    ("signal", "level", "colour"),
    [
        ("1080i25-sdr", "4", ("BT.709",) * 3),
        ("576i25-sdr", "3", ("BT.601 PAL", "BT.601", "BT.470 System B/G")),
        ("480i29.97-sdr", "3", ("BT.601 NTSC", "BT.601", "BT.601")),
    ],
)
def test_fields_shape_and_colour_are_those_of_the_signal(
    *,
    signal: str,
    level: str,
    colour: tuple[str, str, str],
    make_clip: "MakeClip",
    largest_error: LargestError,
) -> None:
    """MediaInfo reads Main, top field first, 16:9 and the colour; a bar that swings is within the limit."""
    clip = make_clip("swinging-bar", signal, 4, "avc-ts")
    told = MediaInfo.parse(str(clip.path)).video_tracks[0]
    assert f"Main@L{level}" == told.format_profile
    assert ("TFF", "1.778") == (told.scan_order, told.display_aspect_ratio)
    assert colour == (told.color_primaries, told.transfer_characteristics, told.matrix_coefficients)
    assert largest_error(clip) <= clip.encoded.error_limit


def test_the_same_clip_has_the_same_bytes(make_clip: "MakeClip") -> None:
    """Written twice in different folders, the files have one SHA-256."""
    first, second = (make_clip("ramp", "720p24-sdr", 30, "avc-mp4") for _ in range(2))
    assert first.path != second.path
    digests = [hashlib.sha256(clip.path.read_bytes()).hexdigest() for clip in (first, second)]
    assert digests[0] == digests[1]


def test_the_file_names_no_encoder(shared_clip: "MakeClip") -> None:
    """Neither the encoder's settings nor the writer's version are in the file: they would age its bytes."""
    data = shared_clip("ramp", "720p24-sdr", 30, "avc-mp4").path.read_bytes()
    assert [] == [word for word in (b"x264", b"Lavf", b"Lavc") if word in data]


@pytest.mark.parametrize("frames", [2, 11, 12, 13, 31])
def test_any_length_is_reached_by_repeating(
    frames: int, make_clip: "MakeClip", largest_error: LargestError
) -> None:
    """Shorter than a group, whole groups or part of one: every picture is there, within the limit."""
    clip = make_clip("full-field", "720p24-sdr", frames, "avc-mp4")
    assert largest_error(clip) <= FINEST_LIMIT
    assert min(frames, 12) == clip.encoded.group


@pytest.mark.parametrize(
    ("signal", "expected"),
    [
        (
            parse_signal_format("720p24-pq"),
            "avc-mp4 carries sdr only, not pq; use --delivery hevc-mp4 or 720p24-sdr",
        ),
        (
            parse_signal_format("720p24-hlg"),
            "avc-mp4 carries sdr only, not hlg; use --delivery hevc-mp4 or 720p24-sdr",
        ),
        (
            parse_signal_format("720p24-sdr", depth=10),
            "avc-mp4 carries 8 bits, not 10; use --delivery hevc-mp4 or --depth 8",
        ),
        (
            parse_signal_format("1080i25-sdr"),
            "avc-mp4 carries no interlaced pictures; use --delivery avc-ts or 1080p25-sdr",
        ),
        (
            parse_signal_format("720p24-sdr", components="rgb"),
            "avc-mp4 carries 4:2:0 only, not rgb; use 4:2:0 (leave out --components)",
        ),
        (
            parse_signal_format("4320p144-sdr"),
            "avc-mp4 cannot hold 4320p144-sdr: it passes the codec's highest level; use 2160p144-sdr",
        ),
    ],
    ids=["pq", "hlg", "10 bits", "interlaced", "rgb", "beyond level 6.2"],
)
def test_what_it_cannot_carry_is_refused(signal: SignalFormat, expected: str) -> None:
    """The refusal names what is wrong and what to use."""
    with pytest.raises(CannotCarry) as caught:
        check_carries("avc-mp4", signal)
    assert expected == str(caught.value)
