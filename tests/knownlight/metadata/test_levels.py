"""Levels of HEVC and AVC: vectors/levels.toml."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from knownlight.errors import CannotCarry
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.levels import AVC_LEVELS, HEVC_LEVELS, avc_level, hevc_level

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "levels.toml").read_text("utf-8"))


def test_hevc_table() -> None:
    """Every row of the HEVC table is that of H.265, and there are no others."""
    keys = ("name", "level_idc", "max_luma_picture", "max_luma_rate", "max_kbits", "min_compression")
    assert VECTORS["hevc"] == [{key: getattr(level, key) for key in keys} for level in HEVC_LEVELS]


def test_avc_table() -> None:
    """Every row of the AVC table is that of H.264, and there are no others."""
    keys = ("name", "level_idc", "max_macroblock_rate", "max_frame_macroblocks", "max_kbits")
    assert VECTORS["avc"] == [{key: getattr(level, key) for key in keys} for level in AVC_LEVELS]


@pytest.mark.parametrize("row", VECTORS["format"], ids=lambda row: row["name"])
def test_lowest_level_of_a_format(row: dict[str, Any]) -> None:
    """A format has the lowest level that holds its picture and its rate."""
    signal = parse_signal_format(f"{row['name']}-sdr")
    assert {"hevc": row["hevc"], "avc": row["avc"]} == {
        "hevc": hevc_level(signal).name,
        "avc": avc_level(signal).name,
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
    assert expected == [hevc.max_bits_per_second, hevc.buffer_bits, avc.max_bits_per_second]


# H.265 clause A.4.2 from memory, by hand. 2160p60 at 10 bits, level 5.1: 1.875 * max(8 294 400, 534 773 760 /
# 300) / 8. 1080p24 at 8 bits, level 4: 1.5 * 2 073 600 / 4. 720p24 at 8 bits, level 3.1: 1.5 * 921 600 / 2.
@pytest.mark.parametrize(
    ("text", "expected"),
    [("2160p60-pq", 1_944_000), ("1080p24-sdr", 777_600), ("720p24-sdr", 691_200)],
)
def test_largest_first_picture(text: str, expected: int) -> None:
    """The first picture may have so many bytes."""
    signal = parse_signal_format(text)
    assert expected == hevc_level(signal).largest_first_picture(signal)
