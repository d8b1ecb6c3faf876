"""What every delivery is asked and answers."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Protocol

from knownlight.encode.fitting import Limits
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.sources import FrameSource
from knownlight.metadata.light import HdrMetadata


class Exactness(Enum):
    """How near the decoded pixels are to the drawn ones."""

    EXACT = "exact"
    BOUNDED = "bounded"
    DEGRADED = "degraded"


@dataclass(frozen=True, kw_only=True)
class Order:
    """One clip to write.

    name: as the user knows it, for messages. frames: whole length. work: folder for what is thrown away
    after. on_frames: is told frames done and frames to do of the running pass.
    """

    name: str
    signal: SignalFormat
    source: FrameSource
    frames: int
    hdr: HdrMetadata
    work: Path
    stop: Stop
    on_frames: Callable[[int, int], None]

    @property
    def seconds(self) -> float:
        """Length."""
        return float(self.frames / self.signal.rate)


@dataclass(frozen=True, kw_only=True)
class Encoded:
    """How a clip was written.

    exactness: the class it was written for. error_limit: largest code error a bounded clip may show.
    group: pictures that are no copies. pieces: of a sequence, the pictures that are no copies in each
    piece, which add up to the group. level: as the file declares it.
    peak_rate: bit/s over the level's buffer window. largest_picture: bytes.
    settings: of the coder; only streams of the same ones may be joined.
    """

    exactness: Exactness
    error_limit: int
    group: int
    level: str
    peak_rate: int
    largest_picture: int
    pieces: tuple[int, ...] = ()
    settings: str = ""


class Delivery(Protocol):
    """One kind of file."""

    @property
    def name(self) -> str:
        """As written on the command line."""
        ...

    @property
    def suffix(self) -> str:
        """File name ending, with the dot."""
        ...

    @property
    def codec(self) -> str:
        """Codec and profiles."""
        ...

    @property
    def bits(self) -> tuple[int, ...]:
        """Bits of a sample that it can hold."""
        ...

    @property
    def exactness(self) -> str:
        """Whether its pixels are the drawn ones, in words."""
        ...

    @property
    def encoder(self) -> str:
        """What ffmpeg must have."""
        ...

    def refuse(self, signal: SignalFormat) -> None:
        """Raise CannotCarry where it cannot hold the signal."""
        ...

    def limits(self, signal: SignalFormat) -> Limits:
        """What a stream of the signal must keep to."""
        ...

    def write(self, order: Order, to: Path) -> Encoded:
        """Write the clip; `to` is a temporary name of the caller's."""
        ...
