"""PNG stills that say what their codes mean: cICP, mDCV, cLLI, sBIT, and sRGB.

W3C PNG third edition. Codes of 8 bits are stored in 8, longer ones in 16. The chunks are written here because
no library at hand writes them rightly: Pillow has no 16-bit RGB, and ffmpeg's mDCV chunk is corrupt.
"""

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from knownlight.encode.stills.delivery import StillOrder, refuse_components
from knownlight.encode.stills.samples import sample_bits, widened
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame
from knownlight.metadata.light import LUMINANCE_UNITS
from knownlight.signal.code_range import DEPTHS, CodeRange
from knownlight.signal.encoding import Transfer

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_TRUECOLOUR = 2
_RELATIVE_COLORIMETRIC = 1  # rendering intent of the sRGB chunk: colours as they are
_UP_FILTER = 2  # each row as the difference from the one above: flat and ramped rows become zeros
_COMPRESSION = 6


@dataclass(frozen=True)
class Png:
    """Samples of 8 or 16 bits; the only still that can state narrow range."""

    name: str = "png"
    suffixes: tuple[str, ...] = (".png",)
    codec: str = "PNG"
    bits: tuple[int, ...] = DEPTHS
    error_limit: int = 0
    exactness: str = "exact; declares range, kind of signal and HDR metadata"

    def why_not_here(self) -> str:
        """It can be made everywhere."""
        return ""

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse other codes than R'G'B'."""
        refuse_components(self.name, signal)

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the chunks in the order that the standard asks for."""
        signal, hdr = order.signal, order.hdr
        self.refuse(signal)
        full_range = signal.code_range is CodeRange.FULL
        primaries, transfer, matrix = signal.code_points
        with to.open("wb") as file:
            file.write(_SIGNATURE)
            size = struct.pack(">II", signal.width, signal.height)
            file.write(_chunk(b"IHDR", size + bytes((sample_bits(signal), _TRUECOLOUR, 0, 0, 0))))
            file.write(_chunk(b"cICP", bytes((primaries, transfer, matrix, int(full_range)))))
            if signal.transfer is Transfer.SRGB:  # for readers that do not know cICP
                file.write(_chunk(b"sRGB", bytes((_RELATIVE_COLORIMETRIC,))))
            if hdr.mastering is not None:
                m = hdr.mastering
                points = (*m.red, *m.green, *m.blue, *m.white)
                file.write(_chunk(b"mDCV", struct.pack(">8H2I", *points, m.max_luminance, m.min_luminance)))
            if hdr.light is not None:
                levels = (_units(order.light.max_cll), _units(order.light.max_fall))
                file.write(_chunk(b"cLLI", struct.pack(">2I", *levels)))
            file.write(_chunk(b"sBIT", bytes((signal.depth,) * 3)))
            for part in _compressed(order.frame):
                file.write(_chunk(b"IDAT", part))
            file.write(_chunk(b"IEND", b""))


def _units(level: float) -> int:
    """The chunk counts 0.0001 cd/m²; rounded up, as an upper bound must be, and never 0: that is unknown."""
    return max(1, int(np.ceil(level * LUMINANCE_UNITS - 1e-6)))


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def _compressed(frame: Frame) -> Iterator[bytes]:
    """Filtered rows, compressed; a stripe at a time, so that an 8K picture needs little memory."""
    signal = frame.signal
    stored = f">u{sample_bits(signal) // 8}"
    squeezer = zlib.compressobj(_COMPRESSION)
    above = np.zeros((1, signal.width * 3 * np.dtype(stored).itemsize), dtype=np.uint8)
    for row in range(0, signal.height, 64):
        stripe = [widened(plane[row : row + 64], signal) for plane in frame.planes]
        samples = np.ascontiguousarray(np.stack(stripe, axis=-1).astype(stored))
        rows = samples.view(np.uint8).reshape(samples.shape[0], -1)
        filtered = np.empty((rows.shape[0], rows.shape[1] + 1), dtype=np.uint8)
        filtered[:, 0] = _UP_FILTER
        filtered[:, 1:] = rows - np.concatenate([above, rows[:-1]])  # bytes wrap, as PNG wants
        above = rows[-1:]
        part = squeezer.compress(filtered.tobytes())
        if part:
            yield part
    yield squeezer.flush()
