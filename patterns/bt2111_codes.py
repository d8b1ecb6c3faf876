"""The R'G'B' codes of ITU-R BT.2111-3, by kind of signal, range and depth.

Known second-hand: white, the reference white of 75 % HLG or 58 % PQ, 40 % grey, black, the ends of the
steps and the codes near black at 10 bits; 573 and 593 follow different roundings, and 48, 80 and 99 are
named -2 %, +2 % and +4 % although SMPTE RP 219 has 46 and 82 for the first two. Narrow range of 12 bits is
four times that of 10 bits (from memory). Steps are computed (ITU-T H.273 clause 8.3).

BT.709 colours were computed for white of 75 % HLG or 58 % PQ with the matrix of ITU-R BT.2087 to four
decimals, and agree with the nine triples known second-hand; at full range of 12 bits the Recommendation has
blue parts that fit white of 203 cd/m² instead.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer

Triple = tuple[int, int, int]
Table = tuple[Transfer, CodeRange, int]  # kind of signal, range, bits

_STEPS = ("0", "10", "20", "30", "40", "50", "60", "70", "80", "90", "100")
_COLOURS = ("yellow", "cyan", "green", "magenta", "red", "blue")


@dataclass(frozen=True, kw_only=True)
class Bt2111Codes:
    """One table.

    greys: code of a grey by its name in %; full range has none below 0 and above 100.
    reference: code of the reference white, of which bars and BT.709 colours are made.
    bt709: R', G', B' of the colours whose light has BT.709 primaries.
    """

    greys: Mapping[str, int]
    reference: int
    bt709: Mapping[str, Triple]

    def times(self, factor: int) -> "Bt2111Codes":
        """The table of a greater depth."""
        return Bt2111Codes(
            greys={name: code * factor for name, code in self.greys.items()},
            reference=self.reference * factor,
            bt709={name: (r * factor, g * factor, b * factor) for name, (r, g, b) in self.bt709.items()},
        )


def _colours(*triples: Triple) -> Mapping[str, Triple]:
    return dict(zip(_COLOURS, triples, strict=True))


def _steps(*codes: int) -> dict[str, int]:
    return dict(zip(_STEPS, codes, strict=True))


_NARROW_GREYS = {
    **_steps(64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940),
    **{"-7": 4, "109": 1019, "-2": 48, "+2": 80, "+4": 99},
}
_HLG_10 = Bt2111Codes(
    greys=_NARROW_GREYS,
    reference=721,
    bt709=_colours(
        (713, 719, 316), (538, 709, 718), (512, 706, 296), (651, 286, 705), (639, 269, 164), (227, 147, 702)
    ),
)
_PQ_10 = Bt2111Codes(
    greys=_NARROW_GREYS,
    reference=573,
    bt709=_colours(
        (568, 571, 381), (484, 566, 571), (474, 564, 368), (536, 361, 564), (530, 350, 256), (317, 236, 562)
    ),
)
_PQ_FULL_10 = Bt2111Codes(
    greys={**_steps(0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023), "+2": 19, "+4": 41},
    reference=593,
    bt709=_colours(
        (589, 592, 370), (491, 586, 592), (478, 584, 355), (551, 347, 584), (544, 334, 225), (296, 201, 582)
    ),
)
_PQ_FULL_12 = Bt2111Codes(
    greys={**_steps(0, 410, 819, 1229, 1638, 2048, 2457, 2867, 3276, 3686, 4095), "+2": 75, "+4": 164},
    reference=2375,
    bt709=_colours(
        (2359, 2373, 1483),
        (1967, 2347, 2371),
        (1917, 2342, 1422),
        (2209, 1391, 2339),
        (2181, 1339, 901),
        (1186, 806, 2331),
    ),
)
TABLES: Mapping[Table, Bt2111Codes] = {
    (Transfer.HLG, CodeRange.NARROW, 10): _HLG_10,
    (Transfer.HLG, CodeRange.NARROW, 12): _HLG_10.times(4),
    (Transfer.PQ, CodeRange.NARROW, 10): _PQ_10,
    (Transfer.PQ, CodeRange.NARROW, 12): _PQ_10.times(4),
    (Transfer.PQ, CodeRange.FULL, 10): _PQ_FULL_10,
    (Transfer.PQ, CodeRange.FULL, 12): _PQ_FULL_12,
}
