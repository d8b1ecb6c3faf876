"""Noise that is the same on every machine: raw bits of a counter-based generator, shaped by Fourier filters.

numpy promises the bits of its bit generators, not the numbers that its distributions make of them; so only
raw 64-bit words are taken, and the finished tiles are pinned by hash in the tests.
"""

import math
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from knownlight.signal.arrays import FloatArray

TILE = 512  # side of a grain tile in pixels
CLIP = 4.0  # standard deviations beyond which noise is cut off


class Purpose(IntEnum):
    """What words of the generator are for: each purpose has a stream of its own."""

    FOG = 1
    GRAIN = 2
    GRAIN_PLACE = 3
    DITHER = 4
    DITHER_PLACE = 5
    BUSY = 6
    STARS = 7
    WORDS = 8


def raw_words(seed: int, purpose: int, index: int, count: int) -> NDArray[np.uint64]:
    """`count` raw words of Philox for a seed, a purpose and an index."""
    generator = np.random.Philox(np.random.SeedSequence([seed, purpose, index]))
    return np.asarray(generator.random_raw(count), dtype=np.uint64)


def white_noise(rows: int, columns: int, seed: int, purpose: int, index: int = 0) -> FloatArray:
    """Independent samples of mean 0: the sum of four 16-bit parts of a word, nearly Gaussian."""
    words = raw_words(seed, purpose, index, rows * columns)
    parts = words.view(np.uint16).reshape(rows, columns, 4)
    return np.asarray(parts.sum(axis=-1, dtype=np.int64) - 2 * 65535, dtype=np.float64)


def shaped(noise: FloatArray, gain: FloatArray, clip: float = CLIP) -> FloatArray:
    """Noise filtered by a gain over its Fourier plane: periodic, mean 0, standard deviation 1, clipped."""
    plane = np.fft.irfft2(np.fft.rfft2(noise) * gain, s=noise.shape)
    plane -= plane.mean()
    return np.asarray(np.clip(plane / plane.std(), -clip, clip))


def frequencies(rows: int, columns: int) -> FloatArray:
    """Radial frequency in cycles a sample over the real Fourier plane."""
    return np.asarray(np.hypot(np.fft.fftfreq(rows)[:, np.newaxis], np.fft.rfftfreq(columns)[np.newaxis]))


def falling_gain(rows: int, columns: int, power: float, longest: float = math.inf) -> FloatArray:
    """Gain of noise whose power falls with a power of frequency, and has nothing at frequency 0.

    longest: samples of a wave; longer ones are no stronger.
    """
    radial = np.maximum(frequencies(rows, columns), 1.0 / longest)
    radial[0, 0] = np.inf
    return np.asarray(radial ** (-power / 2.0))


def soft_gain(rows: int, columns: int, sigma: float) -> FloatArray:
    """Gain of a Gaussian low-pass with a spatial standard deviation of `sigma` samples."""
    return np.asarray(np.exp(-2.0 * (np.pi * sigma * frequencies(rows, columns)) ** 2))


def enlarged(plane: FloatArray, factor: int) -> FloatArray:
    """A periodic plane at `factor` times its size, by linear interpolation."""
    for axis in (0, 1):
        following = np.roll(plane, -1, axis)
        parts = [plane + (following - plane) * (k / factor) for k in range(factor)]
        shape = list(plane.shape)
        shape[axis] *= factor
        plane = np.stack(parts, axis + 1).reshape(shape)
    return plane
