"""Mastering display and content light: vectors/mastering.toml, SMPTE ST 2086, CTA-861.3."""

import tomllib
from pathlib import Path

import pytest

from knownlight.frame.claims import Claims, LightLevels
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.light import (
    ContentLight,
    HdrMetadata,
    MasteringDisplay,
    content_light,
    hdr_metadata,
    mastering_display,
)
from knownlight.signal.primaries import PRIMARIES

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "mastering.toml").read_text("utf-8"))


@pytest.mark.parametrize("name", ["p3-d65", "bt2020"])
def test_mastering_display_in_units(name: str) -> None:
    """Chromaticities count in 0.00002 and luminances in 0.0001 cd/m²; black is the smallest unit."""
    row = VECTORS[name]
    display = mastering_display(PRIMARIES[name], 1000.0)
    assert (
        MasteringDisplay(
            red=tuple(row["red"]),
            green=tuple(row["green"]),
            blue=tuple(row["blue"]),
            white=tuple(row["white"]),
            max_luminance=10_000_000,
            min_luminance=1,
        )
        == display
    )


# H.264 clause D.2.29: x 5..37 000, y 5..42 000, max 50 000..100 000 000, min 1..50 000 (second-hand). Notes 1
# and 3: ST 2086 wants chromaticities in steps of 5 units and whole cd/m² of peak, 10 000 units.
@pytest.mark.parametrize("name", ["p3-d65", "bt2020"])
@pytest.mark.parametrize("peak", [1000.0, 2000.0, 4000.0, 10000.0])
def test_mastering_display_is_within_the_standards_limits(name: str, peak: float) -> None:
    """Every display that can be declared is one that readers take as known."""
    display = mastering_display(PRIMARIES[name], peak)
    for x, y in (display.red, display.green, display.blue, display.white):
        assert 5 <= x <= 37_000
        assert 5 <= y <= 42_000
        assert not x % 5
        assert not y % 5
    assert 50_000 <= display.max_luminance <= 100_000_000
    assert not display.max_luminance % 10_000
    assert 1 <= display.min_luminance <= 50_000


# CTA-861.3 by way of H.264 clause D.2.31: whole cd/m², upper bounds.
@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        (LightLevels(1004.2, 100.42, 100.0, 7.5), (1005, 101)),
        (LightLevels(10000.0, 400.0, 400.0, 50.0), (10000, 400)),
        (LightLevels(0.0, 0.0, 0.0, 0.0), (1, 1)),  # H.264 D.2.31: 0 says that no bound is known
        (LightLevels(0.0001, 0.00001, 0.0, 0.0), (1, 1)),
    ],
)
def test_content_light_is_rounded_up(levels: LightLevels, expected: tuple[int, int]) -> None:
    """MaxCLL and MaxFALL are the next whole cd/m², and a whole number is itself."""
    max_cll, max_fall = expected
    assert ContentLight(max_cll=max_cll, max_fall=max_fall) == content_light(levels)


@pytest.mark.parametrize("transfer", ["sdr", "hlg"])
def test_only_pq_carries_static_metadata(transfer: str) -> None:
    """SDR and HLG files carry neither."""
    signal = parse_signal_format(f"2160p60-{transfer}")
    assert HdrMetadata() == hdr_metadata(signal, LightLevels(100.0, 10.0, 10.0, 10.0))


# The peaks are common practice, no source; that a picture of 1000 cd/m² reaches 1004.2 is ST 2084 at 10 bits.
@pytest.mark.parametrize(
    ("max_cll", "peak"),
    [
        (0.0, 1000),
        (1000.0, 1000),
        (1004.19, 1000),
        (1014.76, 2000),  # code 724, one above that of 1000 cd/m²
        (2003.69, 2000),
        (2024.80, 4000),
        (4014.71, 4000),
        (4057.49, 10000),
        (10000.0, 10000),
    ],
)
def test_smallest_display_that_could_have_shown_it(max_cll: float, peak: int) -> None:
    """The declared peak is the smallest usual one whose own 10-bit code is not below the brightest pixel."""
    metadata = hdr_metadata(parse_signal_format("2160p60-pq"), LightLevels(max_cll, 1.0, 1.0, 1.0))
    assert metadata.mastering is not None
    assert 10_000 * peak == metadata.mastering.max_luminance


@pytest.mark.parametrize("peak", [1000, 2000, 4000, 10000])
@pytest.mark.parametrize(
    ("depth", "code_range"), [(8, "narrow"), (10, "narrow"), (10, "full"), (12, "narrow")]
)
def test_a_picture_of_a_usual_peak_declares_that_peak(peak: int, depth: int, code_range: str) -> None:
    """White asked for at a usual peak declares that peak, whatever quantisation makes of it."""
    signal = parse_signal_format("2160p60-pq", depth=depth, code_range=code_range)
    code = signal.encoding.grey(signal.encoding.grey_code_from_luminance(peak))
    levels = Claims(areas={code: 1}).light(signal.encoding)
    assert levels is not None
    metadata = hdr_metadata(signal, levels)
    assert metadata.mastering is not None
    assert 10_000 * peak == metadata.mastering.max_luminance


def test_primaries_are_those_of_the_content() -> None:
    """P3 content in BT.2020 codes was mastered on a P3 display."""
    signal = parse_signal_format("2160p24-pq", content_primaries="p3-d65")
    metadata = hdr_metadata(signal, LightLevels(900.0, 100.0, 100.0, 10.0))
    assert metadata.mastering is not None
    assert tuple(VECTORS["p3-d65"]["red"]) == metadata.mastering.red
    assert ContentLight(max_cll=900, max_fall=100) == metadata.light
