"""How a screen may take a signal, and the flat grey that has the light of fine lines when it does.

Lines of two codes, seen from so far that they run together, have the mean of their light; which flat code
has as much depends on what the screen makes of codes. A word in that code melts into the lines on a screen
that takes the signal one way and stands out on all others. Only shares of light count, so that the screen's
white does not matter. Light: BT.1886, ST 2084, BT.2100-2. That light adds up is Grassmann's law.
"""

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from knownlight.signal.code_range import Quantisation
from knownlight.signal.encoding import Transfer, grey_light

Reading = Callable[[float], float]  # luminance, of any unit, of a signal

_BLACK, _WHITE, _LARGEST = 16, 235, 255  # narrow and full range at 8 bits, H.273 clause 8.3
_NEARBY = 8  # codes each way that the light lines may be off what is asked, for words that match better


def _shown(transfer: Transfer, signal: float) -> float:
    """What a reference display makes of a signal; below 0 and above 1 it clips."""
    return float(grey_light(transfer, min(max(signal, 0.0), 1.0)))


def _lifted(transfer: Transfer, signal: float) -> float:
    """Narrow range taken for full: black is grey, and white is not reached."""
    return _shown(transfer, ((_WHITE - _BLACK) * signal + _BLACK) / _LARGEST)


def _crushed(transfer: Transfer, signal: float) -> float:
    """Full range taken for narrow: what is near black and near white is lost."""
    return _shown(transfer, (_LARGEST * signal - _BLACK) / (_WHITE - _BLACK))


_TOLD_APART = (Transfer.SDR, Transfer.PQ, Transfer.HLG)  # sRGB is too like SDR, and no signal of a player
KINDS: dict[str, Reading] = {transfer.value: partial(_shown, transfer) for transfer in _TOLD_APART}


def range_readings(transfer: Transfer) -> dict[str, Reading]:
    """The ways to take the range of a kind of signal."""
    return {
        "right": partial(_shown, transfer),
        "lifted": partial(_lifted, transfer),
        "crushed": partial(_crushed, transfer),
    }


@dataclass(frozen=True, kw_only=True)
class Lines:
    """Equally high lines of two luma codes, and for each reading the flat code of their mean light."""

    quantisation: Quantisation
    readings: Mapping[str, Reading]
    dark: int
    light: int

    def mean(self, reading: str) -> float:
        """Their mean light as a screen of that reading shows them."""
        return (self._light(reading, self.dark) + self._light(reading, self.light)) / 2.0

    def flat(self, reading: str) -> int:
        """The luma code nearest to their mean light on a screen of that reading."""
        mean, codes = self.mean(reading), range(self.dark, self.light + 1)
        above = bisect_left(codes, mean, key=partial(self._light, reading))
        return min(codes[above - 1 : above + 1], key=lambda code: abs(self._light(reading, code) - mean))

    def contrast_percent(self, code: int, reading: str) -> float:
        """How much more light a flat code has than they have, on a screen of that reading."""
        return 100.0 * (self._light(reading, code) / self.mean(reading) - 1.0)

    def worst_percent(self, words: Sequence[str]) -> float:
        """How far, at most, a flat code of one of these readings is off its own mean."""
        return max(abs(self.contrast_percent(self.flat(word), word)) for word in words)

    def _light(self, reading: str, code: int) -> float:
        return self.readings[reading](float(self.quantisation.luma_signal(code)))


def lines_near(
    quantisation: Quantisation, readings: Mapping[str, Reading], signal: float, words: Sequence[str]
) -> Lines:
    """Lines of black and of the code near a signal (0..1) at which the flat codes of words fit best."""
    middle = int(quantisation.luma_code(signal))
    return min(
        (
            Lines(quantisation=quantisation, readings=readings, dark=quantisation.black, light=code)
            for code in range(middle - _NEARBY, middle + _NEARBY + 1)
        ),
        key=lambda lines: lines.worst_percent(words),
    )
