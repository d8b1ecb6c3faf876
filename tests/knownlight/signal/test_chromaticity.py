"""CIE 1931 x, y and CIE 1976 u', v' (CIE 15): vectors/chromaticity.toml, colour-science as outside truth."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.chromaticity import (
    uv_prime_from_xy,
    uv_prime_from_xyz,
    xy_from_uv_prime,
    xy_from_xyz,
    xyz_from_xy,
)

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "chromaticity.toml").read_text("utf-8"))
XY_AGAINST_COLOUR = 1e-16  # measured 0
UV_AGAINST_COLOUR = 2e-15  # measured 1.3e-15: the outside way to u', v' passes through x, y


def printed(text: str) -> Any:
    """A printed decimal: equal to what is within half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0.0, abs=0.5 * 10.0**-digits)


XYZ_AGAINST_COLOUR = 1.2e-13  # cd/m² of up to 100, measured 5.7e-14: Z is a small difference of x and y
XY_FROM_UV_AGAINST_COLOUR = 1e-15  # measured 8.9e-16


def random_xyz() -> np.ndarray[Any, np.dtype[np.float64]]:
    """4096 lights of up to 100 cd/m²."""
    return 100.0 * np.random.default_rng(15).random((4096, 3))


def test_white() -> None:
    """D65 has the printed u', v'."""
    expected = [printed(text) for text in VECTORS["white"]["uv_prime"]]
    assert expected == uv_prime_from_xy(VECTORS["white"]["xy"]).tolist()


@pytest.mark.parametrize("row", VECTORS["primaries"], ids=lambda row: row["name"])
@pytest.mark.parametrize("name", ["red", "green", "blue"])
def test_primary(row: dict[str, Any], name: str) -> None:
    """Each primary has the printed u', v'."""
    expected = [printed(text) for text in row[f"{name}_uv_prime"]]
    assert expected == uv_prime_from_xy(row[name]).tolist()


def test_xy_agrees_with_colour_science() -> None:
    """x, y of random lights are those of colour-science."""
    xyz = random_xyz()
    np.testing.assert_allclose(colour.XYZ_to_xy(xyz), xy_from_xyz(xyz), rtol=0.0, atol=XY_AGAINST_COLOUR)


def test_uv_prime_agrees_with_colour_science() -> None:
    """u', v' of random lights are those of colour-science, from X, Y, Z and from x, y."""
    xyz = random_xyz()
    xy = colour.XYZ_to_xy(xyz)
    expected = colour.xy_to_Luv_uv(xy)
    np.testing.assert_allclose(expected, uv_prime_from_xyz(xyz), rtol=0.0, atol=UV_AGAINST_COLOUR)
    np.testing.assert_allclose(expected, uv_prime_from_xy(xy), rtol=0.0, atol=UV_AGAINST_COLOUR)


def test_no_light_has_no_chromaticity() -> None:
    """Black is not a number, and does not disturb its neighbours."""
    lights = [[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]
    for function, equal_energy in ((xy_from_xyz, [1 / 3, 1 / 3]), (uv_prime_from_xyz, [4 / 19, 9 / 19])):
        found = function(lights)
        assert np.isnan(found[0]).all()
        np.testing.assert_array_equal(equal_energy, found[1])
        assert np.isnan(function(lights[0])).all()


def test_brightness_does_not_move_a_chromaticity() -> None:
    """A light of twice the level has the same x, y and u', v': doubling is exact in floats."""
    xyz = random_xyz()
    np.testing.assert_array_equal(xy_from_xyz(xyz), xy_from_xyz(2.0 * xyz))
    np.testing.assert_array_equal(uv_prime_from_xyz(xyz), uv_prime_from_xyz(2.0 * xyz))


def test_xyz_of_a_chromaticity_agrees_with_colour_science() -> None:
    """X, Y, Z of random chromaticities and luminances are those of colour-science; Y is the luminance."""
    lights = random_xyz()
    xy, luminance = colour.XYZ_to_xy(lights), lights[:, 1]
    found = xyz_from_xy(xy, luminance)
    expected = colour.xyY_to_XYZ(np.column_stack([xy, luminance]))
    np.testing.assert_allclose(expected, found, rtol=0.0, atol=XYZ_AGAINST_COLOUR)
    np.testing.assert_array_equal(luminance, found[:, 1])
    np.testing.assert_allclose(lights, found, rtol=0.0, atol=XYZ_AGAINST_COLOUR)


def test_xy_of_uv_prime_agrees_with_colour_science() -> None:
    """x, y of random u', v' are those of colour-science, and undo u', v' of x, y."""
    xy = colour.XYZ_to_xy(random_xyz())
    uv = colour.xy_to_Luv_uv(xy)
    found = xy_from_uv_prime(uv)
    np.testing.assert_allclose(colour.Luv_uv_to_xy(uv), found, rtol=0.0, atol=XY_FROM_UV_AGAINST_COLOUR)
    np.testing.assert_allclose(xy, xy_from_uv_prime(uv_prime_from_xy(xy)), atol=XY_FROM_UV_AGAINST_COLOUR)


def test_one_chromaticity_may_have_many_luminances() -> None:
    """D65 at two luminances: X and Z follow, by hand 0.3127 / 0.3290 and 0.3583 / 0.3290 of Y."""
    found = xyz_from_xy(np.array([0.3127, 0.3290]), np.array([0.329, 658.0]))
    np.testing.assert_allclose([[0.3127, 0.329, 0.3583], [625.4, 658.0, 716.6]], found, rtol=1e-15)
