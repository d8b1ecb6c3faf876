"""The rows of the self-test: words on lines, bands of bits, and words at the ends of a signal."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from knownlight.frame.glyphs import ADVANCE, GLYPH_HEIGHT
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer
from patterns.canvas import centred_label
from patterns.patches import Label, Patch
from patterns.readings import Lines
from patterns.tiled import Field

MARGIN = 20  # part of the picture's height and width that is kept free at each edge
_LINE_ROWS = 1080  # picture rows for each row of a line, of which there are two at least
_RAMP_SIGNAL = 0.3  # from here on steps of 8 bits have 2.5 to 6 % of the light, which can be seen
_RAMP_STEPS = 16  # of the lower band
_NEAR_BLACK = 0.06  # clipped where full range is taken for narrow: below 16/255
_NEAR_WHITE = 0.94  # so too: above 235/255
_HIGHLIGHTS = (500, 1000, 2000, 4000)  # cd/m²
_GROUND = 0.8  # of a highlight's light, behind its number
_SEEN = "THESE WORDS MUST BE SEEN"
_UNSEEN = "THESE WORDS MUST NOT BE SEEN"
_EITHER = "THESE WORDS MAY BE SEEN"


class Row(Enum):
    """A row, by its top and height as shares of the picture's height."""

    KIND = (0.16, 0.18)
    RANGE = (0.38, 0.16)
    BITS = (0.58, 0.15)
    ENDS = (0.77, 0.16)

    def rect(self, signal: SignalFormat) -> Rect:
        """Its place, without the caption above it."""
        side, (top, height) = even(signal.width / MARGIN), self.value
        return Rect(side, even(signal.height * top), signal.width - 2 * side, even(signal.height * height))


@dataclass(frozen=True, kw_only=True)
class Melting:
    """A field of lines with words on it.

    words: text and luma code of each, in equal cells from left to right. line: pixels of a line's height.
    """

    rect: Rect
    lines: Lines
    words: tuple[tuple[str, int], ...]
    line: int

    def field(self, signal: SignalFormat) -> Field:
        """The lines, a dark one first."""
        codes = [*[self.lines.dark] * self.line, *[self.lines.light] * self.line]
        return Field(self.rect, tuple((signal.encoding.grey(code),) for code in codes))

    def labels(self) -> Iterator[Label]:
        """The words.

        Their dots are whole pairs of lines high, so that half of what they cover is dark. They begin and end
        in the middle of a line: lines cut there run together to their mean light right up to the letters.
        """
        pair, edges = 2 * self.line, even_edges(self.rect.width, len(self.words))
        dots = ADVANCE * max(len(text) for text, _ in self.words) + 1
        most = min(self.rect.height // (GLYPH_HEIGHT + 4), edges[1] // dots)
        dot = most // pair * pair
        for (text, code), left, right in zip(self.words, edges, edges[1:], strict=False):
            cell = replace(self.rect, x=self.rect.x + left, width=right - left)
            x, y = centred_label(text, dot, cell)
            yield Label(text, x, y - (y - cell.y) % pair + self.line // 2, dot, code)


def melting(signal: SignalFormat, row: Row, lines: Lines, texts: dict[str, str]) -> Melting:
    """A row of lines with a text for each of some readings."""
    return Melting(
        rect=row.rect(signal),
        lines=lines,
        words=tuple((text, lines.flat(reading)) for reading, text in texts.items()),
        line=max(2, even(signal.height / _LINE_ROWS)),
    )


def coarse_bits(signal: SignalFormat) -> int:
    """Bits of the lower band: 8, or 7 of an 8-bit signal."""
    return min(8, signal.depth - 1)


def band_codes(signal: SignalFormat, bits: int) -> range:
    """Luma codes of the steps of a band; both bands run over the same codes, each in its own steps."""
    coarse = 1 << (signal.depth - coarse_bits(signal))
    first = int(signal.quantisation.luma_code(_RAMP_SIGNAL)) // coarse * coarse
    return range(first, first + _RAMP_STEPS * coarse, 1 << (signal.depth - bits))


def bands(signal: SignalFormat) -> Iterator[Patch]:
    """Both bands as flat steps, that of the signal's own bits above the coarser one."""
    row = Row.BITS.rect(signal)
    upper = replace(row, height=even(row.height / 2))
    lower = replace(row, y=upper.bottom, height=row.height - upper.height)
    for bits, band in ((signal.depth, upper), (coarse_bits(signal), lower)):
        codes = band_codes(signal, bits)
        edges = even_edges(band.width, len(codes))
        for code, left, right in zip(codes, edges, edges[1:], strict=False):
            rect = replace(band, x=band.x + left, width=right - left)
            yield Patch(f"{bits}-bit-{code}", rect, signal.encoding.grey(code), Purpose.LOOK)


def half(signal: SignalFormat) -> Rect:
    """The left half of the lowest row; the right one is as wide, at the other margin."""
    row = Row.ENDS.rect(signal)
    return replace(row, width=even(row.width * 0.49))


def right_half(signal: SignalFormat) -> Rect:
    """The right half of the lowest row."""
    left = half(signal)
    return replace(left, x=Row.ENDS.rect(signal).right - left.width)


def near_black(signal: SignalFormat) -> Iterator[Label]:
    """Words a little above black, and where there are such codes words below it, on black."""
    quantisation, (above, below) = signal.quantisation, _halves(half(signal))
    yield _centred(signal, _SEEN, above, int(quantisation.luma_code(_NEAR_BLACK)))
    if quantisation.code_range is CodeRange.NARROW:
        yield _centred(signal, _UNSEEN, below, quantisation.lowest_allowed)


def near_white(signal: SignalFormat) -> Iterator[tuple[Patch, Label]]:
    """White words on a little less, and where there are such codes words above white; highlights of PQ."""
    quantisation, room = signal.quantisation, right_half(signal)
    if signal.transfer is Transfer.PQ:
        yield from _highlights(signal, room)
        return
    above, below = _halves(room)
    white = quantisation.white
    yield _backed(signal, _centred(signal, _SEEN, above, white), int(quantisation.luma_code(_NEAR_WHITE)))
    if quantisation.code_range is CodeRange.NARROW:
        yield _backed(signal, _centred(signal, _EITHER, below, quantisation.highest_allowed), white)


def _highlights(signal: SignalFormat, room: Rect) -> Iterator[tuple[Patch, Label]]:
    """Numbers of cd/m² in as much light, each on a ground of less."""
    edges = even_edges(room.width, len(_HIGHLIGHTS))
    for level, left, right in zip(_HIGHLIGHTS, edges, edges[1:], strict=False):
        cell = replace(room, x=room.x + left, width=right - left)
        light, ground = (signal.encoding.grey_code_from_luminance(share * level) for share in (1.0, _GROUND))
        yield _backed(signal, _centred(signal, str(level), cell, light), ground)


def _halves(rect: Rect) -> tuple[Rect, Rect]:
    upper = replace(rect, height=even(rect.height / 2))
    return upper, replace(upper, y=upper.bottom)


def _centred(signal: SignalFormat, text: str, cell: Rect, code: int) -> Label:
    """Words in the middle of a cell, of the size at which the longest fill a half of the row."""
    dot = half(signal).width // (ADVANCE * len(_UNSEEN))
    return Label(text, *centred_label(text, dot, cell), dot, code)


def _backed(signal: SignalFormat, label: Label, ground: int) -> tuple[Patch, Label]:
    """A label and the patch below it, about two dots larger all round."""
    rect, room = label.rect, 2 * label.dot
    left, top = even(rect.x - room), even(rect.y - room)
    back = Rect(left, top, even(rect.right + room - left), even(rect.bottom + room - top))
    return Patch(label.text, back, signal.encoding.grey(ground), None), label
