"""BT.1886: ITU-R BT.1886 Annex 1; vectors/bt1886.toml and colour-science as outside truth."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.signal.code_range import DEPTHS, CodeRange, Quantisation
from knownlight.signal.transfer import bt1886

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

VECTORS = tomllib.loads((Path(__file__).parents[3] / "vectors" / "bt1886.toml").read_text("utf-8"))
AGAINST_COLOUR = 1e-15  # measured 0: both follow the printed formula
THERE_AND_BACK = 2.3e-16  # measured 1.1e-16
LIGHT_THERE_AND_BACK = 1.3e-15  # relative, measured 6.4e-16
ENDS = 2.3e-16  # relative, measured 0 and 1.7e-16
DISPLAYS = pytest.mark.parametrize(
    "row", VECTORS["display"], ids=lambda row: f"{row['white']}-{row['black']}"
)


def printed(text: str) -> Any:
    """A printed decimal: equal to what is within half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0.0, abs=0.5 * 10.0**-digits)


@DISPLAYS
def test_gain_and_lift(row: dict[str, Any]) -> None:
    """Gain and lift, a and b of the formula, are the printed ones."""
    expected = (printed(row["gain"]), printed(row["lift"]))
    assert expected == bt1886.gain_and_lift(row["white"], row["black"])


@DISPLAYS
def test_luminance_of_signal(row: dict[str, Any]) -> None:
    """Levels in per cent have the printed luminance: the EOTF."""
    for percent, expected in row["luminance"].items():
        light = bt1886.luminance_from_signal(float(percent) / 100.0, white=row["white"], black=row["black"])
        assert printed(expected) == float(light)


# Half the printed digit of the light, carried to the signal, is below half a 10-bit code at each of these.
@DISPLAYS
@pytest.mark.parametrize(("percent", "code"), [("10", 152), ("20", 239), ("50", 502), ("75", 721)])
def test_code_of_luminance(row: dict[str, Any], percent: str, code: int) -> None:
    """The printed luminance of a level has that level's 10-bit code: the inverse EOTF, on its own."""
    quantisation = Quantisation(depth=10, code_range=CodeRange.NARROW)
    signal = bt1886.signal_from_luminance(
        float(row["luminance"][percent]), white=row["white"], black=row["black"]
    )
    assert code == quantisation.luma_code(signal)


@DISPLAYS
def test_ends(row: dict[str, Any]) -> None:
    """Signal 0 and 1 are the display's black and white, and back."""
    ends = [row["black"], row["white"]]
    keys = {"white": row["white"], "black": row["black"]}
    np.testing.assert_allclose(ends, bt1886.luminance_from_signal([0.0, 1.0], **keys), rtol=ENDS)
    np.testing.assert_allclose([0.0, 1.0], bt1886.signal_from_luminance(ends, **keys), rtol=ENDS, atol=ENDS)


def test_no_light_is_exact() -> None:
    """On a display of black 0, signal 0 is exactly no light, and back."""
    assert bt1886.luminance_from_signal(0.0, white=100.0) == 0.0
    assert bt1886.signal_from_luminance(0.0, white=100.0) == 0.0


def test_sub_black_and_super_white() -> None:
    """Below black there is no light; code 1019 is 123.0 cd/m² on a display of 100 (computed by hand)."""
    quantisation = Quantisation(depth=10, code_range=CodeRange.NARROW)
    sub_black, super_white = bt1886.luminance_from_signal(quantisation.luma_signal([4, 1019]), white=100.0)
    assert sub_black == 0.0
    assert printed("123.0") == float(super_white)
    assert bt1886.signal_from_luminance(-1.0, white=100.0) == 0.0


@DISPLAYS
@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("code_range", CodeRange)
def test_every_code_is_brighter_than_the_one_before(
    row: dict[str, Any], depth: int, code_range: CodeRange
) -> None:
    """From black to the highest code the light rises with every code, and the codes come back from it."""
    quantisation = Quantisation(depth=depth, code_range=code_range)
    codes = np.arange(quantisation.black, quantisation.highest_allowed + 1)
    keys = {"white": row["white"], "black": row["black"]}
    light = bt1886.luminance_from_signal(quantisation.luma_signal(codes), **keys)
    assert (np.diff(light) > 0.0).all()
    np.testing.assert_array_equal(codes, quantisation.luma_code(bt1886.signal_from_luminance(light, **keys)))


@DISPLAYS
def test_agrees_with_colour_science(row: dict[str, Any]) -> None:
    """Both directions are those of colour-science over every 12-bit signal."""
    signal = np.arange(4096) / 4095.0
    keys = {"white": row["white"], "black": row["black"]}
    light = colour.models.eotf_BT1886(signal, L_B=row["black"], L_W=row["white"])
    np.testing.assert_allclose(light, bt1886.luminance_from_signal(signal, **keys), rtol=AGAINST_COLOUR)
    np.testing.assert_allclose(
        colour.models.eotf_inverse_BT1886(light, L_B=row["black"], L_W=row["white"]),
        bt1886.signal_from_luminance(light, **keys),
        rtol=0.0,
        atol=AGAINST_COLOUR,
    )


@DISPLAYS
def test_there_and_back(row: dict[str, Any]) -> None:
    """Signal to light to signal, and light to signal to light, are the identity to the named tolerances."""
    signal = np.arange(4096) / 4095.0
    keys = {"white": row["white"], "black": row["black"]}
    light = bt1886.luminance_from_signal(signal, **keys)
    again = bt1886.signal_from_luminance(light, **keys)
    np.testing.assert_allclose(signal, again, rtol=0.0, atol=THERE_AND_BACK)
    np.testing.assert_allclose(
        light, bt1886.luminance_from_signal(again, **keys), rtol=LIGHT_THERE_AND_BACK, atol=0.0
    )
