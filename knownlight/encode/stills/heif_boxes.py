"""Puts HDR metadata into a HEIF file of one picture: the properties clli and mdcv.

ISO/IEC 23008-12 clause 9.3 (iprp: ipco, ipma), ISO/IEC 14496-12 clauses 8.11.3 (iloc) and 12.1.5 to 12.1.7
(clli, mdcv), from memory; libavif, ffmpeg and MediaInfo read the result in the tests.
"""

import struct
from collections.abc import Iterator

from knownlight.errors import ToolFailed
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay

_VERSION_BYTES = 4  # version and flags before the content of a full box
_ILOC = bytes.fromhex("00000000 4400")  # version 0; offsets and lengths of 4 bytes, no base offset
_IPMA = bytes(4)  # version 0 and one byte an association


def with_hdr_boxes(data: bytes, hdr: HdrMetadata) -> bytes:
    """The file with the metadata as properties of its only picture.

    Raises:
        ToolFailed: where the file is not laid out as libavif does it.
    """
    properties = [_clli(hdr.light)] if hdr.light is not None else []
    properties += [_mdcv(hdr.mastering)] if hdr.mastering is not None else []
    if not properties:
        return data
    growth = sum(map(len, properties)) + len(properties)  # each is named by one more byte in ipma
    file = dict(_boxes(data))
    meta = dict(_boxes(file["meta"][_VERSION_BYTES:]))
    iprp = dict(_boxes(meta["iprp"]))
    known = sum(1 for _ in _boxes(iprp["ipco"]))
    iprp["ipco"] += b"".join(properties)
    iprp["ipma"] = _associated(iprp["ipma"], range(known + 1, known + 1 + len(properties)))
    meta["iprp"] = _joined(iprp)
    meta["iloc"] = _moved(meta["iloc"], growth)
    file["meta"] = file["meta"][:_VERSION_BYTES] + _joined(meta)
    return _joined(file)


def _boxes(data: bytes) -> Iterator[tuple[str, bytes]]:
    position = 0
    while position < len(data):
        size, kind = struct.unpack_from(">I4s", data, position)
        yield kind.decode("latin-1"), data[position + 8 : position + size]
        position += size


def _box(kind: str, body: bytes) -> bytes:
    return struct.pack(">I4s", 8 + len(body), kind.encode("latin-1")) + body


def _joined(boxes: dict[str, bytes]) -> bytes:
    return b"".join(_box(kind, body) for kind, body in boxes.items())


def _clli(light: ContentLight) -> bytes:
    return _box("clli", struct.pack(">HH", light.max_cll, light.max_fall))


def _mdcv(display: MasteringDisplay) -> bytes:
    """Primaries lie as green, blue, red."""
    points = (*display.green, *display.blue, *display.red, *display.white)
    return _box("mdcv", struct.pack(">8H2I", *points, display.max_luminance, display.min_luminance))


def _associated(ipma: bytes, numbers: range) -> bytes:
    """The associations of the only picture with further properties, none of which a reader must know."""
    entries, picture, count = struct.unpack_from(">IHB", ipma, len(_IPMA))
    if not ipma.startswith(_IPMA) or entries != 1:
        raise ToolFailed("the AVIF library lays its properties out in another way; use an older imagecodecs")
    header = _IPMA + struct.pack(">IHB", entries, picture, count + len(numbers))
    return header + ipma[len(header) :] + bytes(numbers)


def _moved(iloc: bytes, growth: int) -> bytes:
    """Places of data in the file, each further back; the metadata lies before all of it."""
    if not iloc.startswith(_ILOC):
        raise ToolFailed("the AVIF library lays its places out in another way; use an older imagecodecs")
    result = bytearray(iloc)
    (items,) = struct.unpack_from(">H", iloc, len(_ILOC))
    position = len(_ILOC) + 2
    for _ in range(items):
        (extents,) = struct.unpack_from(">H", iloc, position + 4)  # after item and data reference
        position += 6
        for _ in range(extents):
            (offset,) = struct.unpack_from(">I", iloc, position)
            struct.pack_into(">I", result, position, offset + growth)
            position += 8
    return bytes(result)
