"""Headers of TIFF stills, by a reader of ours (TIFF 6.0, section 2)."""

import struct
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback.stills.stated import StillStated

_WIDTH, _HEIGHT, _BITS, _PHOTOMETRIC, _WORDS, _ORIENTATION = 256, 257, 258, 262, 270, 274
_SAMPLES, _WHITE_POINT, _PRIMARIES, _FORMAT, _PROFILE = 277, 318, 319, 339, 34675
_ORDERS = {b"II*\0": "<", b"MM\0*": ">"}
_BYTE, _ASCII, _SHORT, _LONG, _RATIONAL, _UNDEFINED = 1, 2, 3, 4, 5, 7
_SIZES = {_BYTE: 1, _ASCII: 1, _SHORT: 2, _LONG: 4, _RATIONAL: 8, _UNDEFINED: 1}
_PHOTOMETRICS = {0: "grey", 1: "grey", 2: "RGB", 3: "palette", 5: "CMYK", 6: "YCbCr"}
_UPRIGHT = (1,)
_DECIMALS = 5
_Values = bytes | tuple[int, ...]


def read_tiff_header(path: Path) -> StillStated:
    """What the fields of the first picture say; coding is photometric interpretation and samples a pixel.

    Raises:
        UnreadableFile: where it is no TIFF, or damaged.
    """
    data = path.read_bytes()
    order = _ORDERS.get(data[:4])
    if order is None:
        raise UnreadableFile(f"{path}: it does not begin as a TIFF does")
    try:
        found = _fields(data, order)
        (width,), (height,) = found[_WIDTH], found[_HEIGHT]
        bits, samples = found[_BITS], found.get(_SAMPLES, (1,))
        photometric = _PHOTOMETRICS.get(found[_PHOTOMETRIC][0], "unknown")
    except (struct.error, KeyError, ValueError, ZeroDivisionError) as error:
        raise UnreadableFile(f"{path}: its fields cannot be read ({error}); it is damaged") from error
    words, profile = found.get(_WORDS), found.get(_PROFILE)
    points = (*_ratios(found.get(_PRIMARIES)), *_ratios(found.get(_WHITE_POINT)))
    whole = found.get(_FORMAT, (1,) * len(bits)) == (1,) * len(bits)
    return StillStated(
        coding=f"{photometric} {samples[0]}" if whole else f"{photometric} {samples[0]}, not whole numbers",
        width=width,
        height=height,
        sample_bits=bits[0] if len(set(bits)) == 1 else None,
        chromaticities=points or None,
        words=words.rstrip(b"\0").decode("ascii", "replace") if isinstance(words, bytes) else None,
        profile=profile if isinstance(profile, bytes) else None,
        turned=() if found.get(_ORIENTATION, _UPRIGHT) == _UPRIGHT else ("orientation",),
    )


def _fields(data: bytes, order: str) -> dict[int, _Values]:
    """Fields of the first directory: bytes or text as bytes, numbers in a row, fractions as pairs."""
    (place,) = struct.unpack_from(f"{order}I", data, 4)
    (count,) = struct.unpack_from(f"{order}H", data, place)
    result: dict[int, _Values] = {}
    for index in range(count):
        at = place + 2 + 12 * index
        tag, kind, length = struct.unpack_from(f"{order}HHI", data, at)
        if kind not in _SIZES:
            continue
        size = _SIZES[kind] * length
        start = at + 8 if size <= 4 else struct.unpack_from(f"{order}I", data, at + 8)[0]  # noqa: PLR2004
        if kind in (_BYTE, _ASCII, _UNDEFINED):
            result[tag] = data[start : start + size]
            continue
        numbers = 2 * length if kind == _RATIONAL else length
        result[tag] = struct.unpack_from(f"{order}{numbers}{'H' if kind == _SHORT else 'I'}", data, start)
    return result


def _ratios(pairs: _Values | None) -> tuple[float, ...]:
    """Fractions as decimals."""
    if pairs is None:
        return ()
    return tuple(
        float(f"{above / below:.{_DECIMALS}f}") for above, below in zip(pairs[::2], pairs[1::2], strict=True)
    )
