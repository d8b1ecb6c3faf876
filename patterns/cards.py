"""Cards: a grid of stated columns and rows, of large flat patches with a line of text below each."""

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from knownlight.frame.glyphs import GLYPH_HEIGHT
from patterns.canvas import label_dot
from patterns.labelled import Cell

_GAPS = 90  # of these widths in the picture's height: what lies between two patches
_LEADING = 4  # dots above and below a line of text together


def gap(signal: SignalFormat) -> int:
    """Pixels between two patches."""
    return even(signal.height / _GAPS)


def line_height(signal: SignalFormat) -> int:
    """Pixels that a line of text takes."""
    return (GLYPH_HEIGHT + _LEADING) * label_dot(signal)


def card_cells(signal: SignalFormat, columns: int, rows: int) -> list[Cell]:
    """Every cell of a grid over the picture, row by row."""
    across, down = even_edges(signal.width, columns), even_edges(signal.height, rows)
    apart, line = gap(signal), even(line_height(signal))
    cells = []
    for row in range(rows):
        for column in range(columns):
            patch = Rect(
                across[column] + apart,
                down[row] + apart,
                across[column + 1] - across[column] - 2 * apart,
                down[row + 1] - down[row] - apart - line,
            )
            below = Rect(across[column], patch.bottom, across[column + 1] - across[column], line)
            cells.append(Cell(patch, below))
    return cells
