"""Self-test: a picture that says by itself whether what the file holds arrived on the screen.

Kind of signal and range: words on lines two pixels high (four at 4320). Seen from afar the lines run together
to their mean light, and one word melts into them: the one whose flat code has just that light if the screen
takes the signal as the word says (`readings`). The notes say by how many per cent each word stands out in
each reading: less than 2 % in its own, more than 10 % in the others. Up to half its signal HLG on a display
of 1000 cd/m² is the same power of 2.4 as SDR, so that one word serves for both on a PQ signal, whose lines
stay below 120 cd/m², where sets leave PQ as it is. A display of another peak has another gamma in HLG, and
one of SDR may have 2.2 for 2.4: then the right word stands out by about 6 %, still least of all. A set that
scales or sharpens the picture changes the lines; then no word need melt.

Bits: two bands of one slow ramp, the lower with the lowest bits cut off. Black and white: words that must,
must not or may be seen; for PQ, whose white no set shows, numbers that can be read where highlights are not
clipped: information about the set, no fault.

All parts are greys, since at 4:2:0 colour is not as fine as the lines; primaries and matrix are for other
patterns to tell. The arithmetic is of the standards that `readings` names, the layout our own.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import even
from knownlight.frame.glyphs import GLYPH_HEIGHT, lit_pixels
from knownlight.frame.planes import grey_frame
from knownlight.frame.sources import Still
from knownlight.signal.encoding import Transfer
from patterns.canvas import draw_label, fitting_dot
from patterns.patches import Label
from patterns.readings import KINDS, lines_near, range_readings
from patterns.self_test_parts import (
    MARGIN,
    Melting,
    Row,
    band_codes,
    bands,
    coarse_bits,
    melting,
    near_black,
    near_white,
    right_half,
)
from patterns.tiled import TiledFamily, TiledLayout, stripe_hazards

CAPTIONS = 10.0  # cd/m²
_KIND_SIGNAL = {Transfer.PQ: 0.48, Transfer.SDR: 0.75, Transfer.HLG: 0.75}  # of the light lines
_RANGE_SIGNAL = 0.25  # the higher, the less a wrong range changes; the lower, the less is to be seen
_HOW_TO_LOOK = "FROM AFAR ONE WORD MELTS INTO THE LINES: IT TELLS HOW THE SCREEN TAKES THE SIGNAL"


@dataclass(frozen=True, kw_only=True)
class SelfTest(TiledFamily):
    """Four rows: kind of signal, range, bits, and the ends of the signal."""

    name: ClassVar[str] = "self-test"
    title: ClassVar[str] = "Self-test: words that tell whether kind of signal, range and bits arrived"
    source: ClassVar[str] = "light: BT.1886, ST 2084, BT.2100-2; codes: H.273 clause 8.3; layout: our own"

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """Everything but the words on lines."""
        if signal.transfer.value not in KINDS:
            raise self.refuse(f"{signal.transfer.value} comes from no player; use an sdr, pq or hlg signal")
        fields = tuple(row.field(signal) for row in _meltings(signal))
        backed = list(near_white(signal))
        return TiledLayout(
            background=signal.encoding.grey(signal.quantisation.black),
            patches=(*bands(signal), *(patch for patch, _ in backed)),
            labels=(*_captions(signal), *near_black(signal), *(label for _, label in backed)),
            fields=fields,
            notes=_notes(signal),
            hazards=stripe_hazards(signal, (field.rect for field in fields)),
        )

    def draw(self, signal: SignalFormat) -> Still:
        """The layout, and the words over its lines."""
        plane = super().draw(signal).picture.planes[0].copy()
        for row in _meltings(signal):
            for label in row.labels():
                draw_label(plane, label.text, label.dot, (label.x, label.y), label.code)
        return Still(grey_frame(signal, plane))

    def claims(self, signal: SignalFormat) -> Claims:
        """The steps of the bands and the pixels of every code; a word covers dark lines as much as light."""
        flat, grey = super().claims(signal), signal.encoding.grey
        areas = Counter(flat.areas)
        for row in _meltings(signal):
            for label in row.labels():
                lit = lit_pixels(label.text, label.dot)
                areas[grey(row.lines.dark)] -= lit // 2
                areas[grey(row.lines.light)] -= lit // 2
                areas[grey(label.code)] += lit
        return replace(flat, areas={code: pixels for code, pixels in areas.items() if pixels})


def _kind_texts(signal: SignalFormat) -> dict[str, str]:
    """What is written for each reading of the kind of signal, the right one first."""
    own = signal.transfer
    if own is Transfer.PQ:
        return {"pq": "PQ", "sdr": "SDR/HLG"}
    return {name: name.upper() for name in (own.value, *(kind for kind in KINDS if kind != own.value))}


def _meltings(signal: SignalFormat) -> tuple[Melting, Melting]:
    """The rows of the kind of signal and of the range."""
    texts, readings = _kind_texts(signal), range_readings(signal.transfer)
    kind = lines_near(signal.quantisation, KINDS, _KIND_SIGNAL[signal.transfer], tuple(texts))
    limits = lines_near(signal.quantisation, readings, _RANGE_SIGNAL, tuple(readings))
    return (
        melting(signal, Row.KIND, kind, texts),
        melting(signal, Row.RANGE, limits, {name: name.upper() for name in readings}),
    )


def _captions(signal: SignalFormat) -> Iterator[Label]:
    """What the file holds and how to look at it; above each row what must be seen."""
    code, whole = signal.encoding.grey_code_from_luminance(CAPTIONS), Row.KIND.rect(signal)
    dot = fitting_dot(signal, [_HOW_TO_LOOK], whole.width)  # the longest of all
    top, left, line = even(signal.height / MARGIN), whole.x, (GLYPH_HEIGHT + 4) * dot
    right, *others = _kind_texts(signal).values()
    held = f"{signal.name} {signal.depth} BITS {signal.code_range.value}".upper()
    bits = f"UPPER BAND {signal.depth}, LOWER BAND {coarse_bits(signal)}"
    white = "CD/M2 THAT CAN BE READ ARE NOT CLIPPED" if signal.transfer is Transfer.PQ else "WHITE"
    above = {row: row.rect(signal).y - (GLYPH_HEIGHT + 2) * dot for row in Row}
    for text, x, y in (
        (f"SELF-TEST {held}", left, top),
        (_HOW_TO_LOOK, left, top + line),
        (f"KIND: {right} MUST MELT, {' AND '.join(others)} MUST STAND OUT", left, above[Row.KIND]),
        ("RANGE: RIGHT MUST MELT, LIFTED AND CRUSHED MUST STAND OUT", left, above[Row.RANGE]),
        (f"BITS: {bits}: THE UPPER MUST HAVE FINER STEPS", left, above[Row.BITS]),
        ("BLACK, IN A DARK ROOM", left, above[Row.ENDS]),
        (white, right_half(signal).x, above[Row.ENDS]),
    ):
        yield Label(text, x, y, dot, code)


def _notes(signal: SignalFormat) -> dict[str, float]:
    """How far each word stands out in each reading, and the first step of each band, in % of light."""
    notes: dict[str, float] = {}
    kind, limits = (row.lines for row in _meltings(signal))
    for lines, words in ((kind, tuple(_kind_texts(signal))), (limits, tuple(limits.readings))):
        for word in words:
            for reading in lines.readings:
                shown = lines.contrast_percent(lines.flat(word), reading)
                notes[f"{word}_word_if_{reading}_percent"] = shown
    for bits in (signal.depth, coarse_bits(signal)):
        low, high, *_ = (signal.encoding.grey_luminance(code) for code in band_codes(signal, bits))
        notes[f"step_of_{bits}_bits_percent"] = 100.0 * (high / low - 1.0)
    return notes
