"""The parts of a scene: what each paints, where it is at a time, and which codes it may use.

Places and sizes are shares of the picture in %, snapped to even pixels; everything is painted in blocks of
two by two pixels, so that colour at 4:2:0 is as exact as luma. Between keyframes places and codes run evenly.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even
from knownlight.frame.glyphs import GLYPH_HEIGHT, text_mask, text_size
from knownlight.frame.picture import Fit, PictureContent, planes_of_light
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.primaries import PRIMARIES
from patterns.colours import SDR_GAMUT, colour_code, gamut_primaries, hue_code
from patterns.parameters import Level, luma_code
from patterns.picture import DECODERS, usual_white

Share = tuple[float, float, float, float]  # left, top, width, height in % of the picture


@dataclass(frozen=True, kw_only=True)
class Paint:
    """A grey of a level, a chromaticity at a luminance (its level has no other unit), or a hue at a level."""

    level: Level
    xy: tuple[float, float] | None = None
    hue: str = ""
    gamut: str = SDR_GAMUT
    saturation_percent: float = 100.0

    def code(self, where: str, signal: SignalFormat) -> CodeTriple:
        """The three codes.

        Raises:
            BadInput: where the signal does not hold it, naming the part.
        """
        if self.xy is not None:
            return colour_code(where, self.xy, self.level.value, signal)
        if self.hue:
            return hue_code(
                where,
                "level",
                self.level,
                primaries=gamut_primaries(self.gamut, signal),
                hue=self.hue,
                saturation_percent=self.saturation_percent,
                signal=signal,
            )
        return signal.encoding.grey(luma_code(where, "level", self.level, signal))


@dataclass(frozen=True, kw_only=True)
class Key:
    """Where a part is and what it is painted with at a time in seconds; None leaves it as it was."""

    at: Fraction
    place: tuple[float, float] | None = None
    paint: Paint | None = None


@dataclass(frozen=True, kw_only=True)
class Part(ABC):
    """Something in a scene. rect: its place and size at first; a negative place lies outside the picture."""

    name: str
    rect: Share
    paint: Paint
    purpose: Purpose = Purpose.MEASURE
    keys: tuple[Key, ...] = ()

    @abstractmethod
    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """Paint it as it is at a time."""

    def luma_codes(self, signal: SignalFormat) -> list[int]:
        """Luma codes between which all it paints lies.

        Raises:
            BadInput: where the signal cannot hold it.
        """
        return [paint.code(self.name, signal)[0] for paint in self._paints()]

    def rect_at(self, signal: SignalFormat, seconds: Fraction) -> Rect:
        """Place and size in even pixels at a time; parts of it may lie outside the picture."""
        left, top, width, height = self.rect
        places = [(key.at, key.place) for key in self.keys if key.place is not None]
        if places:
            left = float(_between([(time, Fraction(place[0])) for time, place in places], seconds))
            top = float(_between([(time, Fraction(place[1])) for time, place in places], seconds))
        return Rect(
            even(left * signal.width / 100.0),
            even(top * signal.height / 100.0),
            max(2, even(width * signal.width / 100.0)),
            max(2, even(height * signal.height / 100.0)),
        )

    def code_at(self, signal: SignalFormat, seconds: Fraction) -> CodeTriple:
        """Its codes at a time."""
        keyed = [(key.at, key.paint.code(self.name, signal)) for key in self.keys if key.paint is not None]
        if not keyed:
            return self.paint.code(self.name, signal)
        first, second, third = (
            int(_between([(time, Fraction(code[index])) for time, code in keyed], seconds) + Fraction(1, 2))
            for index in range(3)
        )
        return first, second, third

    def reach(self, signal: SignalFormat) -> list[Rect]:
        """Rectangles that hold every place it comes to: from each keyframe to the next."""
        times = sorted({Fraction(0), *(key.at for key in self.keys)})
        rects = [self.rect_at(signal, time) for time in times]
        return [rects[0], *(_around(one, other) for one, other in pairwise(rects))]

    def _paints(self) -> list[Paint]:
        return [self.paint, *(key.paint for key in self.keys if key.paint is not None)]


def _around(one: Rect, other: Rect) -> Rect:
    x, y = min(one.x, other.x), min(one.y, other.y)
    return Rect(x, y, max(one.right, other.right) - x, max(one.bottom, other.bottom) - y)


def _between(values: list[tuple[Fraction, Fraction]], at: Fraction) -> Fraction:
    """The value at a time: even between two keyframes, the nearest one outside them."""
    if at <= values[0][0]:
        return values[0][1]
    for (start, low), (end, high) in pairwise(values):
        if at <= end:
            return low + (high - low) * (at - start) / (end - start)
    return values[-1][1]


def paint_blocks(planes: list[PlaneArray], rect: Rect, mask: NDArray[np.bool_], code: CodeTriple) -> None:
    """Paint the blocks of two by two pixels of a rectangle that a mask lights, cut at the picture's edges.

    mask: (rect.height / 2, rect.width / 2).
    """
    rows, columns = planes[0].shape
    top, left = max(0, rect.y), max(0, rect.x)
    bottom, right = min(rows, rect.bottom), min(columns, rect.right)
    if top >= bottom or left >= right:
        return
    seen = mask[(top - rect.y) // 2 : (bottom - rect.y) // 2, (left - rect.x) // 2 : (right - rect.x) // 2]
    for plane, value in zip(planes, code, strict=True):
        each = rows // plane.shape[0]
        whole = seen if each == 2 else seen.repeat(2, axis=0).repeat(2, axis=1)  # noqa: PLR2004
        plane[top // each : bottom // each, left // each : right // each][whole] = value


@dataclass(frozen=True, kw_only=True)
class Box(Part):
    """A rectangle."""

    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """All of its blocks."""
        rect = self.rect_at(signal, seconds)
        mask = np.ones((rect.height // 2, rect.width // 2), dtype=np.bool_)
        paint_blocks(planes, rect, mask, self.code_at(signal, seconds))


@dataclass(frozen=True, kw_only=True)
class Ellipse(Part):
    """An ellipse that fills its rectangle."""

    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """The blocks whose middle lies inside, by whole-number arithmetic."""
        rect = self.rect_at(signal, seconds)
        rows, columns = rect.height // 2, rect.width // 2
        down = (2 * np.arange(rows, dtype=np.int64) + 1 - rows)[:, None] ** 2
        across = (2 * np.arange(columns, dtype=np.int64) + 1 - columns)[None, :] ** 2
        mask = down * columns**2 + across * rows**2 <= rows**2 * columns**2
        paint_blocks(planes, rect, mask, self.code_at(signal, seconds))


@dataclass(frozen=True, kw_only=True)
class Grid(Part):
    """Lines across and down, `pitch` apart and `thickness` wide, both in even pixels."""

    pitch: int
    thickness: int = 2

    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """The blocks of its lines."""
        rect = self.rect_at(signal, seconds)
        down = np.arange(0, rect.height, 2)[:, None] % self.pitch < self.thickness
        across = np.arange(0, rect.width, 2)[None, :] % self.pitch < self.thickness
        paint_blocks(planes, rect, down | across, self.code_at(signal, seconds))


@dataclass(frozen=True, kw_only=True)
class Text(Part):
    """One line of text as high as its rectangle, in the program's own letters."""

    text: str

    def rect_at(self, signal: SignalFormat, seconds: Fraction) -> Rect:
        """What the letters take: the height gives their size, so the width follows."""
        asked = super().rect_at(signal, seconds)
        return Rect(asked.x, asked.y, *text_size(self.text, self._dot(asked)))

    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """The blocks of its dots."""
        rect = self.rect_at(signal, seconds)
        mask = text_mask(self.text, self._dot(rect) // 2)
        paint_blocks(planes, rect, mask, self.code_at(signal, seconds))

    def _dot(self, rect: Rect) -> int:
        return max(2, 2 * (rect.height // (2 * GLYPH_HEIGHT)))


@dataclass(frozen=True, kw_only=True)
class Ramp(Part):
    """Greys from the paint's level to another, to the right or down."""

    last: Paint
    downwards: bool = False

    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """Each code over two columns or rows."""
        rect = self.rect_at(signal, seconds)
        first, last = self.code_at(signal, seconds), self.last.code(self.name, signal)
        steps = (rect.height if self.downwards else rect.width) // 2
        for step in range(steps):
            code = tuple(code_at(low, high, step, steps) for low, high in zip(first, last, strict=True))
            place = (
                Rect(rect.x, rect.y + 2 * step, rect.width, 2)
                if self.downwards
                else Rect(rect.x + 2 * step, rect.y, 2, rect.height)
            )
            mask = np.ones((place.height // 2, place.width // 2), dtype=np.bool_)
            paint_blocks(planes, place, mask, (code[0], code[1], code[2]))

    def _paints(self) -> list[Paint]:
        return [*super()._paints(), self.last]


@dataclass(frozen=True, kw_only=True)
class Photo(Part):
    """A picture file, filling its rectangle."""

    picture: PictureContent
    encoding: str = "srgb"
    primaries: str = "bt709"
    white_luminance: float = 0.0
    fit: Fit = Fit.FILL

    def draw(self, planes: list[PlaneArray], signal: SignalFormat, seconds: Fraction) -> None:
        """Its samples as codes, cut at the picture's edges."""
        rect = self.rect_at(signal, seconds)
        rows, columns = planes[0].shape
        top, left = max(0, rect.y), max(0, rect.x)
        bottom, right = min(rows, rect.bottom), min(columns, rect.right)
        if top >= bottom or left >= right:
            return
        codes = _photo_planes(self, signal, rect.height, rect.width)
        for plane, part in zip(planes, codes, strict=True):
            each = rows // plane.shape[0]
            plane[top // each : bottom // each, left // each : right // each] = part[
                (top - rect.y) // each : (bottom - rect.y) // each,
                (left - rect.x) // each : (right - rect.x) // each,
            ]

    def luma_codes(self, signal: SignalFormat) -> list[int]:
        """Anything from black to white."""
        return [signal.quantisation.black, signal.quantisation.white]


@lru_cache(maxsize=4)
def _photo_planes(photo: Photo, signal: SignalFormat, rows: int, columns: int) -> list[PlaneArray]:
    """Code planes of a picture at a size; kept, for a picture that moves is the same in every frame."""
    white = photo.white_luminance or usual_white(signal)
    light = photo.picture.fitted(
        rows, columns, photo.fit, lambda samples: DECODERS[photo.encoding](samples, white)
    )
    return planes_of_light(light, PRIMARIES[photo.primaries], signal)
