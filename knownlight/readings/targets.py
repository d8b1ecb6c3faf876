"""What a meter should read of codes on a display: the light and the chromaticity that the codes ask for.

SDR: BT.1886 Annex 1 with the white and the black of the display, on each of R', G', B'. PQ: absolute
(ST 2084, BT.2100-2 Table 4), whatever the display. HLG: BT.2100-2 Table 5 with the system gamma of the
display's peak (note 5f, and its extension outside 400 to 2000 cd/m²) and the black lift. sRGB: the curve of
IEC 61966-2-1 from black to white, a straight lift of the light (common practice, no source).
"""

import math
from dataclasses import dataclass
from enum import Enum

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple
from knownlight.readings.display import Display, display_of
from knownlight.signal.arrays import ArrayLike, FloatArray
from knownlight.signal.chromaticity import xy_from_xyz
from knownlight.signal.encoding import Encoding, Transfer
from knownlight.signal.transfer import bt1886, bt2100_hlg, srgb, st2084

_ROUNDING = 1e-9  # of the peak: code 940 of PQ is 10000 cd/m² but for the last places


class Basis(Enum):
    """What a target rests on, in the words of the table."""

    BT1886 = "BT.1886"
    SRGB = "sRGB"
    PQ = "PQ"
    ABOVE_PEAK = "above peak"  # PQ that asks one of R, G, B for more than the display's peak
    HLG = "HLG"


@dataclass(frozen=True, kw_only=True)
class Target:
    """What to measure. luminance: cd/m². xy: CIE 1931; None of black, which has none."""

    luminance: float
    xy: tuple[float, float] | None
    basis: Basis


def target_of(code: CodeTriple, encoding: Encoding, display: Display) -> Target:
    """The target of three codes, as they are stored, on a display.

    Raises:
        BadInput: where the display is of another kind than the signal.
    """
    if display_of(encoding.transfer, (display,)) is not display:
        raise BadInput(f"a display of {display.kind.value} says nothing of {encoding.transfer.value} signals")
    light = _light(encoding.signal_rgb(code), encoding.transfer, display)
    xyz = encoding.primaries.xyz_from_linear_rgb(light)
    x, y = (float(value) for value in xy_from_xyz(xyz))
    return Target(
        luminance=float(xyz[1]),
        xy=None if math.isnan(x) else (x, y),
        basis=_basis(encoding.transfer, float(light.max()), display),
    )


def _light(signal: ArrayLike, transfer: Transfer, display: Display) -> FloatArray:
    """R, G, B in cd/m², each as the luminance of a grey of that level."""
    if transfer is Transfer.PQ:
        return st2084.luminance_from_signal(signal)
    if transfer is Transfer.HLG:
        return bt2100_hlg.display_from_signal(signal, peak=display.peak, black=display.black)
    if transfer is Transfer.SRGB:
        return display.black + (display.peak - display.black) * srgb.linear_from_signal(signal)
    return bt1886.luminance_from_signal(signal, white=display.peak, black=display.black)


def _basis(transfer: Transfer, largest: float, display: Display) -> Basis:
    if transfer is Transfer.PQ:
        return Basis.ABOVE_PEAK if largest > display.peak * (1.0 + _ROUNDING) else Basis.PQ
    return {Transfer.HLG: Basis.HLG, Transfer.SRGB: Basis.SRGB, Transfer.SDR: Basis.BT1886}[transfer]
