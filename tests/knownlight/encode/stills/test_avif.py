"""AVIF stills as avifdec, MediaInfo and the AV1 sequence header see them."""

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import imageio_ffmpeg
import numpy as np
import pytest
from pymediainfo import MediaInfo

from tests.knownlight.still_files import codes_of, said_by, signal_of, write

PACKAGE = "libavif-bin"
COLOURS = {"sdr": ("1", "1"), "srgb": ("1", "13"), "pq": ("9", "16"), "hlg": ("9", "18")}


@pytest.mark.parametrize(
    ("transfer", "depth"), [("sdr", 8), ("srgb", 8), ("pq", 10), ("pq", 12), ("hlg", 10)]
)
def test_avifdec_sees_what_was_drawn(transfer: str, depth: int, tmp_path: Path) -> None:
    """Debian's libavif: 4:4:4, full range, matrix identity, the H.273 integers, and every sample."""
    signal = signal_of(transfer, depth)
    write("avif", signal, tmp_path / "a.avif")
    words = said_by("avifdec", "--info", tmp_path / "a.avif", package=PACKAGE)
    facts = dict(re.findall(r"^ \* (.*?) *: (.*)$", words, re.MULTILINE))
    said_by("avifdec", tmp_path / "a.avif", tmp_path / "a.y4m", package=PACKAGE)
    data = (tmp_path / "a.y4m").read_bytes()
    kind = np.uint8 if depth == 8 else np.dtype("<u2")
    planes = np.frombuffer(data[data.index(b"FRAME\n") + 6 :], kind).reshape(3, 720, 1280)

    assert ("1280x720", str(depth), "YUV444", "Full") == tuple(
        facts[name] for name in ("Resolution", "Bit Depth", "Format", "Range")
    )
    assert (*COLOURS[transfer], "0") == tuple(
        facts[name] for name in ("Color Primaries", "Transfer Char.", "Matrix Coeffs.")
    )
    assert "Absent" == facts["Alpha"]
    np.testing.assert_array_equal(codes_of(signal), np.moveaxis(planes[[2, 0, 1]], 0, -1))  # G', B', R'


def test_mediainfo_sees_hdr_metadata(tmp_path: Path) -> None:
    """The boxes that are put in: mastering display and light levels; none in HLG."""
    intent = write("avif", signal_of("pq"), tmp_path / "a.avif")
    write("avif", signal_of("hlg"), tmp_path / "b.avif")
    (pq,), (hlg,) = (MediaInfo.parse(tmp_path / name).image_tracks for name in ("a.avif", "b.avif"))

    assert intent.hdr.light is not None
    assert f"{intent.hdr.light.max_cll} cd/m2" == pq.maximum_content_light_level
    assert f"{intent.hdr.light.max_fall} cd/m2" == pq.maximum_frameaverage_light_level
    assert "BT.2020" == pq.mastering_display_color_primaries
    assert "min: 0.0001 cd/m2, max: 10000 cd/m2" == pq.mastering_display_luminance
    assert (None, None) == (hlg.maximum_content_light_level, hlg.mastering_display_luminance)


def test_the_bitstream_says_the_same(tmp_path: Path, run_ffmpeg: Callable[..., bytes]) -> None:
    """The AV1 sequence header by itself, without the container, as dav1d reports it."""
    write("avif", signal_of("pq", 12), tmp_path / "a.avif")
    run_ffmpeg("-i", tmp_path / "a.avif", "-c", "copy", "-f", "obu", tmp_path / "a.obu")
    program = imageio_ffmpeg.get_ffmpeg_exe()
    told = subprocess.run(
        [program, "-i", tmp_path / "a.obu"], capture_output=True, text=True, check=False
    ).stderr

    assert "av1 (libdav1d) (Professional), gbrp12le(pc, gbr/bt2020/smpte2084), 1280x720" in told
