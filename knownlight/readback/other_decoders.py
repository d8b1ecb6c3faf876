"""Decoding by decoders that share no code with ffmpeg's own: each reads an elementary stream.

The stream is copied out of its container by ffmpeg, without decoding. HEVC, AVC, AV1 and VP9 are bit-exact by
their standards, so every decoder must give the same samples. MPEG-2 is not: a decoder's inverse transform may
differ from the ideal one by a code in each picture (`INVERSE_TRANSFORM_ERROR`).
"""

import tempfile
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from io import BufferedIOBase
from pathlib import Path

import numpy as np

from knownlight import ffmpeg
from knownlight.errors import ToolFailed
from knownlight.frame.format import Scan, SignalFormat
from knownlight.frame.planes import Planes, plane_shapes, sample_type
from knownlight.readback.tools import Tool, output_of

# Peak error of a sample of a conforming inverse DCT: IEEE 1180-1990, clause 3.3 (a), and ISO/IEC 23002-1,
# which ISO/IEC 13818-2 Annex A asks for; from memory.
INVERSE_TRANSFORM_ERROR = 1

_STREAM = "stream"
_MACROBLOCK = 16
_SEQUENCE_END = b"\0\0\1\xb7"  # sequence_end_code, ISO/IEC 13818-2 Table 6-1


@dataclass(frozen=True, kw_only=True)
class Decoder:
    """A decoder as a program.

    codec: what it decodes. muxer: ffmpeg's name of the elementary stream. closing: bytes that end the stream;
    a decoder may wait for them with its last pictures. arguments: that make it write the planes of `stream`
    to its standard output. pictures: cuts that output. bit_exact: whether the standard lets no sample differ.
    scans: those it gives whole frames of.
    """

    tool: Tool
    codec: str
    muxer: str
    arguments: tuple[str, ...]
    pictures: Callable[[BufferedIOBase, SignalFormat], Iterator[Planes]]
    closing: bytes = b""
    bit_exact: bool = True
    scans: frozenset[Scan] = frozenset({Scan.PROGRESSIVE})

    def decoded(
        self, path: Path, signal: SignalFormat, *, first: int, count: int, stop: ffmpeg.Stop
    ) -> Generator[Planes, None, None]:
        """`count` pictures of a clip from the number `first` on, in order, as planes of codes.

        The first must be a place to start decoding. The planes are valid until the next picture is asked
        for.

        Raises:
            ToolFailed: where the decoder is absent, fails, or gives pictures of another size or depth.
        """
        what = f"{path}: it could not be decoded"
        with tempfile.TemporaryDirectory(prefix="knownlight-") as name:
            folder = Path(name)
            self._copy_out(path, folder / _STREAM, first, count, stop)
            command = [self.tool.needed, *self.arguments]
            with output_of(command, folder=folder, what=what, stop=stop) as output:
                try:
                    yield from self.pictures(output, signal)
                except _OtherPictures:
                    raise ToolFailed(f"{what}: its pictures are not of the expected size or depth") from None

    def _copy_out(self, path: Path, to: Path, first: int, count: int, stop: ffmpeg.Stop) -> None:
        """Write the elementary stream; packets are counted, because containers find times only roughly."""
        wanted = f"noise=drop='lt(n,{first})+gte(n,{first + count})'"
        ffmpeg.run(
            [
                *("-v", "error", "-i", str(path), "-map", "0:v:0", "-c", "copy", "-bsf:v", wanted),
                *("-f", self.muxer, str(to)),
            ],
            what=f"{path}: its pictures could not be copied out",
            stop=stop,
        )
        with to.open("ab") as file:
            file.write(self.closing)


class _OtherPictures(Exception):
    """What a decoder wrote cannot be cut into pictures of the signal."""


def _raw(output: BufferedIOBase, signal: SignalFormat) -> Iterator[Planes]:
    """Planes one after the other: a sample is a byte at 8 bits, else two, little endian."""
    shapes = plane_shapes(signal)
    kind = np.dtype(sample_type(signal.depth)).newbyteorder("<")
    counts = [rows * columns for rows, columns in shapes]
    buffer = bytearray(sum(counts) * kind.itemsize)
    while filled := output.readinto(buffer):
        if filled < len(buffer):
            raise _OtherPictures
        luma, first, second = np.split(np.frombuffer(buffer, kind), [counts[0], counts[0] + counts[1]])
        yield luma.reshape(shapes[0]), first.reshape(shapes[1]), second.reshape(shapes[2])


def _grey_maps(output: BufferedIOBase, signal: SignalFormat) -> Iterator[Planes]:
    """Grey maps (PGM) of whole macroblocks: the luma rows, then Cb and Cr side by side."""
    (height, width), (rows, columns), _ = plane_shapes(signal)
    while output.readline() == b"P5\n":
        coded_width, coded_rows = map(int, output.readline().split())
        output.readline()  # the largest sample
        coded_height = coded_rows * 2 // 3
        if not (0 <= coded_width - width < _MACROBLOCK and 0 <= coded_height - height < 2 * _MACROBLOCK):
            raise _OtherPictures
        data = output.read(coded_width * coded_rows)
        if len(data) < coded_width * coded_rows:
            raise _OtherPictures
        picture = np.frombuffer(data, np.uint8).reshape(coded_rows, coded_width)
        chroma = picture[coded_height : coded_height + rows]
        right = coded_width // 2
        yield picture[:height, :width], chroma[:, :columns], chroma[:, right : right + columns]


LIBDE265 = Decoder(
    tool=Tool(programs=("libde265-dec265", "dec265"), package="libde265-examples", asks_version=("--help",)),
    codec="hevc",
    muxer="hevc",
    arguments=("-q", "-t", "2", "-o", "/dev/stdout", _STREAM),
    pictures=_raw,
)
OPENH264 = Decoder(
    tool=Tool(
        programs=("gst-launch-1.0",),
        package="gstreamer1.0-tools and gstreamer1.0-plugins-bad",
        asks_version=("--gst-version",),
        version_of="by GStreamer ",
        version_mark="version",
        elements=("h264parse", "openh264dec"),
    ),
    codec="avc",
    muxer="h264",
    arguments=(
        *("-q", "filesrc", f"location={_STREAM}", "!", "h264parse", "!", "openh264dec"),
        *("!", "video/x-raw,format=I420", "!", "fdsink", "fd=1"),
    ),
    pictures=_raw,
)
DAV1D = Decoder(
    tool=Tool(programs=("dav1d",), package="dav1d", asks_version=("--version",)),
    codec="av1",
    muxer="ivf",
    arguments=("-q", "--threads", "2", "--muxer", "yuv", "-o", "-", "-i", _STREAM),
    pictures=_raw,
)
LIBAOM = Decoder(
    tool=Tool(programs=("aomdec",), package="aom-tools", asks_version=("--help",), version_mark="Decoder v"),
    codec="av1",
    muxer="ivf",
    arguments=("--rawvideo", "-t", "2", "-o", "-", _STREAM),
    pictures=_raw,
)
LIBVPX = Decoder(
    tool=Tool(
        programs=("vpxdec",), package="vpx-tools", asks_version=("--help",), version_mark="VP9 Decoder v"
    ),
    codec="vp9",
    muxer="ivf",
    arguments=("--rawvideo", "-t", "2", "-o", "-", _STREAM),
    pictures=_raw,
)
LIBMPEG2 = Decoder(
    tool=Tool(programs=("mpeg2dec",), package="mpeg2dec", asks_version=("-h",)),
    codec="mpeg2",
    muxer="mpeg2video",
    # in C: the machine code's inverse transform strays further
    arguments=("-c", "-o", "pgmpipe", _STREAM),
    pictures=_grey_maps,
    closing=_SEQUENCE_END,
    bit_exact=False,
    scans=frozenset(Scan),
)
