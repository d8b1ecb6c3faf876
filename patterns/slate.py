"""Slate: a dark field with a few lines of text that name the clip which follows, for a camera or a listener.

The text asks for 5 cd/m²: a camera across the room reads it, and it covers so little of the picture that the
frame average stays below 1 cd/m²: it warms no panel, leaves no image behind, and eyes keep most of what they
have won in the dark (common practice, no source).
"""

import re
from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import ADVANCE, GLYPH_HEIGHT, text_size
from patterns.parameters import Level, LevelUnit, level_parameter, text_parameter
from patterns.patches import Label, Layout, Patch, PatchFamily

LONGEST = 64  # characters of a text: what a file's name has at most
_DOT_ROWS = 90  # picture rows for each dot of the largest text: letters of a thirteenth of the picture
_PITCH = GLYPH_HEIGHT + 4  # dots from line to line
_GAP = 5  # dots more between two texts
_WIDTH, _HEIGHT = 0.9, 0.8  # of the picture, for the text
_PIECE = re.compile(r"[^ /-]*[ /-]|[^ /-]+")  # a line may end after a space, a stroke or a hyphen


@dataclass(frozen=True, kw_only=True)
class Slate(PatchFamily):
    """Place and name of a clip, the signal, and what the clip shows."""

    name: ClassVar[str] = "slate"
    title: ClassVar[str] = "Slate: dim text on a dark field that names the clip after it"
    source: ClassVar[str] = "common practice, no source"

    place: str = text_parameter("010-light", "where the clip lies", longest=LONGEST)
    clip: str = text_parameter("020-window-10pct-1000", "the clip's name", longest=LONGEST)
    shows: str = text_parameter("window, 1000 cd/m2", "what the clip shows", longest=LONGEST)
    level: Level = level_parameter(5.0, "the text", unit=LevelUnit.LUMINANCE)
    background_level: Level = level_parameter(0.0, "the field")

    def layout(self, signal: SignalFormat) -> Layout:
        """The lines in the middle of the field, as large as they all fit; nothing is to be measured."""
        told = f"{signal.name} {signal.depth} bits {signal.code_range.value}"
        texts = [text.upper() for text in (self.place, self.clip, told, self.shows) if text.strip()]
        dot, paragraphs = _fitted(texts, signal)
        background = signal.encoding.grey(self.code("background_level", signal))
        margin = 2 * int((1.0 - _HEIGHT) / 4 * signal.height)  # that the text leaves free, on even rows
        code = self.code("level", signal)
        y = (signal.height - _rows(paragraphs) * dot) // 2
        labels = []
        for lines in paragraphs:
            for line in lines:
                labels.append(Label(line, (signal.width - text_size(line, dot)[0]) // 2, y, dot, code))
                y += _PITCH * dot
            y += _GAP * dot
        return Layout(
            background=background,
            patches=(
                Patch("above", Rect(0, 0, signal.width, margin), background, Purpose.LOOK),
                Patch(
                    "below", Rect(0, signal.height - margin, signal.width, margin), background, Purpose.LOOK
                ),
            ),
            labels=tuple(labels),
        )


def _fitted(texts: list[str], signal: SignalFormat) -> tuple[int, list[list[str]]]:
    """Pixels of a dot, and the lines of each text: as large as all of them fit."""
    for dot in range(signal.height // _DOT_ROWS, 0, -1):
        columns = int(_WIDTH * signal.width / dot) // ADVANCE
        paragraphs = [_wrapped(text, columns) for text in texts]
        if _rows(paragraphs) * dot <= _HEIGHT * signal.height:
            break
    return dot, paragraphs


def _wrapped(text: str, columns: int) -> list[str]:
    """The lines of a text; a word that is longer than a line is cut."""
    lines = [""]
    for word in _PIECE.findall(text):
        for piece in (word[start : start + columns] for start in range(0, len(word), columns)):
            if len((lines[-1] + piece).rstrip()) > columns:
                lines.append("")
            lines[-1] += piece
    return [line.strip() for line in lines if line.strip()]


def _rows(paragraphs: list[list[str]]) -> int:
    """Dots from the top of the first line to the bottom of the last."""
    lines = sum(map(len, paragraphs))
    return lines * _PITCH - (_PITCH - GLYPH_HEIGHT) + (len(paragraphs) - 1) * _GAP
