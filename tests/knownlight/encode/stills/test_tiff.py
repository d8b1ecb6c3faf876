"""TIFF stills as Debian's libtiff tools, littleCMS and ffmpeg see them."""

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from tests.knownlight.still_files import codes_of, said_by, signal_of, write

PACKAGE = "libtiff-tools"


@pytest.mark.parametrize(
    ("transfer", "depth"), [("sdr", 8), ("srgb", 8), ("pq", 10), ("pq", 12), ("hlg", 10)]
)
def test_ffmpeg_sees_what_was_drawn(
    transfer: str, depth: int, tmp_path: Path, run_ffmpeg: Callable[..., bytes]
) -> None:
    """Every sample, by ffmpeg's own decoder; the program itself reads with libtiff."""
    signal = signal_of(transfer, depth)
    write("tif", signal, tmp_path / "a.tif")
    raw = run_ffmpeg("-i", tmp_path / "a.tif", "-f", "rawvideo", "pipe:1")
    samples = np.frombuffer(raw, np.uint8 if depth == 8 else "<u2").reshape(720, 1280, 3)

    np.testing.assert_array_equal(codes_of(signal), samples if depth == 8 else samples >> (16 - depth))


def test_fields_are_those_of_the_standard(tmp_path: Path) -> None:
    """Tiffinfo: 16 bits, RGB, the description in words, white point and primaries (TIFF 6.0 section 20)."""
    write("tif", signal_of("pq"), tmp_path / "a.tif")
    words = said_by("tiffinfo", tmp_path / "a.tif", package=PACKAGE)

    for line in (
        "Bits/Sample: 16",
        "Photometric Interpretation: RGB color",
        "ImageDescription: R'G'B' codes of 10 bits, full range, widened to 16: BT.2020 primaries, BT.2100 PQ",
        "White Point: 0.3127-0.329",
        "PrimaryChromaticities: 0.708000,0.292000,0.170000,0.797000,0.131000,0.046000",
    ):
        assert line in words
    assert "ICC Profile" not in words


@pytest.mark.parametrize(
    ("transfer", "name"), [("sdr", "BT.709 primaries, BT.1886"), ("srgb", "sRGB (IEC 61966-2-1)")]
)
def test_sdr_and_srgb_have_a_profile(transfer: str, name: str, tmp_path: Path) -> None:
    """Pillow finds it, littleCMS reads it."""
    write("tif", signal_of(transfer), tmp_path / "a.tif")
    with Image.open(tmp_path / "a.tif") as image:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))

    assert name == ImageCms.getProfileDescription(profile).strip()
