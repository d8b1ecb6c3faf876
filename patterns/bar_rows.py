"""Rows of colour bars, measured on a picture of 1920 by 1080, every edge scaled and snapped to even."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import accumulate, pairwise

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from patterns.patches import Patch

_WIDTH, _HEIGHT = 1920, 1080


@dataclass(frozen=True)
class Bar:
    """A part of a row: name within the row, width on the measured picture, colour, purpose."""

    name: str
    width: float
    code: CodeTriple
    purpose: Purpose | None = Purpose.LOOK


@dataclass(frozen=True)
class Row:
    """A row over the whole width: its name, its height on the measured picture, its bars from the left."""

    name: str
    height: float
    bars: tuple[Bar, ...]


def patches_of(signal: SignalFormat, rows: tuple[Row, ...]) -> tuple[Patch, ...]:
    """The patches of rows from the top down, each named by its row and bar."""
    patches: list[Patch] = []
    lines = _edges((row.height for row in rows), signal.height / _HEIGHT)
    for row, (top, bottom) in zip(rows, pairwise(lines), strict=True):
        edges = _edges((bar.width for bar in row.bars), signal.width / _WIDTH)
        for bar, (left, right) in zip(row.bars, pairwise(edges), strict=True):
            rect = Rect(left, top, right - left, bottom - top)
            patches.append(Patch(f"{row.name}-{bar.name}", rect, bar.code, bar.purpose))
    return tuple(patches)


def _edges(sizes: Iterable[float], scale: float) -> list[int]:
    return [even(end * scale) for end in accumulate(sizes, initial=0.0)]
