"""Any video that ffmpeg reads: what is known of it, and the luma of its pictures as it is stored."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from knownlight import ffmpeg, pipes
from knownlight.errors import BadInput, ToolFailed, UnreadableFile
from knownlight.frame.format import Scan
from knownlight.frame.planes import sample_type
from knownlight.readback import mediainfo
from knownlight.readback.stated import Stated
from knownlight.signal import matrix, primaries
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.code_range import CodeRange, Quantisation
from knownlight.signal.encoding import Components, Encoding, Transfer
from knownlight.signal.h273 import TransferCharacteristics

_STREAM = "0:V:0"  # the first track of pictures that is no cover
# pictures whose luma is taken as it is stored
_STORED = (
    "format=pix_fmts=yuv420p|yuv422p|yuv444p|yuvj420p|yuvj422p|yuvj444p|gray|"
    "yuv420p10le|yuv422p10le|yuv444p10le|gray10le|yuv420p12le|yuv422p12le|yuv444p12le|gray12le,extractplanes=y"
)
# R'G'B' and whatever else there is: ffmpeg makes luma of it
_MADE = {
    depth: f"format=yuv444p{ending},extractplanes=y"
    for depth, ending in ((8, ""), (10, "10le"), (12, "12le"))
}
_HEADER = re.compile(rb"YUV4MPEG2 (?P<fields>[^\n]*)\n")
_DEPTHS = {"mono": 8, "mono10": 10, "mono12": 12}
_TRANSFERS: dict[int, Transfer] = {
    TransferCharacteristics.PQ: Transfer.PQ,
    TransferCharacteristics.HLG: Transfer.HLG,
    TransferCharacteristics.SRGB: Transfer.SRGB,
}
_CURVES = {
    Transfer.SDR: "BT.1886",
    Transfer.SRGB: "IEC 61966-2-1 (sRGB)",
    Transfer.PQ: "ST 2084 (PQ)",
    Transfer.HLG: "BT.2100 HLG",
}


class Said(Enum):
    """Where a fact comes from."""

    FILE = "as the file says"
    TAKEN = "taken; the file does not say"


@dataclass(frozen=True, kw_only=True)
class AnyVideo:
    """What is known of a video.

    codec: in MediaInfo's word. width, height, depth, scan: of its pictures as ffmpeg decodes them.
    rate: frames/s; frames: how many; bit_rate: bit/s; each None where MediaInfo cannot say.
    transfer_said, range_said: where what the codes mean comes from. filters: what makes luma of a picture.
    """

    path: Path
    codec: str | None
    width: int
    height: int
    depth: int
    scan: Scan
    rate: Fraction | None
    frames: int | None
    bit_rate: float | None
    transfer: Transfer
    transfer_said: Said
    code_range: CodeRange
    range_said: Said
    filters: str

    @property
    def is_interlaced(self) -> bool:
        """Whether its pictures are made of fields."""
        return self.scan is Scan.INTERLACED

    @property
    def encoding(self) -> Encoding:
        """What its luma codes mean in light, as greys."""
        return Encoding(
            transfer=self.transfer,
            quantisation=Quantisation(depth=self.depth, code_range=self.code_range),
            primaries=primaries.BT709,  # of greys alone: neither these nor the matrix matter
            matrix=matrix.BT709,
            components=Components.YCBCR_420,
        )

    @property
    def light_said(self) -> str:
        """Which light was taken, in words."""
        curve = f"{_CURVES[self.transfer]} ({self.transfer_said.value})"
        made = "; luma made of other components" if self.filters != _STORED else ""
        return f"{curve}, {self.code_range.value} range ({self.range_said.value}){made}"


def open_video(path: Path, stop: ffmpeg.Stop) -> AnyVideo:
    """What is known of a file; its first picture is decoded.

    Raises:
        BadInput: where there is no such file.
        UnreadableFile: where it has no picture that can be decoded.
    """
    if not path.is_file():
        raise BadInput(
            f"{path}: {'it is no file' if path.exists() else 'there is no such file'}; name a video"
        )
    tracks = mediainfo.tracks(path)
    videos = mediainfo.video_tracks(tracks)
    video = videos[0] if videos else {}
    filters, header = _begun(path, tracks, video.get("bit_depth") or 8, stop)
    stated = mediainfo.stated(video) if videos else Stated()
    transfer = stated.preferred_transfer or stated.colour.transfer
    full = header.get("XCOLORRANGE")
    return AnyVideo(
        path=path,
        codec=video.get("format"),
        width=int(header["W"]),
        height=int(header["H"]),
        depth=_DEPTHS[header["C"]],
        scan=Scan.PROGRESSIVE if header.get("I", "p") in "p?" else Scan.INTERLACED,
        rate=stated.rate,
        frames=stated.frames,
        bit_rate=_bit_rate(video),
        transfer=Transfer.SDR if transfer is None else _TRANSFERS.get(transfer, Transfer.SDR),
        transfer_said=Said.TAKEN if transfer is None else Said.FILE,
        code_range=CodeRange.FULL if full == "FULL" else CodeRange.NARROW,
        range_said=Said.TAKEN if full is None else Said.FILE,
        filters=filters,
    )


def _begun(
    path: Path, tracks: Sequence[dict[str, Any]], depth: int, stop: ffmpeg.Stop
) -> tuple[str, dict[str, str]]:
    """Filters that give luma, and what is said of the first picture's; depth: bits, where MediaInfo knows."""
    made = _MADE[min(limit for limit in _MADE if limit >= min(depth, max(_MADE)))]
    words = ""
    for filters in (_STORED, made):
        arguments = [
            *("-v", "error", "-noautorotate", "-i", str(path), "-map", _STREAM, "-frames:v", "1"),
            *("-vf", filters, "-strict", "-1", "-f", "yuv4mpegpipe", "pipe:1"),
        ]
        try:
            output, words = ffmpeg.run(arguments, what=str(path), stop=stop)
        except ToolFailed as error:
            words = str(error).partition("ffmpeg says: ")[2].partition(";")[0]
            continue
        match = _HEADER.match(output)
        if match is not None:
            return filters, _header(match["fields"].decode())
    raise UnreadableFile(_why_not(path, tracks, words.strip().partition("\n")[0]))


def _header(fields: str) -> dict[str, str]:
    """The words of a YUV4MPEG2 header by their letters, `W1920` and `XCOLORRANGE=FULL` alike."""
    found: dict[str, str] = {}
    for word in fields.split():
        name, equals, value = word.partition("=")
        found |= {name: value} if equals else {word[0]: word[1:]}
    return found


def _why_not(path: Path, tracks: Sequence[dict[str, Any]], words: str) -> str:
    kinds = {track["track_type"] for track in tracks}
    if "Audio" in kinds and not mediainfo.video_tracks(tracks):
        return f"{path}: it has sound and no pictures; name a video"
    told = f" (ffmpeg says: {words})" if words else ""
    return f"{path}: no picture of it can be decoded{told}; name a whole video file"


def _bit_rate(video: dict[str, Any]) -> float | None:
    value = video.get("bit_rate")
    return None if value is None else float(value)


def luma_planes(
    video: AnyVideo,
    stop: ffmpeg.Stop,
    *,
    only: int | None = None,
    beside: str = "",
) -> Iterator[PlaneArray]:
    """Luma of every picture in order; (height, width), of the video's own depth and range.

    A plane is valid until the next is asked for.

    Args:
        video: from `open_video`.
        stop: ends it.
        only: the number of the one picture to yield.
        beside: filters that the same decoded pictures go through for what the filters write; empty for none.

    Raises:
        ToolFailed: where ffmpeg ends with an error, or the size changes.
    """
    kind = sample_type(video.depth)
    chosen = ["-frames:v", "1"] if only is not None else []
    filters = video.filters if only is None else f"select=eq(n\\,{only}),{video.filters}"
    second = ["-map", _STREAM, "-vf", beside, "-fps_mode", "passthrough", "-f", "null", "-"]
    arguments = [
        *("-v", "error", "-noautorotate", "-i", str(video.path), *(second if beside else [])),
        *("-map", _STREAM, "-vf", filters, "-fps_mode", "passthrough", *chosen, "-f", "rawvideo"),
    ]
    size = video.width * video.height * np.dtype(kind).itemsize
    what = f"{video.path} could not be decoded"
    for picture in pipes.frames_of(arguments, size, what=what, stop=stop):
        plane: PlaneArray = np.frombuffer(picture, dtype=kind)
        yield plane.reshape(video.height, video.width)
