"""Filter weights against the sample positions of ITU-T H.273 Figure 10 and H.265 Annex E."""

from fractions import Fraction

import pytest

from knownlight.errors import BadInput
from knownlight.signal.h273 import ChromaSampleLocation
from knownlight.signal.siting import Taps, taps

# Where a chroma sample sits, in luma samples right of and below the even one: type 0 is on the left column
# midway between the rows, type 2 on the top left luma sample (positions from memory of the figure).
SITES = [
    (ChromaSampleLocation.LEFT, Fraction(0), Fraction(1, 2)),
    (ChromaSampleLocation.TOP_LEFT, Fraction(0), Fraction(0)),
]


def centre(filter_taps: Taps) -> Fraction:
    """Weighted mean position of the samples that a filter reads."""
    weighted = sum(weight * (filter_taps.first + index) for index, weight in enumerate(filter_taps.weights))
    return Fraction(weighted, sum(filter_taps.weights))


@pytest.mark.parametrize(("location", "across", "down"), SITES)
def test_filters_are_centred_on_the_site(
    location: ChromaSampleLocation, across: Fraction, down: Fraction
) -> None:
    """The centre of weight lies exactly where the standard puts the sample."""
    assert [across, down] == [centre(filter_taps) for filter_taps in taps(location)]


@pytest.mark.parametrize(("location", "across", "down"), SITES)
def test_filters_are_even_about_the_site(
    location: ChromaSampleLocation, across: Fraction, down: Fraction
) -> None:
    """Weights are the same on both sides of the site, and none is negative."""
    for site, filter_taps in zip((across, down), taps(location), strict=True):
        assert filter_taps.weights[::-1] == filter_taps.weights
        assert Fraction(len(filter_taps.weights) - 1, 2) == site - filter_taps.first
        assert min(filter_taps.weights) > 0


# The triangle two luma samples wide on each side, sampled at whole distances; our own choice, no source.
@pytest.mark.parametrize(("location", "across", "down"), SITES)
def test_filters_are_the_triangle(location: ChromaSampleLocation, across: Fraction, down: Fraction) -> None:
    """Weights are in proportion to 2 minus the distance from the site."""
    for site, filter_taps in zip((across, down), taps(location), strict=True):
        distances = [abs(filter_taps.first + index - site) for index in range(len(filter_taps.weights))]
        total = sum(filter_taps.weights)
        expected = [(2 - distance) / sum(2 - other for other in distances) for distance in distances]
        assert expected == [Fraction(weight, total) for weight in filter_taps.weights]


def test_other_locations_are_refused() -> None:
    """A location that no signal format of this program uses is refused by its number."""
    with pytest.raises(BadInput, match=r"chroma sample location 1 is not used here; 0 \(left\) and 2"):
        taps(ChromaSampleLocation.CENTRE)
