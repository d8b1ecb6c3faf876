"""Colours by name: places, shares and codes against colour-science for three sets of primaries.

Saturation in a straight line in x, y is common practice, no source; the luminance of a colour in HLG follows
the OOTF of BT.2100.
"""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.signal import primaries
from knownlight.signal.primaries import PRIMARIES
from patterns.colours import (
    HUES,
    check_light,
    colour_code,
    gamut_primaries,
    holds,
    hue_code,
    hue_xy,
    level_light,
    luminance_share,
)
from patterns.parameters import Level, LevelUnit
from patterns.registry import build
from tests.patterns.outside_light import corner_xyz, fine_signal, uv_of, uv_of_xy, xy_of_xyz, xyz_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

BARS = tomllib.loads((Path(__file__).parents[1] / "vectors" / "bars.toml").read_text("utf-8"))
STEADY = settings(deadline=None, derandomize=True)
GAMUTS = ("bt709", "p3-d65", "bt2020")
COLOURED = ("red", "yellow", "green", "cyan", "blue", "magenta")
EXACT = 1e-15  # measured 2.2e-16
CODE_UV = 6e-4  # of R'G'B' at 12 bits; measured 5.4e-4, of P3 red, which BT.2020 just misses
CODE_LIGHT = 2e-3  # relative, likewise; measured 1.9e-3
WEIGHTS = 3e-6  # relative; measured 2e-6: the limits below have six digits
WHITE = {"sdr": 100.0, "pq": 10000.0, "hlg": 1000.0}  # cd/m²: BT.2035, ST 2084, BT.2100
OWN = {"sdr": "bt709", "pq": "bt2020", "hlg": "bt2020"}  # primaries that the codes are of


def code_of(
    signal: SignalFormat, gamut: str, hue: str, level: Level, saturation_percent: float = 100.0
) -> tuple[int, int, int]:
    """The codes of a hue."""
    return hue_code(
        "card",
        "level",
        level,
        primaries=PRIMARIES[gamut],
        hue=hue,
        saturation_percent=saturation_percent,
        signal=signal,
    )


def percent(value: float) -> Level:
    """A level as a signal."""
    return Level(LevelUnit.SIGNAL_PERCENT, value)


def luminance(value: float) -> Level:
    """A level in cd/m²."""
    return Level(LevelUnit.LUMINANCE, value)


@pytest.mark.parametrize("gamut", GAMUTS)
@pytest.mark.parametrize("hue", COLOURED)
def test_hues_are_corners(gamut: str, hue: str) -> None:
    """A hue lies where colour-science's matrix puts the corner of the cube, and has its share of light."""
    expected = corner_xyz(gamut, hue)
    np.testing.assert_allclose(xy_of_xyz(expected), hue_xy(PRIMARIES[gamut], hue), rtol=0.0, atol=EXACT)
    np.testing.assert_allclose(expected[1], luminance_share(PRIMARIES[gamut], hue), rtol=0.0, atol=EXACT)


@pytest.mark.parametrize("gamut", GAMUTS)
def test_white_is_white(gamut: str) -> None:
    """White is D65 (H.273 Table 2) at any saturation, and has all of the light."""
    for saturation in (0.0, 40.0, 100.0):
        np.testing.assert_allclose(
            (0.3127, 0.3290), hue_xy(PRIMARIES[gamut], "white", saturation), rtol=0.0, atol=EXACT
        )
    assert pytest.approx(1.0, abs=EXACT) == luminance_share(PRIMARIES[gamut], "white")
    assert {*COLOURED, "white"} == set(HUES)


# Red of BT.709 is (0.640, 0.330), D65 (0.3127, 0.3290): a quarter of the way adds 0.081825 and 0.00025.
@pytest.mark.parametrize(
    ("saturation", "expected"),
    [(0.0, (0.3127, 0.3290)), (25.0, (0.394525, 0.32925)), (50.0, (0.47635, 0.3295)), (100.0, (0.64, 0.33))],
)
def test_saturation_runs_from_white_to_the_corner(saturation: float, expected: tuple[float, float]) -> None:
    """So many % of the way in x, y, by hand."""
    np.testing.assert_allclose(expected, hue_xy(PRIMARIES["bt709"], "red", saturation), rtol=0.0, atol=EXACT)


@pytest.mark.parametrize(
    ("name", "rows", "matrix"),
    [
        ("1080p50-sdr", "bar", "bt709"),
        ("576p50-sdr", "standard_bar", "bt601-625"),
        ("480p59.94-sdr", "standard_bar", "bt601-625"),
    ],
)
def test_hues_of_sdr_are_its_bars(name: str, rows: str, matrix: str) -> None:
    """Hues of gamut=sdr are corners of the signal's own primaries: 100 % has the codes of vectors/bars.toml.

    BT.601 has one matrix for its two sets of primaries.
    """
    signal = parse_signal_format(name, depth=10)
    bars = {
        bar["colour"]: tuple(bar["ycbcr"])
        for bar in BARS[rows]
        if (bar["matrix"], bar["percent"], bar["depth"]) == (matrix, 100, 10)
    }
    for hue in HUES:
        window = build("colour-window", {"colour": hue, "signal_percent": 100})
        regions = {region.name: region.code for region in window.claims(signal).regions}
        assert bars[hue] in regions.values(), hue


def test_gamut_of_sdr_is_bt709_in_hdr() -> None:
    """PQ and HLG show hues of BT.709 where no other gamut is asked for."""
    signal = parse_signal_format("2160p60-pq")
    assert primaries.BT709 is gamut_primaries("sdr", signal) is gamut_primaries("bt709", signal)


@pytest.mark.parametrize(
    ("transfer", "gamut"),
    [("sdr", "bt709"), *((transfer, gamut) for transfer in ("pq", "hlg") for gamut in GAMUTS)],
)
@pytest.mark.parametrize("hue", COLOURED)
@pytest.mark.parametrize("saturation", [100.0, 40.0])
def test_codes_of_a_luminance(transfer: str, gamut: str, hue: str, saturation: float) -> None:
    """Decoded by colour-science, codes show the hue's chromaticity at the luminance that was asked for."""
    signal = fine_signal(transfer)
    code = code_of(signal, gamut, hue, luminance(5.0), saturation)
    white = np.array([0.3127, 0.3290])
    xy = white + saturation / 100.0 * (xy_of_xyz(corner_xyz(gamut, hue)) - white)

    np.testing.assert_allclose(uv_of_xy(xy), uv_of(signal, code), rtol=0.0, atol=CODE_UV)
    np.testing.assert_allclose(5.0, xyz_of(signal, code)[1], rtol=CODE_LIGHT)


# By hand: 75 % of R' alone is 256 + 0.75 * 3504 = 2884 at 12 bits (H.273 clause 8.3).
@pytest.mark.parametrize("transfer", WHITE)
@pytest.mark.parametrize("hue", HUES)
def test_a_signal_level_of_a_full_hue_is_a_bar(transfer: str, hue: str) -> None:
    """75 % of a hue in the signal's own primaries is the 75 % bar: R', G', B' at 75 % or at black."""
    signal = fine_signal(transfer)
    expected = tuple(2884 if part else 256 for part in HUES[hue])
    assert expected == code_of(signal, OWN[transfer], hue, percent(75.0))
    assert expected == code_of(signal, OWN[transfer], hue, Level(LevelUnit.CODE, 2884))


@pytest.mark.parametrize("transfer", WHITE)
@pytest.mark.parametrize("hue", COLOURED)
@pytest.mark.parametrize("saturation", [20.0, 60.0])
def test_a_sweep_keeps_the_light_of_its_corner(transfer: str, hue: str, saturation: float) -> None:
    """By signal level a hue has the luminance of its full colour at every saturation, by colour-science."""
    signal = fine_signal(transfer)
    gamut = OWN[transfer]
    full, part = (
        xyz_of(signal, code_of(signal, gamut, hue, percent(60.0), each)) for each in (100.0, saturation)
    )

    np.testing.assert_allclose(full[1], part[1], rtol=CODE_LIGHT)
    white = np.array([0.3127, 0.3290])
    xy = white + saturation / 100.0 * (xy_of_xyz(corner_xyz(gamut, hue)) - white)
    np.testing.assert_allclose(uv_of_xy(xy), uv_of_xy(xy_of_xyz(part)), rtol=0.0, atol=CODE_UV)


# BT.2100 OOTF by hand: pure red of 100 % is 1000 * 0.2627^1.2 = 201.072 cd/m², green and blue likewise.
@pytest.mark.parametrize(("hue", "limit"), [("red", "201.072"), ("green", "627.299"), ("blue", "33.7037")])
def test_pure_colours_of_hlg(hue: str, limit: str) -> None:
    """A pure colour of 100 % HLG is dimmer than its share of white; as much is held, and no more."""
    signal = fine_signal("hlg")
    full = code_of(signal, "bt2020", hue, percent(100.0))
    assert tuple(3760 if part else 256 for part in HUES[hue]) == full
    np.testing.assert_allclose(float(limit), xyz_of(signal, full)[1], rtol=WEIGHTS)
    assert full == code_of(signal, "bt2020", hue, luminance(float(limit)))

    words = rf"^card: luminance: .* is more than a hlg signal holds at .*; use {limit} or less$"
    with pytest.raises(BadInput, match=words):
        code_of(signal, "bt2020", hue, luminance(1.01 * float(limit)))


@pytest.mark.parametrize("transfer", WHITE)
def test_light_of_a_level(transfer: str) -> None:
    """A level in cd/m² is itself; 100 % is the signal's white."""
    signal = fine_signal(transfer)
    assert 12.5 == level_light("card", "level", luminance(12.5), signal)
    assert pytest.approx(WHITE[transfer], rel=1e-7) == level_light("card", "level", percent(100.0), signal)

    with pytest.raises(BadInput, match=r"^card: luminance=20000: luminance 20000 cd/m² is outside"):
        level_light("card", "level", luminance(20000.0), signal)


@pytest.mark.parametrize(
    ("transfer", "gamut", "hue", "level", "words"),
    [
        ("sdr", "p3-d65", "green", luminance(5.0), r"luminance: x 0\.2650, y 0\.6900 lies outside bt709"),
        ("sdr", "bt2020", "red", percent(50.0), r"x 0\.7080, y 0\.2920 lies outside bt709; use a colour"),
        ("sdr", "bt709", "blue", luminance(10.0), r"luminance: 10 cd/m² is more than .*; use 7\.21923 or"),
        ("pq", "bt2020", "red", luminance(3000.0), r"luminance: 3000 cd/m² is more .*; use 2627 or less"),
        ("pq", "bt709", "red", percent(101.0), r"signal_percent=101: PQ means nothing above 100 %"),
        ("hlg", "bt709", "red", Level(LevelUnit.CODE, 5000), r"code=5000 is code 5000, outside the codes"),
    ],
)  # fmt: skip
def test_what_a_signal_does_not_hold_is_refused(
    transfer: str, gamut: str, hue: str, level: Level, words: str
) -> None:
    """A hue outside the signal's primaries, or brighter than it goes: family, key and remedy."""
    with pytest.raises(BadInput, match=f"^card: {words}"):
        code_of(fine_signal(transfer), gamut, hue, level)


@pytest.mark.parametrize(
    ("gamut", "held"),
    [("bt709", {"bt709"}), ("p3-d65", {"bt709", "p3-d65"}), ("bt2020", {"bt709", "p3-d65", "bt2020"})],
)
def test_primaries_hold_those_inside(gamut: str, held: set[str]) -> None:
    """BT.2020 holds P3 and BT.709, P3 holds BT.709, each holds itself: by H.273 Table 2."""
    found = {
        other
        for other in GAMUTS
        if all(holds(PRIMARIES[gamut], hue_xy(PRIMARIES[other], hue)) for hue in HUES)
    }
    assert held == found


@STEADY
@given(st.tuples(st.floats(0.05, 0.7), st.floats(0.05, 0.8)), st.sampled_from(GAMUTS))
def test_holding_is_lying_in_the_triangle(xy: tuple[float, float], gamut: str) -> None:
    """A colour well inside the triangle of colour-science's primaries is held, one well outside is not."""
    space = colour.RGB_COLOURSPACES[
        {"bt709": "ITU-R BT.709", "p3-d65": "P3-D65", "bt2020": "ITU-R BT.2020"}[gamut]
    ]
    shares = np.linalg.solve(np.vstack([space.primaries.T, [1.0, 1.0, 1.0]]), [*xy, 1.0])
    if abs(shares).min() > 0.02:
        assert bool((shares > 0.0).all()) == holds(PRIMARIES[gamut], xy)


def test_a_colour_is_named_with_where_it_was_asked() -> None:
    """The words of what is wrong begin with who asked."""
    signal = parse_signal_format("720p50-sdr")
    assert (235, 128, 128) == colour_code("card", (0.3127, 0.3290), 100.0, signal)

    with pytest.raises(BadInput, match=r"^card: lamp: x 0\.7000, y 0\.2500 lies outside bt709"):
        colour_code("card: lamp", (0.7, 0.25), 10.0, signal)


def test_the_farthest_past_its_limit_is_named() -> None:
    """Of several colours the one most above its limit is told; those outside the primaries are not."""
    signal = parse_signal_format("720p50-pq")
    red, blue = (getattr(PRIMARIES["bt2020"], name) for name in ("red", "blue"))
    asked: dict[str, Any] = {"red": (red, 2626.0), "blue": (blue, 593.0), "outside": ((0.1, 0.1), 1e9)}
    check_light("card: luminance", asked, signal)

    asked |= {"red": (red, 3000.0), "blue": (blue, 3000.0)}
    with pytest.raises(
        BadInput, match=r"^card: luminance: 3000 cd/m² of blue .* pq .*; use 593\.017 or less$"
    ):
        check_light("card: luminance", asked, signal)
