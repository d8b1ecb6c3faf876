"""Line pairs in three directions: how fine a detail still has its contrast.

Every field is half light and half dark, so that from afar it has the light of the patch `half-light`. A
display that shows each pixel as it is has no field that is lighter, darker or coloured. Common practice,
no source.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from patterns.canvas import centred_label, label_dot
from patterns.cards import card_cells
from patterns.colours import light_parameter
from patterns.labelled import Cell
from patterns.parameters import Level
from patterns.patches import Label, Patch
from patterns.tiled import Field, Tile, TiledFamily, TiledLayout, stripe_hazards

WIDTHS = (1, 2, 3, 4, 6, 8)  # pixels a line
_DIRECTIONS = ("down", "across", "slanting")


@dataclass(frozen=True, kw_only=True)
class LinePairs(TiledFamily):
    """Three rows of fields, from fine to coarse, and a column of flat patches."""

    name: ClassVar[str] = "line-pairs"
    title: ClassVar[str] = "Line pairs of 1 to 8 pixels a line: vertical, horizontal and at 45 degrees"
    source: ClassVar[str] = "common practice, no source"

    level: Level = light_parameter(100.0, "the light lines")
    dark_level: Level = light_parameter(0.0, "the dark lines and what lies around the fields")
    label_level: Level = light_parameter(10.0, "the labels; the dark level hides them")

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """A row for each direction."""
        encoding, dot = signal.encoding, label_dot(signal)
        light, dark = self.code("level", signal), self.code("dark_level", signal)
        mean = (encoding.grey_luminance(light) + encoding.grey_luminance(dark)) / 2.0
        flat = {"light": light, "dark": dark, "half-light": encoding.grey_code_from_luminance(mean)}
        columns, rows = len(WIDTHS) + 1, len(_DIRECTIONS)
        cells = card_cells(signal, columns, rows)
        fields, labels = [], []
        for row, direction in enumerate(_DIRECTIONS):
            for width, cell in zip(WIDTHS, cells[row * columns :], strict=False):
                tile = line_tile(direction, width, encoding.grey(light), encoding.grey(dark))
                fields.append(Field(_whole_pairs(cell, width), tile))
                text = str(width)
                labels.append(
                    Label(text, *centred_label(text, dot, cell.below), dot, self.code("label_level", signal))
                )
        return TiledLayout(
            background=encoding.grey(dark),
            patches=tuple(
                Patch(name, cell.patch, encoding.grey(code))
                for (name, code), cell in zip(flat.items(), cells[columns - 1 :: columns], strict=True)
            ),
            labels=tuple(labels),
            fields=tuple(fields),
            hazards=stripe_hazards(signal, (field.rect for field in fields)),
        )


def line_tile(direction: str, width: int, light: tuple[int, int, int], dark: tuple[int, int, int]) -> Tile:
    """Lines of so many pixels, as many apart; slanting ones are so wide across and down."""
    period = range(2 * width)
    if direction == "down":
        return (tuple(light if x < width else dark for x in period),)
    if direction == "across":
        return tuple((light if y < width else dark,) for y in period)
    return tuple(tuple(light if (x + y) % (2 * width) < width else dark for x in period) for y in period)


def _whole_pairs(cell: Cell, width: int) -> Rect:
    """The middle of a cell, cut to whole pairs in both directions."""
    rect, pair = cell.patch, 2 * width
    across, down = rect.width // pair * pair, rect.height // pair * pair
    return Rect(
        rect.x + even((rect.width - across) / 2), rect.y + even((rect.height - down) / 2), across, down
    )
