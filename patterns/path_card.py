"""Path card: the same light and colours whatever the signal's format, to compare inputs and players.

Every patch has one target in cd/m² and x, y, and every format writes the codes nearest to it: on the
reference display of its own kind (BT.1886 at 100 cd/m², PQ, HLG at 1000 cd/m²) SDR, PQ and HLG show the same
card. A meter that reads another figure on one input has found a wrong range, a lifted black or a wrong
conversion.
Targets and layout are our own; colours are those of the BT.709 primaries in all formats, but of BT.601's in
standard definition, which does not hold those.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from knownlight.frame.glyphs import GLYPH_HEIGHT, text_size
from knownlight.signal.primaries import Chromaticity
from patterns.canvas import fitting_dot
from patterns.colours import HUES, colour_code, hue_xy, luminance_share
from patterns.patches import Label, Layout, Patch, PatchFamily

NEAR_BLACK = (0.0, 0.05, 0.1, 0.2, 0.5, 1.0)  # cd/m²
GREYS = (2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
HIGHLIGHTS = (100.0, 200.0, 400.0, 600.0, 1000.0)
HUE_WHITE = 50.0  # cd/m² of white; half of SDR's, so that a signal of wrong range is not hidden by clipping
SKIN_XY: Chromaticity = (0.375, 0.350)
SKIN = 25.0  # cd/m²
FRAME_LINE = 20.0  # cd/m²
LABELS = 10.0  # cd/m²
_LINE = 2  # pixels of the frame at any size: a picture that is cut or scaled loses or blurs it
_ROW_SHARES = (7, 7, 7, 6)  # heights: highlights are smaller, so that they load a display less


@dataclass(frozen=True)
class _Target:
    """What a patch shows, and what is written below it."""

    name: str
    words: tuple[str, ...]
    code: CodeTriple
    purpose: Purpose = Purpose.MEASURE


@dataclass(frozen=True, kw_only=True)
class PathCard(PatchFamily):
    """Near-black steps, greys, hues and highlights inside a frame."""

    name: ClassVar[str] = "path-card"
    title: ClassVar[str] = "Card of the same cd/m² and x, y in SDR, PQ and HLG, to compare signal paths"
    source: ClassVar[str] = "light: BT.1886 at 100 cd/m², BT.2100-2; targets and layout: our own"

    def layout(self, signal: SignalFormat) -> Layout:
        """Four rows of patches on black."""
        label = signal.encoding.grey_code_from_luminance(LABELS)
        margin = even(signal.height / 30)
        heights = [(signal.height - 2 * margin) * share / sum(_ROW_SHARES) for share in _ROW_SHARES]
        patches, labels = list(_frame(signal)), []
        rows = list(_rows(self.name, signal))
        dot = min(
            fitting_dot(
                signal,
                (text for target in row for text in target.words),
                (signal.width - 2 * margin) // len(row),
            )
            for row in rows
        )
        for number, row in enumerate(rows):
            top, height = margin + even(sum(heights[:number])), even(heights[number])
            edges = even_edges(signal.width - 2 * margin, len(row))
            for place, target in enumerate(row):
                cell = Rect(margin + edges[place], top, edges[place + 1] - edges[place], height)
                patch, lines = _parts(cell, dot)
                patches.append(Patch(target.name, patch, target.code, target.purpose))
                for text, y in zip(target.words, lines, strict=False):
                    x = cell.x + (cell.width - text_size(text, dot)[0]) // 2
                    labels.append(Label(text, x, y, dot, label))
        return Layout(
            background=signal.encoding.grey(signal.quantisation.black),
            patches=tuple(patches),
            labels=tuple(labels),
        )


def _rows(where: str, signal: SignalFormat) -> Iterator[list[_Target]]:
    """The patches of each row from left to right."""
    own = signal.sdr.primaries
    yield [_grey(signal, level) for level in NEAR_BLACK]
    yield [_grey(signal, level) for level in GREYS]
    yield [
        *(
            _coloured(where, signal, hue, hue_xy(own, hue), HUE_WHITE * luminance_share(own, hue))
            for hue in HUES
        ),
        _coloured(where, signal, "skin", SKIN_XY, SKIN),
    ]
    yield [_highlight(signal, level) for level in HIGHLIGHTS]


def _grey(signal: SignalFormat, luminance: float) -> _Target:
    encoding = signal.encoding
    code = encoding.grey_code_from_luminance(luminance)
    return _Target(f"grey-{luminance:g}", (f"{luminance:g}",), encoding.grey(code))


def _coloured(where: str, signal: SignalFormat, name: str, xy: Chromaticity, luminance: float) -> _Target:
    code = colour_code(where, xy, luminance, signal)
    return _Target(name, (f"{name} {luminance:.3g}".upper(), f"{xy[0]:.3f} {xy[1]:.3f}"), code)


def _highlight(signal: SignalFormat, luminance: float) -> _Target:
    """A highlight, or the format's white where that is less."""
    encoding = signal.encoding
    if luminance > encoding.white_luminance:
        white, held = encoding.grey(signal.quantisation.white), f"{encoding.white_luminance:g}"
        return _Target(f"white-for-{luminance:g}", (f"{luminance:g} AS WHITE", held), white, Purpose.LOOK)
    code = encoding.grey_code_from_luminance(luminance)
    return _Target(f"highlight-{luminance:g}", (f"{luminance:g}",), encoding.grey(code))


def _frame(signal: SignalFormat) -> Iterator[Patch]:
    """The outermost lines of the picture."""
    code = signal.encoding.grey(signal.encoding.grey_code_from_luminance(FRAME_LINE))
    width, height, between = signal.width, signal.height, signal.height - 2 * _LINE
    yield Patch("edge-top", Rect(0, 0, width, _LINE), code, Purpose.LOOK)
    yield Patch("edge-bottom", Rect(0, height - _LINE, width, _LINE), code, Purpose.LOOK)
    yield Patch("edge-left", Rect(0, _LINE, _LINE, between), code, Purpose.LOOK)
    yield Patch("edge-right", Rect(width - _LINE, _LINE, _LINE, between), code, Purpose.LOOK)


def _parts(cell: Rect, dot: int) -> tuple[Rect, tuple[int, int]]:
    """A cell's patch, and the tops of two lines of text below it."""
    side, line = even(cell.width / 16), even((GLYPH_HEIGHT + 3) * dot)
    patch = Rect(cell.x + side, cell.y, cell.width - 2 * side, cell.height - 2 * line - even(4 * dot))
    first = patch.bottom + even(2 * dot)
    return patch, (first, first + line)
