"""Samples of picture files, each by a library that did not write the file; nothing is converted.

ffmpeg's own decoders (dav1d for AV1), libtiff for what tifffile wrote, and for what ffmpeg's libjxl wrote
another build of libjxl.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knownlight import ffmpeg
from knownlight.errors import ToolFailed, UnreadableFile
from knownlight.frame.format import SignalFormat

Samples = NDArray[np.generic]  # uint8, uint16 or float32
Read = Callable[[Path, SignalFormat, ffmpeg.Stop], Samples]


def interleaved_by_ffmpeg(stored: dict[int, str]) -> Read:
    """A reader of samples that lie R, G, B a pixel; `stored` is their numpy type by the signal's depth."""

    def read(path: Path, signal: SignalFormat, stop: ffmpeg.Stop) -> Samples:
        flat = _decoded(path, np.dtype(stored[signal.depth]), signal, stop)
        return flat.reshape(signal.height, signal.width, 3)

    return read


def planes_by_ffmpeg(stored: dict[int, str], order: tuple[int, int, int]) -> Read:
    """A reader of samples that lie plane after plane; `order` has the places of the three to give."""

    def read(path: Path, signal: SignalFormat, stop: ffmpeg.Stop) -> Samples:
        flat = _decoded(path, np.dtype(stored[signal.depth]), signal, stop)
        planes = flat.reshape(3, signal.height, signal.width)[list(order)]
        return np.asarray(np.moveaxis(planes, 0, -1))

    return read


def _decoded(path: Path, kind: np.dtype[np.generic], signal: SignalFormat, stop: ffmpeg.Stop) -> Samples:
    output, _ = ffmpeg.run(
        [
            *("-v", "error", "-xerror", "-err_detect", "explode", "-noautorotate", "-i", str(path)),
            *("-map", "0:v:0", "-noautoscale", "-f", "rawvideo", "pipe:1"),
        ],
        what=f"{path} could not be decoded",
        stop=stop,
    )
    if len(output) != signal.width * signal.height * 3 * kind.itemsize:
        raise ToolFailed(
            f"{path}: it decodes to another size or depth than {signal.width}x{signal.height}, {kind}"
        )
    return np.frombuffer(output, dtype=kind)


def by_libtiff(path: Path, signal: SignalFormat, _stop: ffmpeg.Stop) -> Samples:
    """Samples of a TIFF."""
    import imagecodecs  # noqa: PLC0415 - slow to import

    return _of_library(path, signal, imagecodecs.tiff_decode)


def by_libjxl(path: Path, signal: SignalFormat, _stop: ffmpeg.Stop) -> Samples:
    """Samples of a JPEG XL."""
    import imagecodecs  # noqa: PLC0415 - slow to import

    return _of_library(path, signal, imagecodecs.jpegxl_decode)


def _of_library(path: Path, signal: SignalFormat, decode: Callable[[bytes], Samples]) -> Samples:
    try:
        samples = decode(path.read_bytes())
    except (RuntimeError, ValueError) as error:  # what the libraries raise
        raise UnreadableFile(f"{path}: it could not be decoded ({error}); it is damaged") from error
    if samples.shape != (signal.height, signal.width, 3):
        raise ToolFailed(
            f"{path}: it decodes to samples of shape {samples.shape}, not {signal.width}x{signal.height}"
        )
    return samples
