"""Colour bars for SDR: 75 % bars, a chroma row, a ramp, black, white and steps near black.

SMPTE RP 219 (its structure known second-hand; the seven bars lie in the middle 4:3 of the picture). Codes
are the levels in %, each rounded once at the signal's own depth, so that -2 % is 46 of 10 bits and 186 of
12. -I, +I and +Q are from memory, as codes of 10 bits and BT.709 (BT.601 gets the same R', G', B'); so are
the words that a field may be chosen from. The flat ends of the ramp are half a bar here: theirs are not
sourced. The document has slow edges; these are sharp, so that a patch is one colour up to its edge.

Its own first page warns: these bars are not for setting luminance, black or white balance.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.signal.code_range import CodeRange, Quantisation
from knownlight.signal.encoding import Components, Transfer
from knownlight.signal.matrix import BT709
from knownlight.signal.rounding import round_half_away
from patterns.bar_rows import Bar, Row, patches_of
from patterns.colours import HUES
from patterns.parameters import choice_parameter
from patterns.patches import Layout
from patterns.ramp_band import CLIMB, RampedFamily

_SIDE = 240.0  # on a picture 1920 wide: an eighth
_BAR = 1440 / 7
_ORDER = ("white", "yellow", "cyan", "green", "magenta", "red", "blue")
_DEPTH = 10  # of the codes below
_AXES = {"minus-i": (244, 612, 395), "plus-i": (245, 412, 629), "plus-q": (141, 697, 606)}


@dataclass(frozen=True, kw_only=True)
class BarsRp219(RampedFamily):
    """Four rows."""

    name: ClassVar[str] = "bars-rp219"
    title: ClassVar[str] = "SDR colour bars with chroma, ramp and near-black rows"
    source: ClassVar[str] = (
        "SMPTE RP 219: structure known second-hand; -I, +I, +Q and the choices from memory"
    )

    second_row: str = choice_parameter(
        "minus-i", "the field beside cyan", choices=("minus-i", "plus-i", "white-100", "white-75")
    )
    third_row: str = choice_parameter("black", "the field beside yellow", choices=("black", "plus-q"))

    def layout(self, signal: SignalFormat) -> Layout:
        """Every row, with the ramp's place in the third."""
        if signal.transfer is not Transfer.SDR:
            raise self.refuse("RP 219 is for SDR; use an sdr signal, or bars-bt2111 for pq and hlg")
        if signal.code_range is CodeRange.FULL:
            raise self.refuse("RP 219 is narrow range, with a level below black; use --range narrow")

        def hue(name: str, percent: float) -> CodeTriple:
            rgb = [part * percent / 100.0 for part in HUES[name]]
            first, second, third = (int(code) for code in signal.encoding.codes_from_signal_rgb(rgb))
            return first, second, third

        def grey(percent: float) -> CodeTriple:
            return hue("white", percent)

        chosen = {"white-100": grey(100), "white-75": grey(75), "black": grey(0)}
        chosen |= {name: _axis_code(signal, name) for name in _AXES}
        bars = [Bar(name, _BAR, hue(name, 75), Purpose.MEASURE) for name in _ORDER]
        rows = (
            Row("bars", 630, (Bar("left", _SIDE, grey(40)), *bars, Bar("right", _SIDE, grey(40)))),
            Row(
                "chroma",
                90,
                (
                    Bar("cyan", _SIDE, hue("cyan", 100)),
                    Bar(self.second_row, _BAR, chosen[self.second_row]),
                    Bar("white", 6 * _BAR, grey(75)),
                    Bar("blue", _SIDE, hue("blue", 100)),
                ),
            ),
            Row(
                "ramp",
                90,
                (
                    Bar("yellow", _SIDE, hue("yellow", 100)),
                    Bar(self.third_row, _BAR, chosen[self.third_row]),
                    Bar("low", _BAR / 2, grey(0)),
                    Bar(CLIMB, 5 * _BAR, grey(0), None),
                    Bar("high", _BAR / 2, grey(100)),
                    Bar("red", _SIDE, hue("red", 100)),
                ),
            ),
            Row(
                "dark",
                270,
                (
                    Bar("left", _SIDE, grey(15)),
                    Bar("black-1", 1.5 * _BAR, grey(0)),
                    Bar("white", 2 * _BAR, grey(100)),
                    Bar("black-2", _BAR * 5 / 6, grey(0)),
                    Bar("below-black", _BAR / 3, grey(-2)),
                    Bar("black-3", _BAR / 3, grey(0)),
                    Bar("above-black-2", _BAR / 3, grey(2)),
                    Bar("black-4", _BAR / 3, grey(0)),
                    Bar("above-black-4", _BAR / 3, grey(4)),
                    Bar("black-5", _BAR, grey(0)),
                    Bar("right", _SIDE, grey(15)),
                ),
            ),
        )
        return Layout(background=grey(0), patches=patches_of(signal, rows))

    def last_code(self, signal: SignalFormat) -> int:
        """White."""
        return signal.quantisation.white


def _axis_code(signal: SignalFormat, name: str) -> CodeTriple:
    """A colour on the axis of I or Q: its codes at the signal's depth, or those nearest to its R', G', B'."""
    if signal.components is Components.RGB or signal.encoding.matrix != BT709:
        stored = Quantisation(depth=_DEPTH, code_range=CodeRange.NARROW)
        luma, blue, red = _AXES[name]
        ycbcr = [stored.luma_signal(luma), stored.chroma_signal(blue), stored.chroma_signal(red)]
        codes = signal.encoding.codes_from_signal_rgb(BT709.rgb_from_ycbcr(ycbcr))
    else:
        codes = round_half_away([code * 2.0 ** (signal.depth - _DEPTH) for code in _AXES[name]])
    first, second, third = (int(code) for code in codes)
    return first, second, third
