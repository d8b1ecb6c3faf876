"""Half away from zero, as ITU-T H.273 clause 8.3 and ITU-R BT.2100 Table 9 write it."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.signal.rounding import round_half_away

STEADY = settings(deadline=None, derandomize=True)


# The first six are the values of colour-science's own check of BT.2100 rounding; the others follow from
# Round(x) = Sign(x) * Floor(Abs(x) + 0.5).
@pytest.mark.parametrize(
    ("expected", "value"),
    [
        (-1, -0.6),
        (-1, -0.5),
        (0, -0.4),
        (0, 0.4),
        (1, 0.5),
        (1, 0.6),
        (2, 1.5),
        (3, 2.5),
        (-3, -2.5),
        (0, 0.0),
    ],
)
def test_halves_go_away_from_zero(expected: int, value: float) -> None:
    """A half is rounded to the larger magnitude, on either side of zero."""
    assert expected == round_half_away(value)


# Both codes computed by hand: 1023 / 6 = 170.5 and 255 * 0.3 = 76.5; half to even gives 170 and 76.
@pytest.mark.parametrize(("expected", "value"), [(171, 1023 / 6), (77, 255 * 0.3)])
def test_codes_that_half_to_even_gets_wrong(expected: int, value: float) -> None:
    """Levels whose code is a half below an odd number get the odd one."""
    assert expected == round_half_away(value)
    assert expected - 1 == np.rint(value)


def test_shape_is_kept_and_result_is_integer() -> None:
    """Any shape goes in, int64 of the same shape comes out."""
    result = round_half_away([[0.5, 1.4], [-0.5, 1e9 + 0.5]])
    assert np.dtype(np.int64) == result.dtype
    np.testing.assert_array_equal([[1, 1], [-1, 1_000_000_001]], result)
    scalar = ()
    assert scalar == round_half_away(2.5).shape


@STEADY
@given(st.integers(-(10**9), 10**9), st.integers(0, 2**20 - 1))
def test_agrees_with_exact_fractions(whole: int, part: int) -> None:
    """Rounding of numbers that floats hold exactly is the formula in exact arithmetic."""
    exact = whole + Fraction(part, 2**20)
    expected = math.floor(abs(exact) + Fraction(1, 2)) * (-1 if exact < 0 else 1)
    assert expected == int(round_half_away(float(exact)))
