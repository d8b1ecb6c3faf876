"""TIFF files of kinds that are not taken, by Pillow and tifffile: none is read as another picture."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image

from knownlight.errors import BadInput
from knownlight.pictures.file import read_picture

Write = Callable[[Path], object]
GREY: NDArray[np.uint8] = np.arange(16 * 16, dtype=np.uint8).reshape(16, 16)
RGB = np.stack([GREY, GREY[::-1], GREY.T], axis=-1)
PICTURE = Image.fromarray(RGB)


def by_tifffile(samples: NDArray[Any], photometric: str, **keys: Any) -> Write:
    """Writes samples as what they are said to be."""
    return lambda path: tifffile.imwrite(path, samples, photometric=photometric, **keys)


# TIFF 6.0, PhotometricInterpretation: 0 WhiteIsZero, 3 palette, 5 CMYK, 6 YCbCr, 8 CIE L*a*b* (from memory).
@pytest.mark.parametrize(
    ("write", "kind"),
    [
        (lambda path: PICTURE.quantize(16).save(path), "PALETTE"),
        (by_tifffile(GREY, "palette", colormap=np.zeros((3, 256), np.uint16)), "PALETTE"),
        (by_tifffile(GREY, "miniswhite"), "MINISWHITE"),
        (by_tifffile(GREY > 9, "miniswhite"), "MINISWHITE"),
        (lambda path: PICTURE.convert("CMYK").save(path), "SEPARATED"),
        (by_tifffile(np.dstack([RGB, GREY]), "separated"), "SEPARATED"),
        (lambda path: Image.new("LAB", (6, 4)).save(path), "CIELAB"),
        (by_tifffile(RGB, "cielab"), "CIELAB"),
        (lambda path: PICTURE.convert("YCbCr").save(path), "YCBCR"),
        (by_tifffile(RGB, "ycbcr"), "YCBCR"),
        (by_tifffile(RGB, "rgb", compression="jpeg"), "YCBCR"),  # what JPEG makes of R, G, B
    ],
)
def test_other_kinds_of_samples_are_refused(tmp_path: Path, write: Write, kind: str) -> None:
    """Samples that are neither grey, black at 0, nor R, G, B: the file, what they are, and the remedy."""
    write(tmp_path / "a.tif")
    with pytest.raises(BadInput, match=rf"^my/a\.tif: its samples are {kind}; save it as grey or RGB$"):
        read_picture(tmp_path / "a.tif", "my/a.tif")


@pytest.mark.parametrize(
    ("write", "bits"),
    [
        (lambda path: Image.fromarray(GREY > 9).save(path), 1),
        (by_tifffile(GREY > 9, "minisblack"), 1),
        (by_tifffile(GREY >> 4, "minisblack", bitspersample=4), 4),
        (by_tifffile(GREY.astype(np.uint16), "minisblack", bitspersample=12), 12),
        (by_tifffile(RGB.astype(np.uint16), "rgb", bitspersample=10), 10),
        (by_tifffile(RGB.astype(np.uint64), "rgb"), 64),
        (by_tifffile(RGB / 255.0, "rgb"), 64),
    ],
)
def test_other_depths_are_refused(tmp_path: Path, write: Write, bits: int) -> None:
    """Samples that do not fill 8, 16 or 32 bits, whole or floating, would be read as darker than they are."""
    write(tmp_path / "a.tif")
    with pytest.raises(
        BadInput, match=rf"^my/a\.tif: its samples have {bits} bits; save it with 8, 16 or 32$"
    ):
        read_picture(tmp_path / "a.tif", "my/a.tif")


@pytest.mark.parametrize(
    ("write", "pictures"),
    [
        (lambda path: PICTURE.save(path, save_all=True, append_images=[PICTURE]), 2),
        (by_tifffile(np.stack([RGB, RGB, RGB]), "rgb"), 3),
        (by_tifffile(np.stack([GREY, GREY]), "minisblack"), 2),
        (by_tifffile(np.stack([GREY, GREY]), "miniswhite"), 2),  # several first, whatever they are
    ],
)
def test_several_pictures_are_refused(tmp_path: Path, write: Write, pictures: int) -> None:
    """Which one is meant is not guessed."""
    write(tmp_path / "a.tif")
    with pytest.raises(
        BadInput, match=rf"^my/a\.tif: it holds {pictures} pictures; save the one that is meant alone$"
    ):
        read_picture(tmp_path / "a.tif", "my/a.tif")


@pytest.mark.parametrize("compression", [None, "lzw", "zlib", "packbits"])
def test_packed_samples_are_taken(tmp_path: Path, compression: str | None) -> None:
    """Grey and RGB come out whole, however they are packed without loss."""
    for samples, kind in ((RGB, "rgb"), (GREY, "minisblack")):
        by_tifffile(samples, kind, compression=compression)(tmp_path / "a.tif")
        expected = samples / 255.0 if samples.ndim == 3 else np.stack([samples / 255.0] * 3, axis=-1)
        np.testing.assert_array_equal(expected, read_picture(tmp_path / "a.tif", "a.tif").samples)
