"""What is asked of a coder, what it answers, and a delivery: a coder in a container."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Protocol, runtime_checkable

from knownlight.encode.container import Container
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.sound import Soundtrack
from knownlight.frame.sources import FrameSource
from knownlight.metadata.levels import Limits
from knownlight.metadata.light import HdrMetadata


class Exactness(Enum):
    """How near the decoded pixels are to the drawn ones."""

    EXACT = "exact"
    BOUNDED = "bounded"
    DEGRADED = "degraded"


class PastLevel(Enum):
    """What becomes of a clip whose lossless pictures pass the level that its size and rate ask for."""

    BOUNDED = "bounded"  # it is coded with losses that are measured
    MARKED = "marked"  # it stays exact, declares the level that it needs, and is marked


@dataclass(frozen=True, kw_only=True)
class Order:
    """One clip to write.

    name: as the user knows it, for messages. frames: whole length. work: folder for what is thrown away
    after. on_frames: is told frames done and frames to do of the running pass. sound: None for no track.
    """

    name: str
    signal: SignalFormat
    source: FrameSource
    frames: int
    hdr: HdrMetadata
    work: Path
    stop: Stop
    on_frames: Callable[[int, int], None]
    past_level: PastLevel = PastLevel.BOUNDED
    sound: Soundtrack | None = Soundtrack()

    @property
    def different(self) -> int:
        """Frames that are no repeats."""
        return self.source.unrepeated(self.frames)


@dataclass(frozen=True, kw_only=True)
class Coded:
    """A closed group of pictures as a coder wrote it.

    exactness: the class it was written for. error_limit: largest code error a bounded clip may show.
    sizes: bytes of each picture. level: as declared. warning: what a player may stumble over, or empty.
    settings: of the coder; only streams of the same ones may be joined.
    """

    exactness: Exactness
    error_limit: int
    sizes: tuple[int, ...]
    level: str
    settings: str
    warning: str = ""


@dataclass(frozen=True, kw_only=True)
class Encoded:
    """How a clip was written.

    exactness, error_limit, level, warning: as coded. group: pictures that are no copies.
    pieces: of a sequence, the pictures that are no copies in each piece, which add up to the group.
    peak_rate: bit/s over the level's buffer window. largest_picture: bytes.
    """

    exactness: Exactness
    error_limit: int
    group: int
    level: str
    peak_rate: int
    largest_picture: int
    pieces: tuple[int, ...] = ()
    warning: str = ""


Code = Callable[[Order, Path], Coded]  # writes one closed group


class Coder(Protocol):
    """One way of coding pictures."""

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

    @property
    def decoders(self) -> tuple[str, ...]:
        """Of which ffmpeg must have one, to prove what it wrote."""
        ...

    @property
    def group_kind(self) -> str:
        """Container of its groups as ffmpeg names it: one that keeps all of its metadata for the copy."""
        ...

    def problem(self, signal: SignalFormat) -> str:
        """Why it cannot hold the signal, to be read after the delivery's name; empty where it can."""
        ...

    def limits(self, signal: SignalFormat) -> Limits:
        """What a stream of the signal must keep to."""
        ...

    def code(self, order: Order, group: Path) -> Coded:
        """Write one closed group without sound, from which clips of any length are copied."""
        ...


class LoopFilter(Enum):
    """Whether the coder smooths the edges of its blocks: it decides more about blocking than the rate."""

    ON = "on"
    OFF = "off"


@dataclass(frozen=True, kw_only=True)
class PoorWay:
    """How to code with faults on purpose.

    quantiser: one of the coder's. interval: pictures from one key picture to the next. b_pictures: reordered
    ones between two others; a group that is to be repeated has none.
    """

    quantiser: float
    loop_filter: LoopFilter
    interval: int
    b_pictures: int = 0


@runtime_checkable
class PoorCoder(Protocol):
    """A coder that can also code as poor sources are coded."""

    def quantisers(self, signal: SignalFormat) -> Sequence[float]:
        """From fine to coarse; the faults grow along them."""
        ...

    @property
    def blocks_up_to(self) -> float | None:
        """The quantiser up to which blocks grow where its loop filter is off; None where it never blocks."""
        ...

    def code_poorly(self, order: Order, group: Path, frames: int, way: PoorWay) -> Coded:
        """Write the first `frames` frames as one closed group, the same on any number of threads."""
        ...


def coded_poorly(order: Order, sizes: Sequence[int], level: str, way: PoorWay) -> Coded:
    """A group that was coded poorly: any code may have become any other."""
    return Coded(
        exactness=Exactness.DEGRADED,
        error_limit=order.signal.quantisation.largest,
        sizes=tuple(sizes),
        level=level,
        settings=f"quantiser {way.quantiser:g}",
    )


@dataclass(frozen=True)
class Delivery:
    """One kind of file, as written on the command line."""

    name: str
    coder: Coder
    container: Container

    @property
    def suffix(self) -> str:
        """File name ending, with the dot."""
        return self.container.suffix
