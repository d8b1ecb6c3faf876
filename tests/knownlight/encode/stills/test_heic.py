"""HEIC stills as libheif with libde265 (Debian's) and MediaInfo see them."""

from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from pymediainfo import MediaInfo

from tests.knownlight.still_files import codes_of, said_by, signal_of, write

PACKAGE = "libheif-examples"


@pytest.mark.parametrize(
    ("transfer", "depth"), [("sdr", 8), ("srgb", 8), ("pq", 10), ("pq", 12), ("hlg", 10)]
)
def test_libde265_sees_what_was_drawn(transfer: str, depth: int, tmp_path: Path) -> None:
    """Every sample, through heif-convert, which shifts longer codes up to 16 bits."""
    signal = signal_of(transfer, depth)
    write("heic", signal, tmp_path / "a.heic")
    said_by("heif-convert", tmp_path / "a.heic", tmp_path / "a.png", package=PACKAGE)
    samples = imagecodecs.png_decode((tmp_path / "a.png").read_bytes())

    codes = samples if depth == 8 else samples >> (16 - depth)
    np.testing.assert_array_equal(codes_of(signal), codes[..., :3])


def test_heif_info_sees_hdr_metadata(tmp_path: Path) -> None:
    """Light levels and mastering display of a PQ still."""
    intent = write("heic", signal_of("pq"), tmp_path / "a.heic")
    words = said_by("heif-info", tmp_path / "a.heic", package=PACKAGE)

    assert intent.hdr.light is not None
    assert "image: 1280x720 (id=1), primary" in words
    assert "color profile: nclx" in words
    assert f"max content light level: {intent.hdr.light.max_cll}\n" in words
    assert f"max pic average light level: {intent.hdr.light.max_fall}\n" in words
    assert "display_primaries (x,y): (0.17;0.797), (0.131;0.046), (0.708;0.292)" in words
    assert "max display mastering luminance: 10000\n" in words


@pytest.mark.parametrize(
    ("transfer", "primaries", "seen"),
    [
        ("sdr", "BT.709", "BT.709"),
        ("srgb", "BT.709", "sRGB/sYCC"),
        ("pq", "BT.2020", "PQ"),
        ("hlg", "BT.2020", "HLG"),
    ],
)
def test_container_and_stream_say_the_same(transfer: str, primaries: str, seen: str, tmp_path: Path) -> None:
    """MediaInfo finds the colour in both, and names both."""
    write("heic", signal_of(transfer), tmp_path / "a.heic")
    (track,) = MediaInfo.parse(tmp_path / "a.heic").image_tracks

    assert (primaries, seen, "Identity", "Full") == (
        track.color_primaries,
        track.transfer_characteristics,
        track.matrix_coefficients,
        track.color_range,
    )
    assert "Container / Stream" == track.colour_description_present_source
