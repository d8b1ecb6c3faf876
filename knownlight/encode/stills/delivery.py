"""What every delivery of stills is asked and answers."""

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from knownlight.errors import CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import LightLevels
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame
from knownlight.metadata.light import HdrMetadata
from knownlight.signal import primaries
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components


@dataclass(frozen=True, kw_only=True)
class StillOrder:
    """One picture to write.

    name: as the user knows it, for messages. hdr: static metadata to declare, as far as the format can.
    light: levels of the picture, unrounded.
    """

    name: str
    frame: Frame
    hdr: HdrMetadata
    light: LightLevels
    stop: Stop

    @property
    def signal(self) -> SignalFormat:
        """What the codes mean."""
        return self.frame.signal


class StillDelivery(Protocol):
    """One kind of picture file."""

    @property
    def name(self) -> str:
        """As written in packs and manifests."""
        ...

    @property
    def suffixes(self) -> tuple[str, ...]:
        """File name endings, with the dot; the first is the usual one."""
        ...

    @property
    def codec(self) -> str:
        """Format and kind of coding."""
        ...

    @property
    def bits(self) -> tuple[int, ...]:
        """Bits of a code that it can hold."""
        ...

    @property
    def error_limit(self) -> int:
        """Largest code error that its decoded pixels may show; 0 where they are exact."""
        ...

    @property
    def exactness(self) -> str:
        """Whether its pixels are the drawn ones, in words."""
        ...

    def why_not_here(self) -> str:
        """Why it cannot be made on this machine; empty where it can."""
        ...

    def refuse(self, signal: SignalFormat) -> None:
        """Raise CannotCarry where it cannot hold the signal."""
        ...

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture; `to` is a temporary name of the caller's."""
        ...


def refuse_components(name: str, signal: SignalFormat) -> None:
    """Refuse other codes than R'G'B'.

    Raises:
        CannotCarry: with the remedy.
    """
    if signal.components is not Components.RGB:
        raise CannotCarry(
            f"{name}: stills hold R'G'B' codes, not {signal.components.value}; use --components rgb"
        )


def refuse_standard(name: str, signal: SignalFormat) -> None:
    """Refuse the colour of standard definition, for formats that have no word for it.

    Raises:
        CannotCarry: with the remedy.
    """
    if not signal.is_hdr and signal.sdr.primaries != primaries.BT709:
        raise CannotCarry(
            f"{name}: it cannot state {signal.sdr.primaries.name} colour; use png or 720p50-sdr"
        )


def refuse_narrow(name: str, signal: SignalFormat, why: str) -> None:
    """Refuse narrow range, which only PNG can state.

    Raises:
        CannotCarry: with the remedy.
    """
    if signal.code_range is CodeRange.NARROW:
        raise CannotCarry(f"{name}: {why}; use --range full, or png, which states its range")
