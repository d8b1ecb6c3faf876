"""Y'CbCr and R'G'B': weights of BT.709-6, BT.601-7 and BT.2020-2, vectors/bars.toml, colour-science."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.code_range import CodeRange, Quantisation
from knownlight.signal.matrix import BT601_525, BT601_625, BT709, BT2020_NCL, Matrix

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "bars.toml").read_text("utf-8"))
MATRICES = {"bt709": BT709, "bt601-625": BT601_625, "bt601-525": BT601_525, "bt2020": BT2020_NCL}
WEIGHTS = {
    "bt709": "ITU-R BT.709",
    "bt601-625": "ITU-R BT.601",
    "bt601-525": "ITU-R BT.601",
    "bt2020": "ITU-R BT.2020",
}
THERE_AND_BACK = 7e-16  # measured 3.4e-16 over 4096 colours
AGAINST_COLOUR = 1e-16  # measured 0


def random_colours() -> np.ndarray[Any, np.dtype[np.float64]]:
    """4096 colours inside the cube."""
    return np.random.default_rng(709).random((4096, 3))


@pytest.mark.parametrize(
    "row",
    [*VECTORS["bar"], *VECTORS["standard_bar"]],
    ids=lambda row: f"{row['matrix']}-{row['colour']}-{row['percent']}-{row['depth']}",
)
def test_bar(row: dict[str, Any]) -> None:
    """75 % and 100 % bars have exactly the printed narrow-range codes (see the vectors)."""
    quantisation = Quantisation(depth=row["depth"], code_range=CodeRange.NARROW)
    ycbcr = MATRICES[row["matrix"]].ycbcr_from_rgb(np.array(row["rgb"]) * (row["percent"] / 100.0))
    expected = row["ycbcr"]
    assert expected == [int(quantisation.luma_code(ycbcr[0])), *quantisation.chroma_code(ycbcr[1:]).tolist()]


@pytest.mark.parametrize("name", MATRICES)
def test_weights_are_those_of_colour_science(name: str) -> None:
    """KR and KB are the values that colour-science has for the same Recommendation."""
    np.testing.assert_array_equal(colour.WEIGHTS_YCBCR[WEIGHTS[name]], [MATRICES[name].kr, MATRICES[name].kb])


@pytest.mark.parametrize("name", MATRICES)
def test_forward_agrees_with_colour_science(name: str) -> None:
    """R'G'B' to Y'CbCr agrees with colour-science on random colours."""
    rgb = random_colours()
    expected = colour.RGB_to_YCbCr(
        rgb, K=colour.WEIGHTS_YCBCR[WEIGHTS[name]], out_legal=False, out_int=False, clamp_int=False
    )
    np.testing.assert_allclose(expected, MATRICES[name].ycbcr_from_rgb(rgb), rtol=0.0, atol=AGAINST_COLOUR)


@pytest.mark.parametrize("name", MATRICES)
def test_backward_agrees_with_colour_science(name: str) -> None:
    """Y'CbCr to R'G'B' agrees with colour-science: this direction on its own, so no swap can hide."""
    ycbcr = random_colours() - [0.0, 0.5, 0.5]
    expected = colour.YCbCr_to_RGB(
        ycbcr,
        K=colour.WEIGHTS_YCBCR[WEIGHTS[name]],
        in_legal=False,
        in_int=False,
        out_legal=False,
        out_int=False,
        clamp_int=False,
    )
    np.testing.assert_allclose(expected, MATRICES[name].rgb_from_ycbcr(ycbcr), rtol=0.0, atol=THERE_AND_BACK)


@pytest.mark.parametrize("matrix", MATRICES.values(), ids=MATRICES)
def test_there_and_back(matrix: Matrix) -> None:
    """The two directions are inverses of each other."""
    rgb = random_colours()
    np.testing.assert_allclose(
        rgb, matrix.rgb_from_ycbcr(matrix.ycbcr_from_rgb(rgb)), rtol=0.0, atol=THERE_AND_BACK
    )


@pytest.mark.parametrize("matrix", MATRICES.values(), ids=MATRICES)
@pytest.mark.parametrize("level", [0.0, 0.25, 0.5, 1.0])
def test_greys_have_no_colour_difference(matrix: Matrix, level: float) -> None:
    """A grey has luma of its own level and no colour difference."""
    expected = [level, 0.0, 0.0]
    np.testing.assert_allclose(expected, matrix.ycbcr_from_rgb([level] * 3), rtol=0.0, atol=THERE_AND_BACK)


# The definition: Cb is scaled so that blue and yellow reach +0.5 and -0.5, Cr so that red and cyan do.
@pytest.mark.parametrize("matrix", MATRICES.values(), ids=MATRICES)
def test_colour_differences_reach_a_half(matrix: Matrix) -> None:
    """Pure blue and red reach +0.5, their complements -0.5."""
    blue, yellow, red, cyan = matrix.ycbcr_from_rgb([[0, 0, 1], [1, 1, 0], [1, 0, 0], [0, 1, 1]])
    expected = [0.5, -0.5, 0.5, -0.5]
    np.testing.assert_allclose(expected, [blue[1], yellow[1], red[2], cyan[2]], rtol=0.0, atol=THERE_AND_BACK)


# H.273 Table 4; the integers again, so that a name cannot vouch for itself.
def test_code_points() -> None:
    """Each matrix declares its own H.273 integer."""
    expected = [1, 5, 6, 9]
    assert expected == [matrix.code_point for matrix in MATRICES.values()]
