"""Codes to light and back through everything at once: H.273 clause 8.3, BT.2035, BT.2100, colour-science."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.signal import matrix, primaries
from knownlight.signal.code_range import CodeRange, Quantisation
from knownlight.signal.encoding import (
    Components,
    Encoding,
    Transfer,
    grey_light,
    grey_signal,
    rgb_light,
    rgb_signal,
)

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

BARS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "bars.toml").read_text("utf-8"))["bar"]
TABLE_AGAINST_SCALAR = 3e-13  # relative, measured 1.4e-13: powers of arrays and of single numbers differ
SIGNAL_AGAINST_COLOUR = 9e-16  # measured 4.4e-16
CHROMATICITY = 2.3e-16  # measured 1.1e-16, and 2.2e-16 of u', v'
CURVES_AGAINST_COLOUR = 1.4e-15  # of a signal, measured 4.4e-16
LIGHT_BY_HAND = 1e-6  # relative: HLG's white misses its peak by 3.2e-8, its weights have four decimals
HIGHEST = 1e-5  # relative: the figures written below have five digits
WHITE_SIGNAL = 6e-4  # measured 5.3e-4: what three rounded codes of 10 bits come to
P3_RED = (
    2e-3  # of x, y and relative of light, measured 1.2e-3 and 1.5e-3: it lies outside, and codes are rounded
)
GREY_COUPLING = 1e-14  # relative, measured 5e-15: powers of arrays and of single numbers differ
ALL = [
    (transfer, depth, code_range)
    for transfer in Transfer
    for depth in (8, 10, 12)
    for code_range in CodeRange
    if not (transfer is not Transfer.SDR and depth == 8 and code_range is CodeRange.FULL)
]


def encoding(
    transfer: Transfer,
    depth: int = 10,
    code_range: CodeRange = CodeRange.NARROW,
    components: Components = Components.YCBCR_420,
) -> Encoding:
    """An encoding as signal formats have it: SDR and sRGB in BT.709, the others in BT.2020."""
    sdr = transfer in (Transfer.SDR, Transfer.SRGB)
    return Encoding(
        transfer=transfer,
        quantisation=Quantisation(depth=depth, code_range=code_range),
        primaries=primaries.BT709 if sdr else primaries.BT2020,
        matrix=matrix.BT709 if sdr else matrix.BT2020_NCL,
        components=components,
    )


def rounded_to(digits: int, value: float) -> Any:
    """Equal to what is within half a unit of the digit."""
    return pytest.approx(value, rel=0.0, abs=0.5 * 10.0**-digits)


def test_written_words() -> None:
    """Kinds of signal and components are written with these words in presets and on the command line."""
    assert {"sdr", "srgb", "pq", "hlg"} == {transfer.value for transfer in Transfer}
    assert {"4:2:0", "4:4:4", "rgb"} == {components.value for components in Components}


# H.273 clause 8.3: the achromatic chroma code is 2^(n - 1).
def test_codes_of_a_grey() -> None:
    """A grey has neutral chroma in Y'CbCr and three equal codes in R'G'B'."""
    sdr_8 = encoding(Transfer.SDR, depth=8)
    rgb = encoding(Transfer.PQ, components=Components.RGB)
    expected = [(235, 128, 128), (509, 512, 512), (509, 509, 509)]
    assert expected == [sdr_8.grey(235), encoding(Transfer.PQ).grey(509), rgb.grey(509)]


# PQ: ST 2084. SDR: BT.1886 on a white of 100 (BT.2035 clause 3.2). HLG: BT.2100 at 1000 cd/m², where the
# calculator of EBU R 167 gives 203.15 for 75 %. Narrow and full codes of each signal: H.273 clause 8.3.
@pytest.mark.parametrize(
    ("transfer", "code_range", "luminance", "code"),
    [
        (Transfer.PQ, CodeRange.NARROW, 0.0, 64),
        (Transfer.PQ, CodeRange.NARROW, 100.0, 509),
        (Transfer.PQ, CodeRange.NARROW, 203.0, 573),
        (Transfer.PQ, CodeRange.NARROW, 1000.0, 723),
        (Transfer.PQ, CodeRange.NARROW, 4000.0, 855),
        (Transfer.PQ, CodeRange.NARROW, 10000.0, 940),
        (Transfer.PQ, CodeRange.FULL, 203.0, 594),
        (Transfer.PQ, CodeRange.FULL, 10000.0, 1023),
        (Transfer.SDR, CodeRange.NARROW, 0.0, 64),
        (Transfer.SDR, CodeRange.NARROW, 50.14, 721),
        (Transfer.SDR, CodeRange.NARROW, 100.0, 940),
        (Transfer.SDR, CodeRange.NARROW, 123.0, 1019),
        (Transfer.SDR, CodeRange.FULL, 100.0, 1023),
        (Transfer.SRGB, CodeRange.FULL, 18.0, 472),  # IEC 61966-2-1: 117.65 of 255
        (Transfer.SRGB, CodeRange.FULL, 100.0, 1023),
        (Transfer.HLG, CodeRange.NARROW, 0.0, 64),
        (Transfer.HLG, CodeRange.NARROW, 203.15, 721),
        (Transfer.HLG, CodeRange.NARROW, 1000.0, 940),
        (Transfer.HLG, CodeRange.FULL, 1000.0, 1023),
    ],
)
def test_code_of_luminance(transfer: Transfer, code_range: CodeRange, luminance: float, code: int) -> None:
    """A luminance has the code that the standards give it, the ends included."""
    assert code == encoding(transfer, code_range=code_range).grey_code_from_luminance(luminance)


# Code 1019: 123.0 cd/m² by BT.1886 (computed), 1811 by BT.2100 (a news item on EBU R 167 gives it).
@pytest.mark.parametrize(
    ("transfer", "digits", "highest"),
    [(Transfer.SDR, 1, 123.0), (Transfer.HLG, 0, 1811.0), (Transfer.PQ, 0, 10000.0)],
)
def test_luminance_limits(transfer: Transfer, digits: int, highest: float) -> None:
    """The limits are what the black code and the highest allowed code ask for."""
    expected = (0.0, rounded_to(digits, highest))
    assert expected == encoding(transfer).luminance_limits


@pytest.mark.parametrize(
    ("transfer", "luminance", "words"),
    [
        (
            Transfer.PQ,
            20000.0,
            r"luminance 20000 cd/m² is outside what this pq signal can say; use 0 to 10000 ",
        ),
        (Transfer.PQ, -1.0, r"luminance -1 cd/m² is outside"),
        (Transfer.SDR, 124.0, r"luminance 124 cd/m² .* this sdr signal can say; use 0 to 123\.026 cd/m²"),
        (Transfer.HLG, 1812.0, r"luminance 1812 cd/m² .* this hlg signal can say; use 0 to 1810\.88 cd/m²"),
    ],
)
def test_light_that_cannot_be_said_is_refused(transfer: Transfer, luminance: float, words: str) -> None:
    """A luminance past the limits is refused with the limits in the message."""
    with pytest.raises(BadInput, match=words):
        encoding(transfer).grey_code_from_luminance(luminance)


@pytest.mark.parametrize(("transfer", "depth", "code_range"), ALL)
def test_every_code_comes_back_from_its_light(transfer: Transfer, depth: int, code_range: CodeRange) -> None:
    """Table and scalar luminance of a code agree, and its code comes back from it."""
    subject = encoding(transfer, depth, code_range)
    quantisation = subject.quantisation
    highest = quantisation.white if transfer is Transfer.PQ else quantisation.highest_allowed
    codes = range(quantisation.black, highest + 1, 1 if depth < 12 else 7)
    scalar = [subject.grey_luminance(code) for code in codes]
    np.testing.assert_allclose(scalar, subject.grey_luminance_table[list(codes)], rtol=TABLE_AGAINST_SCALAR)
    assert list(codes) == [subject.grey_code_from_luminance(light) for light in scalar]


def test_table_has_every_code_and_is_read_only() -> None:
    """The table of luminances is as long as there are codes and cannot be changed by its readers."""
    table = encoding(Transfer.PQ).grey_luminance_table
    expected = (1024,)
    assert expected == table.shape
    with pytest.raises(ValueError, match="read-only"):
        table[0] = 1.0


@pytest.mark.parametrize("transfer", Transfer)
def test_grey_curves_are_inverse(transfer: Transfer) -> None:
    """Luminance of a signal and signal of a luminance undo each other at 75 %."""
    assert pytest.approx(0.75, rel=GREY_COUPLING) == float(
        grey_signal(transfer, float(grey_light(transfer, 0.75)))
    )


@pytest.mark.parametrize("components", [Components.YCBCR_420, Components.YCBCR_444])
@pytest.mark.parametrize("transfer", [Transfer.SDR, Transfer.PQ])
def test_ycbcr_codes_agree_with_colour_science(transfer: Transfer, components: Components) -> None:
    """R'G'B' of random legal Y'CbCr codes is that of colour-science."""
    codes = np.random.default_rng(8).integers(64, 941, (2048, 3))
    weights = colour.WEIGHTS_YCBCR["ITU-R BT.709" if transfer is Transfer.SDR else "ITU-R BT.2020"]
    expected = colour.YCbCr_to_RGB(
        codes, K=weights, in_bits=10, in_legal=True, in_int=True, out_legal=False, out_int=False
    )
    np.testing.assert_allclose(
        expected,
        encoding(transfer, components=components).signal_rgb(codes),
        rtol=0.0,
        atol=SIGNAL_AGAINST_COLOUR,
    )


def test_rgb_codes_are_signals_as_they_are() -> None:
    """R'G'B' codes need no matrix: black, white and 40 % (414 at 10 bits, 0.39954 of signal by hand)."""
    signal = encoding(Transfer.PQ, components=Components.RGB).signal_rgb([64, 940, 414])
    np.testing.assert_array_equal([0.0, 1.0, 350 / 876], signal)


@pytest.mark.parametrize("transfer", Transfer)
def test_a_grey_lights_its_three_components_alike(transfer: Transfer) -> None:
    """Each component of a grey's light is the grey's luminance, and so is its Y."""
    subject = encoding(transfer)
    codes = list(range(100, 900, 100))
    expected = [subject.grey_luminance(code) for code in codes]
    triples = [subject.grey(code) for code in codes]
    for component in (*subject.rgb_light(triples).T, subject.xyz(triples)[:, 1]):
        np.testing.assert_allclose(expected, component, rtol=GREY_COUPLING)


# BT.2100 OOTF by hand: full red at 1000 cd/m² is 1000 * 0.2627^0.2 = 765.4 of its own component, 201.1 of
# luminance; in PQ and SDR a component does not know its neighbours.
def test_only_hlg_couples_the_components() -> None:
    """Pure red is dimmed by the OOTF in HLG and is the grey's light in PQ and SDR."""
    red = [1.0, 0.0, 0.0]
    assert [rounded_to(1, 765.4), 0.0, 0.0] == rgb_light(Transfer.HLG, red).tolist()
    np.testing.assert_array_equal([10000.0, 0.0, 0.0], rgb_light(Transfer.PQ, red))
    assert [pytest.approx(100.0, rel=CHROMATICITY), 0.0, 0.0] == rgb_light(Transfer.SDR, red).tolist()


@pytest.mark.parametrize("transfer", Transfer)
def test_pure_colours_have_the_chromaticity_of_the_primaries(transfer: Transfer) -> None:
    """R'G'B' codes of the pure colours and of white lie at the primaries and at D65; black lies nowhere."""
    subject = encoding(transfer, components=Components.RGB)
    codes = [[940, 64, 64], [64, 940, 64], [64, 64, 940], [940, 940, 940]]
    expected = [getattr(subject.primaries, name) for name in ("red", "green", "blue", "white")]
    np.testing.assert_allclose(expected, subject.xy(codes), rtol=0.0, atol=CHROMATICITY)
    np.testing.assert_allclose(
        colour.xy_to_Luv_uv(np.array(expected)), subject.uv_prime(codes), rtol=0.0, atol=2.0 * CHROMATICITY
    )
    assert np.isnan(subject.xy([64, 64, 64])).all()
    assert np.isnan(subject.uv_prime([64, 64, 64])).all()


@pytest.mark.parametrize("transfer", Transfer)
def test_signals_of_light_agree_with_colour_science(transfer: Transfer) -> None:
    """R', G', B' of random linear light are colour-science's inverse EOTF of it, and undo `rgb_light`."""
    light = float(grey_light(transfer, 1.0)) * np.random.default_rng(9).random((2048, 3))
    with np.errstate(invalid="ignore"):
        if transfer is Transfer.SDR:
            expected = colour.models.eotf_inverse_BT1886(light, L_B=0.0, L_W=100.0)
        elif transfer is Transfer.SRGB:
            expected = colour.models.eotf_inverse_sRGB(light / 100.0)
        elif transfer is Transfer.PQ:
            expected = colour.models.eotf_inverse_ST2084(light)
        else:
            expected = colour.models.eotf_inverse_BT2100_HLG(light, L_B=0.0, L_W=1000.0)
    found = rgb_signal(transfer, light)
    np.testing.assert_allclose(expected, found, rtol=0.0, atol=CURVES_AGAINST_COLOUR)
    np.testing.assert_allclose(light, rgb_light(transfer, found), rtol=LIGHT_BY_HAND)


@pytest.mark.parametrize("components", [Components.YCBCR_420, Components.YCBCR_444, Components.RGB])
@pytest.mark.parametrize("bar", BARS, ids=lambda bar: f"{bar['colour']}-{bar['percent']}-{bar['depth']}")
def test_bars_have_their_codes(bar: dict[str, Any], components: Components) -> None:
    """Colour bars have the Y, Cb, Cr of vectors/bars.toml; as R'G'B', black and the code of their level."""
    transfer = Transfer.SDR if bar["matrix"] == "bt709" else Transfer.PQ
    subject = encoding(transfer, bar["depth"], components=components)
    signal = np.array(bar["rgb"]) * bar["percent"] / 100.0
    if components is Components.RGB:  # by hand: 75 % is 16 + 164.25 at 8 bits, 64 + 657, 256 + 2628
        level = {8: {75: 180, 100: 235}, 10: {75: 721, 100: 940}, 12: {75: 2884, 100: 3760}}
        lit, black = level[bar["depth"]][bar["percent"]], 1 << (bar["depth"] - 4)
        expected = [lit if on else black for on in bar["rgb"]]
    else:
        expected = bar["ycbcr"]
    assert expected == subject.codes_from_signal_rgb(signal).tolist()
    assert [expected] * 2 == subject.codes_from_signal_rgb([signal, signal]).tolist()


@pytest.mark.parametrize("bar", BARS, ids=lambda bar: f"{bar['colour']}-{bar['percent']}-{bar['depth']}")
def test_colours_of_bars_have_their_codes(bar: dict[str, Any]) -> None:
    """A bar asked for by its chromaticity and luminance, both from colour-science, has the bar's codes."""
    transfer = Transfer.SDR if bar["matrix"] == "bt709" else Transfer.PQ
    space = colour.RGB_COLOURSPACES["ITU-R BT.709" if bar["matrix"] == "bt709" else "ITU-R BT.2020"]
    matrix_of_space = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    signal = np.array(bar["rgb"]) * bar["percent"] / 100.0
    if transfer is Transfer.SDR:
        light = colour.models.eotf_BT1886(signal, L_B=0.0, L_W=100.0)
    else:
        light = colour.models.eotf_ST2084(signal)
    xyz = matrix_of_space @ light
    x, y = (float(value) for value in colour.XYZ_to_xy(xyz))
    found = encoding(transfer, bar["depth"]).codes_of_colour((x, y), float(xyz[1]))
    assert tuple(bar["ycbcr"]) == found


def test_white_has_the_usual_luminance() -> None:
    """Signal 1 is 100 (BT.2035), 10 000 (ST 2084) and 1000 cd/m² (BT.2100) at every depth and range.

    That of sRGB is the program's choice: the white of BT.2035, not the 80 cd/m² of IEC 61966-2-1.
    """
    expected = {Transfer.SDR: 100.0, Transfer.SRGB: 100.0, Transfer.PQ: 10000.0, Transfer.HLG: 1000.0}
    for transfer, depth, code_range in ALL:
        found = encoding(transfer, depth, code_range).white_luminance
        assert pytest.approx(expected[transfer], rel=LIGHT_BY_HAND) == found


# By hand: a quarter of 1000 cd/m² before the OOTF is 1000 * 0.25^1.2 = 189.46 after it.
@pytest.mark.parametrize(
    ("transfer", "expected"), [(Transfer.SDR, 250.0), (Transfer.PQ, 250.0), (Transfer.HLG, 189.46457)]
)
def test_luminance_of_a_part(transfer: Transfer, expected: float) -> None:
    """A part of a grey's light is that share of it, in HLG raised to the system gamma."""
    assert pytest.approx(expected, rel=LIGHT_BY_HAND) == encoding(transfer).part_luminance(1000.0, 0.25)


# Shares of white's luminance: vectors/chromaticity.toml. HLG by hand: 1000 * 0.2627^1.2 = 201.072,
# 1000 * 0.6780^1.2 = 627.299 and 1000 * 0.0593^1.2 = 33.7037 (BT.2100 OOTF), white 1000.
@pytest.mark.parametrize(
    ("transfer", "expected"),
    [
        (Transfer.SDR, (21.2639, 71.5169, 7.2192, 100.0)),
        (Transfer.PQ, (2627.0, 6779.98, 593.02, 10000.0)),
        (Transfer.HLG, (201.072, 627.299, 33.7037, 1000.0)),
    ],
)
def test_highest_luminance(transfer: Transfer, expected: tuple[float, ...]) -> None:
    """Pure colours and white reach signal 1 at their share of white, in HLG after the OOTF."""
    subject = encoding(transfer)
    for name, light in zip(("red", "green", "blue", "white"), expected, strict=True):
        xy = getattr(subject.primaries, name)
        assert pytest.approx(light, rel=HIGHEST) == subject.highest_luminance(xy)
        code = subject.codes_of_colour(xy, subject.highest_luminance(xy))
        assert pytest.approx(1.0, abs=WHITE_SIGNAL) == float(subject.signal_rgb(code).max())


@pytest.mark.parametrize(
    ("transfer", "xy", "luminance", "words"),
    [
        (
            Transfer.SDR,
            (0.68, 0.32),
            10.0,
            r"x 0\.6800, y 0\.3200 lies outside bt709; use a colour inside, or a",
        ),
        (Transfer.PQ, (0.1, 0.1), 10.0, r"x 0\.1000, y 0\.1000 lies outside bt2020; use a colour inside"),
        (
            Transfer.SDR,
            (0.64, 0.33),
            22.0,
            r"22 cd/m² is more than a sdr signal holds .*; use 21\.2639 or less",
        ),
        (Transfer.PQ, (0.708, 0.292), 2700.0, r"x 0\.7080, y 0\.2920; use 2627 or less"),
        (Transfer.HLG, (0.708, 0.292), 202.0, r"than a hlg signal holds at .*; use 201\.072 or less"),
    ],
)
def test_colours_that_do_not_fit_are_refused(
    transfer: Transfer, xy: tuple[float, float], luminance: float, words: str
) -> None:
    """A colour outside the primaries, or brighter than they make it, is refused with what there is."""
    with pytest.raises(BadInput, match=words):
        encoding(transfer).codes_of_colour(xy, luminance)


# H.273 Table 2: the red of P3 lies 0.16 % outside BT.2020 in linear green (chromaticity.toml, p3_to_bt2020).
def test_the_red_of_p3_counts_as_inside() -> None:
    """What lies outside BT.2020 by next to nothing is taken as its edge, not refused."""
    for transfer in (Transfer.PQ, Transfer.HLG):
        subject = encoding(transfer, 12, components=Components.RGB)
        code = subject.codes_of_colour(primaries.P3_D65.red, 20.0)
        assert subject.quantisation.black == code[2]
        np.testing.assert_allclose((0.68, 0.32), subject.xy(code), rtol=0.0, atol=P3_RED)
        assert pytest.approx(20.0, rel=P3_RED) == float(subject.xyz(code)[1])
