"""Names of families, and how one is built from a name and keys."""

import pytest

from knownlight.errors import BadInput
from patterns.checkerboard import Checkerboard
from patterns.parameters import Level, LevelUnit
from patterns.registry import FAMILIES, build, family_named
from patterns.window import Window

NAMES = (
    "window", "full-field", "grey-steps", "near-black", "ramp", "gradient", "checkerboard", "pan", "fog",
)  # fmt: skip


def test_there_are_these_families() -> None:
    """The families, in the order of a list (our own choice: from plain to stressful)."""
    assert list(NAMES) == list(FAMILIES)


@pytest.mark.parametrize("name", NAMES)
def test_a_family_says_what_it_is(name: str) -> None:
    """Each family is found by its name, and has a title and a source (or says that it has none)."""
    family = family_named(name)
    assert name == family.name
    assert name == build(name, {}).name
    assert len(family.title) > len("A title")
    named = ("ANSI/", "BT.", "IDMS", "common practice, no source", "no published source")
    assert any(word in family.source for word in named)


@pytest.mark.parametrize(
    ("written", "meant"),
    [("windw", "window"), ("Checkerboard", "checkerboard"), ("near_black", "near-black"), ("ramps", "ramp")],
)
def test_a_slip_of_the_name_is_guessed(written: str, meant: str) -> None:
    """An unknown pattern with a near name: the message has what was written and the near name."""
    with pytest.raises(BadInput) as caught:
        build(written, {})
    expected = f"pattern {written!r} is not known; did you mean {meant}?"
    assert expected == str(caught.value)


def test_a_far_name_gets_the_list() -> None:
    """An unknown pattern with no near name: the message lists what there is."""
    with pytest.raises(BadInput) as caught:
        family_named("xyz")
    expected = f"pattern 'xyz' is not known; there are {', '.join(NAMES)}"
    assert expected == str(caught.value)


def test_left_out_keys_keep_their_defaults() -> None:
    """A pattern built from no keys is 10 % of white on black, in the middle."""
    expected = Window(
        area_percent=10.0,
        level=Level(LevelUnit.SIGNAL_PERCENT, 100.0),
        surround_level=Level(LevelUnit.SIGNAL_PERCENT, 0.0),
        position="centre",
    )
    assert expected == build("window", {})


def test_keys_are_numbers_or_text() -> None:
    """The same pattern from numbers, as a preset has them, and from text, as the command line does."""
    expected = Checkerboard(level=Level(LevelUnit.LUMINANCE, 250.0), phase="second")
    assert expected == build("checkerboard", {"luminance": 250, "phase": "second"})
    assert expected == build("checkerboard", {"luminance": "2.5e2", "phase": "second"})


# Each refusal comes from another place: an unknown key, a value that cannot be read, a value out of range.
@pytest.mark.parametrize(
    ("values", "said"),
    [({"aera": 3}, "aera is not a parameter"), ({"luminance": "x"}, "luminance=x is not a number")],
)
def test_messages_open_with_where(values: dict[str, object], said: str) -> None:
    """A message opens with the place it is told of, or with the family's name."""
    with pytest.raises(BadInput) as named:
        build("window", values)
    assert str(named.value).startswith(f"window: {said}")
    with pytest.raises(BadInput) as placed:
        build("window", values, where="pack.toml, clip 3")
    assert str(placed.value).startswith(f"pack.toml, clip 3: {said}")
