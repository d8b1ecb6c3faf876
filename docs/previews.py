"""A small picture of each family for the reference: drawn by the program at 720p, tone-mapped to sRGB.

A preview is for recognising a pattern, not for measuring: two by two pixels are averaged, light above diffuse
white is compressed, dark pictures are made lighter, and colours outside BT.709 are clipped.
"""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from knownlight.errors import KnownlightError
from knownlight.frame.format import parse_signal_format
from knownlight.frame.planes import Frame
from knownlight.frame.sources import FrameSource, Sequence
from knownlight.frame.subsample import upsample_420
from knownlight.sheet.tone_map import bt709_light, srgb_picture
from knownlight.signal.encoding import Components
from patterns.registry import FAMILIES, build

FOLDER = Path(__file__).parent / "previews"
_BLOCK = 2  # pixels averaged each way
_SIGNALS = ("720p60-pq", "720p60-sdr")
_SHOWN_AS: dict[str, dict[str, object]] = {"pixel-grid": {"content": "fields", "pitch": 6}}  # even grey else
_MOMENT = 3  # a moving pattern is shown after a third of its period


def preview(name: str) -> NDArray[np.uint8]:
    """An sRGB picture of a family, (360, 640, 3), in PQ, or in SDR where PQ has no such pattern."""
    pattern = build(name, _SHOWN_AS.get(name, {}))
    for written in _SIGNALS:
        signal = parse_signal_format(written)
        try:
            return shown(_typical(pattern.draw(signal)))
        except KnownlightError:
            continue
    raise AssertionError(f"{name} can be drawn in none of {', '.join(_SIGNALS)}")


def _typical(source: FrameSource) -> Frame:
    """A frame that shows what a source is about: the middle picture of a sequence, a moment of what moves."""
    if isinstance(source, Sequence):
        return source.picture(len({hold.picture for hold in source.holds}) // 2)
    return source.frame(source.unrepeated(600) // _MOMENT)


def shown(frame: Frame) -> NDArray[np.uint8]:
    """A frame as sRGB samples, tone-mapped."""
    signal = frame.signal
    luma, first, second = frame.planes
    if signal.components is Components.YCBCR_420:
        first, second = upsample_420(first, signal.siting), upsample_420(second, signal.siting)
    xyz = signal.encoding.xyz(np.stack([luma, first, second], axis=-1))
    light = bt709_light(xyz, signal.transfer)
    rows, columns, _ = light.shape
    return srgb_picture(light.reshape(rows // _BLOCK, _BLOCK, columns // _BLOCK, _BLOCK, 3).mean(axis=(1, 3)))


def write_previews() -> None:
    """Write the picture of every family, and remove those of families that are no more."""
    FOLDER.mkdir(exist_ok=True)
    for path in FOLDER.glob("*.png"):
        if path.stem not in FAMILIES:
            path.unlink()
    for name in FAMILIES:
        picture = preview(name)
        path = FOLDER / f"{name}.png"
        if not (path.is_file() and np.array_equal(read_preview(name), picture)):
            Image.fromarray(picture).save(path, optimize=True)


def read_preview(name: str) -> NDArray[np.uint8]:
    """The samples of a written picture."""
    with Image.open(FOLDER / f"{name}.png") as image:
        return np.asarray(image.convert("RGB"))
