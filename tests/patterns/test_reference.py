"""The reference text of parameters: what it says of keys, ends and defaults is what the families do.

The text is our own; the families are the outside truth here, asked through `build`.
"""

import re
from dataclasses import replace

import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.reference import ParameterRow, parameter_rows
from patterns.registry import FAMILIES, build
from patterns.window import Window

SMALL = replace(parse_signal_format("720p24-sdr"), width=640, height=360)
LATER = 300  # a frame well inside a round
SMALL_WIDE = parse_signal_format("720p60-pq")
ENDS = re.compile(r"(-?[\d.]+) to ([\d.]+)(?: (.+))?")
ALL = [(family, row) for family in FAMILIES for row in parameter_rows(FAMILIES[family])]
WITH_DEFAULT = [(family, row) for family, row in ALL if row.default]
WITH_ENDS = [(family, row) for family, row in ALL if ENDS.fullmatch(row.takes)]
# Words that the other defaults do not fit: a ratio from 0, hues of a black end, no depth, large blocks.
BESIDE: dict[tuple[str, str], dict[str, object]] = {
    ("grey-steps", "spacing"): {"first_signal_percent": 1},
    ("gradient-bands", "first_colour"): {"first_signal_percent": 40},
    ("gradient-bands", "gamut"): {"first_colour": "red", "first_signal_percent": 40},
    ("block-steps", "block_size"): {"levels": 1, "steps": 1},
    **{(family, "block_size"): {"block_percent": 50} for family in FAMILIES if family != "block-steps"},
}
WITH_WORDS = [(family, row) for family, row in ALL if " | " in row.takes]


def title(value: object) -> str | None:
    """Test id."""
    return value.key if isinstance(value, ParameterRow) else None


def test_rows_of_a_window() -> None:
    """Each key of a family in order, with what it takes, its default and its meaning."""
    around = "what lies around it; fall and apl_percent fill it up to that average"
    expected = [
        ParameterRow("area_percent", "0.01 to 100 %", "10", "share of the screen's area"),
        ParameterRow("luminance", "cd/m²", "", "the window"),
        ParameterRow("signal_percent", "%", "100", "the window"),
        ParameterRow("code", "code", "", "the window"),
        ParameterRow("surround_luminance", "cd/m²", "", around),
        ParameterRow("surround_signal_percent", "%", "0", around),
        ParameterRow("surround_code", "code", "", around),
        ParameterRow("surround_fall", "cd/m²", "", around),
        ParameterRow("surround_apl_percent", "%", "", around),
        ParameterRow(
            "position",
            "centre | top-left | top-right | bottom-left | bottom-right",
            "centre",
            "where the window lies",
        ),
    ]
    assert expected == parameter_rows(Window)


@pytest.mark.parametrize("family", FAMILIES)
def test_printed_defaults_are_the_defaults(family: str) -> None:
    """A pattern built from every printed default is the pattern built from nothing."""
    printed = {row.key: row.default for row in parameter_rows(FAMILIES[family]) if row.default}
    assert build(family, {}) == build(family, printed)
    assert set(printed) == set(build(family, {}).parameters())


@pytest.mark.parametrize(("family", "row"), WITH_ENDS, ids=title)
def test_printed_ends_are_the_ends(family: str, row: ParameterRow) -> None:
    """Both printed ends of a range are taken; a little past either is refused with the printed range."""
    match = ENDS.fullmatch(row.takes)
    assert match is not None
    low, high = float(match[1]), float(match[2])
    for end in (low, high):
        assert end == build(family, {row.key: end}).parameters()[row.key]
    for past in (low - 1, high + 1):
        with pytest.raises(BadInput) as caught:
            build(family, {row.key: past})
        assert f"{family}: {row.key}={past:g} is out of range; use {row.takes}" == str(caught.value).strip()


@pytest.mark.parametrize(("family", "row"), WITH_WORDS, ids=title)
def test_printed_words_are_the_words(family: str, row: ParameterRow) -> None:
    """Every printed word is taken, claimed and drawn differently from the others; no other word is taken."""
    words = row.takes.split(" | ")
    beside = BESIDE.get((family, row.key), {})
    drawn = []
    for word in words:
        pattern = build(family, {**beside, row.key: word})
        signal = SMALL_WIDE if row.key == "gamut" else SMALL  # SDR holds no wider primaries
        pattern.claims(signal)
        source = pattern.draw(signal)
        looks = [source.frame(index).planes for index in (0, LATER)]  # sequences open with a rest
        drawn.append(b"".join(plane.tobytes() for planes in looks for plane in planes))
    alike = 1 if row.key == "gamut" else 0  # sdr is bt709 there; where it is not, test_colours.py tells
    assert len(words) - alike == len(set(drawn))
    with pytest.raises(BadInput, match=f"use one of {', '.join(words)}"):
        build(family, {row.key: "another"})


@pytest.mark.parametrize(("family", "row"), ALL, ids=title)
def test_every_key_has_a_meaning(family: str, row: ParameterRow) -> None:
    """Every row says in words what its key means, and the family takes that key."""
    assert len(row.meaning) > len("a dot")
    assert row.takes
    if row.key == "file":
        with pytest.raises(BadInput, match="file=mine: no file can be opened here; leave it out"):
            build(family, {"file": "mine"})
        return
    value = row.default or (row.takes.split(" ")[0] if " to " in row.takes else "100")
    assert row.key in build(family, {row.key: value}).parameters()
