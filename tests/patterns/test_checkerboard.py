"""The 16-zone checkerboard: four by four equal rectangles (ANSI/INFOCOMM 3M-2011, intra-frame contrast)."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from patterns.registry import build
from tests.patterns.pixels import assert_regions_cover

STEADY = settings(deadline=None, derandomize=True)
SDR = parse_signal_format("720p24-sdr")
PQ = parse_signal_format("720p60-pq")
PHASES = ("first", "second")


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("height", [720, 1080, 2160])
def test_sixteen_equal_zones(phase: str, height: int) -> None:
    """Each quarter of a side is one zone of one code; light and dark alternate in both directions."""
    signal = parse_signal_format(f"{height}p24-sdr")
    plane = build("checkerboard", {"phase": phase}).draw(signal).frame(0).planes[0]
    zones = plane.reshape(4, height // 4, 4, signal.width // 4).swapaxes(1, 2)
    first = zones[..., 0, 0]
    assert (zones == first[..., np.newaxis, np.newaxis]).all()
    light_is_even = phase == "first"
    expected = [
        [235 if ((row + column) % 2 == 0) == light_is_even else 16 for column in range(4)] for row in range(4)
    ]
    assert expected == first.tolist()


@pytest.mark.parametrize("keys", [{}, {"luminance": 600, "dark_luminance": 0.05}])
def test_phases_are_complements(keys: dict[str, float]) -> None:
    """What is light in one phase is dark in the other; each has eight light and eight dark zones."""
    first, second = (
        build("checkerboard", {**keys, "phase": phase}).draw(PQ).frame(0).planes[0] for phase in PHASES
    )
    dark, light = np.unique(first).tolist()
    np.testing.assert_array_equal(dark + light - first.astype(np.int64), second)
    for phase in PHASES:
        regions = build("checkerboard", {**keys, "phase": phase}).claims(PQ).regions
        named = [region.name.partition("-")[0] for region in regions]
        assert [8, 8] == [named.count("light"), named.count("dark")]
        expected = [light if name == "light" else dark for name in named]
        assert expected == [region.code[0] for region in regions]


def test_zones_are_named_by_place() -> None:
    """The name of a zone says what it is and where."""
    regions = build("checkerboard", {}).claims(SDR).regions
    by_name = {region.name: region.rect for region in regions}
    expected = (320, 540, 320, 180)
    rect = by_name["light-row4-column2"]
    assert expected == (rect.x, rect.y, rect.width, rect.height)
    assert "dark-row1-column2" in by_name


@STEADY
@given(
    st.integers(4, 1019),
    st.integers(4, 1019),
    st.sampled_from(PHASES),
    st.integers(4, 60).map(lambda half: 2 * half),
    st.integers(4, 40).map(lambda half: 2 * half),
)
def test_claims_are_the_pixels(light: int, dark: int, phase: str, width: int, height: int) -> None:
    """Zones are even, hold their code and cover any picture once; areas are the pixels."""
    signal = replace(PQ, width=width, height=height)
    pattern = build("checkerboard", {"code": light, "dark_code": dark, "phase": phase})
    plane = pattern.draw(signal).frame(0).planes[0]
    claims = pattern.claims(signal)
    assert_regions_cover(plane, claims)
