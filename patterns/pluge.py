"""PLUGE: bars a little darker and a little lighter than black, beside a field, to set black level.

Levels: ITU-R BT.814-4 (known second-hand): black, darker and lighter are 64, 48 and 80 of 10 bits,
the higher field is white in SDR and code 399 (about the 18 % grey card) in HDR. The Recommendation's geometry
was not at hand: this layout is ours.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer
from knownlight.signal.rounding import round_half_away
from patterns.patches import Layout, Patch, PatchFamily

_DARKER, _LIGHTER, _HDR_HIGHER = 48, 80, 399  # codes of 10 bits
_TABULATED = (10, 12)


@dataclass(frozen=True, kw_only=True)
class Pluge(PatchFamily):
    """Two bars near black at the left, the higher field at the right, on black."""

    name: ClassVar[str] = "pluge"
    title: ClassVar[str] = "PLUGE: bars below and above black beside a field, to set black level"
    source: ClassVar[str] = "levels: ITU-R BT.814-4 (second-hand); geometry: our own"

    def layout(self, signal: SignalFormat) -> Layout:
        """Both bars and the field."""
        grey = signal.encoding.grey
        return Layout(
            background=grey(signal.quantisation.black),
            patches=tuple(
                Patch(name, rect, grey(code), purpose) for name, rect, code, purpose in self._parts(signal)
            ),
        )

    def _parts(self, signal: SignalFormat) -> list[tuple[str, Rect, int, Purpose]]:
        if signal.code_range is CodeRange.FULL:
            raise self.refuse("full range has no codes below black; use --range narrow")
        is_sdr = signal.transfer is Transfer.SDR
        if not is_sdr and signal.depth not in _TABULATED:
            raise self.refuse("BT.814 gives HDR levels of 10 and 12 bits; use --depth 10")
        width, height = signal.width, signal.height
        top, tall, wide = even(height / 4), even(height / 2), even(width / 16)
        higher = signal.quantisation.white if is_sdr else _scaled(_HDR_HIGHER, signal)
        return [
            ("darker", Rect(even(width / 8), top, wide, tall), _scaled(_DARKER, signal), Purpose.LOOK),
            ("lighter", Rect(even(width / 4), top, wide, tall), _scaled(_LIGHTER, signal), Purpose.LOOK),
            (
                "higher",
                Rect(even(width * 5 / 8), even(height / 3), even(width / 5), even(height / 3)),
                higher,
                Purpose.MEASURE,
            ),
        ]


def _scaled(code: int, signal: SignalFormat) -> int:
    """A 10-bit code at the signal's depth."""
    return int(round_half_away(code * 2.0 ** (signal.depth - 10)))
