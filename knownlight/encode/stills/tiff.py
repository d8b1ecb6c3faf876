"""TIFF stills: samples of 8 or 16 bits that say in words, and in chromaticities, what they mean.

TIFF 6.0 has no field for PQ or HLG: ImageDescription says it in words. WhitePoint and PrimaryChromaticities
are those of section 20; SDR and sRGB have an ICC profile too.
"""

from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.stills.delivery import StillOrder, refuse_components, refuse_narrow, refuse_standard
from knownlight.encode.stills.samples import interleaved, sample_bits, widened
from knownlight.frame.format import SignalFormat
from knownlight.metadata.icc import icc_profile
from knownlight.metadata.words import code_words
from knownlight.signal.code_range import DEPTHS
from knownlight.signal.primaries import Primaries

_WHITE_POINT, _PRIMARY_CHROMATICITIES = 318, 319
_RATIONAL = 5  # kind of field
_CHROMATICITY_UNITS = 10000
_STRIP_ROWS = 64


@dataclass(frozen=True)
class Tiff:
    """Samples of 8 or 16 bits, deflated."""

    name: str = "tif"
    suffixes: tuple[str, ...] = (".tif", ".tiff")
    codec: str = "TIFF"
    bits: tuple[int, ...] = DEPTHS
    error_limit: int = 0
    exactness: str = "exact; states primaries, and pq and hlg in words only"

    def why_not_here(self) -> str:
        """It can be made everywhere."""
        return ""

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse other codes than R'G'B' of full range."""
        refuse_components(self.name, signal)
        refuse_standard(self.name, signal)
        refuse_narrow(self.name, signal, "samples of a TIFF run from black at 0 to white at the largest")

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture; no date and no program, so that the bytes are the same each time."""
        import tifffile  # noqa: PLC0415 - slow to import

        signal = order.signal
        self.refuse(signal)
        tifffile.imwrite(
            to,
            widened(interleaved(order.frame), signal),
            photometric="rgb",
            compression="zlib",
            predictor=True,
            rowsperstrip=_STRIP_ROWS,
            description=code_words(signal, sample_bits(signal)),
            metadata=None,
            iccprofile=None if signal.is_hdr else icc_profile(signal.transfer),
            software=False,
            byteorder="<",
            extratags=_chromaticities(signal.container_primaries),
        )


def _chromaticities(primaries: Primaries) -> list[tuple[int, int, int, tuple[int, ...], bool]]:
    """Fields as the library takes them: x and y of white, and of red, green and blue."""
    fields = (
        (_WHITE_POINT, (primaries.white,)),
        (_PRIMARY_CHROMATICITIES, (primaries.red, primaries.green, primaries.blue)),
    )
    result = []
    for tag, points in fields:
        values = [round(value * _CHROMATICITY_UNITS) for point in points for value in point]
        pairs = tuple(number for value in values for number in (value, _CHROMATICITY_UNITS))
        result.append((tag, _RATIONAL, len(values), pairs, True))
    return result
