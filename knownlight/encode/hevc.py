"""HEVC Main and Main 10: exact unless the level forbids it.

Only lossless coding is exact (the finest quantiser still errs by several codes). It is ordinary Main and
Main 10 syntax (transquant bypass), which every conforming decoder reads.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from knownlight.encode.delivery import Coded, LoopFilter, Order, PoorWay, coded_poorly
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
    "ref=1",
    "rc-lookahead=0",
    "pools=2",
    "frame-threads=1",
    "wpp=1",  # on or off changes the bytes; the number of threads does not
    "weightp=1",  # a fade takes a third of the time and half the bytes; other content does not notice
    "me=umh",  # finds a whole-pixel pan of any texture; the default search does not
)
_IN_ORDER = "bframes=0"  # a group without reordering can be cut and repeated anywhere
_NO_LOOP_FILTER = ("no-deblock=1", "no-sao=1", "aq-mode=0")
_POOR_PRESET = "superfast"
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
    blocks_up_to: float | None = None

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
                    "max-tu-size=8",  # errors of larger transforms add up at a point: 25 codes for 13
                    "ipratio=1.0",
                    limit=error_limit(qp, depth),
                )
                for qp in _QUANTISERS
            ],
            levels=HEVC_LEVELS,
        )

        def encode(way: Way, frames: int, interval: int, level: Level) -> list[int]:
            _, preset, _, parameters = way.arguments
            every = (_IN_ORDER, *_keys(interval), parameters)
            return self._write(order, group, frames, level, preset=preset, parameters=every)

        return code_group(order, hevc_level(order.signal), ways, encode)

    def quantisers(self, signal: SignalFormat) -> Sequence[float]:
        """Constant rate factors in quarters; each further bit allows six more below 0."""
        return [quarter / 4 for quarter in range(-24 * (signal.depth - 8), 4 * 50)]

    def code_poorly(self, order: Order, group: Path, frames: int, way: PoorWay) -> Coded:
        """Write a stretch at a constant rate factor."""
        parameters = (
            *(f"bframes={way.b_pictures}", *_keys(way.interval), f"crf={way.quantiser:g}"),
            *(_NO_LOOP_FILTER if way.loop_filter is LoopFilter.OFF else ()),
        )
        level = hevc_level(order.signal)
        sizes = self._write(order, group, frames, level, preset=_POOR_PRESET, parameters=parameters)
        return coded_poorly(order, sizes, level.name, way)

    def _write(
        self, order: Order, group: Path, frames: int, level: Level, *, preset: str, parameters: Sequence[str]
    ) -> list[int]:
        broadcast = order.signal.transfer is Transfer.HLG and self.hlg is HlgSignalling.COMPATIBLE
        every = (*_COMMON, *((_ALTERNATIVE_HLG,) if broadcast else ()), *parameters)
        return write_group(
            order,
            group,
            frames,
            [
                *("-c:v", "libx265", "-preset", preset, "-x265-params", ":".join(every)),
                # lossless coding declares level 8.5, which players that look at levels refuse
                *("-bsf:v", f"hevc_metadata=level={level.name}", "-tag:v", "hvc1"),
            ],
            transfer=TransferCharacteristics.BT2020_10 if broadcast else None,
        )


def _keys(interval: int) -> tuple[str, str]:
    keys = max(_SHORTEST_INTERVAL, interval)
    return f"keyint={keys}", f"min-keyint={keys}"
