"""MPEG-2 Main profile, as broadcasts have it: 1080i, 720p, 576i, 480i. Never exact; its error is measured.

The finest quantiser errs by a few codes, because the inverse transform is not defined to the bit: such clips
are for looking, not for measuring.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.delivery import Coded, Order, PoorWay, coded_poorly
from knownlight.encode.group import write_group
from knownlight.encode.quantiser import scale_error_limit
from knownlight.encode.raw import problem_of
from knownlight.encode.search import Way, Ways, code_group
from knownlight.frame.format import Scan, SignalFormat
from knownlight.frame.rates import RATES
from knownlight.metadata.level_tables import MPEG2_LEVELS, mpeg2_level
from knownlight.metadata.levels import Level, Limits
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer

_FLAT_MATRIX = ",".join(["8"] * 64)  # every coefficient as finely as the flattest
_FIXED = (
    *("-qmin", "1", "-sc_threshold", "1000000000"),  # key pictures at their places only
    *("-mpv_flags", "+strict_gop", "-threads", "1"),
    *("-seq_disp_ext", "always"),  # colour is described in it
)
_FINE = (
    *("-dc", "10", "-intra_vlc", "1", "-bf", "0"),
    *("-intra_matrix", _FLAT_MATRIX, "-inter_matrix", _FLAT_MATRIX),
)
_SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 31)
_RATES = tuple(RATES[name] for name in ("23.976", "24", "25", "29.97", "30", "50", "59.94", "60"))
_LONGEST_GROUP = 15  # pictures from key to key; broadcasts have 12 to 15 (common practice, no source)


@dataclass(frozen=True)
class Mpeg2:
    """The coder."""

    codec: str = "MPEG-2 Main"
    bits: tuple[int, ...] = (8,)
    exactness: str = "bounded"
    encoder: str = "mpeg2video"
    decoders: tuple[str, ...] = ("mpeg2video",)
    group_kind: str = "mp4"
    blocks_up_to: float | None = 31.0

    def problem(self, signal: SignalFormat) -> str:
        """Why it cannot hold the signal: PQ, HLG, 10 bits, full range, and what passes High level."""
        problem = problem_of(
            signal,
            bits=self.bits,
            level=mpeg2_level,
            scans=(Scan.PROGRESSIVE, Scan.INTERLACED),
            transfers=(Transfer.SDR,),
        )
        if not problem and signal.rate not in _RATES:
            return "has no such frame rate (H.262 Table 6-4)"
        if not problem and signal.code_range is CodeRange.FULL:
            return "cannot say that its range is full"
        return problem

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level."""
        return mpeg2_level(signal).limits(signal)

    def code(self, order: Order, group: Path) -> Coded:
        """Write the group at the finest quantiser that its level allows."""
        ways = Ways(
            lossless=(),
            lossy=[Way(("-qscale:v", str(scale)), error_limit=scale_error_limit(scale)) for scale in _SCALES],
            levels=MPEG2_LEVELS,
        )

        def encode(way: Way, frames: int, interval: int, level: Level) -> list[int]:
            keys = min(interval, _LONGEST_GROUP)
            return _write(order, group, frames, level, ("-g", str(keys), *_FINE, *way.arguments))

        return code_group(order, mpeg2_level(order.signal), ways, encode)

    def quantisers(self, signal: SignalFormat) -> Sequence[float]:  # noqa: ARG002 - others ask it
        """Quantiser scales; it has no loop filter."""
        return [float(scale) for scale in range(1, 32)]

    def code_poorly(self, order: Order, group: Path, frames: int, way: PoorWay) -> Coded:
        """Write a stretch at a constant quantiser scale with the standard's own matrices."""
        arguments = ("-g", str(way.interval), "-bf", str(way.b_pictures), "-qscale:v", f"{way.quantiser:g}")
        level = mpeg2_level(order.signal)
        return coded_poorly(order, _write(order, group, frames, level, arguments), level.name, way)


def _write(order: Order, group: Path, frames: int, level: Level, arguments: Sequence[str]) -> list[int]:
    fields = "+ildct+ilme" if order.signal.scan is Scan.INTERLACED else ""
    coder = ("-c:v", "mpeg2video", "-profile:v", "4", "-level:v", "4" if level.name == "High" else "8")
    return write_group(
        order,
        group,
        frames,
        [
            *(*coder, "-flags:v", f"+bitexact+cgop{fields}", *_FIXED),
            *("-maxrate", str(level.bits_per_second), "-bufsize", str(level.buffer_bits)),
            *(("-alternate_scan", "1") if fields else ()),
            *arguments,
        ],
    )
