"""Saturation card: chromaticities and luminances by colour-science, layout, what is refused."""

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.registry import build
from tests.patterns.outside_light import HUES, corner_xyz, fine_signal, xy_of_xyz, xyz_of

XY = 4e-4  # half a code of 12 bits in each part: measured 2.6e-4, of PQ
XY_OF_P3_RED = 2e-3  # it lies outside BT.2020 by 0.16 % and is moved to the edge: measured 1.24e-3
LIGHT = 2e-3  # relative, half a code of 12 bits in each part: measured 1.4e-3, of PQ
# 75 % of signal in cd/m²: BT.1886 at 100 cd/m², ST 2084, HLG at 1000 cd/m² (BT.2100), to 0.05 %.
PEAK = {"sdr": 50.14, "pq": 983.38, "hlg": 203.15}
GAMUTS = [
    ("sdr", "bt709"), ("pq", "bt709"), ("pq", "p3-d65"), ("pq", "bt2020"),
    ("hlg", "bt709"), ("hlg", "bt2020"),
]  # fmt: skip


@pytest.mark.parametrize(("transfer", "gamut"), GAMUTS)
def test_saturation_is_straight_in_xy(transfer: str, gamut: str) -> None:
    """By colour-science: each patch lies so much of the way from D65 to its corner of the primaries."""
    signal = fine_signal(transfer)
    claims = build("saturation-card", {"gamut": gamut, "steps": 5}).claims(signal)
    found = {region.name: region.code for region in claims.regions}
    assert 30 == len(found)
    white = np.array([0.3127, 0.3290])
    for hue in HUES:
        full = xy_of_xyz(corner_xyz(gamut, hue))
        limit = XY_OF_P3_RED if (gamut, hue) == ("p3-d65", "red") else XY
        for percent in (0, 25, 50, 75, 100):
            expected = white + (full - white) * percent / 100.0
            actual = xy_of_xyz(xyz_of(signal, found[f"{hue}-{percent}"]))
            np.testing.assert_allclose(expected, actual, rtol=0.0, atol=limit)


@pytest.mark.parametrize(("transfer", "gamut"), GAMUTS)
def test_rows_keep_the_luminance_of_their_hue(transfer: str, gamut: str) -> None:
    """By colour-science: every patch of a row has the luminance of the hue's corner at 75 %.

    In HLG that is the corner's share of white to the system gamma, 1.2 at 1000 cd/m² (BT.2100).
    """
    signal = fine_signal(transfer)
    for region in build("saturation-card", {"gamut": gamut, "signal_percent": 75.0}).claims(signal).regions:
        share = corner_xyz(gamut, region.name.partition("-")[0])[1]
        expected = PEAK[transfer] * (share**1.2 if transfer == "hlg" else share)
        np.testing.assert_allclose(expected, xyz_of(signal, region.code)[1], rtol=LIGHT)


def test_luminance_is_that_of_every_patch() -> None:
    """Given as luminance, the level is each patch's own (our own meaning), by colour-science."""
    signal = fine_signal("pq")
    regions = build("saturation-card", {"luminance": 30.0, "gamut": "bt2020"}).claims(signal).regions
    light = [xyz_of(signal, region.code)[1] for region in regions]
    np.testing.assert_allclose([30.0] * 36, light, rtol=LIGHT)


@pytest.mark.parametrize("steps", [2, 11])
@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_patches_stand_in_rows_and_columns(height: int, steps: int) -> None:
    """Six rows of so many patches inside the picture, apart, with a label for each row and column."""
    signal = parse_signal_format(f"{height}p60-sdr")
    pattern = build("saturation-card", {"steps": steps})
    cover = np.zeros((height, signal.width), dtype=int)
    regions = pattern.claims(signal).regions
    for region in regions:
        rect = region.rect
        assert {0} == {value % 2 for value in (rect.x, rect.y, rect.width, rect.height)}
        assert rect.right <= signal.width
        assert rect.bottom <= height
        cover[rect.slices] += 1
    assert 6 * steps == len(regions)
    assert 1 == cover.max()
    lefts, tops = ({getattr(r.rect, side) for r in regions} for side in ("x", "y"))
    assert (steps, 6) == (len(lefts), len(tops))
    assert cover.mean() > 0.75  # most of the picture is patches


def test_wider_primaries_are_refused_in_sdr() -> None:
    """SDR signals have BT.709 primaries; the message says what to use."""
    signal = parse_signal_format("1080p50-sdr")
    with pytest.raises(
        BadInput, match=r"saturation-card: .* lies outside bt709; .* signal of wider primaries"
    ):
        build("saturation-card", {"gamut": "bt2020"}).claims(signal)


@pytest.mark.parametrize(
    ("transfer", "gamut", "said"),
    [("sdr", "bt709", 7.2192), ("pq", "bt2020", 593.017), ("hlg", "bt2020", 33.7037)],
)
def test_more_light_than_blue_has_is_refused(transfer: str, gamut: str, said: float) -> None:
    """Blue has least: KB of white (BT.709, BT.2020), to the gamma of 1.2 in HLG; what is said is taken."""
    signal = fine_signal(transfer)
    share = corner_xyz(gamut, "blue")[1]
    white = {"sdr": 100.0, "pq": 10000.0, "hlg": 1000.0}[transfer]
    highest = white * (share**1.2 if transfer == "hlg" else share)
    assert pytest.approx(highest, rel=1e-4) == said
    with pytest.raises(BadInput, match=f"of blue is more than a {transfer} signal holds; use {said:g}"):
        build("saturation-card", {"gamut": gamut, "luminance": 1.5 * highest}).claims(signal)
    build("saturation-card", {"gamut": gamut, "luminance": 0.999 * highest}).claims(signal)
