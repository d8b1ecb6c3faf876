"""Code points against the integers of ITU-T H.273 (vectors/h273.toml) and against what colour-science has."""

import tomllib
import warnings
from enum import IntEnum
from pathlib import Path

import numpy as np
import pytest

from knownlight.signal import matrix
from knownlight.signal.h273 import (
    ChromaSampleLocation,
    ColourPrimaries,
    MatrixCoefficients,
    TransferCharacteristics,
)
from knownlight.signal.primaries import PRIMARIES, Primaries

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models
    from colour.models.rgb import itut_h_273

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "h273.toml").read_text("utf-8"))


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        ("primaries", ColourPrimaries),
        ("transfer", TransferCharacteristics),
        ("matrix", MatrixCoefficients),
        ("chroma_location", ChromaSampleLocation),
    ],
)
def test_integers(table: str, kind: type[IntEnum]) -> None:
    """Every member has the standard's integer, and there is no member without one."""
    assert VECTORS[table] == {member.name: int(member) for member in kind}


@pytest.mark.parametrize("primaries", PRIMARIES.values(), ids=PRIMARIES)
def test_primaries_at_their_code_point(primaries: Primaries) -> None:
    """The chromaticities under each integer are those of colour-science's H.273 table."""
    np.testing.assert_array_equal(
        itut_h_273.COLOUR_PRIMARIES_ITUTH273[int(primaries.code_point)],
        [primaries.red, primaries.green, primaries.blue],
    )


@pytest.mark.parametrize(
    "weights",
    [matrix.BT709, matrix.BT601_625, matrix.BT601_525, matrix.BT2020_NCL],
    ids=["bt709", "bt601-625", "bt601-525", "bt2020"],
)
def test_weights_at_their_code_point(weights: matrix.Matrix) -> None:
    """KR and KB under each integer are those of colour-science's H.273 table."""
    np.testing.assert_array_equal(
        itut_h_273.MATRIX_COEFFICIENTS_ITUTH273[int(weights.code_point)], [weights.kr, weights.kb]
    )


def test_curves_at_their_code_point() -> None:
    """16 is the PQ curve and 18 the HLG curve in colour-science's H.273 table."""
    table = itut_h_273.TRANSFER_CHARACTERISTICS_ITUTH273
    assert colour.models.eotf_inverse_ST2084 is table[int(TransferCharacteristics.PQ)]
    assert colour.models.oetf_BT2100_HLG is table[int(TransferCharacteristics.HLG)]
