"""The samples of a clip's sound track: silence, and in it beeps that begin at exact samples.

A beep is whole waves of 48 samples. It begins and ends where the wave is zero, with no ramp: so it begins
at one sample that can be named, whatever a ramp's foot would be taken for, and passes half its peak a twelfth
of a wave later, in less than 0.1 ms.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.sound import BEEP_HZ, BEEP_PEAK, BEEP_SECONDS, CHANNELS, SAMPLE_RATE, Soundtrack
from knownlight.signal.rounding import round_half_away

_FULL_SCALE = 32767
_BLOCK = SAMPLE_RATE  # samples that are made at a time, so that memory stays flat

Samples = NDArray[np.int16]


def sample_at(seconds: Fraction) -> int:
    """The sample nearest to a time that is not negative, the later of two; exact at any rate of pictures."""
    return int(seconds * SAMPLE_RATE + Fraction(1, 2))


def beep() -> Samples:
    """The samples of one beep, of one channel."""
    wave = SAMPLE_RATE // BEEP_HZ
    turn = [BEEP_PEAK * _FULL_SCALE * math.sin(2.0 * math.pi * place / wave) for place in range(wave)]
    return np.tile(round_half_away(turn).astype("<i2"), int(BEEP_SECONDS * BEEP_HZ))


def blocks(track: Soundtrack, seconds: Fraction) -> Iterator[Samples]:
    """The samples of a track of some length, block by block: shape (samples, 2), 16 bits, little endian."""
    length, one = sample_at(seconds), beep()
    begins = [sample_at(time) for time in track.beeps.within(seconds)] if track.beeps else []
    for start in range(0, length, _BLOCK):
        block: Samples = np.zeros((min(_BLOCK, length - start), CHANNELS), dtype="<i2")
        first = bisect_right(begins, start - len(one))
        for at in begins[first : bisect_left(begins, start + len(block))]:
            heard = one[max(0, start - at) : start + len(block) - at, np.newaxis]
            block[max(0, at - start) :][: len(heard)] = heard
        yield block


def input_arguments() -> list[str]:
    """Ffmpeg's, to take the blocks from its standard input."""
    return ["-f", "s16le", "-ar", str(SAMPLE_RATE), "-ac", str(CHANNELS), "-i", "pipe:0"]
