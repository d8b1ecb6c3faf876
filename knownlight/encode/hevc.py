"""HEVC Main and Main 10: exact unless the level forbids it.

Only lossless coding is exact (the finest quantiser still errs by several codes). It is ordinary Main and
Main 10 syntax (transquant bypass), which every conforming decoder reads.
"""

from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from knownlight.encode.delivery import Coded, Order
from knownlight.encode.group import write_group
from knownlight.encode.quantiser import error_limit
from knownlight.encode.raw import problem_of
from knownlight.encode.search import Way, Ways, code_group
from knownlight.frame.format import SignalFormat
from knownlight.metadata.level_tables import HEVC_LEVELS, hevc_level
from knownlight.metadata.levels import Level, Limits
from knownlight.signal.encoding import Transfer
from knownlight.signal.h273 import TransferCharacteristics

_COMMON = (
    "log-level=none",
    "info=0",  # no encoder name in the stream: the same bytes everywhere
    "repeat-headers=1",
    "aud=1",
    "open-gop=0",
    "scenecut=0",
    "bframes=0",  # a group without reordering can be cut and repeated anywhere
    "ref=1",
    "rc-lookahead=0",
    "pools=2",
    "frame-threads=1",
    "wpp=1",  # on or off changes the bytes; the number of threads does not
    "weightp=1",  # a fade takes a third of the time and half the bytes; other content does not notice
    "me=umh",  # finds a whole-pixel pan of any texture; the default search does not
)
_SHORTEST_INTERVAL = 2  # at 1 the encoder would declare an intra profile of the extensions
_ALTERNATIVE_HLG = f"atc-sei={int(TransferCharacteristics.HLG)}"  # preferred transfer, beside the VUI's


class HlgSignalling(Enum):
    """How a stream says that it is HLG."""

    PLAIN = "plain"  # the VUI says 18
    COMPATIBLE = "compatible"  # the VUI says 14, an SEI message prefers 18: as broadcasts do (TS 101 154)


def _way(preset: str, *parameters: str, limit: int = 0) -> Way:
    return Way(("-preset", preset, "-x265-params", ":".join(parameters)), error_limit=limit)


# rd=4 looks at every mode of a block: key pictures of fine stripes come out three times smaller. The second
# effort, a third slower, makes them ten times smaller; it is tried where the first passes the level.
_LOSSLESS = (_way("superfast", "lossless=1", "rd=4"), _way("fast", "lossless=1", "rd=4"))
_QUANTISERS = range(2, 40, 2)


@dataclass(frozen=True)
class Hevc:
    """The coder."""

    hlg: HlgSignalling = HlgSignalling.PLAIN
    codec: str = "HEVC Main, Main 10"
    bits: tuple[int, ...] = (8, 10)
    exactness: str = "exact; bounded where lossless pictures would pass the level"
    encoder: str = "libx265"
    decoders: tuple[str, ...] = ("hevc",)
    group_kind: str = "mp4"

    def problem(self, signal: SignalFormat) -> str:
        """Why it cannot hold the signal: interlace, 12 bits, 4:4:4 and what passes the highest level."""
        return problem_of(signal, bits=self.bits, level=hevc_level)

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level, and its largest picture."""
        return hevc_level(signal).limits(signal)

    def code(self, order: Order, group: Path) -> Coded:
        """Write the group: lossless where its level allows that, else the best that it allows."""
        depth = order.signal.depth
        ways = Ways(
            lossless=_LOSSLESS,
            # a constant quantiser: the same bytes on every machine, and errors even over the picture
            lossy=[
                _way(
                    "superfast",
                    f"qp={qp}",
                    "aq-mode=0",
                    "psy-rd=0",
                    "ipratio=1.0",
                    limit=error_limit(qp, depth),
                )
                for qp in _QUANTISERS
            ],
            levels=HEVC_LEVELS,
        )
        broadcast = order.signal.transfer is Transfer.HLG and self.hlg is HlgSignalling.COMPATIBLE

        def encode(way: Way, frames: int, interval: int, level: Level) -> list[int]:
            keys = max(_SHORTEST_INTERVAL, interval)
            *head, parameters = way.arguments
            fixed = (f"keyint={keys}", f"min-keyint={keys}", *((_ALTERNATIVE_HLG,) if broadcast else ()))
            return write_group(
                order,
                group,
                frames,
                [
                    *("-c:v", "libx265", *head, ":".join((*_COMMON, *fixed, parameters))),
                    # lossless coding declares level 8.5, which players that look at levels refuse
                    *("-bsf:v", f"hevc_metadata=level={level.name}", "-tag:v", "hvc1"),
                ],
                transfer=TransferCharacteristics.BT2020_10 if broadcast else None,
            )

        return code_group(order, hevc_level(order.signal), ways, encode)
