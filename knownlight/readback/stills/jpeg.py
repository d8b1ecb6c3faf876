"""Headers of JPEG stills, by a reader of ours (ITU-T T.81 Annex B, T.871 for JFIF, ICC.1 Annex B.4)."""

import struct
from collections.abc import Iterator
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.readback.stills.stated import StillStated

_START, _END, _SCAN = 0xD8, 0xD9, 0xDA
_FRAMES = {0xC0: "baseline", 0xC1: "extended", 0xC2: "progressive"}
_JFIF, _ICC = b"JFIF\0", b"ICC_PROFILE\0"
_APP0, _APP2 = 0xE0, 0xE2
_BT601 = ColourDescription(matrix=5, full_range=1)  # what JFIF's Y'CbCr is, in H.273's integers
_SAMPLINGS: dict[tuple[tuple[int, int], ...], str] = {
    ((1, 1), (1, 1), (1, 1)): "4:4:4",
    ((2, 2), (1, 1), (1, 1)): "4:2:0",
    ((2, 1), (1, 1), (1, 1)): "4:2:2",
}


def read_jpeg_header(path: Path) -> StillStated:
    """What the segments before the picture say; coding is the kind of frame, and JFIF where it says so.

    Raises:
        UnreadableFile: where it is no JPEG, or damaged.
    """
    data = path.read_bytes()
    if data[:2] != bytes((0xFF, _START)):
        raise UnreadableFile(f"{path}: it does not begin as a JPEG does")
    if data[-2:] != bytes((0xFF, _END)):
        raise UnreadableFile(f"{path}: it does not end as a JPEG does; it is cut short")
    try:
        segments = list(_segments(data))
        frames = [(kind, body) for kind, body in segments if kind in _FRAMES]
        (kind, frame), *_ = frames
        bits, height, width, count = struct.unpack_from(">BHHB", frame)
        factors = tuple((frame[7 + 3 * i] >> 4, frame[7 + 3 * i] & 15) for i in range(count))
    except (struct.error, IndexError, ValueError) as error:
        raise UnreadableFile(f"{path}: its segments cannot be read ({error}); it is damaged") from error
    is_jfif = any(kind == _APP0 and body.startswith(_JFIF) for kind, body in segments)
    profile = b"".join(
        body[len(_ICC) + 2 :] for kind, body in segments if kind == _APP2 and body.startswith(_ICC)
    )
    return StillStated(
        coding=f"{_FRAMES[kind]}{', JFIF' if is_jfif else ''}",
        width=width,
        height=height,
        sample_bits=bits,
        chroma=_SAMPLINGS.get(factors, str(factors)),
        colour=_BT601 if is_jfif else ColourDescription(),
        profile=profile or None,
    )


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Marker segments until the first scan."""
    position = 2
    while True:
        marker, kind, size = struct.unpack_from(">BBH", data, position)
        if marker != 0xFF:  # noqa: PLR2004
            raise ValueError(f"no marker at byte {position}")
        if kind == _SCAN:
            return
        yield kind, data[position + 4 : position + 2 + size]
        position += 2 + size
