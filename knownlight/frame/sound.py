"""What is heard with a clip: nothing, silence, or beeps at exact times.

A beep is 100 ms of 1 kHz at -20 dBFS, 0 dBFS being a sine that reaches full scale (AES17); that is the
alignment level of SMPTE RP 155. Both are from memory.
"""

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from knownlight.errors import BadInput

SAMPLE_RATE = 48000  # samples/s
CHANNELS = 2
BEEP_HZ = 1000
BEEP_SECONDS = Fraction(1, 10)
BEEP_PEAK = 0.1  # of full scale


class Sound(Enum):
    """What is asked for."""

    NONE = "none"  # no track; some players stop at such a file
    SILENT = "silent"  # a silent track, or the pattern's beeps where it has any


def sound_named(name: str) -> Sound:
    """What is asked for by a word.

    Raises:
        BadInput: where there is no such word.
    """
    try:
        return Sound(name)
    except ValueError:
        words = " or ".join(each.value for each in Sound)
        raise BadInput(f"sound {name!r} is not known; use {words}") from None


@dataclass(frozen=True, kw_only=True)
class Beeps:
    """When beeps begin, in exact seconds of the clip: the first, and one every so long after it."""

    first: Fraction
    every: Fraction

    def within(self, seconds: Fraction) -> list[Fraction]:
        """The times before an end."""
        count = max(0, -((self.first - seconds) // self.every))
        return [self.first + number * self.every for number in range(count)]


@dataclass(frozen=True)
class Soundtrack:
    """A clip's sound track: silent, but for beeps where there are any."""

    beeps: Beeps | None = None
