"""Headers of PNG stills, by a reader of ours that checks every CRC (W3C PNG third edition)."""

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import HdrMetadata, MasteringDisplay
from knownlight.readback.stills.stated import StillStated

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_COLOUR_TYPES = {0: "grey", 2: "truecolour", 3: "palette", 4: "grey with alpha", 6: "truecolour with alpha"}


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


def read_png_header(path: Path) -> StillStated:
    """What the chunks say; `order` has their names, those in a row once.

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
    return StillStated(
        coding=_COLOUR_TYPES.get(colour_type, f"colour type {colour_type}"),
        width=width,
        height=height,
        sample_bits=bits,
        significant_bits=tuple(significant) if significant is not None else None,
        colour=ColourDescription(primaries=cicp[0], transfer=cicp[1], matrix=cicp[2], full_range=cicp[3])
        if cicp is not None
        else ColourDescription(),
        hdr=HdrMetadata(mastering=_mastering(found.get("mDCV"))),
        fine_light=struct.unpack(">2I", light) if light is not None else None,
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
