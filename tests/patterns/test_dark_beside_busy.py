"""Dark beside busy: mean, strength, spectrum and way of each half, found by numpy in the drawn codes.

1/f noise has a power that falls with the first power of frequency (the usual meaning of the term).
"""

import hashlib
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from knownlight.frame.format import parse_signal_format
from patterns.registry import build

SDR = parse_signal_format("1080p24-sdr")
BARE = {"grain_percent": 0}
SLOPE = 0.05  # of -1; measured -0.980 to -1.001 over three seeds


def halves(index: int = 0, **keys: object) -> tuple[Any, Any]:
    """Codes of both halves, to reckon with."""
    plane = build("dark-beside-busy", {**BARE, **keys}).draw(SDR).frame(index).planes[0].astype(np.int64)
    return plane[:, :960], plane[:, 960:]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_each_half_has_its_mean_and_strength(seed: int) -> None:
    """Mean code 28 and a deviation of 3 in the dark, 110 and 35 where it is busy, less 1 % of its far ends.

    1.37 and 16 % of 219 codes are 3.00 and 35.04. Put at the cut what is beyond 2.5 deviations, and a normal
    distribution has 0.9887 of its deviation left (from its truncated moments); this one has shorter ends.
    """
    dark, busy = halves(seed=seed)
    np.testing.assert_allclose([28, 110], [dark.mean(), busy.mean()], atol=0.05)
    np.testing.assert_allclose(np.sqrt(3.0**2 + 1 / 12), dark.std(), rtol=0.02)
    assert 0.9887 * 35.04 <= busy.std() <= 35.04
    assert (110 - 88, 110 + 88) == (busy.min(), busy.max())


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_busy_half_is_one_over_f(seed: int) -> None:
    """Power falls with the first power of frequency from 1/100 to 2/5 of a cycle a pixel."""
    _, busy = halves(seed=seed)
    power = np.abs(np.fft.fft2(busy - busy.mean())) ** 2
    radial = np.hypot(np.fft.fftfreq(1080)[:, np.newaxis], np.fft.fftfreq(960)[np.newaxis])
    edges = np.geomspace(0.01, 0.4, 13)
    rings = [power[(radial >= low) & (radial < high)].mean() for low, high in pairwise(edges)]
    slope = np.polyfit(np.log(np.sqrt(edges[1:] * edges[:-1])), np.log(rings), 1)[0]
    np.testing.assert_allclose(-1.0, slope, atol=SLOPE)


def test_each_half_goes_its_own_way() -> None:
    """The dark half moves by 2 pixels a picture, the busy one by 6, each round and round in itself."""
    (dark, busy), (dark_next, busy_next) = halves(0), halves(1)
    np.testing.assert_array_equal(np.roll(dark, -2, axis=1), dark_next)
    np.testing.assert_array_equal(np.roll(busy, -6, axis=1), busy_next)


# 64 pixels is the largest coding block of H.265 and of AV1 but for one (from memory).
@pytest.mark.parametrize(("size", "split"), [("720", 640), ("1080", 960), ("2160", 1920), ("4320", 3840)])
def test_no_block_lies_in_both_halves(size: str, split: int) -> None:
    """The halves meet at the middle, which is a multiple of 64 pixels in wide pictures."""
    areas = build("dark-beside-busy", {}).claims(parse_signal_format(f"{size}p60-pq")).areas_of_faults
    assert [split, split] == [area.rect.width for area in areas]
    assert 0 == split % 64


# By hand: 720 / 128 is 5.6, and five times 64 are 320.
@pytest.mark.parametrize("signal", ["576i25-sdr", "480p59.94-sdr"])
def test_in_standard_definition_the_busy_half_is_wider(signal: str) -> None:
    """320 pixels of 720 are dark."""
    areas = build("dark-beside-busy", {}).claims(parse_signal_format(signal)).areas_of_faults
    assert [320, 400] == [area.rect.width for area in areas]


def test_pictures_are_pinned() -> None:
    """The fifth picture is that of every earlier version."""
    plane = build("dark-beside-busy", {}).draw(SDR).frame(5).planes[0]
    assert (
        "3b207dc58d8fdae50dd59201bdedf4bd2128be7607d800ad0e9c80bff6ea3ac0"
        == hashlib.sha256(plane.tobytes()).hexdigest()
    )
