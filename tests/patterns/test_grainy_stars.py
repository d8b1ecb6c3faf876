"""Stars behind grain: points of one to three pixels. The source is the formula of a Gaussian's half width."""

import hashlib

import numpy as np

from knownlight.frame.format import parse_signal_format
from patterns.registry import build

SDR = parse_signal_format("1080p24-sdr")
FINE = parse_signal_format("720p25-hlg", depth=12)
FIELD, BRIGHTEST = 25, 126  # 4 and 50 % by hand: 16 + 8.76 and 16 + 109.5
BARE = {"grain_percent": 0}


# A Gaussian that has half its height over w pixels has 2^-(2d/w)² of it at a distance of d: 1/16, 1/2 and
# 0.735 for 1, 2 and 3 pixels and the distance 1.
def test_a_star_is_one_two_or_three_pixels_wide() -> None:
    """Each alone: as wide as one of three sizes, alike in all directions, and all three come."""
    shares = {1: 2.0**-4, 2: 2.0**-1, 3: 2.0 ** -(4 / 9)}
    seen = set()
    for seed in range(1, 25):
        keys = {**BARE, "count": 1, "star_signal_percent": 100, "seed": seed}
        plane = build("grainy-stars", keys).draw(FINE).frame(0).planes[0].astype(np.int64)
        light = plane - plane.min()
        y, x = np.unravel_index(light.argmax(), light.shape)
        if light[y, x] < 200:
            continue  # too faint to be measured
        around = {int(light[y + down, x + right]) for down, right in ((0, 1), (0, -1), (1, 0), (-1, 0))}
        assert 1 == len(around)
        share = around.pop() / light[y, x]
        size = min(shares, key=lambda each: abs(shares[each] - share))
        np.testing.assert_allclose(shares[size], share, atol=0.01)
        seen.add(size)
    assert {1, 2, 3} == seen


def test_most_stars_are_faint() -> None:
    """Of many, none is brighter than asked, some come near, and half have less than an eighth of the light.

    Light is the third power of an even number from 0 to 1, of which the median is 1/2.
    """
    plane = build("grainy-stars", {**BARE, "count": 300}).draw(SDR).frame(0).planes[0].astype(np.int64)
    assert FIELD == plane.min() == np.median(plane)
    assert BRIGHTEST - 3 <= plane.max() <= BRIGHTEST
    middle = plane[1:-1, 1:-1]
    others = [
        plane[1 + y : 1079 + y, 1 + x : 1919 + x] for y in (-1, 0, 1) for x in (-1, 0, 1) if (x, y) != (0, 0)
    ]
    peaks = middle[(middle > np.max(others, axis=0))]
    assert 200 <= peaks.size <= 300  # some are too faint for a code, some lie on others
    eighth = FIELD + (BRIGHTEST - FIELD) / 8
    assert 150 - 45 <= (peaks > eighth).sum() <= 150 + 45  # five deviations of a count of 300 halves


def test_stars_stand_still_behind_the_grain() -> None:
    """The mean of many pictures is the picture without grain."""
    source = build("grainy-stars", {}).draw(SDR)
    mean = np.mean([source.frame(index).planes[0] for index in range(96)], axis=0)
    bare = build("grainy-stars", BARE).draw(SDR).frame(0).planes[0]
    assert np.abs(mean - bare).max() < 0.5 + 6 * 1.6 / np.sqrt(96)  # rounding, and six deviations of grain


def test_more_stars_are_the_same_and_others() -> None:
    """The first stars of a seed stay where they are when more come."""
    few, many = (
        build("grainy-stars", {**BARE, "count": count}).draw(SDR).frame(0).planes[0].astype(np.int64)
        for count in (50, 500)
    )
    assert (many >= few).all()
    assert (many > few).any()


def test_pictures_are_pinned() -> None:
    """The fifth picture is that of every earlier version."""
    plane = build("grainy-stars", {}).draw(SDR).frame(5).planes[0]
    assert (
        "08a1bd574c4a8f6d95580a747ae6a3b659ef328ed880067c0bcb2df4d35b541d"
        == hashlib.sha256(plane.tobytes()).hexdigest()
    )
