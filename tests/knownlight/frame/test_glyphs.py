"""The bitmap alphabet: our own drawing, no source."""

import string

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.glyphs import lit_pixels, text_mask, text_size

STEADY = settings(deadline=None, derandomize=True)
LETTERS = string.digits + string.ascii_uppercase + " .,-+%/:"
TEXTS = st.text(st.sampled_from(LETTERS), min_size=1, max_size=12)

# Drawn here once more by hand, so that the table cannot shift unseen.
ONE_PERCENT = [
    "..#...##..#",
    ".##...##.#.",
    "..#......#.",
    "..#.....#..",
    "..#....#...",
    "..#....#.##",
    ".###..#..##",
]


def test_one_percent() -> None:
    """Dots of two letters and the gap between them are where they were drawn."""
    expected = [[dot == "#" for dot in row] for row in ONE_PERCENT]
    np.testing.assert_array_equal(expected, text_mask("1%", 1))


def test_every_letter_is_another_picture() -> None:
    """No two letters look the same, and only the space is empty."""
    masks = {letter: text_mask(letter, 1) for letter in LETTERS}
    assert len(LETTERS) == len({mask.tobytes() for mask in masks.values()})
    empty = [letter for letter, mask in masks.items() if not mask.any()]
    assert list(" ") == empty


@STEADY
@given(TEXTS, st.integers(1, 6))
def test_size_and_count_by_arithmetic(text: str, scale: int) -> None:
    """Size and lit pixels by arithmetic are those of the drawn mask."""
    mask = text_mask(text, scale)
    width, height = text_size(text, scale)
    assert (height, width) == mask.shape
    assert int(mask.sum()) == lit_pixels(text, scale)


@STEADY
@given(TEXTS, st.integers(2, 6))
def test_scale_only_makes_dots_larger(text: str, scale: int) -> None:
    """Each dot becomes a square of one value."""
    mask = text_mask(text, scale)
    dots = text_mask(text, 1)
    for row in range(scale):
        for column in range(scale):
            np.testing.assert_array_equal(dots, mask[row::scale, column::scale])


def test_mask_is_read_only() -> None:
    """Masks are shared and cannot be changed by who draws with them."""
    with pytest.raises(ValueError, match="read-only"):
        text_mask("A", 1)[0, 0] = True


@pytest.mark.parametrize("text", ["a", "É", "A_B"])
def test_letters_without_a_glyph_are_refused(text: str) -> None:
    """A letter that was never drawn is an error, not a gap."""
    with pytest.raises(KeyError):
        text_mask(text, 1)
