"""Decoding to integer planes, by ffmpeg's own decoders; no conversion of format, size or rate."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np

from knownlight import ffmpeg, pipes
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Planes, plane_shapes, sample_type


def decoded_planes(
    path: Path,
    signal: SignalFormat,
    frames: int,
    stop: ffmpeg.Stop,
    *,
    start: int = 0,
    entry: int | None = None,
) -> Iterator[Planes]:
    """`frames` pictures of a clip from the number `start` on, in order, as planes of codes.

    The planes are valid until the next picture is asked for.

    entry: of a stream without an index, the byte from which picture `start` is the first.

    Raises:
        ToolFailed: where the file does not decode, or to pictures of another size or depth.
    """
    shapes, kind = plane_shapes(signal), sample_type(signal.depth)
    counts = [rows * columns for rows, columns in shapes]
    size = sum(counts) * np.dtype(kind).itemsize
    # half a frame early: no rounding of times can then take the one before or the one after
    seek = ["-ss", f"{float((start - Fraction(1, 2)) / signal.rate):.6f}"] if start else []
    source = ["-i", str(path)]
    if entry is not None and start:
        seek, source = [], ["-i", f"subfile,,start,{entry},end,0,,:{path}"]
    arguments = [
        *("-v", "error", "-xerror", "-err_detect", "explode"),
        *("-threads", "2", "-thread_type", "slice", "-noautorotate", *seek, *source, "-map", "0:v:0"),
        # short queues: ffmpeg would hold two dozen pictures where the reader is slower than the decoder
        *("-frames:v", str(frames), "-fps_mode", "passthrough", "-thread_queue_size", "1", "-f", "rawvideo"),
    ]
    for picture in pipes.frames_of(arguments, size, what=f"{path} could not be decoded", stop=stop):
        samples = np.frombuffer(picture, dtype=kind)
        luma, first, second = np.split(samples, [counts[0], counts[0] + counts[1]])
        yield luma.reshape(shapes[0]), first.reshape(shapes[1]), second.reshape(shapes[2])
