"""Codes of a cosine: numpy's own, and the same whatever the last bits of a machine's cosine are."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.waves import wave_code

STEADY = settings(deadline=None, derandomize=True)
ROUNDED = 0.5 + 1e-5  # codes: to the nearest, and 4095 times the 2^-31 that a cosine is rounded by


# cos of 0°, 60°, 90°, 120° and 180° are 1, 1/2, 0, -1/2 and -1.
@pytest.mark.parametrize(("place", "expected"), [(0, 940), (2, 721), (3, 502), (4, 283), (6, 64), (12, 940)])
def test_codes_of_known_angles(place: int, expected: int) -> None:
    """Between 64 and 940, a twelfth of a cycle a step."""
    assert expected == wave_code(64, 940, place, 12)


@pytest.mark.parametrize(("low", "expected"), [(63, 64), (64, 65)])
def test_the_middle_between_two_codes_goes_up(low: int, expected: int) -> None:
    """A quarter of a cycle and three quarters of it are the same code (our own rule)."""
    assert [expected, expected] == [wave_code(low, low + 1, place, 4) for place in (1, 3)]


@STEADY
@given(st.integers(0, 4095), st.integers(0, 4095), st.integers(1, 5000), st.data())
def test_codes_are_the_nearest_to_numpys_cosine(
    one: int, other: int, cycle: int, data: st.DataObject
) -> None:
    """Every code is the nearest to the cosine between both ends, and the wave is even about its top."""
    low, high = sorted((one, other))
    place = data.draw(st.integers(0, cycle))
    exact = (low + high) / 2.0 + (high - low) / 2.0 * np.cos(2.0 * np.pi * place / cycle)
    code = wave_code(low, high, place, cycle)
    assert abs(code - exact) <= ROUNDED
    assert code == wave_code(low, high, cycle - place, cycle)
