"""Headers of JPEG XL stills, from the codestream itself.

ISO/IEC 18181-1 (size and image metadata, clause D; from memory) and 18181-2 (boxes); the tests hold it
against jxlinfo.
"""

import struct
from dataclasses import replace
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.readback.boxes import boxes_in
from knownlight.readback.stills.stated import StillStated

_CONTAINER = bytes.fromhex("0000000c 4a584c20 0d0a870a")
_CODESTREAM = b"\xff\x0a"
_RATIOS = {1: (1, 1), 2: (12, 10), 3: (4, 3), 4: (3, 2), 5: (16, 9), 6: (5, 4), 7: (2, 1)}
_RGB, _XYB = 0, 2
_D65 = 1
_CUSTOM = 2
_P3, _H273_P3 = 11, 12  # the one number of primaries that is not that of H.273
_USUAL_TARGET = 255.0  # cd/m²
_SRGB = ColourDescription(primaries=1, transfer=13, matrix=0, full_range=1)
_Choice = tuple[int, int]  # a base, and how many bits are added to it
_LENGTHS: tuple[_Choice, ...] = ((1, 9), (1, 13), (1, 18), (1, 30))
_DEPTHS: tuple[_Choice, ...] = ((8, 0), (10, 0), (12, 0), (1, 6))
_FLOAT_DEPTHS: tuple[_Choice, ...] = ((32, 0), (16, 0), (24, 0), (1, 6))


class _Bits:
    """Bits of a codestream, lowest first."""

    def __init__(self, data: bytes) -> None:
        self._value = int.from_bytes(data, "little")
        self._left = 8 * len(data)

    def take(self, count: int) -> int:
        """The next bits as a number."""
        self._left -= count
        if self._left < 0:
            raise IndexError("the header ends early")
        value = self._value & ((1 << count) - 1)
        self._value >>= count
        return value

    def chosen(self, *choices: _Choice) -> int:
        """A number by one of four choices (U32)."""
        base, bits = choices[self.take(2)]
        return base + self.take(bits)

    def enumerated(self) -> int:
        return self.chosen((0, 0), (1, 0), (2, 4), (18, 6))

    def half(self) -> float:
        """A number of 16 bits in floating point."""
        return float(struct.unpack("<e", self.take(16).to_bytes(2, "little"))[0])


def read_jxl_header(path: Path) -> StillStated:
    """What the codestream says.

    Raises:
        UnreadableFile: where it is no JPEG XL still of plain RGB, or damaged.
    """
    try:
        data = _codestream(path)
        if data[:2] != _CODESTREAM:
            raise UnreadableFile(f"{path}: it does not begin as a JPEG XL does")
        return _stated(_Bits(data[2:200]), path)
    except (IndexError, KeyError, struct.error) as error:
        raise UnreadableFile(f"{path}: its header cannot be read ({error}); it is damaged") from error


def _codestream(path: Path) -> bytes:
    """The codestream, or its first part, out of the container where there is one."""
    data = path.read_bytes()
    if not data.startswith(_CONTAINER):
        return data
    for kind, body in boxes_in(data, str(path)):
        if kind == "jxlc":
            return body
        if kind == "jxlp":
            return body[4:]  # after the part's number
    raise UnreadableFile(f"{path}: no codestream in it; the file is cut short")


def _size(bits: _Bits) -> tuple[int, int]:
    small = bits.take(1)
    height = 8 * (1 + bits.take(5)) if small else bits.chosen(*_LENGTHS)
    ratio = bits.take(3)
    if ratio:
        across, down = _RATIOS[ratio]
        return height * across // down, height
    return 8 * (1 + bits.take(5)) if small else bits.chosen(*_LENGTHS), height


def _stated(bits: _Bits, path: Path) -> StillStated:
    width, height = _size(bits)
    size = StillStated(width=width, height=height, coding="XYB", intensity_target=_USUAL_TARGET)
    if bits.take(1):  # all as usual: 8 bits, XYB, sRGB
        return replace(size, sample_bits=8, colour=_SRGB)
    has_extra = bits.take(1)
    is_upright = not has_extra or bits.take(3) == 0
    if has_extra and bits.take(3):
        raise UnreadableFile(f"{path}: it holds a preview, an animation or a size of its own to be shown")
    is_float = bits.take(1)
    depth = bits.chosen(*(_FLOAT_DEPTHS if is_float else _DEPTHS))
    bits.take(4 * is_float + 1)  # exponent's bits, and whether 16-bit buffers are enough
    if bits.chosen((0, 0), (1, 0), (2, 4), (1, 12)):
        raise UnreadableFile(f"{path}: it holds more than three colours")
    is_xyb = bits.take(1)
    return replace(
        size,
        coding="XYB" if is_xyb else "float RGB" if is_float else "RGB",
        sample_bits=depth,
        colour=_colour(bits, path),
        intensity_target=_target(bits) if has_extra else _USUAL_TARGET,
        turned=() if is_upright else ("orientation",),
    )


def _colour(bits: _Bits, path: Path) -> ColourDescription:
    """The enumerated colour encoding; nothing of one that has no H.273 integers."""
    if bits.take(1):
        return _SRGB
    if bits.take(1):
        raise UnreadableFile(f"{path}: its colour is an ICC profile")
    if bits.enumerated() != _RGB or bits.enumerated() != _D65:
        raise UnreadableFile(f"{path}: its colour is not RGB with a white of D65")
    primaries = bits.enumerated()
    if primaries == _CUSTOM or bits.take(1):
        raise UnreadableFile(f"{path}: its primaries or its curve are numbers of its own")
    transfer = bits.enumerated()
    bits.enumerated()  # rendering intent
    return ColourDescription(
        primaries=_H273_P3 if primaries == _P3 else primaries, transfer=transfer, matrix=0, full_range=1
    )


def _target(bits: _Bits) -> float:
    """Brightest light of the tone mapping, cd/m²."""
    return _USUAL_TARGET if bits.take(1) else bits.half()
