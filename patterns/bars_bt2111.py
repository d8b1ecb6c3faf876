"""Colour bars for HDR: at 100 % and at reference white, steps, a ramp, levels near black, BT.709 colours.

ITU-R BT.2111-3; its codes, and how they are known, are in `bt2111_codes`. They are R'G'B'; in a Y'CbCr
signal each colour has the nearest codes to them.

Geometry from memory: five rows and bars by the Recommendation's dimensions, every edge snapped to even. The
order of the half-width steps and the place of the ramp are not sourced: here every step is half a bar wide
and black a whole one, and the ramp climbs in the middle of its row by one code of 10 bits a column at 1920.
At full range, which has no codes below black and above white, black and white take their places.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer
from patterns.bar_rows import Bar, Row, patches_of
from patterns.bt2111_codes import TABLES, Bt2111Codes
from patterns.colours import HUES
from patterns.patches import Layout
from patterns.ramp_band import CLIMB, RampedFamily

# Dimensions on a picture of 1920 by 1080, by the Recommendation's letters.
_C, _D, _E, _F, _G, _H, _I, _J, _K = 240, 206, 204, 136, 70, 68, 238, 438, 282

_BARS = {"white": _D, "yellow": _D, "cyan": _D, "green": _E, "magenta": _D, "red": _D, "blue": _D}
_STEPS = ("-7", "0", "0", "10", "20", "30", "40", "50", "60", "70", "80", "90", "100", "109")
_FULL_RANGE_HAS = {"-7": "0", "-2": "0", "109": "100"}
_CLIMB = 1016  # columns: the codes 4 to 1019; other depths and ranges climb over as many
_FLAT = (1920 - 2 * _C - _CLIMB) / 2


@dataclass(frozen=True, kw_only=True)
class BarsBt2111(RampedFamily):
    """Five rows, each of 1920 by the dimensions above."""

    name: ClassVar[str] = "bars-bt2111"
    title: ClassVar[str] = "HDR colour bars with steps, a ramp, levels near black and BT.709 colours"
    source: ClassVar[str] = "ITU-R BT.2111-3: codes known second-hand, geometry from memory"

    def layout(self, signal: SignalFormat) -> Layout:
        """Every row, with the ramp's place in the fourth."""
        codes = self._codes(signal)

        def grey(name: str) -> CodeTriple:
            return signal.encoding.grey(_grey_code(codes, name))

        def hues(white: int, purpose: Purpose) -> tuple[Bar, ...]:
            black = codes.greys["0"]
            bars = [
                Bar(hue, width, _from_rgb(signal, [white if part else black for part in HUES[hue]]), purpose)
                for hue, width in _BARS.items()
            ]
            return Bar("left", _C, grey("40")), *bars, Bar("right", _C, grey("40"))

        reference, black = signal.encoding.grey(codes.reference), grey("0")
        steps = [
            Bar(name.replace("-", "minus-"), sum(width for _, width in slots), grey(name))
            for name, slots in groupby(_step_slots(codes), key=lambda slot: slot[0])
        ]
        ramp = (
            Bar("low", _FLAT, grey("-7")),
            Bar(CLIMB, _CLIMB, grey("-7"), None),
            Bar("high", _FLAT, grey("109")),
        )
        bt709 = [Bar(f"bt709-{hue}", _C / 3, _from_rgb(signal, rgb)) for hue, rgb in codes.bt709.items()]
        dark = (
            Bar("black-1", _F, black),
            Bar("below-black", _G, grey("-2")),
            Bar("black-2", _H, black),
            Bar("above-black-2", _G, grey("+2")),
            Bar("black-3", _H, black),
            Bar("above-black-4", _G, grey("+4")),
            Bar("black-4", _I, black, Purpose.MEASURE),
            Bar("white", _J, reference, Purpose.MEASURE),
            Bar("black-5", _K, black, Purpose.MEASURE),
        )
        rows = (
            Row("full", 90, hues(codes.greys["100"], Purpose.LOOK)),
            Row("reference", 540, hues(codes.reference, Purpose.MEASURE)),
            Row("step", 90, (Bar("left", _C, reference), *steps, Bar("right", _C, reference))),
            Row("ramp", 90, (Bar("left", _C, black), *ramp, Bar("right", _C, black))),
            Row("dark", 270, (*bt709[:3], *dark, *bt709[3:])),
        )
        return Layout(background=black, patches=patches_of(signal, rows))

    def last_code(self, signal: SignalFormat) -> int:
        """109 %, or white at full range."""
        return _grey_code(self._codes(signal), "109")

    def _codes(self, signal: SignalFormat) -> Bt2111Codes:
        if not signal.is_hdr:
            raise self.refuse("BT.2111 is for HDR; use pq or hlg, or bars-rp219 for SDR")
        if signal.transfer is Transfer.HLG and signal.code_range is CodeRange.FULL:
            raise self.refuse("BT.2111 has no HLG codes of full range; use --range narrow")
        table = TABLES.get((signal.transfer, signal.code_range, signal.depth))
        if table is None:
            raise self.refuse(f"BT.2111 has no codes of {signal.depth} bits; use --depth 10 or 12")
        return table


def _grey_code(codes: Bt2111Codes, name: str) -> int:
    """The code of a grey, or of its neighbour where full range ends before it."""
    return codes.greys[name if name in codes.greys else _FULL_RANGE_HAS[name]]


def _from_rgb(signal: SignalFormat, rgb: Sequence[int]) -> CodeTriple:
    """The signal's own codes of R', G', B' codes."""
    first, second, third = signal.encoding.codes_from_signal_rgb(signal.quantisation.luma_signal(rgb))
    return int(first), int(second), int(third)


def _step_slots(codes: Bt2111Codes) -> list[tuple[str, float]]:
    """Name and width of each half bar, from the darkest."""
    halves = [width / 2 for width in _BARS.values() for _ in range(2)]
    names = [name if name in codes.greys else _FULL_RANGE_HAS[name] for name in _STEPS]
    return list(zip(names, halves, strict=True))
