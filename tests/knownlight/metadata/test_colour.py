"""What a file must say of its colour: integers of vectors/h273.toml."""

import tomllib
from pathlib import Path

import pytest

from knownlight.frame.format import parse_signal_format
from knownlight.metadata.colour import ColourDescription, colour_description

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "h273.toml").read_text("utf-8"))


# VideoFullRangeFlag is 0 for narrow range and 1 for full (H.273).
@pytest.mark.parametrize("transfer", ["sdr", "pq", "hlg"])
@pytest.mark.parametrize(("code_range", "flag"), [("narrow", 0), ("full", 1)])
def test_subsampled_signal(transfer: str, code_range: str, flag: int) -> None:
    """A 4:2:0 file declares primaries, transfer, matrix, range and where its chroma sits."""
    primaries, curve, matrix, location = VECTORS["declared"][transfer]
    expected = ColourDescription(
        primaries=primaries, transfer=curve, matrix=matrix, full_range=flag, chroma_location=location
    )
    signal = parse_signal_format(f"1080p60-{transfer}", depth=10, code_range=code_range)
    assert expected == colour_description(signal)


# H.273 Table 4: identity is 0. Chroma location says something of 4:2:0 alone (H.265 Annex E).
@pytest.mark.parametrize(("components", "matrix"), [("4:4:4", 9), ("rgb", 0)])
def test_unshared_chroma_has_no_location(components: str, matrix: int) -> None:
    """4:4:4 and R'G'B' files declare no chroma location; R'G'B' declares the identity matrix."""
    expected = ColourDescription(primaries=9, transfer=16, matrix=matrix, full_range=0)
    assert expected == colour_description(parse_signal_format("1080p60-pq", components=components))


def test_integers_are_plain() -> None:
    """What is declared are integers, so that they compare and print as what is read from a file."""
    description = colour_description(parse_signal_format("1080p60-pq"))
    values = [description.primaries, description.transfer, description.matrix, description.chroma_location]
    assert [int] * 4 == [type(value) for value in values]


def test_nothing_said_is_not_zero() -> None:
    """A file that says nothing is told from one that says 0."""
    assert ColourDescription().full_range is None
    assert ColourDescription() != ColourDescription(full_range=0)
