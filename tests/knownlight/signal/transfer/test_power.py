"""Pure gamma: common practice, no source; points computed by hand, colour-science as outside truth."""

import warnings

import numpy as np
import pytest

from knownlight.signal.code_range import DEPTHS, CodeRange, Quantisation
from knownlight.signal.transfer import power

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

GAMMAS = pytest.mark.parametrize("gamma", [2.2, 2.4])  # common practice, no source
AGAINST_COLOUR = 1e-16  # measured 0
THERE_AND_BACK = 2.3e-16  # measured 1.2e-16


# By hand: 0.5^2 = 1/4 and 0.25^2.5 = 1/32.
@pytest.mark.parametrize(("signal", "gamma", "linear"), [(0.5, 2.0, 0.25), (0.25, 2.5, 0.03125)])
def test_known_points(signal: float, gamma: float, linear: float) -> None:
    """Powers that can be done by hand, in each direction."""
    assert linear == power.linear_from_signal(signal, gamma=gamma)
    np.testing.assert_allclose(
        signal, power.signal_from_linear(linear, gamma=gamma), rtol=0.0, atol=THERE_AND_BACK
    )


@GAMMAS
def test_ends_are_exact(gamma: float) -> None:
    """0 and 1 are themselves, and below 0 there is no light."""
    for function in (power.linear_from_signal, power.signal_from_linear):
        np.testing.assert_array_equal([0.0, 0.0, 1.0], function([-0.1, 0.0, 1.0], gamma=gamma))


@GAMMAS
@pytest.mark.parametrize("depth", DEPTHS)
def test_every_code_is_brighter_than_the_one_before(gamma: float, depth: int) -> None:
    """From black to the highest code the light rises with every code, and the codes come back."""
    quantisation = Quantisation(depth=depth, code_range=CodeRange.NARROW)
    codes = np.arange(quantisation.black, quantisation.largest + 1)
    linear = power.linear_from_signal(quantisation.luma_signal(codes), gamma=gamma)
    assert (np.diff(linear) > 0.0).all()
    np.testing.assert_array_equal(
        codes, quantisation.luma_code(power.signal_from_linear(linear, gamma=gamma))
    )


@GAMMAS
def test_agrees_with_colour_science(gamma: float) -> None:
    """Both directions are the gamma function of colour-science over every 12-bit signal."""
    signal = np.arange(4096) / 4095.0
    np.testing.assert_allclose(
        colour.gamma_function(signal, gamma),
        power.linear_from_signal(signal, gamma=gamma),
        rtol=0.0,
        atol=AGAINST_COLOUR,
    )
    np.testing.assert_allclose(
        colour.gamma_function(signal, 1.0 / gamma),
        power.signal_from_linear(signal, gamma=gamma),
        rtol=0.0,
        atol=AGAINST_COLOUR,
    )


@GAMMAS
def test_there_and_back(gamma: float) -> None:
    """The two directions undo each other."""
    signal = np.arange(4096) / 4095.0
    again = power.signal_from_linear(power.linear_from_signal(signal, gamma=gamma), gamma=gamma)
    np.testing.assert_allclose(signal, again, rtol=0.0, atol=THERE_AND_BACK)
