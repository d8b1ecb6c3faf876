"""HLG: BT.2100-2 Table 5, BT.2100-3 notes 5e to 5h; vectors/hlg.toml and colour-science as outside truth.

colour-science has only the logarithmic form of the system gamma, so displays outside 400 to 2000 cd/m² are
checked against the vectors alone.
"""

import tomllib
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.code_range import DEPTHS, CodeRange, Quantisation
from knownlight.signal.transfer import bt2100_hlg as hlg

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

VECTORS = tomllib.loads((Path(__file__).parents[3] / "vectors" / "hlg.toml").read_text("utf-8"))
AGAINST_COLOUR = 1e-15  # relative, measured 4.6e-16
THERE_AND_BACK = 1.4e-15  # measured 6.7e-16
LIGHT_THERE_AND_BACK = 3.4e-15  # relative, measured 1.7e-15, at 4000 cd/m²
WHITE_END = 3.3e-8  # relative, measured 3.2e-8 of light: a, printed to eight digits, misses white by that
DISPLAYS = [(1000.0, 0.0), (1000.0, 0.005), (400.0, 0.0), (2000.0, 0.05)]  # peak and black, cd/m²


def printed(text: str) -> Any:
    """A printed decimal: equal to what is within half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0.0, abs=0.5 * 10.0**-digits)


def grey(signal: float, peak: float, black: float = 0.0) -> float:
    """Luminance of a grey."""
    return float(hlg.display_from_signal([signal] * 3, peak=peak, black=black)[0])


def outside(function: Callable[..., Any], *arguments: Any, **keys: Any) -> Any:
    """A colour-science result; its unused branch may take the logarithm of a negative number."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        return function(*arguments, **keys)


def test_constants() -> None:
    """a, b and c are the printed ones (ITU-T H.264 Table E-4 row 18)."""
    expected = [printed("0.17883277"), printed("0.28466892"), printed("0.55991073")]
    assert expected == [hlg.A, hlg.B, hlg.C]


@pytest.mark.parametrize("row", VECTORS["scene"], ids=lambda row: row["signal"])
def test_signal_of_scene(row: dict[str, Any]) -> None:
    """Known scene lights have the printed signal: the OETF."""
    assert printed(row["signal"]) == float(hlg.signal_from_scene(float(row["scene"])))


@pytest.mark.parametrize("row", VECTORS["grey"], ids=lambda row: f"{row['percent']}%")
def test_grey_in_percent(row: dict[str, Any]) -> None:
    """Each level has the printed codes, scene light (inverse OETF) and luminance at 1000 cd/m² (EOTF)."""
    signal = row["percent"] / 100.0
    for depth in (10, 12):
        quantisation = Quantisation(depth=depth, code_range=CodeRange.NARROW)
        assert row[f"narrow_{depth}"] == quantisation.luma_code(signal)
    assert printed(row["scene"]) == float(hlg.scene_from_signal(signal))
    assert printed(row["luminance"]) == grey(signal, 1000.0)


@pytest.mark.parametrize("row", VECTORS["grey"], ids=lambda row: f"{row['percent']}%")
def test_code_of_luminance(row: dict[str, Any]) -> None:
    """The printed luminance of a level has that level's 10-bit code: the inverse EOTF of a grey."""
    quantisation = Quantisation(depth=10, code_range=CodeRange.NARROW)
    signal = hlg.grey_signal_from_luminance(float(row["luminance"]), peak=1000.0)
    assert row["narrow_10"] == quantisation.luma_code(signal)


@pytest.mark.parametrize("row", VECTORS["display"], ids=lambda row: str(row["peak"]))
def test_display_of_another_peak(row: dict[str, Any]) -> None:
    """System gamma and greys follow the peak: logarithmic form from 400 to 2000 cd/m², extended outside."""
    assert printed(row["gamma"]) == hlg.system_gamma(row["peak"])
    for key, signal in (("at_75", 0.75), ("at_38", 0.38), ("at_code_1019", 955 / 876)):
        assert printed(row[key]) == grey(signal, row["peak"])


def test_gamma_jumps_where_the_forms_meet() -> None:
    """At 400 and 2000 cd/m² the logarithmic form holds; a step outside, the extended one, as published."""
    expected = [printed("1.033"), printed("1.044"), printed("1.326"), printed("1.333")]
    assert expected == [hlg.system_gamma(peak) for peak in (400.0, 399.999, 2000.0, 2000.001)]


@pytest.mark.parametrize("row", VECTORS["surround"], ids=lambda row: str(row["surround"]))
def test_gamma_follows_the_surround(row: dict[str, Any]) -> None:
    """A darker surround has a larger gamma by the printed factor."""
    assert printed(row["gamma"]) == hlg.system_gamma(1000.0, row["surround"])


@pytest.mark.parametrize("row", VECTORS["lift"], ids=lambda row: str(row["black"]))
def test_black_lift(row: dict[str, Any]) -> None:
    """The lift of a display that is not black is the printed one, and signal 0 shows that black."""
    assert printed(row["lift"]) == hlg.black_lift(1000.0, row["black"], 1.2)
    assert pytest.approx(row["black"], rel=LIGHT_THERE_AND_BACK) == grey(0.0, 1000.0, row["black"])


def test_pure_red_is_dimmer_than_its_share() -> None:
    """Full red at 1000 cd/m² is 1000 * 0.2627^1.2 = 201 cd/m² of luminance (computed by hand), not 263."""
    light = hlg.display_from_signal([1.0, 0.0, 0.0], peak=1000.0)
    assert printed("201") == float(light @ hlg.LUMINANCE_WEIGHTS)
    np.testing.assert_array_equal([0.0, 0.0], light[1:])


def test_ends() -> None:
    """Zero is exact; white misses 1 and the peak by no more than the printed digits of a."""
    np.testing.assert_array_equal([0.0, 0.5], hlg.signal_from_scene([0.0, 1.0 / 12.0]))
    np.testing.assert_array_equal([0.0, 1.0 / 12.0], hlg.scene_from_signal([0.0, 0.5]))
    np.testing.assert_allclose(1.0, hlg.signal_from_scene(1.0), rtol=WHITE_END)
    np.testing.assert_allclose(1.0, hlg.scene_from_signal(1.0), rtol=WHITE_END)
    np.testing.assert_array_equal([0.0] * 3, hlg.display_from_signal([0.0] * 3, peak=1000.0))
    np.testing.assert_allclose([1000.0] * 3, hlg.display_from_signal([1.0] * 3, peak=1000.0), rtol=WHITE_END)


def test_sub_black_is_black_unless_lifted() -> None:
    """A signal below 0 shows nothing; with a black lift it is lifted first (BT.2100-3 note 5h)."""
    sub_black = -0.005
    assert hlg.scene_from_signal(sub_black) == grey(sub_black, 1000.0) == 0.0
    assert 0.0 < grey(sub_black, 1000.0, 0.005) < grey(0.0, 1000.0, 0.005)


@pytest.mark.parametrize("depth", DEPTHS)
def test_every_code_is_brighter_than_the_one_before(depth: int) -> None:
    """From black to the highest allowed code, super-white included, the light rises with every code."""
    quantisation = Quantisation(depth=depth, code_range=CodeRange.NARROW)
    signal = quantisation.luma_signal(np.arange(quantisation.black, quantisation.highest_allowed + 1))
    assert (np.diff(hlg.scene_from_signal(signal)) > 0.0).all()
    assert (np.diff(hlg.signal_from_scene(hlg.scene_from_signal(signal))) > 0.0).all()
    light = hlg.display_from_signal(np.stack([signal] * 3, axis=-1), peak=1000.0)[:, 0]
    assert (np.diff(light) > 0.0).all()
    again = quantisation.luma_code(hlg.grey_signal_from_luminance(light, peak=1000.0))
    np.testing.assert_array_equal(np.arange(quantisation.black, quantisation.highest_allowed + 1), again)


def test_oetf_agrees_with_colour_science() -> None:
    """OETF and its inverse are those of colour-science over every 12-bit signal."""
    signal = np.arange(4096) / 4095.0
    np.testing.assert_allclose(
        outside(colour.models.oetf_BT2100_HLG, signal), hlg.signal_from_scene(signal), rtol=AGAINST_COLOUR
    )
    np.testing.assert_allclose(
        outside(colour.models.oetf_inverse_BT2100_HLG, signal),
        hlg.scene_from_signal(signal),
        rtol=AGAINST_COLOUR,
    )


@pytest.mark.parametrize(("peak", "black"), DISPLAYS)
def test_eotf_agrees_with_colour_science(peak: float, black: float) -> None:
    """Random colours have the light that colour-science gives them, black lift and OOTF included."""
    rgb = np.random.default_rng(2100).random((4096, 3))
    np.testing.assert_allclose(
        outside(colour.models.eotf_BT2100_HLG, rgb, L_B=black, L_W=peak),
        hlg.display_from_signal(rgb, peak=peak, black=black),
        rtol=AGAINST_COLOUR,
    )


@pytest.mark.parametrize(("peak", "black"), DISPLAYS)
def test_inverse_eotf_agrees_with_colour_science(peak: float, black: float) -> None:
    """Greys have the signal that colour-science's inverse EOTF gives them."""
    light = np.geomspace(max(black, 1e-3), peak, 4001)
    expected = outside(
        colour.models.eotf_inverse_BT2100_HLG, np.stack([light] * 3, axis=-1), L_B=black, L_W=peak
    )
    np.testing.assert_allclose(
        expected[:, 0],
        hlg.grey_signal_from_luminance(light, peak=peak, black=black),
        rtol=0.0,
        atol=THERE_AND_BACK,
    )


def test_scene_there_and_back() -> None:
    """OETF and inverse OETF undo each other, in either order."""
    signal = np.arange(4096) / 4095.0
    for again in (
        hlg.signal_from_scene(hlg.scene_from_signal(signal)),
        hlg.scene_from_signal(hlg.signal_from_scene(signal)),
    ):
        np.testing.assert_allclose(signal, again, rtol=0.0, atol=THERE_AND_BACK)


@pytest.mark.parametrize(("peak", "black"), [*DISPLAYS, (300.0, 0.0), (4000.0, 0.0)])
def test_light_there_and_back(peak: float, black: float) -> None:
    """A grey's light to signal to light is the identity to the named tolerance."""
    light = np.geomspace(max(black, 1e-3), peak, 4001)
    signal = hlg.grey_signal_from_luminance(light, peak=peak, black=black)
    again = hlg.display_from_signal(np.stack([signal] * 3, axis=-1), peak=peak, black=black)
    np.testing.assert_allclose(light, again[:, 0], rtol=LIGHT_THERE_AND_BACK, atol=0.0)


@pytest.mark.parametrize("peak", [1000.0, 400.0, 2000.0])
def test_signal_of_display_agrees_with_colour_science(peak: float) -> None:
    """Random colours have the signal that colour-science's inverse EOTF gives them, at black 0."""
    light = peak * np.random.default_rng(2390).random((4096, 3))
    np.testing.assert_allclose(
        outside(colour.models.eotf_inverse_BT2100_HLG, light, L_B=0.0, L_W=peak),
        hlg.signal_from_display(light, peak=peak),
        rtol=0.0,
        atol=THERE_AND_BACK,
    )


def test_signal_and_display_undo_each_other() -> None:
    """Colours come back from their light in any surround; black is black and light below 0 is taken as 0."""
    signal = np.random.default_rng(2100).random((4096, 3))
    for surround in (5.0, 50.0):
        light = hlg.display_from_signal(signal, peak=1000.0, surround=surround)
        again = hlg.signal_from_display(light, peak=1000.0, surround=surround)
        np.testing.assert_allclose(signal, again, rtol=0.0, atol=2.0 * THERE_AND_BACK)
    np.testing.assert_array_equal([0.0] * 3, hlg.signal_from_display([0.0, 0.0, -1.0], peak=1000.0))
