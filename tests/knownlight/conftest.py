"""Clips of every codec and container, made by ffmpeg alone, for readers that are not the writer."""

import os
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import imageio_ffmpeg
import numpy as np
import pytest

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Planes, plane_shapes, sample_type
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay

PICTURES = 12
WIDTH, HEIGHT = 320, 184  # no multiple of 16: coded pictures are cropped
P3_1000 = HdrMetadata(
    mastering=MasteringDisplay(
        red=(34_000, 16_000), green=(13_250, 34_500), blue=(7_500, 3_000), white=(15_635, 16_450),
        max_luminance=10_000_000, min_luminance=50,
    ),
    light=ContentLight(max_cll=1_000, max_fall=400),
)  # fmt: skip

_DECLARED = (
    "-mastering_display G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50) "
    "-content_light 1000,400 "
)
_SIGNALS = {
    "pq": ("60000/1001", "yuv420p10le", "bt2020", "smpte2084", "bt2020nc", "topleft"),
    "hlg": ("50", "yuv420p10le", "bt2020", "arib-std-b67", "bt2020nc", "topleft"),
    "sdr": ("25", "yuv420p", "bt709", "bt709", "bt709", "left"),
}
# SDR of full range, and of pixels that are not square
_SIGNALS |= {"full": _SIGNALS["sdr"], "wide": _SIGNALS["sdr"]}
_WRITTEN = {"pq": "720p59.94-pq", "hlg": "720p50-hlg", "sdr": "720p25-sdr"}
_CODERS = {
    # lossless streams are level 8.5 otherwise, for which no reader has a word
    "hevc": "-c:v libx265 -x265-params "
    "log-level=none:lossless=1:keyint=6:min-keyint=6:open-gop=0:bframes=0:pools=1:repeat-headers=1 "
    "-bsf:v hevc_metadata=level=2",
    "avc": "-c:v libx264 -profile:v high -g 6 -bf 0 -threads 1",
    "av1": "-c:v libsvtav1 -preset 9 -g 6 -svtav1-params lossless=1:lp=1",
    "vp9": "-c:v libvpx-vp9 -lossless 1 -g 6 -threads 1",
    "mpeg2": "-c:v mpeg2video -g 6 -bf 0 -b:v 8M -seq_disp_ext always",
}


def signal_of(kind: str) -> SignalFormat:
    """The signal format of a clip named CODEC-TRANSFER.ENDING."""
    written = _WRITTEN[kind.partition(".")[0].partition("-")[2]]
    return replace(parse_signal_format(written), width=WIDTH, height=HEIGHT)


def _source(transfer: str) -> list[str]:
    rate, layout, primaries, curve, matrix, location = _SIGNALS[transfer]
    full, wide = transfer == "full", transfer == "wide"
    colour = f"color_primaries={primaries}:color_trc={curve}:colorspace={matrix}:chroma_location={location}"
    return [
        *(_DECLARED if transfer == "pq" else "").split(),
        *("-f", "lavfi", "-i", f"testsrc2=s={WIDTH}x{HEIGHT}:r={rate}", "-frames:v", str(PICTURES)),
        *(
            "-vf",
            f"format={layout},setparams=range={'full' if full else 'limited'}:field_mode=prog:{colour},"
            f"setsar={'32/27' if wide else '1'}",
        ),
    ]


def _ffmpeg(*arguments: str) -> bytes:
    finished = subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-nostdin", "-y", *arguments],
        capture_output=True,
        check=False,
        env={**os.environ, "SVT_LOG": "1"},  # SVT-AV1 tells of itself on standard error otherwise
    )
    assert (0, "") == (finished.returncode, finished.stderr.decode())
    return finished.stdout


@pytest.fixture(scope="session")
def kind_of_clip(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """A clip by CODEC-TRANSFER.ENDING, twelve pictures in two closed groups, made once a session.

    HEVC and VP9 are lossless. All of PQ declare a mastering display with P3 primaries and light levels.
    """
    folder = tmp_path_factory.mktemp("kinds")

    def make(kind: str) -> Path:
        path = folder / kind
        if not path.exists():
            codec, transfer = path.stem.split("-")
            tag = ["-tag:v", "hvc1"] if codec == "hevc" and path.suffix == ".mp4" else []
            profile = ["-profile:v", "2"] if codec == "vp9" and _SIGNALS[transfer][1] != "yuv420p" else []
            _ffmpeg(*_source(transfer), *_CODERS[codec].split(), *profile, *tag, str(path))
        return path

    return make


@pytest.fixture(scope="session")
def source_pictures() -> Callable[[str], list[Planes]]:
    """The pictures that a clip was made of, as planes, without any coder between."""

    def pictures(kind: str) -> list[Planes]:
        signal = signal_of(kind)
        transfer = kind.partition(".")[0].partition("-")[2]
        return list(_cut(_ffmpeg(*_source(transfer), "-f", "rawvideo", "-"), signal))

    return pictures


def _cut(data: bytes, signal: SignalFormat) -> Iterator[Planes]:
    shapes = plane_shapes(signal)
    counts = [rows * columns for rows, columns in shapes]
    samples = np.frombuffer(data, np.dtype(sample_type(signal.depth)).newbyteorder("<"))
    for picture in samples.reshape(PICTURES, sum(counts)):
        luma, first, second = np.split(picture, [counts[0], counts[0] + counts[1]])
        yield luma.reshape(shapes[0]), first.reshape(shapes[1]), second.reshape(shapes[2])
