"""Headers of AVIF and HEIC stills: the properties of the primary picture.

ISO/IEC 23008-12 (HEIF), the AV1 codec configuration (AV1-ISOBMFF clause 2.3) and ISO/IEC 14496-15 (hvcC),
from memory; the tests hold it against libavif, libheif and MediaInfo.
"""

import struct
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.metadata.light import HdrMetadata
from knownlight.readback.boxes import boxes_in, read_clli, read_colr, read_mdcv
from knownlight.readback.stills.stated import StillStated

_VERSION_BYTES = 4  # version and flags before the content of a full box
_TURNING = ("irot", "imir", "clap", "pasp")
_HEVC_CHROMA = ("4:0:0", "4:2:0", "4:2:2", "4:4:4")


def read_heif_header(path: Path) -> StillStated:
    """What the properties of the primary picture say; coding is its type, av01 or hvc1.

    Raises:
        UnreadableFile: where it is no HEIF with a picture, or damaged.
    """
    where = str(path)
    try:
        data = path.read_bytes()
        file = dict(boxes_in(data, where))
        if "meta" not in file or "mdat" not in file:
            raise UnreadableFile(f"{where}: no picture's boxes; the file is cut short or no AVIF or HEIC")
        meta = dict(boxes_in(file["meta"][_VERSION_BYTES:], where))
        (primary,) = struct.unpack_from(">H", meta["pitm"], _VERSION_BYTES)
        return _stated(_kinds(meta["iinf"], where)[primary], _properties(meta["iprp"], primary, where))
    except (struct.error, IndexError, KeyError) as error:
        raise UnreadableFile(f"{where}: a box is missing or too short ({error}); it is damaged") from error


def _kinds(iinf: bytes, where: str) -> dict[int, str]:
    """Type of every item (infe of version 2)."""
    entries = [body for _, body in boxes_in(iinf[_VERSION_BYTES + 2 :], where)]
    return {struct.unpack_from(">H", body, 4)[0]: body[8:12].decode("latin-1") for body in entries}


def _properties(iprp: bytes, picture: int, where: str) -> dict[str, bytes]:
    """Properties that belong to a picture."""
    boxes = dict(boxes_in(iprp, where))
    known = list(boxes_in(boxes["ipco"], where))
    ipma = boxes["ipma"]
    wide = ipma[3] & 1  # flags: two bytes an association
    (entries,) = struct.unpack_from(">I", ipma, 4)
    position = 8
    for _ in range(entries):
        item, count = struct.unpack_from(">HB", ipma, position)
        position += 3
        width = 2 if wide else 1
        numbers = struct.unpack_from(f">{count}{'H' if wide else 'B'}", ipma, position)
        position += count * width
        if item == picture:
            mask = 0x7FFF if wide else 0x7F  # the highest bit says whether a reader must know it
            return dict(known[(number & mask) - 1] for number in numbers)
    raise UnreadableFile(f"{where}: the picture has no properties; the file is damaged")


def _stated(kind: str, properties: dict[str, bytes]) -> StillStated:
    width, height = struct.unpack_from(">II", properties["ispe"], _VERSION_BYTES)
    bits = properties["pixi"][_VERSION_BYTES + 1 :] if "pixi" in properties else None
    depth, chroma = _configuration(properties)
    return StillStated(
        coding=kind,
        width=width,
        height=height,
        sample_bits=depth,
        significant_bits=tuple(bits) if bits is not None else None,
        chroma=chroma,
        colour=read_colr(properties.get("colr")),
        hdr=HdrMetadata(mastering=read_mdcv(properties.get("mdcv")), light=read_clli(properties.get("clli"))),
        turned=tuple(name for name in _TURNING if name in properties),
    )


def _configuration(properties: dict[str, bytes]) -> tuple[int, str]:
    """Bits of a sample and chroma format, as the coder's configuration has them."""
    if "hvcC" in properties:
        body = properties["hvcC"]
        return (body[17] & 7) + 8, _HEVC_CHROMA[body[16] & 3]
    flags = properties["av1C"][2]
    depth = (12 if flags & 0x20 else 10) if flags & 0x40 else 8
    if flags & 0x10:
        return depth, "4:0:0"
    return depth, {0: "4:4:4", 0x08: "4:2:2", 0x0C: "4:2:0"}.get(flags & 0x0C, "unknown")
