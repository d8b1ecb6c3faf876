"""Colour lines as fine as the signal holds, and edges that tell where a display takes chroma to sit.

Lines (three upper rows): red and blue, red and black, magenta and green of equal luma, each line 1, 2 or 4
chroma samples wide. At 4:2:0 they are drawn in chroma samples, two pixels each; at 4:4:4 and R'G'B' a sample
is a pixel. A display that shows all that it is sent has lines of two clean colours in every field, if softer
in the finest. One that throws colour away has only a mixture in the fields marked 1 (and 2, where it halves
4:2:0 once more); magenta and green then become a flat grey, for they have no luma edge to help.

Edges (two lower rows): rose and teal stripes with a luma edge and a colour edge beside each other, lying
across (upper row: vertical siting) and down (lower row: horizontal siting). The number is how many pixels the
luma edge comes late. With linear interpolation from the samples' true places (H.273 / H.265 Figure E.1:
type 0, left, in SDR; type 2, top left, in PQ and HLG) the middles of both edges coincide in the field marked
0: its edges are clean, and the fields beside it have a dark or bright coloured fringe at both sides of each
stripe. Where another field is the cleanest, chroma is shifted by the number under it.

Common practice, no source; places of samples: H.273 / H.265 Figure E.1.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.signal.encoding import Components
from knownlight.signal.siting import ON_SAMPLE, taps
from patterns.canvas import centred_label, label_dot
from patterns.cards import card_cells, gap
from patterns.colours import light_parameter
from patterns.line_pairs import line_tile
from patterns.parameters import Level
from patterns.patches import Label, Patch
from patterns.tiled import Field, Tile, TiledFamily, TiledLayout, stripe_hazards

SAMPLES = (1, 2, 4)  # chroma samples a line
LATE = {"-1": -2, "-1/2": -1, "0": 0, "+1/2": 1, "+1": 2}  # half pixels by their label
_COLUMNS, _ROWS = 7, 5
# Luma and Cr in shares of the level: with either matrix each luma with each Cr lies inside R'G'B'.
_ROSE, _TEAL = (0.34, 0.2), (0.62, -0.2)


@dataclass(frozen=True, kw_only=True)
class ChromaDetail(TiledFamily):
    """Three rows of lines and two of edges, with flat patches of their colours at the right."""

    name: ClassVar[str] = "chroma-detail"
    title: ClassVar[str] = "Fine colour lines, and edges that show where chroma samples are taken to sit"
    source: ClassVar[str] = "chroma siting: H.273, H.265 Figure E.1; layout: common practice, no source"

    level: Level = light_parameter(100.0, "R', G' and B' of the colours are at most those of this grey")
    label_level: Level = light_parameter(10.0, "the labels; 0 hides them")

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """Every field over its label, every colour of a row at the row's end."""
        peak = float(signal.quantisation.luma_signal(self.code("level", signal)))
        dot, label = label_dot(signal), self.code("label_level", signal)
        cells = card_cells(signal, _COLUMNS, _ROWS)
        rows = [cells[start : start + _COLUMNS] for start in range(0, len(cells), _COLUMNS)]
        fields, labels, patches = [], [], []
        for row, (name, pair, tiles) in zip(rows, _rows(signal, peak), strict=True):
            for cell, (text, tile) in zip(row, tiles, strict=False):
                fields.append(Field(cell.patch, tile))
                labels.append(Label(text, *centred_label(text, dot, cell.below), dot, label))
            end = row[len(tiles)].patch
            place = Rect(end.x, end.y, row[-1].patch.right - end.x, end.height)
            for which, code, rect in zip(("upper", "lower"), pair, _halves(place), strict=True):
                patches.append(Patch(f"{name}-{which}", rect, code))
        return TiledLayout(
            background=signal.encoding.grey(signal.quantisation.black),
            patches=tuple(patches),
            labels=tuple(labels),
            fields=tuple(fields),
            hazards=stripe_hazards(signal, (field.rect for field in fields)),
        )


def _rows(
    signal: SignalFormat, peak: float
) -> Iterator[tuple[str, tuple[CodeTriple, CodeTriple], list[tuple[str, Tile]]]]:
    """Each row's name, its two colours, and the label and tile of each of its fields."""
    pixels = 2 if signal.components is Components.YCBCR_420 else 1
    for name, (first, second) in colour_pairs(signal, peak).items():
        yield (
            name,
            (first, second),
            [
                (str(samples), line_tile(way, samples * pixels, first, second))
                for way in ("down", "across")
                for samples in SAMPLES
            ],
        )
    pair = _mixture(signal, peak, _ROSE, _ROSE), _mixture(signal, peak, _TEAL, _TEAL)
    for way in ("across", "down"):
        yield f"edges-{way}", pair, [(text, _edges(signal, peak, way, late)) for text, late in LATE.items()]


def colour_pairs(signal: SignalFormat, peak: float) -> dict[str, tuple[CodeTriple, CodeTriple]]:
    """Codes of the two colours of each kind of lines. Magenta has the luma code of green in Y'CbCr."""
    matrix = signal.encoding.matrix
    share = (matrix.kr + matrix.kb) / (1.0 - matrix.kr - matrix.kb)
    red, blue, magenta, green = (
        _triple(signal, [peak * part for part in parts])
        for parts in ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 1.0), (0.0, share, 0.0))
    )
    if signal.components is not Components.RGB:
        magenta = (green[0], *magenta[1:])
    black = signal.encoding.grey(signal.quantisation.black)
    return {"red-blue": (red, blue), "red-black": (red, black), "magenta-green": (magenta, green)}


def _triple(signal: SignalFormat, signal_rgb: list[float]) -> CodeTriple:
    first, second, third = (int(code) for code in signal.encoding.codes_from_signal_rgb(signal_rgb))
    return first, second, third


def _mixture(
    signal: SignalFormat, peak: float, luma_of: tuple[float, float], difference_of: tuple[float, float]
) -> CodeTriple:
    """The luma of one colour with the colour difference of another."""
    ycbcr = [peak * luma_of[0], 0.0, peak * difference_of[1]]
    return _triple(signal, [float(part) for part in signal.encoding.matrix.rgb_from_ycbcr(ycbcr)])


def _edges(signal: SignalFormat, peak: float, way: str, late: int) -> Tile:
    """A teal and a rose stripe; the luma edges come so many half pixels after the colour edges.

    Colour changes between two samples. The middle of that edge lies half a pixel before the first new luma
    sample, or a whole one where chroma sits on every other luma sample. A luma edge in the middle of a pixel
    is that pixel's mean of both.
    """
    stripe = gap(signal)
    across, down = taps(signal.siting)
    places = across if way == "down" else down
    on_sample = signal.components is Components.YCBCR_420 and places == ON_SAMPLE
    start = late - (2 if on_sample else 1)  # of the edge to teal, in half pixels from the middle of pixel 0
    mean = ((_ROSE[0] + _TEAL[0]) / 2.0, 0.0)
    line = []
    for pixel in range(2 * stripe):
        after = (2 * pixel - start) % (4 * stripe)
        luma = mean if after % (2 * stripe) == 0 else _TEAL if after < 2 * stripe else _ROSE
        line.append(_mixture(signal, peak, luma, _TEAL if pixel < stripe else _ROSE))
    return (tuple(line),) if way == "down" else tuple((code,) for code in line)


def _halves(rect: Rect) -> tuple[Rect, Rect]:
    upper = Rect(rect.x, rect.y, rect.width, even(rect.height / 2))
    return upper, Rect(rect.x, upper.bottom, rect.width, rect.bottom - upper.bottom)
