"""A picture file's samples, and the picture at another size."""

import hashlib
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from knownlight.errors import BadInput, UnreadableFile
from knownlight.frame.picture import Decode, Fit, placed, scaled_size
from knownlight.signal.arrays import FloatArray

_SUFFIXES = (".png", ".tif", ".tiff", ".exr")
_COLOURS = 3
_WHOLE_BYTES = (8, 16, 32)
_MOST_PIXELS = 7680 * 7680


class _NotTaken(Exception):
    """A picture that is whole but of a kind that is not taken."""


@dataclass(frozen=True, eq=False)
class PictureFile:
    """Samples (rows, columns, 3) of a file: whole numbers as 0..1, floating-point ones as they are."""

    name: str
    sha256: str
    samples: FloatArray

    def __eq__(self, other: object) -> bool:
        """The same file content under the same name."""
        return isinstance(other, PictureFile) and (self.name, self.sha256) == (other.name, other.sha256)

    def __hash__(self) -> int:
        """As equality has it."""
        return hash((self.name, self.sha256))

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns as stored."""
        rows, columns = self.samples.shape[:2]
        return rows, columns

    def fitted(self, rows: int, columns: int, fit: Fit, decode: Decode) -> FloatArray:
        """Linear R, G, B at a size; scaled in linear light by a triangle filter, which has no overshoot."""
        light = decode(self.samples)
        height, width = scaled_size(self.shape, rows, columns, fit)
        if (height, width) != self.shape:
            planes = [_scaled(light[..., index], height, width) for index in range(_COLOURS)]
            light = np.stack(planes, axis=-1)
        return placed(light, rows, columns)


def _scaled(plane: FloatArray, rows: int, columns: int) -> FloatArray:
    """One plane at another size; Pillow widens the triangle where the picture shrinks."""
    image = Image.fromarray(plane.astype(np.float32))
    return np.asarray(image.resize((columns, rows), Image.Resampling.BILINEAR), dtype=np.float64)


def read_picture(path: Path, name: str) -> PictureFile:
    """Read a PNG, TIFF or OpenEXR file.

    Args:
        path: the file.
        name: as the user wrote it.

    Raises:
        BadInput: for a file that is missing, of another kind, not RGB or grey, or not opaque.
        UnreadableFile: for one that is damaged.
    """
    if path.suffix.lower() not in _SUFFIXES:
        raise BadInput(f"{name}: a picture is read from {', '.join(_SUFFIXES)}; convert it to one of them")
    try:
        data = path.read_bytes()
    except OSError as error:
        raise BadInput(f"{name}: {error.strerror}; name a picture that can be read") from None
    try:
        samples = _read_exr(path) if path.suffix.lower() == ".exr" else _read_whole(data, path.suffix.lower())
    except _NotTaken as error:
        raise BadInput(f"{name}: {error}") from None
    except Exception as error:  # three libraries, each with errors of its own
        raise UnreadableFile(f"{name}: it could not be read ({error}); is it damaged?") from None
    rows, columns = samples.shape[:2]
    if rows * columns > _MOST_PIXELS:
        raise BadInput(f"{name}: {columns}x{rows} pixels are too many; scale it to 7680x7680 or less first")
    if not np.isfinite(samples).all():
        raise BadInput(f"{name}: some samples are not numbers; mend the picture first")
    return PictureFile(name, hashlib.sha256(data).hexdigest(), samples)


def _read_whole(data: bytes, suffix: str) -> FloatArray:
    if suffix == ".png":
        import imagecodecs  # noqa: PLC0415 - slow to import, and only needed here

        return _colours(np.asarray(imagecodecs.png_decode(data)))
    import tifffile  # noqa: PLC0415 - likewise

    with tifffile.TiffFile(io.BytesIO(data)) as file:
        if len(file.pages) > 1:
            raise _NotTaken(f"it holds {len(file.pages)} pictures; save the one that is meant alone")
        page = file.pages.first
        kind, bits = tifffile.PHOTOMETRIC(page.photometric), page.bitspersample
        if kind not in (tifffile.PHOTOMETRIC.MINISBLACK, tifffile.PHOTOMETRIC.RGB):
            raise _NotTaken(f"its samples are {kind.name}; save it as grey or RGB")
        if bits not in _WHOLE_BYTES:
            raise _NotTaken(f"its samples have {bits} bits; save it with 8, 16 or 32")
        return _colours(np.asarray(page.asarray()))


def _read_exr(path: Path) -> FloatArray:
    import OpenEXR  # noqa: PLC0415 - slow to import, and only needed here

    with OpenEXR.File(str(path), separate_channels=True) as file:
        channels = {name: channel.pixels for name, channel in file.channels().items()}
    names = ("R", "G", "B") if "R" in channels else ("Y", "Y", "Y")
    missing = [name for name in names if name not in channels]
    if missing:
        raise _NotTaken(f"it has channels {', '.join(channels)}; it needs R, G and B, or Y")
    planes = [np.asarray(channels[name], dtype=np.float64) for name in names]
    alpha = channels.get("A")
    if alpha is not None and not (np.asarray(alpha) == 1).all():
        raise _NotTaken("parts of it are transparent; flatten it first")
    return np.stack(planes, axis=-1)


def _colours(samples: NDArray[Any]) -> FloatArray:
    """Three planes of 0..1 from whole numbers, or of floating-point samples as they are."""
    if samples.ndim == 2:  # noqa: PLR2004 - grey
        samples = samples[..., np.newaxis]
    if samples.ndim != _COLOURS or samples.shape[2] not in (1, 2, 3, 4):
        raise _NotTaken(f"its samples are of shape {samples.shape}; it must be grey or RGB")
    if samples.dtype.kind not in "uf":
        raise _NotTaken(f"its samples are {samples.dtype}; it must have unsigned whole numbers or floats")
    largest = 1.0 if samples.dtype.kind == "f" else float(np.iinfo(samples.dtype).max)
    values = samples.astype(np.float64) / largest
    if values.shape[2] in (2, 4):
        if not (values[..., -1] == 1.0).all():
            raise _NotTaken("parts of it are transparent; flatten it first")
        values = values[..., :-1]
    return np.repeat(values, _COLOURS, axis=-1) if values.shape[2] == 1 else values
