"""sRGB: IEC 61966-2-1:1999; vectors/srgb.toml and colour-science as outside truth."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.code_range import DEPTHS, CodeRange, Quantisation
from knownlight.signal.transfer import srgb

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

VECTORS = tomllib.loads((Path(__file__).parents[3] / "vectors" / "srgb.toml").read_text("utf-8"))
AGAINST_COLOUR = 1e-16  # measured 0: both follow the printed formula
THERE_AND_BACK = 9e-16  # measured 4.4e-16 over all 12-bit signals
WHITE_END = 2.3e-16  # measured 1.1e-16
KNEE_STEP = 3e-8  # measured 2.9e-8 of signal and 2.3e-9 of light: the printed branches do not quite meet


def printed(text: str) -> Any:
    """A printed decimal: equal to what is within half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0.0, abs=0.5 * 10.0**-digits)


@pytest.mark.parametrize("row", VECTORS["code"], ids=lambda row: str(row["code"]))
def test_linear_of_code(row: dict[str, Any]) -> None:
    """8-bit codes have the printed linear light."""
    assert printed(row["linear"]) == float(srgb.linear_from_signal(row["code"] / 255.0))


@pytest.mark.parametrize("row", VECTORS["linear"], ids=lambda row: row["linear"])
def test_signal_of_linear(row: dict[str, Any]) -> None:
    """An 18 % grey has the printed signal, in units of 255: this direction on its own."""
    assert printed(row["code_of_255"]) == float(255.0 * srgb.signal_from_linear(float(row["linear"])))


def test_ends() -> None:
    """0 and 1 are themselves, exactly but for the signal of 1: 1.055 - 0.055 is a float's step below 1."""
    np.testing.assert_array_equal([0.0, 1.0], srgb.linear_from_signal([0.0, 1.0]))
    np.testing.assert_array_equal([0.0], srgb.signal_from_linear([0.0]))
    np.testing.assert_allclose([1.0], srgb.signal_from_linear([1.0]), rtol=0.0, atol=WHITE_END)


def test_mirrored_below_zero() -> None:
    """Negative values have the curve of their magnitude with their own sign (as PNG's narrow range asks)."""
    values = np.linspace(0.0, 1.0, 257)
    for function in (srgb.linear_from_signal, srgb.signal_from_linear):
        np.testing.assert_array_equal(-function(values), function(-values))


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("code_range", CodeRange)
def test_every_code_is_brighter_than_the_one_before(depth: int, code_range: CodeRange) -> None:
    """From sub-black to the highest code the light rises with every code, and the codes come back."""
    quantisation = Quantisation(depth=depth, code_range=code_range)
    codes = np.arange(quantisation.largest + 1)
    linear = srgb.linear_from_signal(quantisation.luma_signal(codes))
    assert (np.diff(linear) > 0.0).all()
    np.testing.assert_array_equal(codes, quantisation.luma_code(srgb.signal_from_linear(linear)))


def test_branches_meet() -> None:
    """At the printed knees the two branches differ by no more than the printed digits allow."""
    below, above = srgb.signal_from_linear(srgb.KNEE_LINEAR * np.array([1.0, 1.0 + 1e-12]))
    assert abs(above - below) < KNEE_STEP
    below, above = srgb.linear_from_signal(srgb.KNEE_SIGNAL * np.array([1.0, 1.0 + 1e-12]))
    assert abs(above - below) < KNEE_STEP


def test_agrees_with_colour_science() -> None:
    """Both directions are those of colour-science over every 12-bit signal."""
    signal = np.arange(4096) / 4095.0
    np.testing.assert_allclose(
        colour.models.eotf_sRGB(signal), srgb.linear_from_signal(signal), rtol=0.0, atol=AGAINST_COLOUR
    )
    np.testing.assert_allclose(
        colour.models.eotf_inverse_sRGB(signal),
        srgb.signal_from_linear(signal),
        rtol=0.0,
        atol=AGAINST_COLOUR,
    )


def test_there_and_back() -> None:
    """The two directions undo each other, in either order."""
    signal = np.arange(4096) / 4095.0
    for again in (
        srgb.signal_from_linear(srgb.linear_from_signal(signal)),
        srgb.linear_from_signal(srgb.signal_from_linear(signal)),
    ):
        np.testing.assert_allclose(signal, again, rtol=0.0, atol=THERE_AND_BACK)
