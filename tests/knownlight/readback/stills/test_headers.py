"""Header readers against files that other programs wrote, each with what that program was asked for."""

import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import OpenEXR
import pillow_heif
import pytest
import tifffile
from PIL import Image

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.readback.stills.exr import read_exr_header
from knownlight.readback.stills.heif import read_heif_header
from knownlight.readback.stills.jpeg import read_jpeg_header
from knownlight.readback.stills.jxl import read_jxl_header
from knownlight.readback.stills.stated import StillStated
from knownlight.readback.stills.tiff import read_tiff_header
from tests.knownlight.still_files import said_by

GREY = np.full((64, 96, 3), 128, np.uint8)
RunFfmpeg = Callable[..., bytes]


def _colour(primaries: int, transfer: int, matrix: int, full_range: int) -> ColourDescription:
    return ColourDescription(primaries=primaries, transfer=transfer, matrix=matrix, full_range=full_range)


def test_an_avif_of_ffmpeg(tmp_path: Path, run_ffmpeg: RunFfmpeg) -> None:
    """libaom, 4:2:0, ten bits, narrow PQ: as asked for; nothing that it does not state."""
    colour = "range=limited:color_primaries=bt2020:color_trc=smpte2084:colorspace=bt2020nc"
    run_ffmpeg(
        *("-f", "lavfi", "-i", "testsrc2=s=256x144", "-vf", f"format=yuv420p10le,setparams={colour}"),
        *("-frames:v", "1", "-c:v", "libaom-av1", "-cpu-used", "8", tmp_path / "a.avif"),
    )
    stated = read_heif_header(tmp_path / "a.avif")

    assert ("av01", 256, 144, 10, "4:2:0") == (
        stated.coding,
        stated.width,
        stated.height,
        stated.sample_bits,
        stated.chroma,
    )
    assert _colour(9, 16, 9, 0) == stated.colour
    assert (None, None) == (stated.hdr.light, stated.hdr.mastering)


@pytest.mark.parametrize(("chroma", "words"), [(420, "4:2:0"), (422, "4:2:2"), (444, "4:4:4")])
def test_a_heic_of_libheif(chroma: int, words: str, tmp_path: Path) -> None:
    """Eight bits of each chroma format, with the colour that was asked for."""
    picture = pillow_heif.from_bytes("RGB", (96, 64), GREY.tobytes())
    picture.save(
        tmp_path / "a.heic",
        format="HEIF",
        quality=50,
        chroma=chroma,
        color_primaries=12,
        transfer_characteristics=13,
        matrix_coefficients=6,
        full_range_flag=1,
    )

    assert StillStated(
        coding="hvc1",
        width=96,
        height=64,
        sample_bits=8,
        significant_bits=(8, 8, 8),
        chroma=words,
        colour=_colour(12, 13, 6, 1),
    ) == read_heif_header(tmp_path / "a.heic")


@pytest.mark.parametrize(
    ("option", "turned"), [((), ()), (("--irot", "1"), ("irot",)), (("--imir", "0"), ("imir",))]
)
def test_a_turned_heif_is_told(option: tuple[str, ...], turned: tuple[str, ...], tmp_path: Path) -> None:
    """Properties that a viewer turns or mirrors the picture by, as avifenc writes them."""
    Image.fromarray(GREY).save(tmp_path / "a.png")
    said_by("avifenc", *option, tmp_path / "a.png", tmp_path / "a.avif", package="libavif-bin")

    assert turned == read_heif_header(tmp_path / "a.avif").turned


@pytest.mark.parametrize("shape", [(48, 64), (45, 80), (1000, 30), (30, 40), (97, 101)])
@pytest.mark.parametrize(("lossless", "coding"), [(True, "RGB"), (False, "XYB")])
def test_a_jxl_of_libjxl(shape: tuple[int, int], lossless: bool, coding: str, tmp_path: Path) -> None:  # noqa: FBT001
    """Sizes of every kind of header, lossless and lossy; libjxl takes 8-bit samples as sRGB."""
    samples = np.full((*shape, 3), 77, np.uint8)
    distance = None if lossless else 1.0
    data = imagecodecs.jpegxl_encode(samples, lossless=lossless, distance=distance)
    (tmp_path / "a.jxl").write_bytes(data)
    stated = read_jxl_header(tmp_path / "a.jxl")

    assert (coding, shape[1], shape[0], 8) == (stated.coding, stated.width, stated.height, stated.sample_bits)
    assert (_colour(1, 13, 0, 1), 255.0) == (stated.colour, stated.intensity_target)


def test_a_jxl_of_ten_bits(tmp_path: Path) -> None:
    """Sixteen-bit samples of which ten are used, in a container."""
    samples = np.full((48, 64, 3), 777, np.uint16)
    (tmp_path / "a.jxl").write_bytes(
        imagecodecs.jpegxl_encode(samples, lossless=True, bitspersample=10, usecontainer=True)
    )

    assert 10 == read_jxl_header(tmp_path / "a.jxl").sample_bits


@pytest.mark.parametrize(
    ("kind", "word", "bits"), [(np.float16, "half", 16), (np.float32, "float", 32), (np.uint32, "uint", 32)]
)
def test_an_exr_of_openexr(kind: Any, word: str, bits: int, tmp_path: Path) -> None:
    """Each kind of number; no attribute that is not there."""
    with OpenEXR.File({}, {name: np.ones((64, 96), kind) for name in "RGBA"}) as file:
        file.write(str(tmp_path / "a.exr"))

    assert StillStated(coding=f"A B G R {word}", width=96, height=64, sample_bits=bits) == read_exr_header(
        tmp_path / "a.exr"
    )


def test_a_moved_exr_is_told(tmp_path: Path) -> None:
    """A picture whose window is not all that is shown."""
    window = (np.array([0, 0], np.int32), np.array([99, 99], np.int32))
    with OpenEXR.File({"displayWindow": window}, {"Y": np.ones((64, 96), np.float32)}) as file:
        file.write(str(tmp_path / "a.exr"))

    assert ("window",) == read_exr_header(tmp_path / "a.exr").turned


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", [np.uint8, np.uint16, np.float32])
def test_a_tiff_of_tifffile(order: str, kind: Any, tmp_path: Path) -> None:
    """Both orders of bytes, each kind of sample, with a description and nothing else."""
    options: dict[str, Any] = {"byteorder": order, "description": "grey", "metadata": None}
    tifffile.imwrite(tmp_path / "a.tif", GREY.astype(kind), photometric="rgb", **options)
    coding = "RGB 3, not whole numbers" if kind is np.float32 else "RGB 3"

    assert StillStated(
        coding=coding, width=96, height=64, sample_bits=8 * np.dtype(kind).itemsize, words="grey"
    ) == read_tiff_header(tmp_path / "a.tif")


def test_a_tiff_of_pillow_with_a_profile(tmp_path: Path) -> None:
    """The profile's bytes come back; a turned picture is told."""
    Image.fromarray(GREY).save(tmp_path / "a.tif", icc_profile=b"profile!", tiffinfo={274: 6})
    stated = read_tiff_header(tmp_path / "a.tif")

    assert (b"profile!", ("orientation",)) == (stated.profile, stated.turned)


@pytest.mark.parametrize(
    ("options", "coding", "chroma"),
    [
        ({"subsampling": 0}, "baseline, JFIF", "4:4:4"),
        ({"subsampling": 1}, "baseline, JFIF", "4:2:2"),
        ({"subsampling": 2, "progressive": True}, "progressive, JFIF", "4:2:0"),
    ],
)
def test_a_jpeg_of_pillow(options: dict[str, Any], coding: str, chroma: str, tmp_path: Path) -> None:
    """Kind of frame and chroma format; JFIF's colour matrix and range; a profile in two segments."""
    profile = bytes(range(256)) * 300
    Image.fromarray(GREY).save(tmp_path / "a.jpg", icc_profile=profile, **options)

    assert StillStated(
        coding=coding,
        width=96,
        height=64,
        sample_bits=8,
        chroma=chroma,
        colour=ColourDescription(matrix=5, full_range=1),
        profile=profile,
    ) == read_jpeg_header(tmp_path / "a.jpg")


READERS = {
    "avif": read_heif_header,
    "heic": read_heif_header,
    "jxl": read_jxl_header,
    "exr": read_exr_header,
    "tif": read_tiff_header,
    "jpg": read_jpeg_header,
}
BEGINNINGS = {
    "avif": struct.pack(">I4s4s", 12, b"ftyp", b"avif"),
    "heic": struct.pack(">I4s4s", 12, b"ftyp", b"heic"),
    "jxl": bytes.fromhex("ff0a7a"),
    "exr": bytes.fromhex("762f3101 02000000 61"),
    "tif": b"II*\0\x08\0\0\0\x05\0",
    "jpg": bytes.fromhex("ffd8ffe00010 ffd9"),
}


@pytest.mark.parametrize("name", READERS)
@pytest.mark.parametrize("whole", [False, True])
def test_what_is_no_such_file_is_refused(name: str, whole: bool, tmp_path: Path) -> None:  # noqa: FBT001
    """Words instead of a picture, and a file that ends inside its header: the message names the file."""
    path = tmp_path / f"a.{name}"
    path.write_bytes(b"words that are no picture at all" if whole else BEGINNINGS[name])

    with pytest.raises(UnreadableFile, match=rf"^{path}: .*(cut short|damaged|does not begin as)"):
        READERS[name](path)
