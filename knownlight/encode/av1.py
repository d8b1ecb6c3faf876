"""AV1 Main, 8 and 10 bits: lossless coding, checked before it is called exact.

The encoder's lossless pictures are exact where nothing or a whole picture moves, and err by two codes in some
other motion; key pictures are always exact. So a clip is first coded in the small way, and made of key
pictures only where that does not decode to what was drawn. Of the open encoders this one alone writes HDR
metadata into the stream.
"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode.delivery import Coded, Order
from knownlight.encode.group import pictures_of, write_group
from knownlight.encode.quantiser import index_error_limit
from knownlight.encode.raw import pixel_format, problem_of
from knownlight.encode.search import Way, Ways, code_group
from knownlight.frame.format import SignalFormat
from knownlight.metadata.level_tables import AV1_LEVELS, av1_level
from knownlight.metadata.levels import Level, Limits
from knownlight.signal.arrays import PlaneArray

_COMMON = (
    "lp=2",  # threads; the bytes depend on their number
    "pred-struct=1",  # no reordering: a group can be cut and repeated anywhere
    "enable-tf=0",  # no filtering over time
    "film-grain=0",
)
# 9 is no quicker and finds no whole-pixel motion: pans are twenty times as large, and where they are coded
# with losses, the finest quantisers err most.
_PRESET = "6"
_LOSSLESS = (Way(("lossless=1",)), Way(("lossless=1", "keys-only"), interval=1))
_QUANTISERS = range(1, 24)  # 0 to 63; four steps of the index each
_INDEX = 4


@dataclass(frozen=True)
class Av1:
    """The coder."""

    codec: str = "AV1 Main"
    bits: tuple[int, ...] = (8, 10)
    exactness: str = "exact; bounded where lossless pictures would pass the level"
    encoder: str = "libsvtav1"
    decoders: tuple[str, ...] = ("libdav1d", "libaom-av1")
    group_kind: str = "mp4"

    def problem(self, signal: SignalFormat) -> str:
        """Why it cannot hold the signal: interlace, 12 bits, 4:4:4 and what passes the highest level."""
        return problem_of(signal, bits=self.bits, level=av1_level)

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level, and its largest picture."""
        return av1_level(signal).limits(signal)

    def code(self, order: Order, group: Path) -> Coded:
        """Write the group: lossless where its level allows that, else the best that it allows."""
        depth = order.signal.depth
        ways = Ways(
            lossless=_LOSSLESS,
            lossy=[
                Way(
                    ("rc=0", f"qp={qp}", "aq-mode=0"),
                    error_limit=index_error_limit(_INDEX * qp, depth),
                )
                for qp in _QUANTISERS
            ],
            levels=AV1_LEVELS,
        )

        def encode(way: Way, frames: int, interval: int, level: Level) -> list[int] | None:
            parameters = [word for word in way.arguments if word != "keys-only"]
            drawn = _Hashed(pictures_of(order, frames), frames if order.different == 1 else 1)
            sizes = write_group(
                order,
                group,
                frames,
                [
                    *("-c:v", "libsvtav1", "-preset", _PRESET, "-g", str(interval)),
                    *("-svtav1-params", ":".join((*_COMMON, f"level={level.name}", *parameters))),
                    # the copy in the container is else written before lossless coding switched tools off
                    *("-bsf:v", "extract_extradata", "-tag:v", "av01"),
                ],
                watch=drawn,
            )
            if not way.error_limit and _decoded_hashes(order, group) != drawn.hashes:
                return None
            return sizes

        return code_group(order, av1_level(order.signal), ways, encode)


class _Hashed:
    """Pictures on their way to the encoder, and their hashes as they pass."""

    def __init__(self, pictures: Iterator[Sequence[PlaneArray]], times: int) -> None:
        self._pictures = pictures
        self._times = times
        self.hashes: list[str] = []

    def __iter__(self) -> Iterator[Sequence[PlaneArray]]:
        for planes in self._pictures:
            digest = hashlib.md5(usedforsecurity=False)
            for plane in planes:
                digest.update(plane.tobytes())
            self.hashes += [digest.hexdigest()] * self._times
            yield planes


def _decoded_hashes(order: Order, group: Path) -> list[str]:
    """MD5 of every decoded picture, as ffmpeg counts it."""
    output, _ = ffmpeg.run(
        [
            *("-v", "error", "-i", str(group), "-map", "0:v:0", "-fps_mode", "passthrough"),
            *("-pix_fmt", pixel_format(order.signal), "-f", "framemd5", "pipe:1"),
        ],
        what=f"{order.name} could not be decoded again",
        stop=order.stop,
    )
    lines = [line for line in output.decode().splitlines() if line and not line.startswith("#")]
    return [line.rpartition(",")[2].strip() for line in lines]
