"""Levels of HEVC and AVC: vectors/levels.toml."""

import tomllib
from dataclasses import replace
from math import isqrt
from pathlib import Path
from typing import Any

import pytest

from knownlight.errors import CannotCarry
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.level_tables import (
    AV1_LEVELS,
    AVC_LEVELS,
    HEVC_LEVELS,
    MPEG2_LEVELS,
    VP9_LEVELS,
    av1_level,
    avc_level,
    hevc_level,
    mpeg2_level,
    vp9_level,
)

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "levels.toml").read_text("utf-8"))


TABLES = {
    "hevc": HEVC_LEVELS,
    "avc": AVC_LEVELS,
    "av1": AV1_LEVELS,
    "vp9": VP9_LEVELS,
    "mpeg2": MPEG2_LEVELS,
}


def in_samples(codec: str, row: dict[str, Any]) -> dict[str, Any]:
    """A row as it is printed, in luma samples and bits as a level counts them.

    The NAL factors are 1100 for HEVC and 1200 for AVC; sides of both are the root of eight times the largest
    picture (H.265 A.4.1, H.264 A.3.1).
    """
    match codec:
        case "hevc":
            return {
                "name": row["name"], "picture": row["max_luma_picture"], "rate": row["max_luma_rate"],
                "bits_per_second": 1100 * row["max_kbits"], "min_compression": row["min_compression"],
                "width": isqrt(8 * row["max_luma_picture"]), "height": isqrt(8 * row["max_luma_picture"]),
            }  # fmt: skip
        case "avc":
            blocks = row["max_frame_macroblocks"]
            return {
                "name": row["name"], "picture": 256 * blocks, "rate": 256 * row["max_macroblock_rate"],
                "bits_per_second": 1200 * row["max_kbits"], "width": 16 * isqrt(8 * blocks),
                "height": 16 * isqrt(8 * blocks),
            }  # fmt: skip
        case _:
            return row


@pytest.mark.parametrize("codec", TABLES)
def test_tables(codec: str) -> None:
    """Every row of a table is the printed one, and there are no others."""
    wanted = [in_samples(codec, row) for row in VECTORS[codec]]
    assert wanted == [
        {key: getattr(level, key) for key in row} for level, row in zip(TABLES[codec], wanted, strict=True)
    ]


@pytest.mark.parametrize("row", VECTORS["format"], ids=lambda row: row["name"])
def test_lowest_level_of_a_format(row: dict[str, Any]) -> None:
    """A format has the lowest level that holds its picture and its rate."""
    signal = parse_signal_format(f"{row['name']}-sdr")
    levels = {"hevc": hevc_level, "avc": avc_level, "av1": av1_level, "vp9": vp9_level}
    assert {codec: row[codec] for codec in levels} == {
        codec: level(signal).name for codec, level in levels.items()
    }


# By hand: 722 rows are 46 rows of macroblocks; 80 * 46 * 60 = 220 800 a second is above 216 000 of level 3.2.
def test_macroblocks_are_whole() -> None:
    """Rows that fill part of a macroblock need the whole of it."""
    expected = "4"
    assert expected == avc_level(replace(parse_signal_format("720p60-sdr"), height=722)).name


# By hand: 7680 * 4320 * 144 = 4 777 574 400 samples a second against 4 278 190 080 of level 6.2;
# 480 * 270 * 144 = 18 662 400 macroblocks a second against 16 711 680.
def test_no_level_is_refused() -> None:
    """A format that no level holds is refused by its name, with the remedy."""
    signal = parse_signal_format("4320p144-sdr")
    with pytest.raises(CannotCarry, match=r"no HEVC level holds 4320p144-sdr; use a lower rate or a smaller"):
        hevc_level(signal)
    with pytest.raises(CannotCarry, match=r"no AVC level holds 4320p144-sdr; use a lower rate or a smaller"):
        avc_level(signal)


# NAL factors: 1100 of HEVC Main and Main 10 from memory of clause A.4.2; 1200 of AVC Main as FFmpeg's
# h264_levels.c has it.
def test_bit_rates_of_the_stream() -> None:
    """Limits count the whole stream, NAL unit headers included: level 5.1 of HEVC, 4.1 of AVC."""
    hevc = next(level for level in HEVC_LEVELS if level.name == "5.1")
    avc = next(level for level in AVC_LEVELS if level.name == "4.1")
    expected = [44_000_000, 44_000_000, 60_000_000]
    assert expected == [hevc.bits_per_second, hevc.buffer_bits, avc.bits_per_second]


# H.265 clause A.4.2 from memory, by hand. 2160p60 at 10 bits, level 5.1: 1.875 * max(8 294 400, 534 773 760 /
# 300) / 8. 1080p24 at 8 bits, level 4: 1.5 * 2 073 600 / 4. 720p24 at 8 bits, level 3.1: 1.5 * 921 600 / 2.
@pytest.mark.parametrize(
    ("text", "expected"),
    [("2160p60-pq", 1_944_000), ("1080p24-sdr", 777_600), ("720p24-sdr", 691_200)],
)
def test_largest_first_picture(text: str, expected: int) -> None:
    """The first picture may have so many bytes."""
    signal = parse_signal_format(text)
    assert expected == hevc_level(signal).limits(signal).picture_bytes


# H.262 Tables 8-11 and 8-13 by hand: 1920 * 1088 * 30000/1001 = 62 607 wants rows of 1080 only: 62 145 855 is
# below 62 668 800; 1280 * 720 * 60 = 55 296 000 too. 1080p50 has 103 680 000.
@pytest.mark.parametrize(("text", "level"), [("720p60-sdr", "High"), ("1080p29.97-sdr", "High")])
def test_mpeg2_levels(text: str, level: str) -> None:
    """What broadcasts send fits High level."""
    assert level == mpeg2_level(parse_signal_format(text)).name


@pytest.mark.parametrize("text", ["1080p50-sdr", "2160p24-sdr"])
def test_mpeg2_ends_at_high_level(text: str) -> None:
    """Faster or larger pictures are refused."""
    with pytest.raises(CannotCarry, match="no MPEG-2 level holds"):
        mpeg2_level(parse_signal_format(text))
