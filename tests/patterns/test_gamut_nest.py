"""Gamut nest: corners of three sets of primaries by colour-science, at one luminance a nest, refusals."""

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose
from knownlight.frame.format import parse_signal_format
from patterns.registry import build
from tests.patterns.outside_light import HUES, corner_xyz, fine_signal, xy_of_xyz, xyz_of

XY = 4e-4  # half a code of 12 bits in each part: measured 2.3e-4
XY_OF_P3_RED = 2e-3  # it lies outside BT.2020 by 0.16 % and is moved to the edge: measured 1.23e-3
LIGHT = 2e-3  # relative, half a code of 12 bits in each part: measured 1.3e-3 between two
PEAK = {"pq": 201.67, "hlg": 76.15}  # 58 % of signal in cd/m²: ST 2084, HLG at 1000 cd/m² (BT.2100)


@pytest.mark.parametrize("transfer", ["pq", "hlg"])
def test_rings_are_corners_of_three_primaries(transfer: str) -> None:
    """By colour-science: from outside, BT.2020, P3-D65 and BT.709 (primaries of H.273 Table 2)."""
    signal = fine_signal(transfer)
    for region in build("gamut-nest", {}).claims(signal).regions:
        hue, _, rest = region.name.partition("-")
        gamut = "p3-d65" if rest.startswith("p3") else rest.partition("-")[0]
        limit = XY_OF_P3_RED if (hue, gamut) == ("red", "p3-d65") else XY
        expected = xy_of_xyz(corner_xyz(gamut, hue))
        np.testing.assert_allclose(expected, xy_of_xyz(xyz_of(signal, region.code)), rtol=0.0, atol=limit)


@pytest.mark.parametrize("transfer", ["pq", "hlg"])
def test_a_nest_has_one_luminance(transfer: str) -> None:
    """By colour-science: a nest has the luminance of its BT.2020 corner at 58 %; HLG to the gamma of 1.2."""
    signal = fine_signal(transfer)
    for region in build("gamut-nest", {}).claims(signal).regions:
        share = corner_xyz("bt2020", region.name.partition("-")[0])[1]
        expected = PEAK[transfer] * (share**1.2 if transfer == "hlg" else share)
        np.testing.assert_allclose(expected, xyz_of(signal, region.code)[1], rtol=LIGHT)


def test_luminance_is_that_of_every_nest() -> None:
    """Given as luminance, the level is the same for all six hues, by colour-science."""
    signal = fine_signal("pq")
    regions = build("gamut-nest", {"luminance": 30.0}).claims(signal).regions
    np.testing.assert_allclose([30.0] * 54, [xyz_of(signal, r.code)[1] for r in regions], rtol=LIGHT)


def test_blue_has_one_seam() -> None:
    """BT.709 and P3-D65 have the same blue (H.273 Table 2): its nest has two colours, the others three."""
    regions = build("gamut-nest", {}).claims(fine_signal("pq")).regions
    colours = {hue: len({r.code for r in regions if r.name.startswith(hue)}) for hue in HUES}
    assert {hue: 2 if hue == "blue" else 3 for hue in HUES} == colours


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_rings_lie_around_the_patch(height: int) -> None:
    """Four strips each of two rings and a patch to measure fill each nest; nests are apart."""
    signal = parse_signal_format(f"{height}p60-pq")
    regions = build("gamut-nest", {}).claims(signal).regions
    cover = np.zeros((height, signal.width), dtype=int)
    for region in regions:
        assert {0} == {getattr(region.rect, side) % 2 for side in ("x", "y", "width", "height")}
        cover[region.rect.slices] += 1
    assert 1 == cover.max()
    assert [f"{hue}-bt709" for hue in HUES] == [r.name for r in regions if r.purpose is Purpose.MEASURE]
    for hue in HUES:
        rects = [region.rect for region in regions if region.name.startswith(hue)]
        assert 9 == len(rects)
        left, top = min(rect.x for rect in rects), min(rect.y for rect in rects)
        right, bottom = max(rect.right for rect in rects), max(rect.bottom for rect in rects)
        assert (cover[top:bottom, left:right] == 1).all()


@pytest.mark.parametrize(
    ("written", "primaries"), [("1080p50-sdr", None), ("1080p50-pq", "p3-d65"), ("1080p50-hlg", "p3-d65")]
)
def test_narrower_content_is_refused(written: str, primaries: str | None) -> None:
    """A signal that says it holds less than BT.2020 is refused with what to use."""
    signal = parse_signal_format(written, content_primaries=primaries)
    with pytest.raises(BadInput, match="use a pq or hlg signal and --primaries bt2020"):
        build("gamut-nest", {}).claims(signal)


@pytest.mark.parametrize(
    ("transfer", "keys", "words"),
    [
        ("hlg", {"luminance": 100.0}, r"luminance: 100 cd/m² of blue of bt2020 is more .* use 33\.70"),
        ("pq", {"luminance": 1000.0}, r"luminance: 1000 cd/m² of blue of bt2020 is more .* use 593\.0"),
        ("pq", {"signal_percent": 100.0}, "signal_percent: .* of magenta of bt709 is more than a pq signal"),
    ],
)
def test_more_than_a_corner_has_is_refused(transfer: str, keys: dict[str, float], words: str) -> None:
    """Blue of BT.2020 has 5.93 % of white's luminance; at 100 % a narrower corner has less than BT.2020's."""
    signal = parse_signal_format(f"1080p50-{transfer}")
    with pytest.raises(BadInput, match=f"gamut-nest: {words}"):
        build("gamut-nest", keys).claims(signal)
