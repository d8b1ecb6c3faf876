"""The display that a target is meant for: its kind of signal, its white or peak, and its black."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from knownlight.errors import BadInput
from knownlight.signal.encoding import HLG_PEAK, SDR_WHITE, Transfer
from knownlight.signal.transfer.st2084 import PEAK_LUMINANCE

LOWEST_PEAK = 10.0  # cd/m²; below it nobody measures a display
_TRANSFERS = (Transfer.SDR, Transfer.HLG, Transfer.PQ)


@dataclass(frozen=True, kw_only=True)
class Display:
    """What was measured of a display.

    kind: sdr, hlg or pq. peak: cd/m²; of SDR its white, of HLG the nominal peak, of PQ the brightest that it
    shows. black: cd/m² of signal 0.

    Raises:
        BadInput: naming the key.
    """

    kind: Transfer
    peak: float
    black: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in _TRANSFERS:
            raise BadInput(f"display {self.kind.value}: there is none; use {', '.join(KINDS)}")
        if not LOWEST_PEAK <= self.peak <= PEAK_LUMINANCE:
            raise BadInput(
                f"peak {self.peak:g} cd/m² is none of a display; use {LOWEST_PEAK:g} to {PEAK_LUMINANCE:g}"
            )
        if not 0.0 <= self.black < self.peak:
            raise BadInput(
                f"black {self.black:g} cd/m² is not from 0 to below the peak of {self.peak:g}; "
                "give both as they were measured"
            )


KINDS = tuple(kind.value for kind in _TRANSFERS)
DEFAULTS: Mapping[Transfer, Display] = MappingProxyType(
    {
        Transfer.SDR: Display(kind=Transfer.SDR, peak=SDR_WHITE),
        Transfer.HLG: Display(kind=Transfer.HLG, peak=HLG_PEAK),
        Transfer.PQ: Display(kind=Transfer.PQ, peak=PEAK_LUMINANCE),
    }
)


def kind_named(word: str) -> Transfer:
    """The kind of a display by its word.

    Raises:
        BadInput: where there is none of it.
    """
    if word not in KINDS:
        raise BadInput(f"display {word!r} is not known; use one of {', '.join(KINDS)}")
    return Transfer(word)


def display_of(transfer: Transfer, displays: Iterable[Display]) -> Display:
    """The display that shows a signal: that of its kind, else the reference one; sRGB is shown as SDR is."""
    kind = Transfer.SDR if transfer is Transfer.SRGB else transfer
    return next((display for display in displays if display.kind is kind), DEFAULTS[kind])
