"""Credits: trades and words in two columns roll up over black, by whole pixels a picture.

Text that moves steadily is what motion processing and a coder's motion search must get right: edges that
tear, double or crawl are seen at once, and blocks stand about the letters where the coder ran out of bits.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.format import SignalFormat
from knownlight.frame.glyphs import text_mask, text_size
from knownlight.frame.sources import Levels
from patterns.grain import FINE, fine_codes, grain_parameter
from patterns.grainy import Grainy, Ground
from patterns.noise import Purpose, raw_words
from patterns.parameters import Level, level_parameter, number_parameter

_TRADES = (
    "CAMERA", "LIGHT", "SOUND", "GRADING", "EDITING", "SCRIPT", "COSTUME", "MAKE-UP", "PROPS", "SET BUILDING",
    "STUNTS", "MUSIC", "MIXING", "EFFECTS", "TITLES", "CATERING", "TRANSPORT", "LABORATORY",
)  # fmt: skip
_FIRST = (
    "COPPER", "WINTER", "PAPER", "WOODEN", "SILENT", "NORTHERN", "YELLOW", "HOLLOW", "VELVET", "BROKEN",
    "QUIET", "DISTANT", "WOVEN", "PAINTED", "ROUND", "EARLY",
)  # fmt: skip
_SECOND = (
    "LADDER", "LANTERN", "HARBOUR", "WINDOW", "KETTLE", "ORCHARD", "FEATHER", "TUNNEL", "BASKET", "CURTAIN",
    "PEBBLE", "MIRROR", "ANCHOR", "THUNDER", "MEADOW", "STAIRCASE",
)  # fmt: skip
_DOT_ROWS = 270  # picture rows for each dot of a letter
_LINE_DOTS = 12  # from line to line
_GAP_DOTS = 8  # from one column to the other
_MOST_WORDS = 3  # of a trade
_ENDLESS_LINES = 120  # before they come again in a clip that never repeats


@dataclass(frozen=True, kw_only=True)
class Credits(Grainy):
    """Rows of text that come round without a seam."""

    name: ClassVar[str] = "credits"
    title: ClassVar[str] = "Credits: two columns of words roll up over black"
    source: ClassVar[str] = "common practice, no source"

    grain_percent: float = grain_parameter(0.0)
    text_level: Level = level_parameter(58.0, "the words")
    background_level: Level = level_parameter(0.0, "what they roll over")
    rise_seconds: float = number_parameter(
        8.0,
        "seconds from the bottom of the picture to the top, as the nearest whole number of pixels a frame",
        minimum=1.0,
        maximum=60.0,
        unit="s",
    )
    repeat_seconds: float = number_parameter(
        8.0,
        "seconds until the clip repeats, and so the words; 0 has other words for minutes",
        minimum=0.0,
        maximum=60.0,
        unit="s",
    )

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:
        """The lines that are seen at each picture."""
        speed, loop = self._speed(signal), self._loop(signal, period)
        background, text = (
            fine_codes(self.code(field, signal), signal) for field in ("background_level", "text_level")
        )
        lines = self._lines(signal, loop)

        def rolled(index: int) -> FINE:
            plane = np.full((signal.height, signal.width), background, dtype=np.int16)
            for at, x, mask in lines:
                rows, columns = mask.shape
                top = (at - speed * index + rows) % loop - rows  # the first time it is seen
                for y in range(top, signal.height, loop):
                    seen = slice(max(0, -y), min(rows, signal.height - y))
                    plane[y + seen.start : y + seen.stop, x : x + columns][mask[seen]] = text
            return plane

        return rolled

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """The two levels."""
        self._loop(signal, self.period(signal))
        codes = self.code("background_level", signal), self.code("text_level", signal)
        return min(codes), max(codes)

    def notes(self, signal: SignalFormat) -> dict[str, float]:
        """The true speed."""
        return {"pixels_per_frame": self._speed(signal)}

    def natural_seconds(self, signal: SignalFormat) -> Fraction | None:
        """All words once."""
        period = self.period(signal)
        return None if period is None else period / signal.rate

    def levels_of(self, signal: SignalFormat) -> Levels:
        """Where whole rounds fill the picture, all of the text is seen at any time."""
        bare = self.grain_percent == 0.0 and self.block_percent == 0
        whole = signal.height % self._loop(signal, self.period(signal)) == 0
        return Levels.MOVED if bare and whole else Levels.CHANGING

    def _speed(self, signal: SignalFormat) -> int:
        """Pixels a frame, halves up, one at least."""
        exact = signal.height / (Fraction(self.rise_seconds).limit_denominator(1000) * signal.rate)
        return max(1, int(exact + Fraction(1, 2)))

    def _line(self, signal: SignalFormat) -> int:
        """Rows from line to line, at least."""
        return _LINE_DOTS * _dot(signal)

    def _loop(self, signal: SignalFormat, period: int | None) -> int:
        """Rows after which the text repeats: those that roll by in a round."""
        if period is None:
            return _ENDLESS_LINES * self._line(signal)
        loop = period * self._speed(signal)
        line = self._line(signal)
        if loop < line:
            raise self.refuse(
                f"{loop} rows roll by in {period} frames, fewer than a line of text has, {line}; "
                "use a longer repeat_seconds or a shorter rise_seconds"
            )
        return loop

    def _lines(self, signal: SignalFormat, loop: int) -> list[tuple[int, int, NDArray[np.bool_]]]:
        """Where each text begins in a loop, its left edge, and its lit pixels."""
        dot, count = _dot(signal), loop // self._line(signal)
        middle, gap = signal.width // 2, _GAP_DOTS * dot // 2
        placed = []
        for line, (trade, words) in enumerate(_rows(self.seed, count)):
            top = loop * line // count
            if trade:
                placed.append((top, middle - gap - text_size(trade, dot)[0], text_mask(trade, dot)))
            if words:
                placed.append((top, middle + gap, text_mask(words, dot)))
        return placed


def _dot(signal: SignalFormat) -> int:
    """Pixels of a letter's dot."""
    return max(2, signal.height // _DOT_ROWS)


def _rows(seed: int, count: int) -> list[tuple[str, str]]:
    """So many lines of text: a trade beside the first of its words, further words, and a line left free."""
    rows: list[tuple[str, str]] = []
    trades: list[str] = []
    for word in raw_words(seed, Purpose.WORDS, 0, count).tolist():
        trades = trades or list(_TRADES)  # each once before any comes again
        rows.append((trades.pop((word & 0xFFFF) % len(trades)), _two_words(word >> 16)))
        rows += [("", _two_words(word >> 24 + 8 * more)) for more in range((word >> 48) % _MOST_WORDS)]
        rows.append(("", ""))
        if len(rows) >= count:
            break
    return [*rows[: max(1, count - 1)], ("", "")][:count]  # free too where the end meets the beginning


def _two_words(word: int) -> str:
    return f"{_FIRST[word % len(_FIRST)]} {_SECOND[(word >> 4) % len(_SECOND)]}"
