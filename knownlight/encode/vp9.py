"""VP9 profiles 0 and 2: lossless coding, for browsers. HDR metadata is in the container only."""

from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.delivery import Coded, Order
from knownlight.encode.group import write_group
from knownlight.encode.quantiser import index_error_limit
from knownlight.encode.raw import problem_of
from knownlight.encode.search import Way, Ways, code_group
from knownlight.frame.format import SignalFormat
from knownlight.metadata.level_tables import VP9_LEVELS, vp9_level
from knownlight.metadata.levels import Level, Limits

_FIXED = (
    *("-deadline", "realtime", "-cpu-used", "8"),
    *("-lag-in-frames", "0", "-auto-alt-ref", "0"),  # no hidden pictures: one packet shows one picture
    *("-threads", "1", "-row-mt", "0"),  # the bytes depend on both
    *("-error-resilient", "0", "-aq-mode", "0"),
)
_QUANTISERS = range(1, 24)  # 0 to 63; four steps of the index each
_INDEX = 4


@dataclass(frozen=True)
class Vp9:
    """The coder."""

    codec: str = "VP9 profile 0, 2"
    bits: tuple[int, ...] = (8, 10)
    exactness: str = "exact; bounded where lossless pictures would pass the level"
    encoder: str = "libvpx-vp9"
    decoders: tuple[str, ...] = ("vp9", "libvpx-vp9")
    group_kind: str = "webm"  # MP4 would lose where chroma lies

    def problem(self, signal: SignalFormat) -> str:
        """Why it cannot hold the signal: interlace, 12 bits, 4:4:4 and what passes the highest level."""
        return problem_of(signal, bits=self.bits, level=vp9_level)

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level."""
        return vp9_level(signal).limits(signal)

    def code(self, order: Order, group: Path) -> Coded:
        """Write the group: lossless where its level allows that, else the best that it allows."""
        depth = order.signal.depth
        ways = Ways(
            lossless=[Way(("-lossless", "1"))],
            lossy=[
                Way(
                    ("-b:v", "0", "-crf", str(q), "-qmin", str(q), "-qmax", str(q)),
                    error_limit=index_error_limit(_INDEX * q, depth),
                )
                for q in _QUANTISERS
            ],
            levels=VP9_LEVELS,
        )
        profile = "0" if depth == 8 else "2"  # noqa: PLR2004

        def encode(way: Way, frames: int, interval: int, _level: Level) -> list[int]:
            keys = ("-g", str(interval), "-keyint_min", str(interval))
            return write_group(
                order,
                group,
                frames,
                ["-c:v", "libvpx-vp9", "-profile:v", profile, *keys, *_FIXED, *way.arguments],
                kind=self.group_kind,
            )

        return code_group(order, vp9_level(order.signal), ways, encode)
