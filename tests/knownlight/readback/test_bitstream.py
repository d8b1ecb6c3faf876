"""Headers of the coded video itself: raw streams against MediaInfo, and changes that only a stream has."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.errors import ToolFailed, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.readback.bitstream import read_both_copies
from knownlight.readback.boxes import read_mp4
from knownlight.readback.mediainfo import read_mediainfo
from knownlight.readback.stated import Stated


def obeyed(path: Path, stop: Stop) -> Stated:
    """Headers that stand with the first picture."""
    return read_both_copies(path, stop)[1]


RAW = {
    "hevc-pq-metadata": ("hevc_mp4toannexb", "hevc"),
    "hevc-sdr": ("hevc_mp4toannexb", "hevc"),
    "avc-sdr-sound": ("h264_mp4toannexb", "h264"),
}


@pytest.mark.parametrize("name", RAW)
def test_a_stream_says_what_mediainfo_finds_in_it_alone(
    name: str,
    independent_clip: Callable[[str], Path],
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """Taken out of its container, a stream reads the same in every field, cropping included.

    The sizes, 322 or 320 by 178, are no multiples of a coding block. Of a raw AVC stream MediaInfo words no
    chroma location of type 0, which the standard infers, and guesses the rate; ffmpeg was asked for 25.
    """
    path = independent_clip(name)
    tool, suffix = RAW[name]
    raw = tmp_path / f"raw.{suffix}"
    run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-bsf:v", tool, "-f", suffix, raw)
    other = read_mediainfo(raw)
    expected = replace(other, tag=None, frames=None, scan="progressive")
    if other.codec == "avc":
        expected = replace(expected, rate=Fraction(25), colour=replace(other.colour, chroma_location=0))
    assert expected == obeyed(path, stop)


def test_hlg_is_read_from_the_usability_information(
    independent_clip: Callable[[str], Path], stop: Stop
) -> None:
    """HLG at full range, at 30000/1001: VUI says 18 itself, whatever an SEI message says beside it."""
    stated = obeyed(independent_clip("hevc-hlg-full"), stop)
    expected = ColourDescription(primaries=9, transfer=18, matrix=9, full_range=1, chroma_location=2)
    assert (expected, Fraction(30_000, 1_001)) == (stated.colour, stated.rate)


@pytest.mark.parametrize(
    ("name", "tool", "level"),
    [("hevc-sdr", "hevc_metadata", "6.1"), ("avc-sdr-sound", "h264_metadata", "5.1")],
)
def test_a_changed_stream_is_read_from_the_stream(
    *,
    name: str,
    tool: str,
    level: str,
    independent_clip: Callable[[str], Path],
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """VUI and level as ffmpeg's metadata filter wrote them into the parameter sets; the rest as it was."""
    path, original = tmp_path / "changed.mp4", independent_clip(name)
    changes = "colour_primaries=9:transfer_characteristics=14:matrix_coefficients=9:video_full_range_flag=1"
    run_ffmpeg(
        *("-i", original, "-map", "0:v", "-c", "copy"),
        *("-bsf:v", f"{tool}={changes}:chroma_sample_loc_type=2:level={level}", path),
    )
    described = ColourDescription(primaries=9, transfer=14, matrix=9, full_range=1, chroma_location=2)
    expected = replace(obeyed(original, stop), level=level, colour=described)
    assert expected == obeyed(path, stop)


def test_a_changed_container_is_not_read(
    independent_clip: Callable[[str], Path], tmp_path: Path, stop: Stop
) -> None:
    """Another transfer in `colr` and other light levels in `clli` change nothing in the stream."""
    original = independent_clip("hevc-pq-metadata")
    data = original.read_bytes()
    path = tmp_path / "changed.mp4"
    colour, light = b"colrnclx\x00\x09\x00\x10", b"clli\x03\xe8\x01\x90"
    assert (1, 1) == (data.count(colour), data.count(light))
    path.write_bytes(
        data.replace(colour, b"colrnclx\x00\x09\x00\x12").replace(light, b"clli\x03\xe9\x01\x91")
    )
    container = read_mp4(path).stated
    assert container.hdr.light is not None
    assert (18, 1001, 401) == (
        container.colour.transfer,
        container.hdr.light.max_cll,
        container.hdr.light.max_fall,
    )
    assert obeyed(original, stop) == obeyed(path, stop)


def test_what_a_stream_does_not_say_is_nothing(independent_clip: Callable[[str], Path], stop: Stop) -> None:
    """Without a colour description every field but the inferred chroma location (0) is unknown."""
    stated = obeyed(independent_clip("avc-undescribed"), stop)
    assert ColourDescription(chroma_location=0) == stated.colour


def test_video_of_another_codec_is_refused(independent_clip: Callable[[str], Path], stop: Stop) -> None:
    """MPEG-4 Part 2 has no sequence parameter set."""
    path = independent_clip("mpeg4")
    with pytest.raises((UnreadableFile, ToolFailed), match=f"^{path}: "):
        obeyed(path, stop)


@pytest.mark.parametrize("content", [b"", b"words, not boxes"], ids=["empty", "words"])
def test_a_file_that_is_no_clip_fails_with_its_name(content: bytes, tmp_path: Path, stop: Stop) -> None:
    """Ffmpeg's words come behind the path."""
    path = tmp_path / "words.mp4"
    path.write_bytes(content)
    with pytest.raises(ToolFailed, match=f"^{path}: the headers could not be read: ffmpeg says: .*Invalid"):
        obeyed(path, stop)


def test_the_copy_and_what_decoders_obey_are_told_apart(
    made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """General_level_idc (H.265 clause 7.3.3) of the sets that come with the pictures changed from 60 to 93.

    `hvcC` keeps its own: ffmpeg copies a stream that repeats its headers into MP4 and leaves them there.
    """
    path = tmp_path / "copy.mp4"
    run_ffmpeg("-i", made("hevc-hlg.ts"), "-map", "0:v", "-c", "copy", "-movflags", "+faststart", path)
    head, mark, pictures = path.read_bytes().partition(b"mdat")
    start = b"\x42\x01\x01"  # a NAL unit of type 33 and the first byte of the set in it
    level = pictures.index(b"\x3c", pictures.index(start))
    whole = pictures[pictures.index(start) : level]
    assert pictures.count(whole + b"\x3c") > 1
    path.write_bytes(head + mark + pictures.replace(whole + b"\x3c", whole + b"\x5d"))
    copy, there = read_both_copies(path, stop)
    assert ("2", "3.1") == (copy.level, there.level)
    assert copy == replace(there, level="2")
