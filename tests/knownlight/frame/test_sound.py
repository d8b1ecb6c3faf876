"""The times of beeps, by hand."""

from fractions import Fraction

import pytest

from knownlight.errors import BadInput
from knownlight.frame.sound import Beeps, Sound, sound_named

BEEPS = Beeps(first=Fraction(1, 2), every=Fraction(1001, 1000))


@pytest.mark.parametrize(
    ("seconds", "thousandths"),
    [
        (Fraction(1, 10), []),
        (Fraction(1, 2), []),
        (Fraction(501, 1000), [500]),
        (Fraction(1501, 1000), [500]),
        (Fraction(1502, 1000), [500, 1501]),
        (Fraction(5), [500, 1501, 2502, 3503, 4504]),
    ],
)
def test_beeps_begin_before_the_end(seconds: Fraction, thousandths: list[int]) -> None:
    """Those that begin before an end, exactly; one that would begin with the end does not."""
    assert [Fraction(time, 1000) for time in thousandths] == BEEPS.within(seconds)


def test_what_is_asked_for_by_a_word() -> None:
    """The words that there are, and another one with the remedy."""
    assert (Sound.NONE, Sound.SILENT) == (sound_named("none"), sound_named("silent"))
    with pytest.raises(BadInput, match=r"^sound 'loud' is not known; use none or silent$"):
        sound_named("loud")
