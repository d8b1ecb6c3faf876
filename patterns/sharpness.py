"""Thin lines and edges on grey, of low and of high contrast, to set a display's sharpness by.

Nothing lies beside a line or around a box but the background's own grey. Sharpness is right where that is
what is seen. An outline along a line or an edge, lighter or darker than the grey, is added by the display:
too much. A soft edge, or a thin line of less contrast than its neighbours, is a loss: too little, or scaling.
Low contrast shows what is added to fine structure, high contrast what is added to edges. Common practice, no
source.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from patterns.canvas import centred_label, label_dot
from patterns.cards import card_cells, gap
from patterns.parameters import Level, LevelUnit, level_parameter, luma_code, number_parameter
from patterns.patches import Label, Patch
from patterns.tiled import Field, Tile, TiledFamily, TiledLayout

WIDTHS = (1, 2, 4)  # pixels a line
_WAYS = ("down", "across")
_SLANTING = 2  # pixels that a slanting line is wide, across and down


@dataclass(frozen=True, kw_only=True)
class Sharpness(TiledFamily):
    """Four rows: lighter and darker than the background, by little and by much."""

    name: ClassVar[str] = "sharpness"
    title: ClassVar[str] = "Thin lines and edges of low and high contrast on grey, to set sharpness by"
    source: ClassVar[str] = "common practice, no source"

    background_level: Level = level_parameter(50.0, "the grey")
    low_percent: float = number_parameter(
        5.0, "signal by which the two upper rows differ from the grey", minimum=0.5, maximum=50.0, unit="%"
    )
    high_percent: float = number_parameter(
        25.0, "signal by which the two lower rows differ from the grey", minimum=0.5, maximum=50.0, unit="%"
    )

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """Lines down, lines across, slanting lines and a box in each row."""
        grey, dot = signal.encoding.grey, label_dot(signal)
        back = self.code("background_level", signal)
        rows = {
            f"{sign}{size:g}%": self._apart(back, float(f"{sign}{size}"), signal)
            for size in (self.low_percent, self.high_percent)
            for sign in ("+", "-")
        }
        tiles = [(str(width), way, width) for way in _WAYS for width in WIDTHS]
        tiles.append((str(_SLANTING), "slanting", _SLANTING))
        columns = len(tiles) + 1
        cells = card_cells(signal, columns, len(rows))
        fields, patches, labels = [], [], []
        for row, (contrast, code) in enumerate(rows.items()):
            here = cells[row * columns : (row + 1) * columns]
            for cell, (text, way, width) in zip(here, tiles, strict=False):
                fields.append(Field(cell.patch, _lines(way, width, 4 * gap(signal), grey(code), grey(back))))
                labels.append((text, cell.below))
            patches.append(Patch(f"box{contrast}", here[-1].patch, grey(code)))
            labels.append((contrast, here[-1].below))
        label = rows[f"-{self.high_percent:g}%"]
        return TiledLayout(
            background=grey(back),
            patches=tuple(patches),
            labels=tuple(Label(text, *centred_label(text, dot, room), dot, label) for text, room in labels),
            fields=tuple(fields),
        )

    def _apart(self, back: int, percent: float, signal: SignalFormat) -> int:
        """The code so much signal above or below the background's."""
        asked = 100.0 * float(signal.quantisation.luma_signal(back)) + percent
        if not 0.0 <= asked <= 100.0:  # noqa: PLR2004 - %
            raise self.refuse(
                f"{percent:+g} % from the background is {asked:.4g} % of signal; use less contrast, or a "
                f"background_signal_percent nearer to 50"
            )
        return luma_code(self.name, "background_level", Level(LevelUnit.SIGNAL_PERCENT, asked), signal)


def _lines(way: str, width: int, pitch: int, line: CodeTriple, back: CodeTriple) -> Tile:
    """Lines of so many pixels in the middle of each pitch."""
    places = range(pitch)
    lit = [line if 0 <= place - pitch // 2 < width else back for place in places]
    if way == "down":
        return (tuple(lit),)
    if way == "across":
        return tuple((code,) for code in lit)
    return tuple(tuple(lit[(x + y) % pitch] for x in places) for y in places)
