"""AVC Main: 8-bit, for players and broadcasts without HEVC. Bounded: its largest error is measured.

Quantiser 0 would be exact but is High 4:4:4 Predictive, which consumer decoders lack; quantiser 1 with the
settings below is within a code or two, and exact on most flat patches.

Poor coding has a constant rate factor: under rate control the bytes would depend on the number of threads.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.delivery import Coded, LoopFilter, Order, PoorWay, coded_poorly
from knownlight.encode.group import write_group
from knownlight.encode.quantiser import error_limit
from knownlight.encode.raw import problem_of
from knownlight.encode.search import Way, Ways, code_group
from knownlight.frame.format import Scan, SignalFormat
from knownlight.metadata.level_tables import AVC_LEVELS, avc_level
from knownlight.metadata.levels import Level, Limits
from knownlight.signal.encoding import Transfer

_COMMON = (
    "scenecut=0",
    "open-gop=0",
    "aud=1",
    "force-cfr=1",
    "threads=1",  # the bytes depend on the number of threads
    "cpu-independent=1",
)
_FINE = (
    "bframes=0",  # a group without reordering can be cut and repeated anywhere
    "ref=1",
    "aq-mode=0",
    "no-psy=1",
    "subme=10",  # with trellis=2: modes and coefficients that err least; greys come out right nearly always
    "trellis=2",
    "chroma-qp-offset=-12",  # colour difference at the finest step there is
    "no-deblock=1",
    "8x8dct=0",  # which makes it the Main profile
    "ipratio=1",
    "no-dct-decimate=1",  # together with the two dead zones: small residuals are kept
    "deadzone-inter=0",
    "deadzone-intra=0",
    "mbtree=0",
    "weightp=0",
    "no-fast-pskip=1",
)
_POOR_PRESET = {LoopFilter.OFF: "veryfast", LoopFilter.ON: "fast"}
_NO_LOOP_FILTER = ("no-deblock=1", "aq-mode=0")  # blocks are certain; either alone leaves them to the content
_FIELDS = ("tff=1",)  # top field first, in frames whose blocks may be of fields (MBAFF)
_QUANTISERS = (1, *range(4, 44, 2))
_FINEST = _QUANTISERS[0]
_USER_DATA_SEI = ("-bsf:v", "filter_units=remove_types=6")  # the encoder's name and settings
_FINEST_ERROR_LIMIT = 2  # codes of 8 bits at the finest quantiser


@dataclass(frozen=True)
class Avc:
    """The coder."""

    scans: tuple[Scan, ...] = (Scan.PROGRESSIVE,)
    codec: str = "AVC Main"
    bits: tuple[int, ...] = (8,)
    exactness: str = "bounded; measured patches have their codes"
    encoder: str = "libx264"
    decoders: tuple[str, ...] = ("h264",)
    group_kind: str = "mp4"
    blocks_up_to: float | None = 28.0  # past it the picture collapses, and its blocks with it

    def problem(self, signal: SignalFormat) -> str:
        """Why it cannot hold the signal: PQ, HLG, more than 8 bits, and what passes the highest level."""
        return problem_of(
            signal, bits=self.bits, level=avc_level, scans=self.scans, transfers=(Transfer.SDR,)
        )

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level."""
        return avc_level(signal).limits(signal)

    def code(self, order: Order, group: Path) -> Coded:
        """Write the group at the finest quantiser that its level allows."""
        limits = {qp: _FINEST_ERROR_LIMIT if qp == _FINEST else error_limit(qp, 8) for qp in _QUANTISERS}
        ways = Ways(
            lossless=(),
            lossy=[Way((f"qp={qp}",), error_limit=limits[qp]) for qp in _QUANTISERS],
            levels=AVC_LEVELS,
        )

        def encode(way: Way, frames: int, interval: int, level: Level) -> list[int]:
            parameters = (*_FINE, *_keys(interval), *way.arguments)
            return _write(order, group, frames, level, preset="fast", parameters=parameters)

        return code_group(order, avc_level(order.signal), ways, encode)

    def quantisers(self, signal: SignalFormat) -> Sequence[float]:  # noqa: ARG002 - others ask it
        """Constant rate factors in quarters."""
        return [quarter / 4 for quarter in range(4 * 2, 4 * 45)]

    def code_poorly(self, order: Order, group: Path, frames: int, way: PoorWay) -> Coded:
        """Write a stretch at a constant rate factor."""
        parameters = (
            *(f"bframes={way.b_pictures}", *_keys(way.interval), f"crf={way.quantiser:g}"),
            *(_NO_LOOP_FILTER if way.loop_filter is LoopFilter.OFF else ()),
        )
        level, preset = avc_level(order.signal), _POOR_PRESET[way.loop_filter]
        sizes = _write(order, group, frames, level, preset=preset, parameters=parameters)
        return coded_poorly(order, sizes, level.name, way)


def _keys(interval: int) -> tuple[str, str]:
    return f"keyint={interval}", f"min-keyint={interval}"


def _write(
    order: Order, group: Path, frames: int, level: Level, *, preset: str, parameters: Sequence[str]
) -> list[int]:
    interlaced = order.signal.scan is Scan.INTERLACED
    every = (*_COMMON, *(_FIELDS if interlaced else ()), *parameters)
    return write_group(
        order,
        group,
        frames,
        [
            *("-c:v", "libx264", "-preset", preset, "-profile:v", "main", "-level:v", level.name),
            *("-x264-params", ":".join(every), "-tag:v", "avc1"),
            # fields need their messages of picture timing, which are of the same kind
            *(("-flags:v", "+bitexact+ildct+ilme") if interlaced else _USER_DATA_SEI),
        ],
    )
