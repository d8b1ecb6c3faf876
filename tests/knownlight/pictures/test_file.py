"""Picture files, written by Pillow, tifffile, imagecodecs and OpenEXR from samples that are known.

What samples mean in light is checked with colour-science's sRGB; sizes, weights and means by hand.
"""

import hashlib
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import OpenEXR
import pytest
import tifffile
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from knownlight.errors import BadInput, UnreadableFile
from knownlight.frame.picture import Fit
from knownlight.pictures import file
from knownlight.pictures.file import PictureFile, read_picture
from knownlight.signal.arrays import FloatArray
from patterns.picture import DECODERS

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

STEADY = settings(deadline=None, derandomize=True)
SINGLE = 1.2e-7  # relative: pictures are scaled in float32
SIX_DIGITS = 5e-7  # as printed below
RGB = np.arange(4 * 6 * 3).reshape(4, 6, 3)
Samples = NDArray[Any]


def plain(samples: FloatArray) -> FloatArray:
    """Samples that are light already."""
    return samples


def srgb(samples: FloatArray) -> FloatArray:
    """Light 0..1 of sRGB samples."""
    return DECODERS["srgb"](samples, 1.0)


def picture_of(samples: Samples) -> PictureFile:
    """A picture that is nowhere stored; one plane is taken as grey."""
    values = samples.astype(np.float64)
    return PictureFile("made", "", np.stack([values] * 3, axis=-1) if values.ndim == 2 else values)


def exr(path: Path, channels: dict[str, Samples]) -> None:
    """An OpenEXR file."""
    header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    with OpenEXR.File(header, channels) as written:
        written.write(str(path))


def by_pillow(path: Path, samples: Samples) -> None:
    """A file that Pillow writes."""
    Image.fromarray(samples).save(path)


def by_imagecodecs(path: Path, samples: Samples) -> None:
    """A PNG that imagecodecs writes."""
    path.write_bytes(imagecodecs.png_encode(samples))


def by_tifffile(path: Path, samples: Samples) -> None:
    """A TIFF that tifffile writes: RGB or grey, further planes are alpha."""
    planes = samples.shape[2] if samples.ndim == 3 else 1
    extra = {2: ["unassalpha"], 4: ["unassalpha"]}.get(planes)
    kind = "rgb" if planes > 2 else "minisblack"
    tifffile.imwrite(path, samples, photometric=kind, extrasamples=extra, planarconfig="contig")


def by_openexr(path: Path, samples: Samples) -> None:
    """An OpenEXR file of R, G, B and A, or of Y."""
    names = "RGBA" if samples.ndim == 3 else "Y"
    planes = samples.transpose(2, 0, 1) if samples.ndim == 3 else samples[np.newaxis]
    exr(path, {name: np.ascontiguousarray(plane) for name, plane in zip(names, planes, strict=False)})


Write = Callable[[Path, Samples], None]
WRITERS: list[tuple[str, Write, Any]] = [
    ("pillow.png", by_pillow, np.uint8),
    ("pillow.tif", by_pillow, np.uint8),
    ("codecs8.png", by_imagecodecs, np.uint8),
    ("codecs16.PNG", by_imagecodecs, np.uint16),
    ("tifffile8.tiff", by_tifffile, np.uint8),
    ("tifffile16.tif", by_tifffile, np.uint16),
    ("tifffile32.TIFF", by_tifffile, np.uint32),
    ("half.tif", by_tifffile, np.float16),
    ("single.tif", by_tifffile, np.float32),
    ("half.exr", by_openexr, np.float16),
    ("single.exr", by_openexr, np.float32),
]
every_writer = pytest.mark.parametrize(("name", "write", "kind"), WRITERS, ids=[row[0] for row in WRITERS])


def stored(kind: Any, values: NDArray[np.int64]) -> tuple[Samples, FloatArray]:
    """Samples of a kind, the largest among them, and what they are to be read as."""
    if np.dtype(kind).kind == "f":
        samples = (values / 16.0 - 0.5).astype(kind)  # exact in half floats; below 0 and above 1
        return samples, samples.astype(np.float64)
    largest = int(np.iinfo(kind).max)
    samples = (values * (largest // int(values.max()))).astype(kind)
    samples[-1, -1] = largest
    return samples, samples.astype(np.float64) / largest


@every_writer
def test_colours_are_read(tmp_path: Path, name: str, write: Write, kind: Any) -> None:
    """R, G, B in that order, row by row: whole numbers as shares of the largest, floats as they are."""
    samples, expected = stored(kind, RGB)
    write(tmp_path / name, samples)
    picture = read_picture(tmp_path / name, "as/written")

    np.testing.assert_array_equal(expected, picture.samples)
    assert ("as/written", (4, 6)) == (picture.name, picture.shape)
    assert hashlib.sha256((tmp_path / name).read_bytes()).hexdigest() == picture.sha256


@every_writer
def test_greys_are_read(tmp_path: Path, name: str, write: Write, kind: Any) -> None:
    """A grey picture has the same R, G and B."""
    samples, expected = stored(kind, RGB[..., 0])
    write(tmp_path / name, samples)

    found = read_picture(tmp_path / name, name).samples
    np.testing.assert_array_equal(np.stack([expected] * 3, axis=-1), found)


@every_writer
def test_an_opaque_alpha_is_taken(tmp_path: Path, name: str, write: Write, kind: Any) -> None:
    """A fourth plane that is opaque everywhere changes nothing."""
    samples, expected = stored(kind, RGB)
    opaque = 1.0 if np.dtype(kind).kind == "f" else np.iinfo(kind).max
    write(tmp_path / name, np.dstack([samples, np.full((4, 6), opaque)]).astype(kind))

    np.testing.assert_array_equal(expected, read_picture(tmp_path / name, name).samples)


@every_writer
def test_a_transparent_picture_is_refused(tmp_path: Path, name: str, write: Write, kind: Any) -> None:
    """One sample that is not opaque is enough; the words name the file and the remedy."""
    samples, _ = stored(kind, RGB)
    opaque = 1.0 if np.dtype(kind).kind == "f" else np.iinfo(kind).max
    alpha = np.full((4, 6), opaque)
    alpha[3, 5] = opaque / 2
    write(tmp_path / name, np.dstack([samples, alpha]).astype(kind))

    with pytest.raises(BadInput, match=rf"^{name}: parts of it are transparent; flatten it first$"):
        read_picture(tmp_path / name, name)


@pytest.mark.parametrize(("opaque", "taken"), [(255, True), (254, False)])
def test_alpha_of_greys(tmp_path: Path, opaque: int, taken: bool) -> None:  # noqa: FBT001 - a table's column
    """A grey picture with alpha goes by the same rule."""
    path = tmp_path / "a.png"
    by_pillow(path, np.dstack([RGB[..., 0], np.full((4, 6), opaque)]).astype(np.uint8))
    if taken:
        expected = np.stack([RGB[..., 0] / 255.0] * 3, axis=-1)
        np.testing.assert_array_equal(expected, read_picture(path, "a.png").samples)
    else:
        with pytest.raises(BadInput, match="flatten it first"):
            read_picture(path, "a.png")


def test_a_palette_of_a_png_is_looked_up(tmp_path: Path) -> None:
    """A PNG of palette colours has those colours."""
    samples = np.array([[[255, 0, 0], [0, 255, 0], [0, 0, 255]]], dtype=np.uint8)
    Image.fromarray(samples).quantize(3).save(tmp_path / "a.png")

    np.testing.assert_array_equal(samples / 255.0, read_picture(tmp_path / "a.png", "a").samples)


@pytest.mark.parametrize(
    ("name", "write", "words"),
    [
        ("a.jpg", lambda path: path.write_bytes(b"x"), r"a picture is read from \.png, \.tif, \.tiff, \.exr"),
        ("a", lambda path: path.write_bytes(b"x"), r"a picture is read from .*; convert it to one of them"),
        ("none.png", lambda _path: None, r"No such file or directory; name a picture that can be read"),
        ("folder.exr", lambda path: path.mkdir(), r"Is a directory; name a picture that can be read"),
        (
            "signed.tif",
            lambda path: by_tifffile(path, RGB.astype(np.int16)),
            r"its samples are int16; it must have unsigned whole numbers or floats",
        ),
        (
            "pages.tif",
            lambda path: tifffile.imwrite(path, np.zeros((2, 4, 6, 3), np.uint8), photometric="rgb"),
            r"it holds 2 pictures; save the one that is meant alone$",
        ),
        (
            "planar.tif",
            lambda path: tifffile.imwrite(
                path, np.zeros((3, 8, 6), np.uint8), photometric="rgb", planarconfig="separate"
            ),
            r"its samples are of shape \(3, 8, 6\); it must be grey or RGB",
        ),
        ("depth.exr", lambda path: exr(path, {"Z": np.ones((4, 6), np.float32)}), r"channels Z; it needs R"),
        (
            "two.exr",
            lambda path: exr(path, {name: np.ones((4, 6), np.float32) for name in "RG"}),
            r"it has channels G, R; it needs R, G and B, or Y",
        ),
    ],
)  # fmt: skip
def test_what_is_no_picture_is_refused(
    tmp_path: Path, name: str, write: Callable[[Path], object], words: str
) -> None:
    """A file of another kind, none at all, or one whose samples are no colours: file, fault and remedy."""
    write(tmp_path / name)
    with pytest.raises(BadInput, match=f"^pictures/{name}: .*{words}"):
        read_picture(tmp_path / name, f"pictures/{name}")


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.exr"])
@pytest.mark.parametrize("kept", [0, 9, 0.7])
def test_a_damaged_file_is_refused(tmp_path: Path, name: str, kept: float) -> None:
    """An empty file, a few bytes, or a file that was cut: named, with the question that helps."""
    path = tmp_path / name
    samples = np.random.default_rng(1).integers(0, 256, (64, 64, 3)).astype(np.uint8)
    if name.endswith("exr"):
        by_openexr(path, samples.astype(np.float32))
    else:
        by_pillow(path, samples)
    data = path.read_bytes()
    path.write_bytes(data[: int(kept * len(data)) if 0 < kept < 1 else int(kept)])

    with pytest.raises(UnreadableFile, match=rf"^{name}: it could not be read \(.*\); is it damaged\?$"):
        read_picture(path, name)


@pytest.mark.parametrize("wrong", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize(("name", "write"), [("a.exr", by_openexr), ("a.tif", by_tifffile)])
def test_samples_that_are_no_numbers_are_refused(
    tmp_path: Path, wrong: float, name: str, write: Write
) -> None:
    """One sample that is not a number, or infinite, is enough."""
    samples = RGB.astype(np.float32)
    samples[2, 3, 1] = wrong
    write(tmp_path / name, samples)

    with pytest.raises(BadInput, match=rf"^{name}: some samples are not numbers; mend the picture first$"):
        read_picture(tmp_path / name, name)


def test_too_many_pixels_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """More pixels than there may be are refused with the most; lowered here, for memory's sake."""
    assert 7680 * 7680 == file._MOST_PIXELS
    monkeypatch.setattr(file, "_MOST_PIXELS", 24)
    by_pillow(tmp_path / "a.png", np.zeros((4, 6), np.uint8))
    by_pillow(tmp_path / "b.png", np.zeros((5, 6), np.uint8))

    assert (4, 6) == read_picture(tmp_path / "a.png", "a.png").shape
    with pytest.raises(BadInput, match=r"^b\.png: 6x5 pixels are too many; scale it to 7680x7680 or less"):
        read_picture(tmp_path / "b.png", "b.png")


def test_pictures_are_equal_by_name_and_content(tmp_path: Path) -> None:
    """The same file read twice is equal; another name or another content is not."""
    by_pillow(tmp_path / "a.png", RGB.astype(np.uint8))
    by_pillow(tmp_path / "b.png", RGB[::-1].astype(np.uint8))
    one, again = (read_picture(tmp_path / "a.png", "a.png") for _ in range(2))
    renamed, other = read_picture(tmp_path / "a.png", "c.png"), read_picture(tmp_path / "b.png", "a.png")

    assert one == again
    assert 1 == len({one, again})
    assert 3 == len({one, renamed, other})
    assert one != "a.png"


# By colour-science: sRGB of 0.5 light is 0.735357; the mean of the samples 0 and 1 would be 0.5.
@pytest.mark.parametrize(("rows", "columns"), [(8, 12), (4, 6)])
@pytest.mark.parametrize("ends", [(0.0, 1.0), (0.25, 0.75)])
def test_light_is_averaged_not_samples(rows: int, columns: int, ends: tuple[float, float]) -> None:
    """A fine checkerboard becomes the mean of its lights, wherever a pixel is a mean of many."""
    board = np.where(np.indices((16, 24)).sum(axis=0) % 2, *ends)
    found = picture_of(board).fitted(rows, columns, Fit.INSIDE, srgb)[1:-1, 1:-1]

    np.testing.assert_allclose(colour.models.eotf_sRGB(np.array(ends)).mean(), found, rtol=SINGLE)
    if ends == (0.0, 1.0):
        np.testing.assert_allclose(
            0.735357, colour.models.eotf_inverse_sRGB(found), rtol=0.0, atol=SIX_DIGITS
        )


@STEADY
@given(
    value=st.floats(0.0, 10000.0, width=32),
    shape=st.tuples(st.integers(1, 9), st.integers(1, 9)),
    rows=st.integers(1, 20),
    columns=st.integers(1, 20),
)
def test_a_flat_picture_stays_flat(value: float, shape: tuple[int, int], rows: int, columns: int) -> None:
    """One colour fills a frame of any size with that colour."""
    light = picture_of(np.full(shape, value)).fitted(rows, columns, Fit.FILL, plain)

    assert (rows, columns, 3) == light.shape
    np.testing.assert_allclose(light, value, rtol=SINGLE)


@STEADY
@given(st.integers(0, 2**32 - 1), st.integers(2, 40), st.integers(2, 40))
def test_nothing_overshoots(seed: int, rows: int, columns: int) -> None:
    """No scaled sample is brighter or darker than all that were there, at any size."""
    samples = np.random.default_rng(seed).integers(0, 2, (8, 8)) * 1000.0
    light = picture_of(samples).fitted(rows, columns, Fit.FILL, plain)

    assert 0.0 <= light.min()
    assert light.max() <= 1000.0 * (1.0 + SINGLE)


# By hand, a triangle two pixels wide about each place: enlarged twice, places lie a quarter off the pixels;
# halved, each is [1 3 3 1] / 8 of the four about it, and the outermost, with none on one side, [3 3 1] / 7.
@pytest.mark.parametrize(
    ("row", "columns", "expected"),
    [
        ([0.0, 8.0], 4, [0.0, 2.0, 6.0, 8.0]),
        ([56.0, 0.0, 0.0, 0.0, 0.0, 0.0], 3, [24.0, 0.0, 0.0]),
        ([0.0, 0.0, 56.0, 0.0, 0.0, 0.0], 3, [8.0, 21.0, 0.0]),
    ],
)
def test_the_filter_is_a_triangle(row: list[float], columns: int, expected: list[float]) -> None:
    """Between two pixels light runs evenly; a smaller picture is a mean with falling weights."""
    height = columns  # so that its shape stays: both sides by the same factor
    picture = picture_of(np.tile(row, (len(row), 1)))
    found = picture.fitted(height, columns, Fit.INSIDE, plain)[..., 1]

    np.testing.assert_allclose(np.tile(expected, (height, 1)), found, rtol=SINGLE)


# By hand: 20 x 10 in a square of 20 keeps 5 rows of black on each side; filled, it is 40 x 20, cut to 20.
def test_fits_of_a_wide_picture() -> None:
    """Inside leaves black above and below, fill cuts both sides, pixels neither scales nor stretches."""
    picture = picture_of(np.tile(np.arange(1.0, 21.0), (10, 1)))
    inside, fill = (picture.fitted(20, 20, fit, plain)[..., 0] for fit in (Fit.INSIDE, Fit.FILL))
    pixels = picture.fitted(6, 30, Fit.PIXELS, plain)[..., 0]

    np.testing.assert_array_equal(0.0, inside[[0, 4, 15, 19]])
    np.testing.assert_array_equal(picture.samples[..., 0], inside[5:15])
    np.testing.assert_allclose(np.arange(5.75, 15.5, 0.5), fill[7], rtol=SINGLE)
    np.testing.assert_array_equal(np.pad(np.arange(1.0, 21.0), 5), pixels[3])


def test_every_colour_is_scaled_alone() -> None:
    """R, G and B do not mix."""
    samples = np.zeros((4, 4, 3))
    samples[:, :, 0], samples[:2, :, 1] = 5.0, 7.0
    found = picture_of(samples).fitted(8, 8, Fit.FILL, plain)

    np.testing.assert_allclose(found[..., 0], 5.0, rtol=SINGLE)
    np.testing.assert_array_equal([7.0, 7.0, 7.0, 5.25, 1.75, 0.0, 0.0, 0.0], found[:, 3, 1])
    np.testing.assert_array_equal(0.0, found[..., 2])
