"""Subtitles: lines of text near the bottom of a dark picture, and dark places about them to measure.

What a set that dims by zones makes of them: text that is darker than asked, light where the picture is dark.
The default level is 58 % of PQ, about the 203 cd/m² that BT.2408 has for graphics (known second-hand).
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.frame.glyphs import GLYPH_HEIGHT, text_size
from patterns.parameters import Level, count_parameter, level_parameter
from patterns.patches import Label, Layout, Patch, PatchFamily

_LINES = ("IT WAS DARK WHEN WE CAME HOME,", "AND NO LAMP HAD BEEN LIT.")
_DOT_ROWS = 150  # picture rows for each dot: letters of about a twentieth of the picture
_PITCH = GLYPH_HEIGHT + 3  # dots from line to line


@dataclass(frozen=True, kw_only=True)
class Subtitles(PatchFamily):
    """One or two lines of text."""

    name: ClassVar[str] = "subtitles"
    title: ClassVar[str] = "Subtitles on a dark picture, and dark places about them to measure"
    source: ClassVar[str] = "common practice, no source; default level: BT.2408 (known second-hand)"

    lines: int = count_parameter(2, "lines of text", minimum=1, maximum=len(_LINES), unit="lines")
    level: Level = level_parameter(58.0, "the text")
    background_level: Level = level_parameter(0.0, "the picture it stands on")

    def layout(self, signal: SignalFormat) -> Layout:
        """Text in the lower part of the picture; dark places close about it, in the middle, in a corner."""
        background = signal.encoding.grey(self.code("background_level", signal))
        labels = self._labels(signal)
        left, right = min(label.rect.x for label in labels), max(label.rect.right for label in labels)
        top, bottom = labels[0].y, labels[-1].rect.bottom
        side, gap = even(signal.height / 16), signal.height / 50
        middle_x, middle_y = (signal.width - side) / 2, (top + bottom - side) / 2
        places = {
            "above": (middle_x, top - gap - side),
            "left": (left - gap - side, middle_y),
            "right": (right + gap, middle_y),
            "below": (middle_x, bottom + gap),
            "middle": (middle_x, (signal.height - side) / 2),
            "corner": (signal.height / 16, signal.height / 16),
        }
        return Layout(
            background=background,
            patches=tuple(
                Patch(name, Rect(even(x), even(y), side, side), background) for name, (x, y) in places.items()
            ),
            labels=labels,
        )

    def _labels(self, signal: SignalFormat) -> tuple[Label, ...]:
        """The lines, each in the middle; the last one stands at nine tenths of the height."""
        dot, code = max(2, signal.height // _DOT_ROWS), self.code("level", signal)
        last = signal.height * 9 // 10 - GLYPH_HEIGHT * dot
        shown = _LINES[-self.lines :]
        return tuple(
            Label(
                text,
                (signal.width - text_size(text, dot)[0]) // 2,
                last - (len(shown) - 1 - index) * _PITCH * dot,
                dot,
                code,
            )
            for index, text in enumerate(shown)
        )
