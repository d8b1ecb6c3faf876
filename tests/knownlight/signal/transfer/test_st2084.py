"""PQ: SMPTE ST 2084, BT.2100-2 Table 4; vectors/pq.toml and colour-science as outside truth."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.code_range import DEPTHS, CodeRange, Quantisation
from knownlight.signal.transfer import st2084

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

VECTORS = tomllib.loads((Path(__file__).parents[3] / "vectors" / "pq.toml").read_text("utf-8"))
NARROW_10 = Quantisation(depth=10, code_range=CodeRange.NARROW)
AGAINST_COLOUR = 1e-15  # relative, measured 0: both follow the printed formula
LIGHT_THERE_AND_BACK = 5e-13  # relative, measured 2.4e-13 from 0.0001 to 10 000 cd/m²
SIGNAL_THERE_AND_BACK = 5e-14  # measured 2.4e-14 from the first code above black of 12 bits
ZERO_THERE_AND_BACK = 7.4e-7  # the standard's inverse gives 7.3e-7 at 0 cd/m²
POINTS = pytest.mark.parametrize("row", VECTORS["point"], ids=lambda row: row["luminance"])


def printed(text: str) -> Any:
    """A printed decimal: equal to what is within half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0.0, abs=0.5 * 10.0**-digits)


def test_constants() -> None:
    """The fractions are the printed decimals (ITU-T H.264 Table E-4 row 16), and c1 = c3 - c2 + 1."""
    expected = [0.1593017578125, 78.84375, 0.8359375, 18.8515625, 18.6875]
    assert expected == [st2084.M1, st2084.M2, st2084.C1, st2084.C2, st2084.C3]
    assert st2084.C1 == st2084.C3 - st2084.C2 + 1.0


@POINTS
def test_signal_of_luminance(row: dict[str, Any]) -> None:
    """Known luminances have the printed signal: the inverse EOTF."""
    assert printed(row["signal"]) == float(st2084.signal_from_luminance(float(row["luminance"])))


@pytest.mark.parametrize("row", VECTORS["signal"], ids=lambda row: row["signal"])
def test_luminance_of_signal(row: dict[str, Any]) -> None:
    """Known signals have the printed luminance: the EOTF, on its own."""
    assert printed(row["luminance"]) == float(st2084.luminance_from_signal(float(row["signal"])))


@POINTS
def test_code_of_luminance(row: dict[str, Any]) -> None:
    """Known luminances have the printed codes, among them 509, 573, 723 and 855 at 10 bits narrow."""
    signal = st2084.signal_from_luminance(float(row["luminance"]))
    expected = {key: row[key] for key in ("narrow_8", "narrow_10", "narrow_12", "full_10", "full_12")}
    found = {
        key: int(Quantisation(depth=int(depth), code_range=CodeRange(code_range)).luma_code(signal))
        for key in expected
        for code_range, depth in [key.split("_")]
    }
    assert expected == found


# Confirmed in two ways: vectors/pq.toml and the formula by hand in the project's style notes.
@pytest.mark.parametrize(("expected", "luminance"), [(509, 100), (573, 203), (723, 1000), (855, 4000)])
def test_usual_codes(expected: int, luminance: float) -> None:
    """The four codes that HDR work is full of."""
    assert expected == NARROW_10.luma_code(st2084.signal_from_luminance(luminance))


@POINTS
def test_luminance_of_code(row: dict[str, Any]) -> None:
    """The 10-bit narrow code asks for the printed luminance, and the next code for the printed step more."""
    shown, above = st2084.luminance_from_signal(
        NARROW_10.luma_signal([row["narrow_10"], row["narrow_10"] + 1])
    )
    assert printed(row["shown"]) == float(shown)
    if "step" in row:
        assert printed(row["step"]) == float(above - shown)


@pytest.mark.parametrize("row", VECTORS["near_black"], ids=lambda row: str(row["code"]))
def test_luminance_near_black(row: dict[str, Any]) -> None:
    """The first codes above black ask for the printed luminances."""
    assert printed(row["luminance"]) == float(
        st2084.luminance_from_signal(NARROW_10.luma_signal(row["code"]))
    )


def test_ends_are_exact() -> None:
    """Signal 0 and 1 are 0 and 10 000 cd/m² exactly, 10 000 cd/m² is signal 1 exactly."""
    np.testing.assert_array_equal([0.0, 10000.0], st2084.luminance_from_signal([0.0, 1.0]))
    np.testing.assert_array_equal([1.0], st2084.signal_from_luminance([10000.0]))


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("code_range", CodeRange)
def test_no_light_is_the_black_code(depth: int, code_range: CodeRange) -> None:
    """The signal of 0 cd/m² is not 0 by the printed formula, and is the black code all the same."""
    quantisation = Quantisation(depth=depth, code_range=code_range)
    signal = st2084.signal_from_luminance(0.0)
    assert 0.0 < signal < ZERO_THERE_AND_BACK
    assert quantisation.black == quantisation.luma_code(signal)


def test_outside_is_the_nearer_end() -> None:
    """Sub-black and super-white give the ends, and so do lights that PQ cannot say."""
    np.testing.assert_array_equal([0.0, 10000.0], st2084.luminance_from_signal([-0.07, 1.09]))
    np.testing.assert_array_equal(
        st2084.signal_from_luminance([0.0, 10000.0]), st2084.signal_from_luminance([-1.0, 20000.0])
    )


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("code_range", CodeRange)
def test_every_code_is_brighter_than_the_one_before(depth: int, code_range: CodeRange) -> None:
    """From black to white the light rises with every code."""
    quantisation = Quantisation(depth=depth, code_range=code_range)
    codes = np.arange(quantisation.black, quantisation.white + 1)
    light = st2084.luminance_from_signal(quantisation.luma_signal(codes))
    assert (np.diff(light) > 0.0).all()
    assert (np.diff(st2084.signal_from_luminance(light)) > 0.0).all()


def test_agrees_with_colour_science() -> None:
    """Both directions are those of colour-science, over every 12-bit signal and eight decades of light."""
    signal = np.arange(4096) / 4095.0
    light = np.geomspace(1e-4, 1e4, 20_001)
    np.testing.assert_allclose(
        colour.models.eotf_ST2084(signal), st2084.luminance_from_signal(signal), rtol=AGAINST_COLOUR
    )
    np.testing.assert_allclose(
        colour.models.eotf_inverse_ST2084(light), st2084.signal_from_luminance(light), rtol=AGAINST_COLOUR
    )


def test_light_there_and_back() -> None:
    """Light to signal to light is the identity to the named tolerance."""
    light = np.geomspace(1e-4, 1e4, 20_001)
    np.testing.assert_allclose(
        light,
        st2084.luminance_from_signal(st2084.signal_from_luminance(light)),
        rtol=LIGHT_THERE_AND_BACK,
        atol=0.0,
    )


def test_signal_there_and_back() -> None:
    """Signal to light to signal is the identity to the named tolerances; zero has its own."""
    signal = np.arange(4096) / 4095.0
    again = st2084.signal_from_luminance(st2084.luminance_from_signal(signal))
    np.testing.assert_allclose(signal[1:], again[1:], rtol=0.0, atol=SIGNAL_THERE_AND_BACK)
    np.testing.assert_allclose(signal[0], again[0], rtol=0.0, atol=ZERO_THERE_AND_BACK)


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("code_range", CodeRange)
def test_codes_there_and_back(depth: int, code_range: CodeRange) -> None:
    """Code to light to code is the identity from black to white."""
    quantisation = Quantisation(depth=depth, code_range=code_range)
    codes = np.arange(quantisation.black, quantisation.white + 1)
    light = st2084.luminance_from_signal(quantisation.luma_signal(codes))
    np.testing.assert_array_equal(codes, quantisation.luma_code(st2084.signal_from_luminance(light)))
