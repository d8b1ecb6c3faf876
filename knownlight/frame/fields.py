"""Interlaced pictures: what moves is drawn once for each field, and rows of two fields are woven to a frame.

The top field comes first: frame i has its even rows from picture 2i of the field rate and its odd rows from
picture 2i + 1. Either order is allowed, as every stream says which it has (H.262 top_field_first, H.264
pic_struct); one order for all is our choice, and that of broadcasts of 1080 and 576 lines (common practice).

Chroma of 4:2:0 is woven as luma is: row k of a frame's chroma plane belongs to field k modulo 2. Its place
stays: H.262 and H.264 put chroma rows of a top field a quarter, and of a bottom field three quarters, of a
field row below a luma row of theirs, which is 2k + 0.5 in rows of the frame, as in a progressive picture.
"""

from dataclasses import dataclass, replace
from types import MappingProxyType

from knownlight.frame.claims import Claims, Pattern
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame, Planes
from knownlight.frame.sources import Cycle, FrameSource, Levels, Run, Sequence, Still
from knownlight.signal.arrays import PlaneArray


def woven(top: Frame, bottom: Frame, signal: SignalFormat) -> Frame:
    """One interlaced frame: even rows of every plane from the first picture, odd rows from the second."""
    if top is bottom:
        return Frame(signal, top.planes)
    first, second, third = (
        _woven_rows(even, odd) for even, odd in zip(top.planes, bottom.planes, strict=True)
    )
    planes: Planes = (first, second, third)
    return Frame(signal, planes)


def _woven_rows(even: PlaneArray, odd: PlaneArray) -> PlaneArray:
    plane = even.copy()
    plane[1::2] = odd[1::2]
    return plane


def woven_source(pictures: FrameSource, signal: SignalFormat) -> FrameSource:
    """Frames of a source that has a picture for each field; signal: the interlaced format.

    An even period takes half as many frames, an odd one comes round with every second round of fields.
    """

    def draw(index: int) -> Frame:
        return woven(pictures.frame(2 * index), pictures.frame(2 * index + 1), signal)

    if isinstance(pictures, Cycle):
        period = pictures.period if pictures.period % 2 else pictures.period // 2
        return Cycle(period, draw, Levels.CHANGING)
    return Run(draw)


@dataclass(frozen=True)
class Woven:
    """A moving pattern, as an interlaced signal shows it."""

    moving: Pattern

    @property
    def name(self) -> str:
        """That of the pattern."""
        return self.moving.name

    def parameters(self) -> dict[str, str | int | float]:
        """Those of the pattern."""
        return self.moving.parameters()

    def draw(self, signal: SignalFormat) -> FrameSource:
        """Its pictures of the field rate, woven."""
        return woven_source(self.moving.draw(signal.fields), signal)

    def claims(self, signal: SignalFormat) -> Claims:
        """The claims of its pictures, as far as they hold for two of them woven.

        Regions do, since they hold in every picture. Areas do not: how many rows of either field something
        covers depends on where it is, so they become the lowest and highest code that they named. Figures in
        frames are those of the pattern's own frames, which are fields here, and are named so. A beep begins
        with the field that it belongs to, which may be the second one of a frame.
        """
        claims = self.moving.claims(signal.fields)
        notes = {name.replace("frame", "field"): value for name, value in claims.notes.items()}
        if claims.areas is not None:
            codes = [code[0] for code in claims.areas]
            notes |= {"lowest_code": min(codes), "highest_code": max(codes)}
        return replace(claims, areas=None, pictures=(), notes=MappingProxyType(notes))


def drawn_in(pattern: Pattern, signal: SignalFormat) -> SignalFormat:
    """The format that a pattern's pictures are drawn in: that of the fields, where it moves between them.

    What stands, or is held for a while, is the same in both fields of a frame and is drawn as it is.

    Raises:
        BadInput: where the signal cannot hold the pattern.
    """
    if signal.fields == signal:
        return signal
    pattern.claims(signal.fields)  # refuses what cannot be drawn
    held = isinstance(pattern.draw(signal.fields), Still | Sequence)
    return signal if held else signal.fields


def shown_in(pattern: Pattern, signal: SignalFormat) -> Pattern:
    """The pattern as a signal shows it: woven of fields where the signal has any and the pattern moves.

    Raises:
        BadInput: where the signal cannot hold the pattern.
    """
    return pattern if drawn_in(pattern, signal) == signal else Woven(pattern)
