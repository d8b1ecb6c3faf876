"""The user's own picture, as a still picture or as a pan by whole pixels a frame.

Samples become linear light by a stated encoding, and cd/m² by a stated white; primaries are stated too.
Nothing is guessed from the file. Without a file a small built-in picture is shown.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import even
from knownlight.frame.picture import Decode, Fit, PictureContent, placed, planes_of_light, scaled_size
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Cycle, Levels, Still
from knownlight.signal.arrays import FloatArray, PlaneArray
from knownlight.signal.encoding import SDR_WHITE
from knownlight.signal.primaries import PRIMARIES
from knownlight.signal.transfer import srgb, st2084
from patterns.family import Family
from patterns.motion import FASTEST, exact_speed, speed_notes, speed_parameter
from patterns.parameters import choice_parameter, count_parameter, file_parameter, number_parameter
from patterns.patches import frame_of

_HDR_WHITE = 203.0  # cd/m², BT.2408
_LONGEST = 1200  # frames of a pan's period
_BUILT_IN_SHAPE = (1080, 1440)  # 4:3: what a fit does to it can be seen


@dataclass(frozen=True)
class BuiltIn:
    """A picture by formula: soft fields of colour, and discs from dark to bright."""

    name: str = ""
    sha256: str = ""
    shape: tuple[int, int] = _BUILT_IN_SHAPE

    def fitted(self, rows: int, columns: int, fit: Fit, decode: Decode) -> FloatArray:
        """Linear R, G, B at a size; every pixel is computed at its own place."""
        height, width = scaled_size(self.shape, rows, columns, fit)
        down = (np.arange(height) + 0.5)[:, None] / height
        across = (np.arange(width) + 0.5)[None, :] / width
        fields = [across * (1.0 - down), down * (1.0 - across), (1.0 - across) * (1.0 - down)]
        samples = np.stack([0.1 + 0.5 * field for field in fields], axis=-1)
        for index in range(5):
            place = (0.5 - down) ** 2 * (height / width) ** 2 + ((index + 0.5) / 5.0 - across) ** 2
            samples[place < 0.06**2] = index / 4.0
        return placed(decode(samples), rows, columns)


DECODERS: dict[str, Callable[[FloatArray, float], FloatArray]] = {
    "srgb": lambda samples, white: white * srgb.linear_from_signal(samples),
    "linear": lambda samples, white: white * samples,
    "pq": lambda samples, _white: st2084.luminance_from_signal(samples),
}


def usual_white(signal: SignalFormat) -> float:
    """Luminance (cd/m²) of sample 1.0 where none is stated."""
    return _HDR_WHITE if signal.is_hdr else SDR_WHITE


@dataclass(frozen=True, kw_only=True)
class Picture(Family):
    """A picture, standing or moving to the left."""

    name: ClassVar[str] = "picture"
    title: ClassVar[str] = "A picture of your own, standing still or panning"
    source: ClassVar[str] = "diffuse white of HDR: BT.2408 (second-hand); sRGB: IEC 61966-2-1"

    file: PictureContent | None = file_parameter(
        "the picture; without one a built-in picture is shown", kinds="PNG, TIFF or OpenEXR"
    )
    encoding: str = choice_parameter(
        "srgb", "what samples mean; OpenEXR usually holds linear light", choices=tuple(DECODERS)
    )
    primaries: str = choice_parameter("bt709", "primaries of the samples", choices=tuple(PRIMARIES))
    white_luminance: float = number_parameter(
        0.0,
        "of sample 1.0 in srgb and linear; 0 takes 100 in SDR, 203 in PQ and HLG",
        minimum=0.0,
        maximum=10000.0,
        unit="cd/m²",
    )
    fit: str = choice_parameter(
        "fill", "all of it, no black around it, or pixel for pixel", choices=tuple(fit.value for fit in Fit)
    )
    pixels_per_frame: int = count_parameter(
        0, "speed to the left, even; 0 stands still", minimum=0, maximum=256, unit="pixels a frame"
    )
    widths_per_second: float = speed_parameter("even")

    def draw(self, signal: SignalFormat) -> Still | Cycle:
        """The picture; a pan comes round when the whole of it has passed."""
        speed = self._speed(signal)
        if not speed:
            return Still(frame_of(signal, self._planes(signal, signal.width)))
        width = self._width(signal)
        planes = [np.tile(plane, (1, 2)) for plane in self._planes(signal, width)]

        def draw_frame(index: int) -> Frame:
            return frame_of(signal, [_moved(plane, signal, index * speed % width) for plane in planes])

        return Cycle(self._period(signal), draw_frame, Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """Nothing of its pixels: they are the user's. Proof holds them against what was drawn."""
        quantisation = signal.quantisation
        notes: dict[str, float] = {"lowest_code": quantisation.black, "highest_code": quantisation.white}
        if self._speed(signal):
            self._period(signal)
            notes |= speed_notes(self._speed(signal), signal)
        return Claims(notes=MappingProxyType(notes))

    def _speed(self, signal: SignalFormat) -> int:
        """Pixels a frame, even: chroma of 4:2:0 moves by whole samples."""
        if self.widths_per_second:
            return min(max(even(float(exact_speed(self.widths_per_second, signal))), 2), FASTEST)
        if self.pixels_per_frame % 2:
            raise self.refuse(f"pixels_per_frame={self.pixels_per_frame} is odd; use an even number")
        return self.pixels_per_frame

    def _content(self) -> PictureContent:
        return self.file or BuiltIn()

    def _width(self, signal: SignalFormat) -> int:
        """Of a pan: the picture as high as the frame, as wide as its shape makes it, at least the frame."""
        rows, columns = self._content().shape
        return max(signal.width, 2 * ((columns * signal.height + rows) // (2 * rows)))

    def _period(self, signal: SignalFormat) -> int:
        width, speed = self._width(signal), self._speed(signal)
        period = width // math.gcd(width, speed)
        if period > _LONGEST:
            raise self.refuse(
                f"the pan takes {period} frames to come round, more than {_LONGEST}; use a faster one, or a "
                f"speed that divides {width}"
            )
        return period

    def _planes(self, signal: SignalFormat, width: int) -> list[PlaneArray]:
        white = self.white_luminance or usual_white(signal)
        light = self._content().fitted(
            signal.height, width, Fit(self.fit), lambda samples: DECODERS[self.encoding](samples, white)
        )
        return planes_of_light(light, PRIMARIES[self.primaries], signal)


def _moved(plane: PlaneArray, signal: SignalFormat, left: int) -> PlaneArray:
    """The part of a plane that a frame shows, which lies `left` luma pixels in."""
    each = signal.height // plane.shape[0]
    return plane[:, left // each : (left + signal.width) // each]
