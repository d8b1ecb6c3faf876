"""JPEG stills: 8-bit SDR and sRGB, as near as baseline JPEG comes, by libjpeg-turbo.

ITU-T T.871 (JFIF): Y'CbCr of full range with the weights of BT.601, 4:4:4. Quality 100 makes every quantiser
step 1, so a coefficient errs by a half at most. A flat block then has its own Y', Cb and Cr, and R'G'B'
within a code; how far a busy one may be off is worked out at ERROR_LIMIT.
"""

import math
from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.stills.delivery import StillOrder, refuse_components, refuse_narrow, refuse_standard
from knownlight.encode.stills.samples import interleaved
from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat
from knownlight.metadata.icc import icc_profile

_BITS = 8
_FINEST = 100
_444 = 0
_BLOCK = 8
_BLUE_FROM_CB = 1.772  # T.871 clause 7: the largest weight of a colour difference in R', G' or B'


def _worst_error() -> int:
    """Codes that R', G' or B' may be off where all errors meet in one sample.

    A sample is the sum of 64 coefficients, each off by a half, over basis functions of the DCT (T.81 A.3.3);
    Y', Cb and Cr are rounded once before and once after, and so are R', G', B'.
    """
    weights = [math.sqrt((1.0 if u == 0 else 2.0) / _BLOCK) for u in range(_BLOCK)]
    line = max(
        sum(w * abs(math.cos((2 * x + 1) * u * math.pi / (2 * _BLOCK))) for u, w in enumerate(weights))
        for x in range(_BLOCK)
    )
    component = 0.5 * line * line + 0.5 + 0.5
    return math.ceil((1.0 + _BLUE_FROM_CB) * component + 0.5)


ERROR_LIMIT = _worst_error()


@dataclass(frozen=True)
class Jpeg:
    """8 bits, with an ICC profile of what they mean."""

    name: str = "jpg"
    suffixes: tuple[str, ...] = (".jpg", ".jpeg")
    codec: str = "JPEG, quality 100, 4:4:4"
    bits: tuple[int, ...] = (_BITS,)
    error_limit: int = ERROR_LIMIT
    exactness: str = "bounded, measured; flat patches within one code, greys exact"

    def why_not_here(self) -> str:
        """It can be made everywhere."""
        return ""

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse what is not 8-bit SDR or sRGB of full range."""
        refuse_components(self.name, signal)
        refuse_standard(self.name, signal)
        if signal.is_hdr:
            raise CannotCarry(
                f"{self.name} carries 8-bit sdr and srgb, not {signal.transfer.value}; use avif or png, "
                f"or an srgb signal"
            )
        if signal.depth != _BITS:
            raise CannotCarry(
                f"{self.name} carries 8 bits, not {signal.depth}; use --depth 8, or avif or png"
            )
        refuse_narrow(self.name, signal, "JPEG files have full range only")

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture."""
        from PIL import Image  # noqa: PLC0415 - slow to import

        self.refuse(order.signal)
        Image.fromarray(interleaved(order.frame)).save(
            to,
            format="JPEG",
            quality=_FINEST,
            subsampling=_444,
            icc_profile=icc_profile(order.signal.transfer),
        )
