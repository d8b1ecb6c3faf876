"""PNG stills of 16 bits a sample that say what their codes mean: cICP, mDCV, cLLI, sBIT.

W3C PNG third edition. The chunks are written here because no library at hand writes them rightly: Pillow
has no 16-bit RGB, and ffmpeg's mDCV chunk is corrupt.
"""

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from knownlight.errors import BadInput
from knownlight.frame.claims import LightLevels
from knownlight.frame.planes import Frame
from knownlight.metadata.light import LUMINANCE_UNITS, HdrMetadata
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components

NAME = "png"
SUFFIX = ".png"
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_SAMPLE_BITS = 16
_LARGEST_SAMPLE = (1 << _SAMPLE_BITS) - 1
_TRUECOLOUR = 2
_UP_FILTER = 2  # each row as the difference from the one above: flat and ramped rows become zeros
_COMPRESSION = 6


def write_png(frame: Frame, hdr: HdrMetadata, light: LightLevels, to: Path) -> None:
    """Write a frame of R', G', B' codes.

    Codes of fewer bits are widened so that the shift of sBIT gives them back: full range by linear scaling
    (PNG clause 12.4), narrow range by a power of two.

    Raises:
        BadInput: where the frame is not R'G'B'.
    """
    signal = frame.signal
    if signal.components is not Components.RGB:
        raise BadInput(f"{to.name}: a PNG holds R'G'B' codes, not {signal.components.value}")
    full_range = signal.code_range is CodeRange.FULL
    primaries, transfer, matrix = signal.code_points
    with to.open("wb") as file:
        file.write(_SIGNATURE)
        header = struct.pack(">IIBBBBB", signal.width, signal.height, _SAMPLE_BITS, _TRUECOLOUR, 0, 0, 0)
        file.write(_chunk(b"IHDR", header))
        file.write(_chunk(b"cICP", bytes((primaries, transfer, matrix, int(full_range)))))
        if hdr.mastering is not None:
            m = hdr.mastering
            points = (*m.red, *m.green, *m.blue, *m.white)
            file.write(_chunk(b"mDCV", struct.pack(">8H2I", *points, m.max_luminance, m.min_luminance)))
        if hdr.light is not None:
            levels = (_units(light.max_cll), _units(light.max_fall))
            file.write(_chunk(b"cLLI", struct.pack(">2I", *levels)))
        file.write(_chunk(b"sBIT", bytes((signal.depth,) * 3)))
        for part in _compressed(frame):
            file.write(_chunk(b"IDAT", part))
        file.write(_chunk(b"IEND", b""))


def _units(level: float) -> int:
    """The chunk counts 0.0001 cd/m²; rounded up, as an upper bound must be, and never 0: that is unknown."""
    return max(1, int(np.ceil(level * LUMINANCE_UNITS - 1e-6)))


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def _widened(plane: PlaneArray, depth: int, code_range: CodeRange) -> PlaneArray:
    """Codes as 16-bit samples."""
    if code_range is CodeRange.NARROW:
        return np.left_shift(plane.astype(np.uint16), np.uint16(_SAMPLE_BITS - depth))
    largest = (1 << depth) - 1
    table = (np.arange(largest + 1, dtype=np.int64) * _LARGEST_SAMPLE * 2 + largest) // (2 * largest)
    samples: PlaneArray = table.astype(np.uint16)[plane]
    return samples


def _compressed(frame: Frame) -> Iterator[bytes]:
    """Filtered rows, compressed; a stripe at a time, so that an 8K picture needs little memory."""
    signal = frame.signal
    squeezer = zlib.compressobj(_COMPRESSION)
    above = np.zeros((1, signal.width * 6), dtype=np.uint8)
    for row in range(0, signal.height, 64):
        widened = [_widened(plane[row : row + 64], signal.depth, signal.code_range) for plane in frame.planes]
        samples = np.ascontiguousarray(np.stack(widened, axis=-1).astype(">u2"))
        rows = samples.view(np.uint8).reshape(samples.shape[0], -1)
        filtered = np.empty((rows.shape[0], rows.shape[1] + 1), dtype=np.uint8)
        filtered[:, 0] = _UP_FILTER
        filtered[:, 1:] = rows - np.concatenate([above, rows[:-1]])  # bytes wrap, as PNG wants
        above = rows[-1:]
        part = squeezer.compress(filtered.tobytes())
        if part:
            yield part
    yield squeezer.flush()
