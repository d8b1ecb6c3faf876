"""Colour sequences: the order, the levels and the saturations, against colour-science."""

import colour
import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.registry import build
from tests.patterns.outside_light import fine_signal, xyz_of

SDR = parse_signal_format("720p60-sdr", depth=10)
FINE_XY = 5e-4  # x, y: half a code of 12 bits in R'G'B' moves these colours by 1e-4 to 4e-4


def test_each_hue_rises_then_the_next() -> None:
    """Four levels of each of seven hues, a second each, in one round."""
    pattern = build("colour-sequence", {"step_seconds": 1})
    names = [each.regions[0].name for each in pattern.claims(SDR).pictures]

    assert ["red-025pct", "red-050pct", "red-075pct", "red-100pct", "yellow-025pct"] == names[:5]
    assert 28 == len(names) == pattern.natural_seconds(SDR)


def test_levels_are_even_in_signal() -> None:
    """White's shares of 75 % of 10-bit narrow range are codes 228, 393, 557 and 721 (BT.709-6; halves up)."""
    pictures = build("colour-sequence", {}).claims(SDR).pictures

    assert [228, 393, 557, 721] == [
        each.regions[0].code[0] for each in pictures if each.regions[0].name.startswith("white")
    ]


@pytest.mark.parametrize("transfer", ["pq", "hlg"])
def test_saturations_run_straight_from_white(transfer: str) -> None:
    """Each hue of P3 lies at its share of the way from D65 to the corner, in CIE x, y (colour-science)."""
    signal = fine_signal(transfer)
    keys = {"vary": "saturation", "gamut": "p3-d65", "steps_a_hue": 2, "signal_percent": 60}
    pictures = build("colour-sequence", keys).claims(signal).pictures
    found = {each.regions[0].name: each.regions[0].code for each in pictures}
    space = colour.RGB_COLOURSPACES["P3-D65"]
    white = np.array([0.3127, 0.3290])
    corners = {"green": space.primaries[1], "blue": space.primaries[2]}

    assert 13 == len(found)
    for hue, corner in corners.items():
        for share, name in ((0.5, f"{hue}-050pct"), (1.0, f"{hue}-100pct")):
            xy = colour.XYZ_to_xy(xyz_of(signal, found[name]))
            assert np.abs(white + share * (corner - white) - xy).max() <= FINE_XY, name


def test_a_level_that_is_black_is_refused() -> None:
    """Nothing rises to black."""
    with pytest.raises(BadInput, match="the level is code 64, not above black"):
        build("colour-sequence", {"signal_percent": 0}).claims(SDR)
