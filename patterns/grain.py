"""Grain and dither: tiles of noise made once, put at another place in every picture.

Everything is in parts of a code (`fine_bits`). A tile and its place are picked by words of the generator for
the picture's number, so that any picture can be drawn by itself.
"""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.format import SignalFormat
from patterns.noise import CLIP, TILE, Purpose, raw_words, shaped, soft_gain, white_noise
from patterns.parameters import choice_parameter, number_parameter

TILES = 8
FINE = NDArray[np.int16]  # parts of a code
Noise = Callable[[int], FINE]  # a tile for each picture

_GRAIN_ROWS = 1080  # picture rows at which softness is in pixels
_PLACES = 1 << 20  # pictures before places repeat in a clip without repetition
_FORGOTTEN = 1.0 / 32.0  # weight of an earlier grain that is left out
_WEIGHT_BITS = 14


def fine_bits(signal: SignalFormat) -> int:
    """Bits of a code's fraction: as many as leave room for the largest code in 16 bits with a sign."""
    return 15 - signal.depth if signal.depth > 10 else 4  # noqa: PLR2004


def fine_codes(codes: Any, signal: SignalFormat) -> FINE:  # noqa: ANN401 - a number or an array of them
    """Codes in parts of a code, with the half code that makes cutting off a rounding."""
    return np.asarray(np.floor((codes + 0.5) * (1 << fine_bits(signal))), dtype=np.int16)


def codes_of(percent: float, signal: SignalFormat) -> float:
    """Codes of a strength in % of the steps from black to white."""
    return percent / 100.0 * (signal.quantisation.white - signal.quantisation.black)


def grain_parameter(percent: float) -> Any:  # noqa: ANN401
    """A field for the strength of grain."""
    return number_parameter(
        percent, "strength of the grain, standard deviation", minimum=0.0, maximum=10.0, unit="%"
    )


def dither_parameter() -> Any:  # noqa: ANN401
    """A field for dither."""
    return choice_parameter(
        "moving",
        "dither of up to a code either way, triangular; moving is new in every picture",
        choices=("none", "still", "moving"),
    )


def soft_grain(
    signal: SignalFormat, *, percent: float, size: float, correlation: float, seed: int, period: int | None
) -> Noise:
    """Grain with a Gaussian's softness.

    Args:
        signal: what it is drawn in.
        percent: standard deviation, in % of the steps from black to white.
        size: softness in pixels at 1080 rows, the Gaussian's standard deviation.
        correlation: of a sample with itself one picture later (a process AR(1)).
        seed: of the noise.
        period: pictures after which it comes back; None for never.
    """
    gain = soft_gain(TILE, TILE, size * signal.height / _GRAIN_ROWS)
    strength = codes_of(percent, signal) * (1 << fine_bits(signal))
    tiles = [
        np.floor(shaped(white_noise(TILE, TILE, seed, Purpose.GRAIN, index), gain) * strength + 0.5).astype(
            np.int16
        )
        for index in range(TILES)
    ]
    comes_back = period or _PLACES
    fresh = rolled_tiles(tiles, seed, Purpose.GRAIN_PLACE)
    weights = memory_weights(correlation, comes_back)
    if len(weights) == 1:
        return lambda index: fresh(index % comes_back)
    limit = int(CLIP * strength + 0.5)

    def remembered(index: int) -> FINE:
        """Fresh grain and what is left of earlier ones, cut off where one of them alone would be."""
        total = np.full((TILE, TILE), 1 << (_WEIGHT_BITS - 1), dtype=np.int32)
        for age, weight in enumerate(weights):
            total += np.multiply(fresh((index - age) % comes_back), weight, dtype=np.int32)
        total >>= _WEIGHT_BITS
        return np.clip(total, -limit, limit).astype(np.int16)

    return remembered


def memory_weights(correlation: float, comes_back: int) -> list[int]:
    """Weights of the fresh grain and of each earlier one, in 1/16384; their squares add up to 1.

    Grain that is r times the earlier one and fresh noise, for ever, has r^k of the noise of k pictures ago.
    The sum ends where that is forgotten. Where grain comes back sooner, the terms of all rounds fall on each
    other: a common multiple of the first round's, which goes into the strength like everything else.
    """
    terms = 1 + (math.ceil(math.log(_FORGOTTEN) / math.log(correlation)) if correlation else 0)
    falling = [correlation**age for age in range(min(terms, comes_back))]
    scale = (1 << _WEIGHT_BITS) / math.sqrt(math.fsum(weight * weight for weight in falling))
    return [int(weight * scale + 0.5) for weight in falling]


def triangular_dither(signal: SignalFormat, *, seed: int, period: int | None) -> Noise:
    """Dither of less than a code either way: the sum of two even parts (TPDF), which keeps every mean.

    Cutting off the fraction of ground and dither then has the ground as its mean, and an error of the same
    strength on every ground.
    """
    most = (1 << fine_bits(signal)) - 1
    tiles = []
    for index in range(TILES):
        words = raw_words(seed, Purpose.DITHER, index, TILE * TILE).reshape(TILE, TILE)
        one, other = words & np.uint64(most), (words >> np.uint64(32)) & np.uint64(most)
        tiles.append((one + other).astype(np.int16) - np.int16(most))
    rolled, comes_back = rolled_tiles(tiles, seed, Purpose.DITHER_PLACE), period or _PLACES
    return lambda index: rolled(index % comes_back)


def rolled_tiles(tiles: list[FINE], seed: int, purpose: Purpose) -> Noise:
    """One of some tiles for each picture, rolled down and across by as much as a word says."""

    def rolled(index: int) -> FINE:
        word = int(raw_words(seed, purpose, index, 1)[0])
        places = (word >> 8) % TILE, (word >> 24) % TILE
        return np.roll(tiles[word % len(tiles)], places, axis=(0, 1))

    return rolled
