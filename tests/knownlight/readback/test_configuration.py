"""Decoder configuration records that ffmpeg wrote, against what it was asked for and the stream's headers."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from knownlight.ffmpeg import Stop
from knownlight.readback.bitstream import read_both_copies
from knownlight.readback.configuration import CONFIGURATIONS

# As asked for. Levels: HEVC and AVC as MediaInfo reads them, AV1's lowest is 2.0; VP9's 1.1 holds up to
# 73 728 samples a picture, 1 only 36 864 (the WebM project's table, from memory).
MADE: dict[str, tuple[str, dict[str, Any]]] = {
    "hevc-hlg-sound.mkv": (
        "hvcC",
        {"codec": "hevc", "profile": "Main 10", "tier": "Main", "level": "2", "depth": 10},
    ),
    "avc-sdr.mkv": ("avcC", {"codec": "avc", "profile": "High", "level": "1.3"}),
    "av1-pq.mkv": (
        "av1C",
        {"codec": "av1", "profile": "Main", "tier": "Main", "level": "2.0", "depth": 10},
    ),
    "vp9-hlg.webm": ("vpcC", {"codec": "vp9", "profile": "2", "level": "1.1", "depth": 10}),
    "vp9-sdr-sound.webm": ("vpcC", {"codec": "vp9", "profile": "0", "level": "1.1", "depth": 8}),
}


@pytest.fixture
def record(
    made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> Callable[[str], bytes]:
    """The record of a file, from the box that ffmpeg writes on copying the packets to MP4."""

    def read(name: str) -> bytes:
        path = tmp_path / "copy.mp4"
        run_ffmpeg("-i", made(name), "-map", "0:v", "-c", "copy", path)
        data, kind = path.read_bytes(), MADE[name][0].encode()
        assert 1 == data.count(kind)
        start = data.index(kind) + 4
        return data[start : start + int.from_bytes(data[start - 8 : start - 4], "big") - 8]

    return read


@pytest.mark.parametrize("name", MADE)
def test_a_record_says_what_the_file_was_made_with(name: str, record: Callable[[str], bytes]) -> None:
    """Codec, profile, tier, level and depth, as far as each record has them."""
    kind, expected = MADE[name]
    assert expected == CONFIGURATIONS[kind](record(name))


@pytest.mark.parametrize("name", MADE)
def test_a_record_says_what_the_stream_says(
    name: str, record: Callable[[str], bytes], made: Callable[[str], Path], stop: Stop
) -> None:
    """The same as the sequence headers with the pictures, which ffmpeg prints; VP9's have no level."""
    kind, _ = MADE[name]
    stream = read_both_copies(made(name), stop)[1]
    facts = CONFIGURATIONS[kind](record(name))
    told = {fact: getattr(stream, fact) for fact in facts}
    if kind == "vpcC":
        told["level"] = facts["level"]
    assert told == facts


@pytest.mark.parametrize(
    ("kind", "name", "at", "value", "fact", "expected"),
    [
        ("hvcC", "hevc-hlg-sound.mkv", 1, 0x22, "tier", "High"),
        ("hvcC", "hevc-hlg-sound.mkv", 12, 153, "level", "5.1"),
        ("hvcC", "hevc-hlg-sound.mkv", 1, 0x04, "profile", "Format Range"),
        ("avcC", "avc-sdr.mkv", 1, 244, "profile", "High 4:4:4 Predictive"),
        ("avcC", "avc-sdr.mkv", 3, 42, "level", "4.2"),
        ("av1C", "av1-pq.mkv", 1, 13, "level", "5.1"),
        ("av1C", "av1-pq.mkv", 1, 1 << 5, "profile", "profile 1"),
        ("av1C", "av1-pq.mkv", 2, 0xC0, "tier", "High"),
        ("av1C", "av1-pq.mkv", 2, 0x00, "depth", 8),
    ],
)
def test_each_field_lies_where_the_standard_puts_it(
    *, kind: str, name: str, at: int, value: int, fact: str, expected: object, record: Callable[[str], bytes]
) -> None:
    """ISO/IEC 14496-15 clauses 5.3.3 and 8.3.3, AV1 in ISO base media clause 2.3; places from memory.

    general_level_idc is thirty times the level, level_idc ten times; seq_level_idx 13 is 5.1 (AV1 A.3).
    """
    body = bytearray(record(name))
    body[at] = value
    assert expected == CONFIGURATIONS[kind](bytes(body))[fact]


@pytest.mark.parametrize("kind", CONFIGURATIONS)
@pytest.mark.parametrize("length", [0, 2])
def test_a_record_that_is_too_short_is_an_index_error(kind: str, length: int) -> None:
    """Every reader of a container turns it into words."""
    with pytest.raises(IndexError):
        CONFIGURATIONS[kind](bytes(length))
