"""Headers of OpenEXR stills, by a reader of ours (OpenEXR file layout, openexr.com)."""

import struct
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback.stills.stated import StillStated

_MAGIC = bytes.fromhex("762f3101")
_START = 8  # magic number and version
_KINDS = {0: (32, "uint"), 1: (16, "half"), 2: (32, "float")}
_DECIMALS = 5


def read_exr_header(path: Path) -> StillStated:
    """What the attributes say; coding is names and kind of the channels.

    Raises:
        UnreadableFile: where it is no OpenEXR file, or damaged.
    """
    data = path.read_bytes()
    if data[:4] != _MAGIC:
        raise UnreadableFile(f"{path}: it does not begin as an OpenEXR file does")
    try:
        attributes = _attributes(data)
        left, top, right, bottom = struct.unpack("<4i", attributes["dataWindow"])
        names, kinds = _channels(attributes["channels"])
        bits, kind = _KINDS[kinds.pop()] if len(kinds) == 1 else (None, "mixed")
    except (struct.error, ValueError, KeyError) as error:
        raise UnreadableFile(f"{path}: its header cannot be read ({error}); it is damaged") from error
    points = attributes.get("chromaticities")
    white = attributes.get("whiteLuminance")
    words = attributes.get("comments")
    return StillStated(
        coding=f"{' '.join(names)} {kind}",
        width=right - left + 1,
        height=bottom - top + 1,
        sample_bits=bits,
        chromaticities=_rounded(struct.unpack("<8f", points)) if points else None,
        white_luminance=struct.unpack("<f", white)[0] if white else None,
        words=words.decode("ascii", "replace") if words else None,
        turned=("window",) if (left, top) != (0, 0) or _differs(attributes) else (),
    )


def _attributes(data: bytes) -> dict[str, bytes]:
    """Values by name: name, type, size and value until an empty name."""
    result: dict[str, bytes] = {}
    position = _START
    while data[position]:
        name_end = data.index(0, position)
        type_end = data.index(0, name_end + 1)
        (size,) = struct.unpack_from("<i", data, type_end + 1)
        result[data[position:name_end].decode("latin-1")] = data[type_end + 5 : type_end + 5 + size]
        position = type_end + 5 + size
    return result


def _channels(body: bytes) -> tuple[list[str], set[int]]:
    """Names of the channels, and the kinds of number there are."""
    names: list[str] = []
    kinds: set[int] = set()
    position = 0
    while body[position]:
        end = body.index(0, position)
        names.append(body[position:end].decode("latin-1"))
        kinds.add(struct.unpack_from("<i", body, end + 1)[0])
        position = end + 17  # kind, linearity and two samplings
    return names, kinds


def _differs(attributes: dict[str, bytes]) -> bool:
    """Whether another window than that of the data is to be shown, or pixels that are not square."""
    square = struct.pack("<f", 1.0)
    return attributes["displayWindow"] != attributes["dataWindow"] or (
        attributes.get("pixelAspectRatio", square) != square
    )


def _rounded(values: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(float(f"{value:.{_DECIMALS}f}") for value in values)
