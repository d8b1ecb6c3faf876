"""Full-height colour bars named by four levels, white / black / largest colour / smallest colour in %.

The naming is ITU-R BT.471's (from memory); eight bars of equal width, white first, in falling order of luma,
as every edition of such bars has them. Codes are Y'CbCr of the signal's own matrix, rounded once.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even_edges
from patterns.colours import HUES
from patterns.parameters import choice_parameter
from patterns.patches import Layout, Patch, PatchFamily

_SETS = ("100/0/100/0", "100/0/75/0", "75/0/75/0")
_ORDER = ("white", "yellow", "cyan", "green", "magenta", "red", "blue", "black")


@dataclass(frozen=True, kw_only=True)
class BarsBt471(PatchFamily):
    """Eight bars."""

    name: ClassVar[str] = "bars-bt471"
    title: ClassVar[str] = "Eight full-height colour bars: 100/0/100/0, 100/0/75/0 or 75/0/75/0"
    source: ClassVar[str] = (
        "ITU-R BT.471 (names of the sets, from memory); codes: BT.709-6, BT.601-7, BT.2100-2"
    )

    bars: str = choice_parameter("100/0/75/0", "white/black/colour/its other parts, in %", choices=_SETS)

    def layout(self, signal: SignalFormat) -> Layout:
        """Bars from left to right."""
        edges = even_edges(signal.width, len(_ORDER))
        white, black, most, least = (float(level) / 100.0 for level in self.bars.split("/"))
        patches = []
        for index, colour in enumerate(_ORDER):
            rect = Rect(edges[index], 0, edges[index + 1] - edges[index], signal.height)
            if colour == "black":
                parts = [black] * 3
            elif colour == "white":
                parts = [white] * 3
            else:
                parts = [most if part else least for part in HUES[colour]]
            first, second, third = (int(code) for code in signal.encoding.codes_from_signal_rgb(parts))
            patches.append(Patch(colour, rect, (first, second, third)))
        return Layout(background=signal.encoding.grey(signal.quantisation.black), patches=tuple(patches))
