"""A ring of hues at one luminance and one distance from white, with white of that luminance in the middle.

Hues stand at equal angles in CIE 1976 u', v' about D65, from the direction of greater u' on,
counter-clockwise as in the diagram (CIE 15 for u', v'; the ring: common practice, no source). On a set
without fault no patch is brighter or paler than the others, and each lies where its angle says.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from typing import ClassVar

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.signal.chromaticity import uv_prime_from_xy, xy_from_uv_prime
from knownlight.signal.primaries import D65, Chromaticity
from patterns.colours import colour_code, holds, level_light, light_parameter
from patterns.labelled import centred
from patterns.parameters import Level, count_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, PatchFamily

_CIRCLE = 0.41  # of the picture's height: the radius on which patches have their middles
_LARGEST = 0.15  # of the picture's height: a patch's side, where few leave room for it
_WHITE = 0.22  # of the picture's height: the side of the white in the middle
_FILLED = 0.62  # a patch's side in the distance of two middles; below the root of 1/2, none meet
_LABEL = 0.02  # of the picture's height: a label's middle lies so much nearer than a patch's side would
_STEPS = 10_000  # of a radius of 1: the largest that fits is said to so much


@dataclass(frozen=True, kw_only=True)
class HueRing(PatchFamily):
    """Square patches on a circle."""

    name: ClassVar[str] = "hue-ring"
    title: ClassVar[str] = "Hues of one luminance and one distance from white on a ring"
    source: ClassVar[str] = "u', v': CIE 15; equal angles about D65: common practice, no source"

    hues: int = count_parameter(12, "flat patches around the ring", minimum=3, maximum=24, unit="hues")
    radius: float = number_parameter(
        0.04, "distance of each hue from D65 in u', v'", minimum=0.001, maximum=0.5, unit=""
    )
    level: Level = light_parameter(20.0, "every patch and the white in the middle")
    surround_level: Level = level_parameter(0.0, "the grey around the patches")
    label_level: Level = level_parameter(30.0, "the angles in degrees; the level of the surround hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """The white, then every hue from 0 degrees on."""
        height, label = signal.height, self.code("label_level", signal)
        luminance = level_light(self.name, "level", self.level, signal)
        circle = _CIRCLE * height
        side = even(min(_LARGEST * height, _FILLED * 2.0 * circle * math.sin(math.pi / self.hues)))
        middle = _square(signal, 0.0, 0.0, even(_WHITE * height))
        patches = [Patch("white", middle, signal.encoding.grey(self.code("level", signal)))]
        labels = []
        for index, code in enumerate(self._codes(luminance, signal)):
            turn, degrees = 2.0 * math.pi * index / self.hues, 360.0 * index / self.hues
            patches.append(Patch(f"hue-{degrees:.0f}", _square(signal, circle, turn, side), code))
            text = f"{degrees:.0f}"
            room = _square(signal, circle - side - _LABEL * height, turn, side)
            labels.append(centred(signal, text, room, label))
        return Layout(
            background=signal.encoding.grey(self.code("surround_level", signal)),
            patches=tuple(patches),
            labels=tuple(labels),
        )

    def _codes(self, luminance: float, signal: SignalFormat) -> list[CodeTriple]:
        """The codes of every hue."""
        try:
            return self._ring(self.radius, luminance, signal)
        except BadInput:
            fitting = self._largest_radius(luminance, signal)
            asked = f"radius={self.radius:g} at {luminance:g} cd/m² is more than this signal holds"
            if not fitting:
                raise self.refuse(f"{asked}, as is any other; ask for less luminance") from None
            raise self.refuse(f"{asked}; use {fitting:g} or less, or another luminance") from None

    def _ring(self, radius: float, luminance: float, signal: SignalFormat) -> list[CodeTriple]:
        places = [_hue_at(radius, 2.0 * math.pi * index / self.hues) for index in range(self.hues)]
        if not all(holds(signal.content_primaries, xy) for xy in places):
            raise self.refuse("outside the primaries")
        return [colour_code(self.name, xy, luminance, signal) for xy in places]

    def _largest_radius(self, luminance: float, signal: SignalFormat) -> float:
        """The largest radius, in whole ten-thousandths, of which every hue is held; 0 where none is."""

        def misfit(step: int) -> int:
            try:
                self._ring(step / _STEPS, luminance, signal)
            except BadInput:
                return 1
            return 0

        return bisect_left(range(1, _STEPS // 2), 1, key=misfit) / _STEPS


def _hue_at(radius: float, turn: float) -> Chromaticity:
    """x, y of a hue at so many radians from the direction of greater u', so far from D65 in u', v'."""
    u, v = uv_prime_from_xy(D65)
    x, y = xy_from_uv_prime((u + radius * math.cos(turn), v + radius * math.sin(turn)))
    return float(x), float(y)


def _square(signal: SignalFormat, distance: float, turn: float, side: int) -> Rect:
    """A square whose middle lies so many pixels from the picture's, counter-clockwise from the right."""
    middle_x = signal.width / 2.0 + distance * math.cos(turn)
    middle_y = signal.height / 2.0 - distance * math.sin(turn)
    return Rect(even(middle_x - side / 2.0), even(middle_y - side / 2.0), side, side)
