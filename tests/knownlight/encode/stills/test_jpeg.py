"""JPEG stills: how far they may be off, and how far they are, by two other decoders."""

import io
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from PIL import Image, ImageCms

from knownlight.encode.stills.jpeg import ERROR_LIMIT
from knownlight.frame.planes import Frame
from patterns.registry import build
from tests.knownlight.still_files import codes_of, signal_of, write

RELATIVE = ImageCms.Intent.RELATIVE_COLORIMETRIC
FLAT = 1  # codes; the rounding of Y', Cb and Cr, and that of R', G', B' after


def test_the_limit_is_that_of_the_arithmetic() -> None:
    """The worst basis sum of the 8-point DCT, by scipy-free brute force over T.81's own formula.

    A row of the inverse transform has absolute weights that add up to 2.586 at most (T.81 A.3.3), so a
    sample of 64 coefficients, each half a step off, errs by 3.34, and B' by (1 + 1.772) (3.34 + 1) + 0.5.
    """
    matrix = np.array(
        [
            [(np.sqrt(0.5) if u == 0 else 1.0) / 2 * np.cos((2 * x + 1) * u * np.pi / 16) for u in range(8)]
            for x in range(8)
        ]
    )
    np.testing.assert_allclose(np.eye(8), matrix.T @ matrix, atol=1e-12)  # orthonormal, as it must be
    worst = 0.5 * np.abs(matrix).sum(axis=1).max() ** 2

    assert np.ceil(2.772 * (worst + 1.0) + 0.5) == ERROR_LIMIT


@pytest.mark.parametrize("transfer", ["sdr", "srgb"])
def test_flat_patches_are_within_a_code(transfer: str, tmp_path: Path) -> None:
    """libjpeg-turbo's own decoder, on bars whose edges lie on blocks' (160 pixels)."""
    signal = signal_of(transfer)
    write("jpg", signal, tmp_path / "a.jpg")
    samples = imagecodecs.jpeg8_decode((tmp_path / "a.jpg").read_bytes())

    assert FLAT >= int(np.abs(samples.astype(np.int64) - codes_of(signal)).max())


def test_noise_stays_under_the_limit(tmp_path: Path) -> None:
    """Samples at random are the worst that a picture can hold; seeded."""
    signal = signal_of("srgb")
    noise = np.random.default_rng(5).integers(0, 256, (3, 720, 1280), dtype=np.uint8)
    write("jpg", signal, tmp_path / "a.jpg", frame=Frame(signal, (noise[0], noise[1], noise[2])))
    samples = imagecodecs.jpeg8_decode((tmp_path / "a.jpg").read_bytes())

    error = int(np.abs(samples.astype(np.int64) - np.moveaxis(noise, 0, -1)).max())
    assert FLAT < error <= ERROR_LIMIT


@pytest.mark.parametrize("transfer", ["sdr", "srgb"])
def test_the_profile_says_what_the_codes_mean(transfer: str, tmp_path: Path) -> None:
    """LittleCMS turns the grey codes of a ramp into the light that the encoding has for them."""
    signal = signal_of(transfer)
    ramp = build("ramp", {})
    write("jpg", signal, tmp_path / "a.jpg", pattern=ramp)
    with Image.open(tmp_path / "a.jpg") as image:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        assert (8, (1280, 720), "RGB") == (image.bits, image.size, image.mode)  # type: ignore[attr-defined]

    srgb = ImageCms.createProfile("sRGB")
    codes = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    shown = ImageCms.profileToProfile(Image.fromarray(codes), profile, srgb, renderingIntent=RELATIVE)
    assert shown is not None
    light = signal.encoding.grey_luminance_table / 100.0
    wanted = (
        np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055) * 255.0
    )  # IEC 61966-2-1
    seen = np.asarray(shown)[0, :, 0]
    # the library works in 8 bits, so a code that lies between two may fall to either
    assert 1.0 > float(np.abs(seen - wanted).max())
