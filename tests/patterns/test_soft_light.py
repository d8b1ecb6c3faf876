"""Soft light: a Gaussian of the asked size, height and way. The source is the formula of a Gaussian."""

import hashlib
import math
from typing import Any

import numpy as np

from knownlight.frame.format import parse_signal_format
from knownlight.frame.sources import Cycle, Run
from patterns.registry import build

SDR = parse_signal_format("1080p24-sdr")
FIELD, PEAK = 23, 40  # 3 and 11 % by hand: 16 + 6.57 and 16 + 24.09
BARE = {"grain_percent": 0}
PIXELS = 1.0  # where the light is: half a pixel of rounding, and half of one for the pixel's middle


def middle(plane: Any) -> tuple[float, float]:
    """(x, y) of the centre of what is lighter than the field."""
    weight = plane.astype(np.float64) - FIELD
    rows, columns = np.indices(plane.shape)
    return (weight * columns).sum() / weight.sum(), (weight * rows).sum() / weight.sum()


def test_light_is_a_gaussian() -> None:
    """From the field to the peak; at one and two deviations it has the share that a Gaussian has."""
    plane = build("soft-light", BARE).draw(SDR).frame(0).planes[0]
    assert (FIELD, PEAK) == (plane.min(), plane.max())
    sigma, (x, y) = 216, (1248, 540)  # 20 % of 1080 rows; 15 % of 1920 pixels right of the middle
    for steps in (0.5, 1.0, 2.0, 3.0):
        level = FIELD + (PEAK - FIELD) * math.exp(-0.5 * steps**2)
        away = int(steps * sigma)
        for place in ((y, x - away), (y + away, x), (y - away, x)):
            if 0 <= place[0] < 1080:
                np.testing.assert_allclose(
                    level, plane[place], atol=0.55
                )  # half a code, and one pixel beside


# By hand: 15 % of 1920 and 1080 are 288 and 162 pixels.
def test_the_way_is_round_and_closes() -> None:
    """After a quarter each: right, above, left, below the middle; then the first picture comes again."""
    source = build("soft-light", {**BARE, "light_size": 8}).draw(SDR)
    assert isinstance(source, Cycle)
    assert 96 == source.period
    asked = [(1248, 540), (960, 378), (672, 540), (960, 702)]
    found = [middle(source.frame(24 * quarter).planes[0]) for quarter in range(4)]
    np.testing.assert_allclose(asked, found, atol=PIXELS)
    np.testing.assert_array_equal(source.frame(0).planes[0], source.frame(96).planes[0])


def test_it_glides() -> None:
    """From each picture to the next, across the seam too, it goes an equal share of its way around."""
    source = build("soft-light", {**BARE, "light_size": 8}).draw(SDR)
    places = np.array([middle(source.frame(index).planes[0]) for index in range(97)])
    angles = 2 * np.pi * np.arange(97) / 96
    asked = np.stack([960 + 288 * np.cos(angles), 540 - 162 * np.sin(angles)], axis=-1)
    np.testing.assert_allclose(asked, places, atol=PIXELS)


def test_it_may_leave_the_picture() -> None:
    """Half the picture from the middle, half the light is outside, and what is inside is in its place."""
    plane = build("soft-light", {**BARE, "path_percent": 50}).draw(SDR).frame(0).planes[0]
    assert PEAK == plane[540, -1]
    assert FIELD == plane[:, :1000].max()


def test_without_repetition_it_goes_round_in_eight_seconds() -> None:
    """At 24 pictures a second it is at the left after 96."""
    source = build("soft-light", {**BARE, "light_size": 8, "repeat_seconds": 0}).draw(SDR)
    assert isinstance(source, Run)
    np.testing.assert_allclose((672, 540), middle(source.frame(96).planes[0]), atol=PIXELS)
    assert 8 == build("soft-light", {"repeat_seconds": 0}).natural_seconds(SDR)
    assert 4 == build("soft-light", {}).natural_seconds(SDR)


def test_a_light_may_be_dark() -> None:
    """A light below the field is a shadow."""
    plane = build("soft-light", {**BARE, "field_code": 40, "light_code": 20}).draw(SDR).frame(0).planes[0]
    assert (20, 40) == (plane.min(), plane.max())


def test_pictures_are_pinned() -> None:
    """The fifth picture is that of every earlier version."""
    plane = build("soft-light", {}).draw(SDR).frame(5).planes[0]
    assert (
        "a482824e643fb93c570de90fb1ab48ac0d084d8dadb6f690fc4e9d498720e077"
        == hashlib.sha256(plane.tobytes()).hexdigest()
    )
