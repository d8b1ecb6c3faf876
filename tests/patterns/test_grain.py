"""Grain and dither: what they are against the theory of processes and of quantisation.

AR(1): a process x[t] = r x[t-1] + sqrt(1 - r²) w[t] has variance 1 and the correlation r^k at a distance of k
(Box and Jenkins, Time Series Analysis; from memory). Dither with a triangular distribution two codes wide
(TPDF) has a variance of 1/6 code², keeps the mean of what is quantised and leaves an error of 1/4 code²
whatever the signal (Lipshitz, Wannamaker and Vanderkooy, Quantization and Dither, JAES 1992; from memory).
"""

import hashlib
import math
from collections import Counter
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.grain import (
    Noise,
    codes_of,
    fine_bits,
    fine_codes,
    memory_weights,
    soft_grain,
    triangular_dither,
)

SDR = parse_signal_format("1080p24-sdr")
PQ = parse_signal_format("1080p24-pq")
HLG_12 = parse_signal_format("1080p25-hlg", depth=12)
ALL = [SDR, PQ, HLG_12]
WEIGHTS = 2e-4  # of sums of squares: up to 34 weights, each rounded to 1/16384
CORRELATION = 0.01  # of 512 by 512 samples of grain two pixels soft, over 22 pairs; measured 0.0034
SEAM = 0.04  # the same of one pair; measured 0.0135
STRENGTH = 0.005  # relative; measured 0.0018
TAIL = 0.002  # what is forgotten of a process; at most 1/32² of its strength
DITHER = (
    0.004  # codes, of a mean over 512 by 512 samples of up to 0.5 codes' deviation: four of its deviations
)
ERROR = 0.003  # codes² of 1/4: four deviations of the mean of squares


def grain(correlation: float, period: int | None, signal: SignalFormat = PQ, percent: float = 2.0) -> Noise:
    """Grain half as soft as the default."""
    return soft_grain(signal, percent=percent, size=2.0, correlation=correlation, seed=3, period=period)


@pytest.mark.parametrize(("signal", "bits"), [(SDR, 4), (PQ, 4), (HLG_12, 3)])
def test_parts_of_a_code(signal: SignalFormat, bits: int) -> None:
    """A code is 16 parts, at 12 bits 8; with half a code on top, cutting off parts rounds it, halves up."""
    assert bits == fine_bits(signal)
    largest = signal.quantisation.largest
    given = np.array([0.0, 1.0, 1.4, 1.5, 2.49, largest])
    assert [0, 1, 1, 2, 2, largest] == (fine_codes(given, signal) >> bits).tolist()
    assert math.isclose(2.19, codes_of(1.0, SDR))  # 1 % of 219 codes


@pytest.mark.parametrize("correlation", [0.0, 0.01, 0.2, 0.5, 0.8, 0.9])
def test_weights_are_those_of_a_process(correlation: float) -> None:
    """Squares add up to 1, each weight is the correlation times the one before, which lag 1 has too."""
    weights = [weight / 16384 for weight in memory_weights(correlation, 1000)]
    np.testing.assert_allclose(1.0, math.fsum(weight**2 for weight in weights), atol=WEIGHTS)
    lag = math.fsum(one * two for one, two in pairwise(weights))
    np.testing.assert_allclose(correlation, lag, atol=WEIGHTS + TAIL)
    np.testing.assert_allclose([correlation * one for one in weights[:-1]], weights[1:], atol=1 / 16384)


@pytest.mark.parametrize("period", [1, 2, 3, 10])
def test_a_short_round_keeps_the_strength(period: int) -> None:
    """Where grain comes back before it is forgotten there is a term a picture, as strong as ever together."""
    weights = memory_weights(0.9, period)
    assert period == len(weights)
    np.testing.assert_allclose(1.0, math.fsum((weight / 16384) ** 2 for weight in weights), atol=WEIGHTS)


@pytest.mark.parametrize("correlation", [0.0, 0.3, 0.8])
@pytest.mark.parametrize("period", [24, None])
def test_grain_remembers_as_much_as_asked(correlation: float, period: int | None) -> None:
    """From each picture to the next, the last and the first of a round too, and less from the one after."""
    noise = grain(correlation, period)
    tiles = [noise(index).astype(np.float64) for index in range(24)]
    asked = codes_of(2.0, PQ) * 16
    np.testing.assert_allclose(asked, np.sqrt(np.mean([tile.var() for tile in tiles])), rtol=STRENGTH)
    for distance in (1, 2):
        found = np.mean([(one * two).mean() for one, two in zip(tiles, tiles[distance:], strict=False)])
        np.testing.assert_allclose(correlation**distance, found / asked**2, atol=CORRELATION)
    if period is not None:
        seam = (tiles[-1] * noise(24)).mean() / asked**2
        np.testing.assert_allclose(correlation, seam, atol=SEAM)
        np.testing.assert_array_equal(tiles[0], noise(24))


def test_remembered_grain_is_cut_off_where_fresh_grain_is() -> None:
    """However many terms meet in a sample, it is within four standard deviations."""
    noise = grain(0.9, None)
    limit = 4.0 * codes_of(2.0, PQ) * 16
    assert max(np.abs(noise(index)).max() for index in range(40)) <= limit + 0.5


@pytest.mark.parametrize("signal", ALL)
def test_dither_is_triangular(signal: SignalFormat) -> None:
    """Of n parts of a code, k parts come (n - |k|) times in n²; the variance is 1/6 code² less 1/n² of it."""
    parts = 1 << fine_bits(signal)
    tile = triangular_dither(signal, seed=1, period=None)(0)
    found = Counter(tile.ravel().tolist())
    assert set(range(1 - parts, parts)) == set(found)
    for step, count in found.items():
        expected = tile.size * (parts - abs(step)) / parts**2
        assert abs(count - expected) < 5.0 * math.sqrt(expected)  # five deviations of a count
    exact = Fraction(1, 6) * (1 - Fraction(1, parts**2))
    assert exact == sum(Fraction((parts - abs(k)) * k * k, parts**4) for k in range(1 - parts, parts))
    np.testing.assert_allclose(float(exact), tile.var() / parts**2, atol=ERROR)


@pytest.mark.parametrize("signal", [SDR, PQ])
@pytest.mark.parametrize("level", [20.0, 20.1, 20.25, 20.5, 20.77])
def test_dither_keeps_the_mean_and_has_one_error(signal: SignalFormat, level: float) -> None:
    """Whatever lies between two codes, the mean of what is shown is that, and its error 1/4 code²."""
    ground = int(fine_codes(level, signal))
    meant = ground / 16 - 0.5 + 1 / 32  # the middle of the part that the level lies in
    shown = (ground + triangular_dither(signal, seed=2, period=None)(5)) >> 4
    np.testing.assert_allclose(meant, shown.mean(), atol=DITHER)
    np.testing.assert_allclose(0.25, ((shown - meant) ** 2).mean(), atol=ERROR)


def test_noise_is_another_in_every_picture_and_comes_back() -> None:
    """Grain and dither repeat after a period and not before; without one they do not repeat at all."""

    def dither(period: int | None) -> Noise:
        return triangular_dither(SDR, seed=1, period=period)

    def fresh(period: int | None) -> Noise:
        return grain(0.0, period)

    for make in (fresh, dither):
        endless, round_of_12 = make(None), make(12)
        assert 60 == len({endless(index).tobytes() for index in range(60)})
        assert 12 == len({round_of_12(index).tobytes() for index in range(36)})
        assert endless(7).tobytes() == make(None)(7).tobytes()


# Measured once and stored, as in test_noise.py: a changed digest means other pictures than before.
def test_pictures_are_pinned() -> None:
    """Remembered grain and dither are the very tiles of every earlier version."""
    found = [
        hashlib.sha256(noise(4).astype("<i2").tobytes()).hexdigest()
        for noise in (grain(0.8, 24), grain(0.9, None, HLG_12), triangular_dither(SDR, seed=1, period=24))
    ]
    assert [
        "222c6b59cfdf77454a9aeb17c984847e50f73365937db92f9484a4bd14bfbe36",
        "7604cfbefd25745f3083180c51014dc592c361b0fbcb7196b84a7ddfd4719994",
        "da8b268d6caeefbe223b6f365fead29dc2975ae7dc41d11c9f263b3a90dbabeb",
    ] == found
