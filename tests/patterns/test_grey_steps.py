"""Grey steps: codes of vectors/code_levels.toml (ITU-T H.273 clause 8.3); the layout has no source."""

import tomllib
import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from patterns.registry import build

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

VECTORS = tomllib.loads((Path(__file__).parents[1] / "vectors" / "code_levels.toml").read_text("utf-8"))
TENTHS = [row for row in VECTORS["level"] if row["percent"] in {str(tenth) for tenth in range(0, 101, 10)}]
STEADY = settings(deadline=None, derandomize=True)
SDR = parse_signal_format("720p24-sdr")
SMALL = replace(parse_signal_format("720p60-pq"), width=640, height=360)
STRIP = 40  # rows of labels at 720: an eighteenth of the picture


def claimed_codes(signal: SignalFormat, **keys: float | str) -> list[int]:
    """Codes of the claimed columns, left to right."""
    regions = build("grey-steps", keys).claims(signal).regions
    return [region.code[0] for region in sorted(regions, key=lambda region: region.rect.x)]


@pytest.mark.parametrize("column", ["narrow_8", "narrow_10", "narrow_12", "full_8", "full_10", "full_12"])
def test_eleven_steps(column: str) -> None:
    """Eleven steps are the published codes of 0, 10, ... 100 % and are drawn left to right."""
    code_range, depth = column.split("_")
    signal = parse_signal_format("720p24-sdr", depth=int(depth), code_range=code_range)
    published = [row[column] for row in TENTHS]
    assert 11 == len(published)
    assert published == claimed_codes(signal)
    plane = build("grey-steps", {}).draw(signal).frame(0).planes[0]
    assert published == [int(plane[0, 1280 * (2 * index + 1) // 22]) for index in range(11)]


# standards.md 1.3 prints these; the same by hand: 16 + 21.9 n, halves up.
def test_eleven_steps_of_eight_bits_in_figures() -> None:
    """The eleven codes of SDR at 8 bits, in figures."""
    expected = [16, 38, 60, 82, 104, 126, 147, 169, 191, 213, 235]
    assert expected == claimed_codes(SDR)


# Decades of PQ by the inverse EOTF of colour-science, 64 + 876 of it, halves away from zero; even light of
# SDR is 16 + 219 of the inverse BT.1886 with white 100 and black 0.
def test_steps_by_ratio_of_luminance() -> None:
    """From 0.1 to 1000 cd/m² in five columns are decades, up or down."""
    decades = [0.1, 1.0, 10.0, 100.0, 1000.0]
    signals = [float(colour.models.eotf_inverse_ST2084(light)) for light in decades]
    expected = [int(np.floor(64 + 876 * signal + 0.5)) for signal in signals]
    form = parse_signal_format("720p60-pq")
    keys: dict[str, float | str] = {"steps": 5, "spacing": "ratio"}
    assert expected == claimed_codes(form, **keys, first_luminance=0.1, last_luminance=1000)
    assert expected[::-1] == claimed_codes(form, **keys, first_luminance=1000, last_luminance=0.1)


def test_steps_even_in_luminance() -> None:
    """From black to white of SDR in five columns are 0, 25, 50, 75 and 100 cd/m²."""
    signals = [
        float(colour.models.eotf_inverse_BT1886(light, L_B=0, L_W=100)) for light in (0, 25, 50, 75, 100)
    ]
    expected = [int(np.floor(16 + 219 * signal + 0.5)) for signal in signals]
    assert expected == claimed_codes(SDR, steps=5, spacing="luminance")


@pytest.mark.parametrize("keys", [{}, {"first_code": 4}, {"first_luminance": 10, "last_luminance": 0}])
def test_ratios_do_not_start_or_end_at_nothing(keys: dict[str, float]) -> None:
    """There is no ratio from black or from below it; the message says what to give."""
    with pytest.raises(BadInput, match="use first_luminance and last_luminance above 0"):
        build("grey-steps", {"spacing": "ratio", **keys}).claims(SDR)


@STEADY
@given(
    st.integers(2, 64), st.integers(66, 1019), st.integers(66, 1019), st.sampled_from(["luminance", "ratio"])
)
def test_other_spacings_go_one_way_between_the_levels(
    steps: int, first: int, last: int, spacing: str
) -> None:
    """The ends are the codes of the levels at every spacing, and no step goes back."""
    codes = claimed_codes(SMALL, steps=steps, first_code=first, last_code=last, spacing=spacing)
    assert [first, last] == [codes[0], codes[-1]]
    assert sorted(codes, reverse=first > last) == codes


# By hand: 940 down to 64 in three is 940, 502, 64.
def test_steps_may_fall() -> None:
    """The left end may be the lighter one."""
    expected = [940, 502, 64]
    keys = {"steps": 3, "first_signal_percent": 100, "last_signal_percent": 0}
    assert expected == claimed_codes(parse_signal_format("720p60-pq"), **keys)


# The figures 1 and 6 of knownlight.frame.glyphs, written out here: 11 by 7 dots of 2 pixels, in the middle of
# a strip of 116 by 40 pixels: 47 pixels from its left and 13 from its top.
def test_a_label_is_the_code_in_figures() -> None:
    """The first column of SDR has a label that reads 16, in the middle of the strip, and nothing else."""
    dots = [
        "..#.....##.",
        ".##....#...",
        "..#...#....",
        "..#...####.",
        "..#...#...#",
        "..#...#...#",
        ".###...###.",
    ]
    strip = build("grey-steps", {}).draw(SDR).frame(0).planes[0][720 - STRIP :, :116]
    lit = np.array([[dot == "#" for dot in row] for row in dots]).repeat(2, axis=0).repeat(2, axis=1)
    expected = np.full((STRIP, 116), 16)
    expected[13:27, 47:69][lit] = 60
    np.testing.assert_array_equal(expected, strip)


@pytest.mark.parametrize("keys", [{"label_signal_percent": 0}, {"steps": 64}])
def test_labels_hide(keys: dict[str, float]) -> None:
    """At the level of the strip, and in columns too narrow for them, no label shows."""
    strip = build("grey-steps", keys).draw(SDR).frame(0).planes[0][720 - STRIP :]
    assert [16] == np.unique(strip).tolist()


@STEADY
@given(st.integers(2, 64), st.integers(4, 1019), st.integers(4, 1019), st.integers(4, 1019))
def test_claims_are_the_pixels(steps: int, first: int, last: int, label: int) -> None:
    """Columns are even, side by side, within half a code of the straight line; areas are the pixels."""
    keys = {"steps": steps, "first_code": first, "last_code": last, "label_code": label}
    pattern = build("grey-steps", keys)
    plane = pattern.draw(SMALL).frame(0).planes[0]
    claims = pattern.claims(SMALL)
    assert steps == len(claims.regions)
    left = 0
    for index, region in enumerate(claims.regions):
        rect = region.rect
        assert Rect(left, 0, rect.width, 340) == rect
        assert rect.width % 2 == 0
        left += rect.width
        assert [region.code[0]] == np.unique(plane[rect.slices]).tolist()
        assert abs((region.code[0] - first) * (steps - 1) - (last - first) * index) * 2 <= steps - 1
    assert SMALL.width == left
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
