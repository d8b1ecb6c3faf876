"""Reading PNG stills: chunks by a reader of ours that checks every CRC, pixels by ffmpeg."""

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from knownlight import ffmpeg
from knownlight.errors import ToolFailed, UnreadableFile
from knownlight.metadata.light import MasteringDisplay
from knownlight.signal.arrays import PlaneArray

_SIGNATURE = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, kw_only=True)
class PngStated:
    """What a PNG says; None where it says nothing.

    sample_bits: bits of a stored sample. significant_bits: of sBIT. cicp: primaries, transfer, matrix, range.
    light: MaxCLL and MaxFALL in 0.0001 cd/m².
    """

    width: int
    height: int
    sample_bits: int
    colour_type: int
    significant_bits: tuple[int, ...] | None
    cicp: tuple[int, int, int, int] | None
    mastering: MasteringDisplay | None
    light: tuple[int, int] | None
    order: tuple[str, ...]


def _chunks(path: Path) -> Iterator[tuple[str, bytes]]:
    data = path.read_bytes()
    if data[:8] != _SIGNATURE:
        raise UnreadableFile(f"{path}: it does not begin as a PNG does")
    position = 8
    while position + 12 <= len(data):
        size, kind = struct.unpack_from(">I4s", data, position)
        body = data[position + 8 : position + 8 + size]
        stored = data[position + 8 + size : position + 12 + size]
        if len(body) != size or stored != struct.pack(">I", zlib.crc32(kind + body)):
            raise UnreadableFile(f"{path}: chunk {kind.decode('latin-1')} is damaged or cut short")
        yield kind.decode("latin-1"), body
        position += 12 + size
        if kind == b"IEND":
            return
    raise UnreadableFile(f"{path}: no IEND chunk; the file is cut short")


def read_png_chunks(path: Path) -> PngStated:
    """Headers of a PNG.

    Raises:
        UnreadableFile: where it is no PNG, or any chunk's CRC is wrong.
    """
    found: dict[str, bytes] = {}
    order: list[str] = []
    for kind, body in _chunks(path):
        found.setdefault(kind, body)
        if not order or order[-1] != kind:
            order.append(kind)
    width, height, bits, colour_type = struct.unpack_from(">IIBB", found["IHDR"])
    cicp = found.get("cICP")
    light = found.get("cLLI")
    significant = found.get("sBIT")
    return PngStated(
        width=width,
        height=height,
        sample_bits=bits,
        colour_type=colour_type,
        significant_bits=tuple(significant) if significant is not None else None,
        cicp=(cicp[0], cicp[1], cicp[2], cicp[3]) if cicp is not None else None,
        mastering=_mastering(found.get("mDCV")),
        light=struct.unpack(">2I", light) if light is not None else None,
        order=tuple(order),
    )


def _mastering(body: bytes | None) -> MasteringDisplay | None:
    """Primaries lie as red, green, blue."""
    if body is None:
        return None
    rx, ry, gx, gy, bx, by, wx, wy, high, low = struct.unpack(">8H2I", body)
    return MasteringDisplay(
        red=(rx, ry), green=(gx, gy), blue=(bx, by), white=(wx, wy), max_luminance=high, min_luminance=low
    )


def read_png_samples(path: Path, width: int, height: int, stop: ffmpeg.Stop) -> PlaneArray:
    """16-bit samples, shape (height, width, 3).

    Raises:
        ToolFailed: where it does not decode to that size.
    """
    output, _ = ffmpeg.run(
        ["-v", "error", "-xerror", "-i", str(path), "-f", "rawvideo", "-pix_fmt", "rgb48be", "pipe:1"],
        what=f"{path} could not be decoded",
        stop=stop,
    )
    if len(output) != width * height * 6:
        raise ToolFailed(f"{path}: it decodes to another size than {width}x{height}")
    return np.frombuffer(output, dtype=">u2").reshape(height, width, 3)
