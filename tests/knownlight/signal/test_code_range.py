"""Signal to code and back: ITU-T H.273 clause 8.3, vectors/code_levels.toml."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.signal.code_range import DEPTHS, CodeRange, Quantisation

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "code_levels.toml").read_text("utf-8"))
ALL = [Quantisation(depth=depth, code_range=code_range) for depth in DEPTHS for code_range in CodeRange]
NARROW_10 = Quantisation(depth=10, code_range=CodeRange.NARROW)
FULL_10 = Quantisation(depth=10, code_range=CodeRange.FULL)
FULL_8 = Quantisation(depth=8, code_range=CodeRange.FULL)


def name(quantisation: Quantisation) -> str:
    """Test id."""
    return f"{quantisation.code_range.value}-{quantisation.depth}"


@pytest.mark.parametrize("row", VECTORS["range"], ids=lambda row: f"{row['code_range']}-{row['depth']}")
def test_named_codes(row: dict[str, Any]) -> None:
    """Black, white, neutral, chroma ends and allowed codes are the standard's (see the vectors)."""
    quantisation = Quantisation(depth=row["depth"], code_range=CodeRange(row["code_range"]))
    assert row["black"] == quantisation.black == quantisation.luma_code(0.0)
    assert row["white"] == quantisation.white == quantisation.luma_code(1.0)
    assert row["neutral"] == quantisation.neutral == quantisation.chroma_code(0.0)
    assert row["chroma_lowest"] == quantisation.chroma_code(-0.5)
    assert row["chroma_highest"] == quantisation.chroma_code(0.5)
    assert row["lowest_allowed"] == quantisation.lowest_allowed
    assert row["highest_allowed"] == quantisation.highest_allowed
    assert 2 ** row["depth"] - 1 == quantisation.largest


@pytest.mark.parametrize("row", VECTORS["level"], ids=lambda row: f"{row['percent']}%")
def test_level_in_percent(row: dict[str, Any]) -> None:
    """Each level in per cent has the printed code in every range that can say it."""
    signal = float(row["percent"]) / 100.0
    codes = {key: value for key, value in row.items() if key != "percent"}
    found = {
        key: int(Quantisation(depth=int(depth), code_range=CodeRange(code_range)).luma_code(signal))
        for key in codes
        for code_range, depth in [key.split("_")]
    }
    assert codes == found


def test_twelve_bits_are_not_four_times_ten() -> None:
    """40 % is 414 at 10 bits and 1658, not 1656, at 12 (H.273: each depth is rounded on its own)."""
    narrow_12 = Quantisation(depth=12, code_range=CodeRange.NARROW)
    expected = [414, 1658]
    assert expected == [NARROW_10.luma_code(0.4), narrow_12.luma_code(0.4)]


# Half a code each: 1023 / 6 = 170.5 and 255 * 0.3 = 76.5, by hand.
def test_half_codes_round_away_from_zero() -> None:
    """Levels that fall on a half get the upper code."""
    expected = [171, 77]
    assert expected == [FULL_10.luma_code(1 / 6), FULL_8.luma_code(0.3)]


@pytest.mark.parametrize("quantisation", ALL, ids=name)
def test_every_code_there_and_back(quantisation: Quantisation) -> None:
    """Code to signal to code is the identity for every luma and chroma code."""
    codes = np.arange(quantisation.largest + 1)
    np.testing.assert_array_equal(codes, quantisation.luma_code(quantisation.luma_signal(codes)))
    np.testing.assert_array_equal(codes, quantisation.chroma_code(quantisation.chroma_signal(codes)))


@pytest.mark.parametrize("quantisation", ALL, ids=name)
def test_codes_rise_with_signal(quantisation: Quantisation) -> None:
    """A larger signal never has a smaller code, through sub-black and super-white too."""
    signal = np.linspace(-0.1, 1.1, 20_001)
    assert (np.diff(quantisation.luma_code(signal)) >= 0).all()
    assert (np.diff(quantisation.chroma_code(signal - 0.5)) >= 0).all()


# Sub-black floor and super-white ceiling in %: computed by hand, (4 - 64) / 876 and (1019 - 64) / 876.
def test_narrow_range_says_sub_black_and_super_white() -> None:
    """Code 4 is below 0, code 1019 above 1, by the steps between black and white."""
    np.testing.assert_array_equal([-60 / 876, 955 / 876], NARROW_10.luma_signal([4, 1019]))


def test_full_range_is_clipped_to_the_codes_there_are() -> None:
    """Signals past the ends of full range get the end codes (H.273 Clip1)."""
    np.testing.assert_array_equal([0, 1023], FULL_10.luma_code([-0.1, 1.1]))
    np.testing.assert_array_equal([0, 1023], FULL_10.chroma_code([-0.7, 0.7]))


@pytest.mark.parametrize("depth", [0, 7, 9, 16])
def test_other_depths_are_refused(depth: int) -> None:
    """A depth that is none of 8, 10, 12 is refused with the remedy."""
    with pytest.raises(BadInput, match=rf"depth {depth} is not a bit depth .* use 8, 10 or 12"):
        Quantisation(depth=depth, code_range=CodeRange.NARROW)
