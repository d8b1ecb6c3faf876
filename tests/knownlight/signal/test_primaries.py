"""Primaries and their matrices: ITU-T H.273 Table 2, vectors/chromaticity.toml, colour-science."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.chromaticity import xy_from_xyz
from knownlight.signal.primaries import BT601_525, BT601_625, BT709, BT2020, D65, P3_D65, PRIMARIES

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "chromaticity.toml").read_text("utf-8"))
AGAINST_COLOUR = 2.3e-16  # measured 1.1e-16
CHROMATICITY = 2.3e-16  # measured 1.2e-16: one step of a float
LINEAR = 3.5e-13  # cd/m² of up to some hundreds, measured 1.7e-13
ROWS = pytest.mark.parametrize("row", VECTORS["primaries"], ids=lambda row: row["name"])


def printed(text: str) -> Any:
    """A printed decimal: equal to what is within half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0.0, abs=0.5 * 10.0**-digits)


@ROWS
def test_chromaticities(row: dict[str, Any]) -> None:
    """Red, green, blue and white are the printed ones, and the H.273 integer is theirs."""
    primaries = PRIMARIES[row["name"]]
    assert row["code_point"] == primaries.code_point
    for name in ("red", "green", "blue"):
        assert tuple(row[name]) == getattr(primaries, name)
    assert tuple(VECTORS["white"]["xy"]) == primaries.white == D65


@ROWS
def test_primaries_are_those_of_colour_science(row: dict[str, Any]) -> None:
    """Primaries and white equal those that colour-science has."""
    space = colour.RGB_COLOURSPACES[row["in_colour_science"]]
    primaries = PRIMARIES[row["name"]]
    np.testing.assert_array_equal(space.primaries, [primaries.red, primaries.green, primaries.blue])
    np.testing.assert_array_equal(space.whitepoint, primaries.white)


@ROWS
def test_matrix_agrees_with_colour_science(row: dict[str, Any]) -> None:
    """The normalised primary matrix is the one that colour-science derives."""
    space = colour.RGB_COLOURSPACES[row["in_colour_science"]]
    expected = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    np.testing.assert_allclose(
        expected, PRIMARIES[row["name"]].xyz_from_rgb_matrix, rtol=0.0, atol=AGAINST_COLOUR
    )


@ROWS
def test_luminance_row(row: dict[str, Any]) -> None:
    """The luminance of each primary is the printed share of white."""
    for text, share in zip(row["luminance_row"], PRIMARIES[row["name"]].xyz_from_rgb_matrix[1], strict=True):
        assert printed(text) == float(share)


@ROWS
def test_pure_colours_keep_their_chromaticity(row: dict[str, Any]) -> None:
    """The X, Y, Z of pure red, green, blue and of white lie at the chromaticities they were made from."""
    primaries = PRIMARIES[row["name"]]
    found = xy_from_xyz(primaries.xyz_from_linear_rgb([[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1]]))
    expected = [primaries.red, primaries.green, primaries.blue, primaries.white]
    np.testing.assert_allclose(expected, found, rtol=0.0, atol=CHROMATICITY)


def test_light_keeps_its_unit() -> None:
    """100 cd/m² of each primary is a white of 100 cd/m² luminance."""
    y = BT2020.xyz_from_linear_rgb([[100.0, 100.0, 100.0], [0.0, 0.0, 0.0]])[:, 1]
    np.testing.assert_allclose([100.0, 0.0], y, rtol=AGAINST_COLOUR, atol=0.0)


@ROWS
def test_light_comes_back_from_xyz(row: dict[str, Any]) -> None:
    """Linear R, G, B of random X, Y, Z are what colour-science's matrix inverted gives, below 0 outside."""
    space = colour.RGB_COLOURSPACES[row["in_colour_science"]]
    matrix = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    xyz = 100.0 * np.random.default_rng(177).random((4096, 3))
    expected = np.linalg.solve(matrix, xyz.T).T
    found = PRIMARIES[row["name"]].linear_rgb_from_xyz(xyz)
    np.testing.assert_allclose(expected, found, rtol=0.0, atol=LINEAR)
    assert (found < 0.0).any()


def test_p3_to_bt2020() -> None:
    """Through X, Y, Z, linear P3 becomes linear BT.2020 by the printed matrix."""
    found = np.linalg.solve(BT2020.xyz_from_rgb_matrix, P3_D65.xyz_from_rgb_matrix)
    for expected, row in zip(VECTORS["p3_to_bt2020"]["rows"], found, strict=True):
        assert [printed(text) for text in expected] == row.tolist()


def test_names() -> None:
    """Each set of primaries is found by the name that options and manifests use."""
    expected = {
        "bt709": BT709,
        "p3-d65": P3_D65,
        "bt2020": BT2020,
        "bt601-625": BT601_625,
        "bt601-525": BT601_525,
    }
    assert expected == PRIMARIES
