"""Block steps: dark checkerboards of blocks one, two, three, ... codes apart, as coders leave them.

A row for each level, a column for each step. The plain ground of a row has the mean of the two codes, or half
a code less where the step is odd. The first column in which blocks are seen is the smallest step that the set
shows at that level; a set that hides more of them shows fewer faults of coders, and less of what is there.
"""

from dataclasses import dataclass, replace
from typing import ClassVar

from knownlight.frame.claims import Claims, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even, even_edges
from patterns.baked_blocks import block_size_parameter
from patterns.canvas import centred_label, fitting_dot
from patterns.cards import gap, line_height
from patterns.colours import light_parameter
from patterns.grain import codes_of
from patterns.labelled import inset
from patterns.parameters import Level, count_parameter, number_parameter
from patterns.patches import Label, Patch
from patterns.tiled import Field, TiledFamily, TiledLayout

_FEWEST = 2  # blocks each way in a checkerboard


@dataclass(frozen=True, kw_only=True)
class _Row:
    """A level: its code, the codes of its words, and the two codes of each of its steps."""

    name: str
    ground: int
    words: int
    steps: tuple[tuple[int, int], ...]


@dataclass(frozen=True, kw_only=True)
class BlockSteps(TiledFamily):
    """Rows of levels, columns of steps."""

    name: ClassVar[str] = "block-steps"
    title: ClassVar[str] = "Block edges of one, two, three, ... codes at dark levels"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: our own"

    first_level: Level = light_parameter(0.1, "the ground of the first row")
    last_level: Level = light_parameter(
        10.0, "the ground of the last row; those between are evenly spaced in code"
    )
    levels: int = count_parameter(5, "rows, one for each level", minimum=1, maximum=8, unit="levels")
    steps: int = count_parameter(6, "columns, of 1, 2, 3, ... codes", minimum=1, maximum=12, unit="steps")
    block_size: str = block_size_parameter("side of a block in pixels")
    label_percent: float = number_parameter(
        15.0, "signal of the words above their row; 0 hides them", minimum=0.0, maximum=50.0, unit="%"
    )

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """Each row on its ground: level and a plain place to measure, then the steps."""
        grey, rows = signal.encoding.grey, self._rows(signal)
        across, down = even_edges(signal.width, self.steps + 1), even_edges(signal.height, self.levels)
        line, room = even(line_height(signal)), across[1] - gap(signal)
        dot = fitting_dot(signal, [text for row in rows for text in _level_texts(row, signal)], room)
        patches, labels, fields = [], [], []
        for row, top, bottom in zip(rows, down, down[1:], strict=False):
            patches.append(Patch(row.name, Rect(0, top, signal.width, bottom - top), grey(row.ground), None))
            for index, text in enumerate(_level_texts(row, signal)):
                where = Rect(0, top + index * line, across[1], line)
                labels.append(Label(text, *centred_label(text, dot, where), dot, row.words))
            plain = Rect(0, top + 2 * line, across[1], bottom - top - 2 * line)
            patches.append(Patch(f"{row.name}-ground", inset(plain, 1), grey(row.ground)))
            for step, (low, high) in enumerate(row.steps, 1):
                left, right = across[step], across[step + 1]
                where = Rect(left, top, right - left, line)
                labels.append(Label(str(step), *centred_label(str(step), dot, where), dot, row.words))
                cell = Rect(left, top + line, right - left, bottom - top - line)
                one, other = ((grey(code),) * int(self.block_size) for code in (low, high))
                tile = ((*one, *other),) * len(one) + ((*other, *one),) * len(one)
                fields.append(Field(self._blocks(cell, signal), tile))
        return TiledLayout(
            background=grey(rows[0].ground),
            patches=tuple(patches),
            labels=tuple(labels),
            fields=tuple(fields),
        )

    def claims(self, signal: SignalFormat) -> Claims:
        """The plain grounds to measure, and two blocks of each checkerboard."""
        claims, layout, side = super().claims(signal), self.layout(signal), int(self.block_size)
        names = [f"{row.name}-step-{step}" for row in self._rows(signal) for step in range(1, self.steps + 1)]
        blocks = [
            Region(
                f"{name}-{which}", Rect(field.rect.x + place, field.rect.y, side, side), code, Purpose.LOOK
            )
            for name, field in zip(names, layout.fields, strict=True)
            for which, place, code in (("low", 0, field.tile[0][0]), ("high", side, field.tile[0][side]))
        ]
        return replace(claims, regions=(*claims.regions, *blocks))

    def _rows(self, signal: SignalFormat) -> list[_Row]:
        """The levels from the first to the last."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        lowest, highest = signal.quantisation.lowest_allowed, signal.quantisation.highest_allowed
        if min(first, last) - self.steps // 2 < lowest or max(first, last) + (self.steps + 1) // 2 > highest:
            raise self.refuse(
                f"{self.steps} steps around codes {first} to {last} pass {lowest} or {highest}; "
                "use levels further inside or fewer steps"
            )
        above = int(codes_of(self.label_percent, signal) + 0.5)
        rows = []
        for index in range(self.levels):
            code = code_at(first, last, index, self.levels)
            steps = tuple((code - step // 2, code + (step + 1) // 2) for step in range(1, self.steps + 1))
            rows.append(
                _Row(name=f"row-{index + 1}", ground=code, words=min(code + above, highest), steps=steps)
            )
        return rows

    def _blocks(self, cell: Rect, signal: SignalFormat) -> Rect:
        """The whole blocks of a coder's grid that a cell holds with a gap around."""
        side, apart = int(self.block_size), gap(signal)
        left, top = -(-(cell.x + apart) // side), -(-cell.y // side)
        right, bottom = (cell.right - apart) // side, (cell.bottom - apart) // side
        if min(right - left, bottom - top) < _FEWEST:
            raise self.refuse(
                f"blocks of {side} pixels do not fit {self.levels} times {self.steps} fields; "
                "use smaller blocks, fewer levels or fewer steps"
            )
        return Rect(side * left, side * top, side * (right - left), side * (bottom - top))


def _level_texts(row: _Row, signal: SignalFormat) -> tuple[str, str]:
    luminance = signal.encoding.grey_luminance(row.ground)
    return f"CODE {row.ground}", f"{luminance:.{3 if luminance < 1.0 else 1}f} CD/M2"
