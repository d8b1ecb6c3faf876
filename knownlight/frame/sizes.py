"""Sizes of pictures, what SDR is made of at each, and which scans and rates there are.

High definition: SMPTE ST 296 (720 lines), BT.709-6 (1080), BT.2020-2 (2160, 4320), from memory. Standard
definition: BT.601-7, 720 pixels by the 576 lines of 625 or the 480 of 525. Interlaced pictures are those of
BT.709-6 and BT.601-7; their rate is that of whole frames, and fields come twice as often.
"""

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from knownlight.errors import BadInput
from knownlight.frame.rates import RATES, text_from_rate
from knownlight.signal import matrix, primaries
from knownlight.signal.encoding import Transfer
from knownlight.signal.h273 import TransferCharacteristics
from knownlight.signal.matrix import Matrix
from knownlight.signal.primaries import Primaries

SIZES: dict[int, tuple[int, int]] = {
    480: (720, 480),
    576: (720, 576),
    720: (1280, 720),
    1080: (1920, 1080),
    2160: (3840, 2160),
    4320: (7680, 4320),
}


class Scan(Enum):
    """Whole frames or fields."""

    PROGRESSIVE = "p"
    INTERLACED = "i"


@dataclass(frozen=True)
class SdrColour:
    """Primaries, matrix and transfer characteristics of an SDR picture; all are shown by BT.1886."""

    primaries: Primaries
    matrix: Matrix
    transfer: TransferCharacteristics


_HIGH = SdrColour(primaries.BT709, matrix.BT709, TransferCharacteristics.BT709)
_STANDARD = {
    (720, 576): SdrColour(primaries.BT601_625, matrix.BT601_625, TransferCharacteristics.BT601),
    (720, 480): SdrColour(primaries.BT601_525, matrix.BT601_525, TransferCharacteristics.BT601),
}
_RATES: dict[tuple[int, Scan], tuple[str, ...]] = {
    (480, Scan.PROGRESSIVE): ("29.97", "59.94"),
    (480, Scan.INTERLACED): ("29.97",),
    (576, Scan.PROGRESSIVE): ("25", "50"),
    (576, Scan.INTERLACED): ("25",),
    (1080, Scan.INTERLACED): ("25", "29.97", "30"),
}
_LOWEST_HIGH = 720  # lines of the smallest high definition
_FIELDS = {text: text_from_rate(2 * RATES[text]) for text in _RATES[1080, Scan.INTERLACED]}


def is_standard(size: tuple[int, int]) -> bool:
    """Whether a width and height are those of standard definition."""
    return size in _STANDARD


def sdr_colour(size: tuple[int, int]) -> SdrColour:
    """What SDR of a width and height is made of: BT.601-7 in standard definition, BT.709-6 else."""
    return _STANDARD.get(size, _HIGH)


def check_raster(height: int, scan: Scan, rate: Fraction, transfer: Transfer) -> None:
    """Refuse what is no picture format: an interlaced one of a new kind, an odd rate of an old one.

    Raises:
        BadInput: with the nearest format there is.
    """
    interlaced = scan is Scan.INTERLACED
    rates = _RATES.get((height, scan))
    if rates is None and not interlaced:
        return
    written = text_from_rate(rate)
    at_field_rate = f"p{_FIELDS.get(written, written) if interlaced else written}"
    if transfer is not Transfer.SDR:
        problem = f"{transfer.value} has progressive pictures of high definition only"
        nearest = f"{max(height, _LOWEST_HIGH)}{at_field_rate}"
    elif rates is None:
        problem = "interlaced pictures have 1080, 576 or 480 lines (BT.709, BT.601)"
        nearest = f"{height}{at_field_rate}"
    elif written not in rates:
        problem = f"{height}{scan.value} comes at {', '.join(rates)} frames a second"
        wanted = rate / 2 if interlaced and rate > RATES[rates[-1]] else rate  # perhaps fields were counted
        closest = min(rates, key=lambda text: abs(RATES[text] - wanted))
        nearest = f"{height}{scan.value}{closest}"
    else:
        return
    raise BadInput(
        f"{height}{scan.value}{written}-{transfer.value}: {problem}; use {nearest}-{transfer.value}"
    )
