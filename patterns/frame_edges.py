"""Edges of the picture: what a display cuts off, as a number.

A line of one pixel runs round the very edge. Along every side ticks of one pixel stand at stated distances
inside it: so many pixels (2 to 32), and 1, 2, 2.5, 3.5 and 5 % of the picture's height or width; the number
of a tick is what lies outside it. The first tick that is seen says how much is cut off, on each side by
itself. 3.5 and 5 % are the edges of the areas of EBU R 95 (from memory); the other figures are common
practice, no source.

The square in the middle has sides of equally many pixels: a ruler says whether pixels are shown square. The
cross marks the middle, between the four middle pixels.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from knownlight.frame.glyphs import text_size
from knownlight.signal.rounding import round_half_away
from patterns.canvas import centred_label, label_dot
from patterns.colours import light_parameter
from patterns.parameters import Level
from patterns.patches import Label, Patch
from patterns.tiled import Field, Tile, TiledFamily, TiledLayout

PIXELS = (2, 4, 8, 16, 32)
PERCENTS = (1.0, 2.0, 2.5, 3.5, 5.0)
_SIDES = ("top", "bottom", "left", "right")


@dataclass(frozen=True, kw_only=True)
class FrameEdges(TiledFamily):
    """The frame, ticks on four sides, marks in the corners, and a square and a cross in the middle."""

    name: ClassVar[str] = "frame-edges"
    title: ClassVar[str] = (
        "Frame at the very edge and ticks at stated distances: what is cut off, as a number"
    )
    source: ClassVar[str] = "3.5 and 5 %: EBU R 95 (from memory); layout: common practice, no source"

    level: Level = light_parameter(50.0, "lines and labels")
    background_level: Level = light_parameter(2.0, "what lies between them")

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """All of it."""
        light, back = self.code("level", signal), self.code("background_level", signal)
        grey, width, height = signal.encoding.grey, signal.width, signal.height
        ink = _Ink(grey(light), grey(back))
        ticks = [_tick(signal, ink, place) for side in _SIDES for place in _places(signal, side)]
        square, line = even(height / 2), even(height / 360)
        middle = Rect(2 * ((width - square) // 4), 2 * ((height - square) // 4), square, square)
        text, dot = f"{square} X {square}", label_dot(signal)
        below = Rect(middle.x, middle.y + line, square, square // 4)
        return TiledLayout(
            background=grey(back),
            patches=(
                *_corner_marks(signal, grey(light)),
                Patch("square", middle, grey(light), None),
                Patch("inside", _inset(middle, line), grey(back), None),
            ),
            labels=(
                *(label for _, label in ticks),
                Label(text, *centred_label(text, dot, below), dot, light),
            ),
            fields=(
                *_outline(Rect(0, 0, width, height), ink),
                *_cross(2 * (width // 4), 2 * (height // 4), even(square / 5), ink),
                *(field for field, _ in ticks),
            ),
            notes=MappingProxyType(
                {
                    f"{pixels}_at_{percent:g}_percent": float(distance(length, percent))
                    for pixels, length in (("rows", height), ("columns", width))
                    for percent in PERCENTS
                }
            ),
        )


def distance(length: int, percent: float) -> int:
    """Whole pixels nearest to a share of a length."""
    return int(round_half_away(length * percent / 100.0))


@dataclass(frozen=True)
class _Ink:
    """Colours of lines and of what lies between them, and tiles of lines in fields two pixels wide."""

    light: CodeTriple
    back: CodeTriple

    def across(self, row: int) -> Tile:
        """A line in the upper or lower of two rows, as that of the picture is even or odd."""
        return ((self.back,), (self.light,)) if row % 2 else ((self.light,), (self.back,))

    def down(self, column: int) -> Tile:
        """A line in the left or right of two columns."""
        return ((self.back, self.light),) if column % 2 else ((self.light, self.back),)

    def drawn(self, *rows: str) -> Tile:
        """A tile from rows of # and dots."""
        return tuple(tuple(self.light if dot == "#" else self.back for dot in row) for row in rows)


@dataclass(frozen=True)
class _Place:
    """A tick's side, how many rows or columns lie outside it, its words, and its stretch of that side."""

    side: str
    outside: int
    text: str
    start: int
    length: int


def _places(signal: SignalFormat, side: str) -> Iterator[_Place]:
    """The ticks of a side."""
    along, inwards = (signal.width, signal.height) if side in _SIDES[:2] else (signal.height, signal.width)
    figures = [(pixels, str(pixels)) for pixels in PIXELS]
    figures += [(distance(inwards, percent), f"{percent:g}%") for percent in PERCENTS]
    margin = even(along / 8)
    edges = even_edges(along - 2 * margin, len(figures))
    for index, (outside, text) in enumerate(figures):
        yield _Place(
            side, outside, text, margin + edges[index], even((edges[index + 1] - edges[index]) * 0.8)
        )


def _tick(signal: SignalFormat, ink: _Ink, place: _Place) -> tuple[Field, Label]:
    """A tick, and its words on its inner side."""
    dot = label_dot(signal)
    wide, high = text_size(place.text, dot)
    if place.side in _SIDES[:2]:
        row = place.outside if place.side == "top" else signal.height - 1 - place.outside
        rect, tile = Rect(place.start, row - row % 2, place.length, 2), ink.across(row)
        x = rect.x + (rect.width - wide) // 2
        y = rect.bottom + 2 * dot if place.side == "top" else rect.y - 2 * dot - high
    else:
        column = place.outside if place.side == "left" else signal.width - 1 - place.outside
        rect, tile = Rect(column - column % 2, place.start, 2, place.length), ink.down(column)
        x = rect.right + 2 * dot if place.side == "left" else rect.x - 2 * dot - wide
        y = rect.y + (rect.height - high) // 2
    return Field(rect, tile), Label(place.text, x, y, dot, ink.light[0])


def _outline(rect: Rect, ink: _Ink) -> Iterator[Field]:
    """A line of one pixel along the inside of a rectangle: four corners and four sides between them."""
    right, bottom = rect.right - 2, rect.bottom - 2
    yield Field(Rect(rect.x, rect.y, 2, 2), ink.drawn("##", "#."))
    yield Field(Rect(right, rect.y, 2, 2), ink.drawn("##", ".#"))
    yield Field(Rect(rect.x, bottom, 2, 2), ink.drawn("#.", "##"))
    yield Field(Rect(right, bottom, 2, 2), ink.drawn(".#", "##"))
    for y, row in ((rect.y, 0), (bottom, 1)):
        yield Field(Rect(rect.x + 2, y, rect.width - 4, 2), ink.across(row))
    for x, column in ((rect.x, 0), (right, 1)):
        yield Field(Rect(x, rect.y + 2, 2, rect.height - 4), ink.down(column))


def _cross(x: int, y: int, arm: int, ink: _Ink) -> Iterator[Field]:
    """Two lines, two pixels wide, that cross between the four pixels around (x, y)."""
    across, down = ink.drawn(".", "#", "#", "."), ink.drawn(".##.")
    yield Field(Rect(x - 2, y - 2, 4, 4), ink.drawn(".##.", "####", "####", ".##."))
    yield Field(Rect(x - 2 - arm, y - 2, arm, 4), across)
    yield Field(Rect(x + 2, y - 2, arm, 4), across)
    yield Field(Rect(x - 2, y - 2 - arm, 4, arm), down)
    yield Field(Rect(x - 2, y + 2, 4, arm), down)


def _corner_marks(signal: SignalFormat, light: CodeTriple) -> Iterator[Patch]:
    """Squares just inside the frame."""
    side = even(signal.height / 18)
    right, bottom = signal.width - 2 - side, signal.height - 2 - side
    yield Patch("top-left", Rect(2, 2, side, side), light, Purpose.LOOK)
    yield Patch("top-right", Rect(right, 2, side, side), light, Purpose.LOOK)
    yield Patch("bottom-left", Rect(2, bottom, side, side), light, Purpose.LOOK)
    yield Patch("bottom-right", Rect(right, bottom, side, side), light, Purpose.LOOK)


def _inset(rect: Rect, by: int) -> Rect:
    return Rect(rect.x + by, rect.y + by, rect.width - 2 * by, rect.height - 2 * by)
