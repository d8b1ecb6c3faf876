"""Noise: pinned raw words, and filters that do what they say. No published source but numpy's promise."""

import hashlib

import numpy as np
import pytest

from patterns.noise import (
    CLIP,
    TILE,
    enlarged,
    falling_gain,
    frequencies,
    raw_words,
    shaped,
    soft_gain,
    white_noise,
)

SUMS = 1e-12  # of sums and transforms in double precision, relative to 1; measured 3.1e-15
SPREAD = 0.01  # relative, of a standard deviation or kurtosis over 512 by 512 samples; measured 0.0013
CORRELATED = (
    0.01  # of neighbours that are independent, 512 by 512 of them: five deviations of 1/512; measured 0.001
)
SOFTNESS = 0.05  # relative, of the correlation that a low-pass leaves; measured 0.0042


# Words of Philox seeded by SeedSequence([1, 2, 0]), measured once and stored: numpy promises that a bit
# generator keeps its stream (NEP 19), and a change there would change every fog and texture.
def test_raw_words_are_pinned() -> None:
    """The first words of a seed, purpose and index never change."""
    expected = [5527141919257688469, 1364028082176693913, 13560305045195242260]
    assert expected == raw_words(1, 2, 0, 3).tolist()


@pytest.mark.parametrize("key", [(2, 2, 0), (1, 3, 0), (1, 2, 1)])
def test_seed_purpose_and_index_each_matter(key: tuple[int, int, int]) -> None:
    """Another seed, another purpose or another index is another stream; none has a word of the other."""
    assert not set(raw_words(1, 2, 0, 1000).tolist()) & set(raw_words(*key, 1000).tolist())


# Reckoned from the words by shifts, in Python's integers, not by the view of bytes that the code takes.
def test_white_noise_is_the_sum_of_four_parts() -> None:
    """A sample is the sum of a word's four 16-bit parts, less what makes the mean 0."""
    words = raw_words(1, 2, 0, 6).tolist()
    expected = [sum(word >> shift & 0xFFFF for shift in (0, 16, 32, 48)) - 131070 for word in words]
    assert expected == white_noise(2, 3, 1, 2).ravel().tolist()


# The sum of four even 16-bit parts has variance 4 * (2^32 - 1) / 12 and kurtosis 3 - 6/5/4 = 2.7.
def test_white_noise_is_white() -> None:
    """Samples have mean 0, the spread and shape of four even parts, and nothing of their neighbours."""
    noise = white_noise(512, 512, 1, 2)
    deviation = np.sqrt(4 * (2.0**32 - 1) / 12)
    assert abs(noise.mean()) < deviation * CORRELATED
    np.testing.assert_allclose(deviation, noise.std(), rtol=SPREAD)
    np.testing.assert_allclose(2.7, (noise**4).mean() / noise.var() ** 2, rtol=SPREAD)
    for axis in (0, 1):
        assert abs((noise * np.roll(noise, 1, axis)).mean() / noise.var()) < CORRELATED


def test_shaped_noise_is_even_in_mean_and_spread() -> None:
    """Any gain gives mean 0 and standard deviation 1, cut off at four deviations."""
    for gain in (np.ones((TILE, TILE // 2 + 1)), soft_gain(TILE, TILE, 2.0), falling_gain(TILE, TILE, 3)):
        plane = shaped(white_noise(TILE, TILE, 1, 2), gain)
        assert (TILE, TILE) == plane.shape
        assert np.abs(plane).max() <= CLIP
        np.testing.assert_allclose([0.0, 1.0], [plane.mean(), plane.std()], atol=SPREAD)


def test_far_values_are_cut_off() -> None:
    """A lone spike of many deviations becomes the limit, and nothing else is touched by that."""
    noise = np.zeros((64, 64))
    noise[3, 5] = 1.0
    plane = shaped(noise, np.ones((64, 33)))
    assert CLIP == plane[3, 5]
    rest = np.delete(plane.ravel(), 3 * 64 + 5)
    np.testing.assert_allclose(-1.0 / np.sqrt(64 * 64 - 1), rest, atol=SUMS)


# A Gaussian of deviation s, over white noise, leaves the correlation exp(-d² / 4 s²) at the distance d.
@pytest.mark.parametrize("sigma", [2.0, 4.0])
def test_soft_gain_is_a_gaussian(sigma: float) -> None:
    """Grain of a softness is correlated as a Gaussian of that many pixels leaves it, in both directions."""
    plane = shaped(white_noise(TILE, TILE, 1, 2), soft_gain(TILE, TILE, sigma))
    distance = int(sigma)
    for axis in (0, 1):
        found = (plane * np.roll(plane, distance, axis)).mean() / plane.var()
        np.testing.assert_allclose(np.exp(-0.25), found, rtol=SOFTNESS)


# By hand, on 4 rows by 8 columns: cycles a sample are 0, 1/4, 1/2, -1/4 down and 0, 1/8, ... 1/2 across.
def test_frequencies_are_in_cycles_a_sample() -> None:
    """Radial frequency is the same measure in both directions, whatever the sides."""
    radial = frequencies(4, 8)
    shape = (4, 5)
    assert shape == radial.shape
    expected = [0.0, 0.25, 0.5, 0.25, 0.125, 0.5, np.sqrt(0.5)]
    found = [radial[0, 0], radial[1, 0], radial[2, 0], radial[3, 0], radial[0, 1], radial[0, 4], radial[2, 4]]
    np.testing.assert_allclose(expected, found, atol=SUMS)


def test_a_falling_gain_has_no_mean_and_a_slope() -> None:
    """Power of 1/f³ has no gain at frequency 0, and an eighth of the power at twice the frequency."""
    gain = falling_gain(64, 64, 3)
    assert 0.0 == gain[0, 0]
    np.testing.assert_allclose(gain[0, 1] ** 2 / 8.0, gain[0, 2] ** 2, rtol=SUMS)
    np.testing.assert_allclose(gain[4, 0], gain[0, 4], rtol=SUMS)


def test_waves_longer_than_the_longest_are_no_stronger() -> None:
    """Below its outer scale a falling gain is flat; above it is what it would be without one."""
    limited, free = falling_gain(64, 64, 3, longest=16.0), falling_gain(64, 64, 3)
    assert 0.0 == limited[0, 0]
    np.testing.assert_array_equal(limited[0, 4], limited[0, 1:4])  # 4/64 is a wave of 16 samples
    np.testing.assert_array_equal(free[0, 4:], limited[0, 4:])


def test_enlarged_planes_are_interpolated_and_periodic() -> None:
    """Samples stay where they were, those between lie on straight lines, and the end runs into the start."""
    plane = np.array([[0.0, 4.0, 12.0], [8.0, 20.0, 0.0], [4.0, 0.0, 4.0]])
    first_row = [0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 9.0, 6.0, 3.0]
    first_column = [0.0, 2.0, 4.0, 6.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0]
    large = enlarged(plane, 4)
    assert [first_row, first_column] == [large[0].tolist(), large[:, 0].tolist()]
    np.testing.assert_array_equal(plane, large[::4, ::4])
    assert (0.0 + 4.0 + 8.0 + 20.0) / 4.0 == large[2, 2]


# Measured once and stored: what the transform makes of the pinned words, in sixteenths of a deviation.
# numpy promises nothing of that transform; where another machine or version rounds otherwise, this tells. The
# sample nearest to a boundary is 2.7e-6 of a step away from it, far more than a rounding error.
@pytest.mark.parametrize(
    ("index", "expected"),
    [
        (0, "8fc3e1fc7208c6e09c19365ff432c0bfe7f03403424313070f7f6ab71db0d119"),
        (1, "074b29808f560753c91bda2e12701df5d46a79ec1f283cb9927764a8cce8e8a3"),
    ],
)
def test_grain_tiles_are_pinned(index: int, expected: str) -> None:
    """A grain tile of four pixels' softness is the very tile of every earlier version."""
    plane = shaped(white_noise(TILE, TILE, 1, 2, index), soft_gain(TILE, TILE, 4.0))
    tile = np.floor(plane * 16.0 + 0.5).astype("<i2")
    assert expected == hashlib.sha256(tile.tobytes()).hexdigest()
