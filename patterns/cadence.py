"""Cadence: one lit cell a frame, walking in reading order through a grid, beside the frame's number.

One photograph as long as the walk shows every frame once: a dropped frame leaves its cell dark, a repeated
one leaves it brighter, and 24 frames shown in 60 refreshes alternate between two brightnesses (common
practice, no source). Only one small cell is lit at a time and each once a walk, which keeps it clear of what
ITU-R BT.1702-3 (known second-hand) counts as harmful: three flashes a second over a quarter of the screen.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.frame.glyphs import text_size
from knownlight.frame.planes import Frame, grey_frame
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import centred_label, draw_label, label_dot, luma_plane
from patterns.family import Family
from patterns.parameters import Level, level_parameter, number_parameter

_NUMBER_ROWS = 6  # the frame's number has a strip of so great a part of the height
_ASPECT = 1.25  # of a cell with its number
_FARTHEST = 2.0  # how many times wider or narrower a cell may be for the sake of whole rows


@dataclass(frozen=True)
class _Grid:
    """Cells of one size in rows; the strip of the number lies above them."""

    columns: int
    cell_width: int
    cell_height: int
    left: int
    top: int

    def cell(self, index: int) -> Rect:
        """The cell of a frame."""
        row, column = divmod(index, self.columns)
        return Rect(
            self.left + column * self.cell_width,
            self.top + row * self.cell_height,
            self.cell_width,
            self.cell_height,
        )


@dataclass(frozen=True, kw_only=True)
class Cadence(Family):
    """A walk of a lit cell."""

    name: ClassVar[str] = "cadence"
    title: ClassVar[str] = (
        "Cadence: one lit cell a frame, for a long photograph of dropped and repeated frames"
    )
    source: ClassVar[str] = "common practice, no source; layout: our own"

    seconds: float = number_parameter(
        1.0, "length of a walk, to the nearest whole frame: as many cells", minimum=0.5, maximum=2.0, unit="s"
    )
    level: Level = level_parameter(75.0, "the lit cell")
    cell_level: Level = level_parameter(5.0, "the other cells")
    label_level: Level = level_parameter(25.0, "the cells' numbers and the frame's number")

    def draw(self, signal: SignalFormat) -> Cycle:
        """One walk."""
        cells, grid = self._cells(signal), self._grid(signal)
        lit, unlit, label = self._codes(signal)
        ground = luma_plane(signal, signal.quantisation.black)
        for index in range(cells):
            patch, above = _parts(grid.cell(index))
            ground[patch.slices] = unlit
            text = self._text(index, signal)
            dot = _fitting_dot(text, above, signal)
            draw_label(ground, text, dot, centred_label(text, dot, above), label)

        def draw_frame(index: int) -> Frame:
            plane = ground.copy()
            plane[_parts(grid.cell(index))[0].slices] = lit
            text, dot = self._text(index, signal), _number_dot(signal)
            draw_label(plane, text, dot, centred_label(text, dot, _strip(signal)), label)
            return grey_frame(signal, plane)

        return Cycle(cells, draw_frame, Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """The background at both sides of the number; its digits change how many pixels are lit."""
        cells, black = self._cells(signal), signal.quantisation.black
        codes, strip = (black, *self._codes(signal)), _strip(signal)
        room = even((strip.width - text_size(self._text(0, signal), _number_dot(signal))[0]) / 2) - 2
        grey = signal.encoding.grey(black)
        return Claims(
            regions=(
                Region("left-of-number", Rect(0, 0, room, strip.height), grey, Purpose.LOOK),
                Region(
                    "right-of-number", Rect(strip.width - room, 0, room, strip.height), grey, Purpose.LOOK
                ),
            ),
            notes=MappingProxyType(
                {
                    "cells": cells,
                    "walk_seconds": float(cells / signal.rate),
                    "lowest_code": min(codes),
                    "highest_code": max(codes),
                }
            ),
        )

    def _codes(self, signal: SignalFormat) -> tuple[int, int, int]:
        """The lit cell, the other cells and the numbers."""
        lit, unlit = self.code("level", signal), self.code("cell_level", signal)
        if lit == unlit:
            raise self.refuse(f"lit and other cells are both code {lit}, so nothing walks; use two levels")
        return lit, unlit, self.code("label_level", signal)

    def _cells(self, signal: SignalFormat) -> int:
        return frames_in(Fraction(self.seconds).limit_denominator(1000), signal.rate)

    def _text(self, index: int, signal: SignalFormat) -> str:
        """A frame's number in the walk, from 0, as wide as the last one's."""
        return f"{index:0{len(str(self._cells(signal) - 1))}d}"

    def _grid(self, signal: SignalFormat) -> _Grid:
        """Whole rows of cells of the best shape; where there are none, the fewest places left over."""
        cells, strip = self._cells(signal), _strip(signal)
        margin = even(signal.height / 36)
        width, height = signal.width - 2 * margin, signal.height - strip.height - margin

        def unfitness(columns: int) -> tuple[bool, int, float]:
            rows = math.ceil(cells / columns)
            stretch = abs(math.log2((width / columns) / (height / rows) / _ASPECT))
            return stretch > math.log2(_FARTHEST), rows * columns - cells, stretch

        columns = min(range(1, cells + 1), key=unfitness)
        rows = math.ceil(cells / columns)
        cell_width, cell_height = 2 * (width // (2 * columns)), 2 * (height // (2 * rows))
        left = even((signal.width - columns * cell_width) / 2)
        return _Grid(columns, cell_width, cell_height, left, strip.height)


def _strip(signal: SignalFormat) -> Rect:
    """The room of the frame's number, at the top."""
    return Rect(0, 0, signal.width, even(signal.height / _NUMBER_ROWS))


def _number_dot(signal: SignalFormat) -> int:
    """Pixels of a dot of the frame's number: seven of ten dots of the strip's height are the digits'."""
    return max(2, _strip(signal).height // 10)


def _parts(cell: Rect) -> tuple[Rect, Rect]:
    """The patch, in the lower five eighths of a cell, and the room for its number above."""
    gap_x, gap_y = max(2, even(cell.width / 16)), max(2, even(cell.height / 16))
    height = even(cell.height * 5 / 8) - gap_y
    patch = Rect(cell.x + gap_x, cell.bottom - gap_y - height, cell.width - 2 * gap_x, height)
    return patch, Rect(cell.x, cell.y, cell.width, patch.y - cell.y)


def _fitting_dot(text: str, room: Rect, signal: SignalFormat) -> int:
    """Pixels of a dot: twice a label's, for the photograph, or what leaves a dot all round in the room."""
    width, height = text_size(text, 1)
    return max(1, min(2 * label_dot(signal), room.width // (width + 2), room.height // (height + 2)))
