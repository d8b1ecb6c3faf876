"""Circular zone plate: every spatial frequency in every direction, from none to a stated finest at its rim.

The signal is a cosine of the squared distance from the picture's middle. Its frequency grows evenly with that
distance and reaches one cycle in `finest_pixels` at the rim: two pixels are the Nyquist limit. Rings around
any place but the middle are aliases: of a scaler, of a filter, or of a screen of other pixels. Common
practice, no source.

The middle lies between pixels, and a pixel a columns and b rows from it has the squared distance
(a + 1/2)² + (b + 1/2)² = a (a + 1) + b (b + 1) + 1/2. With the triangular numbers T(n) = n (n + 1) / 2 the
phase is (T(a) + T(b) + 1/4) / (diameter x finest_pixels / 2) cycles: whole numbers and a table of one cycle,
the same on every machine.

Fine rings are the hardest content for a lossless clip: larger than by default, and fine, they may pass what a
level allows, and then make a clip of bounded error. A still is exact at every size.
"""

from collections import Counter
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.frame.sources import Still
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.encoding import Components
from patterns.canvas import centred_label, label_dot
from patterns.colours import light_parameter
from patterns.parameters import Level, count_parameter, number_parameter
from patterns.patches import Label, Layout, Patch, PatchFamily, frame_of, layout_claims, painted_planes
from patterns.tiled import stripe_hazards
from patterns.waves import wave_code

_CORNERS = 8  # patches side by side in the picture's width, and one upon another in its height


@dataclass(frozen=True, kw_only=True)
class ZonePlate(PatchFamily):
    """The plate, with patches of its highest, lowest and middle code in three corners."""

    name: ClassVar[str] = "zone-plate"
    title: ClassVar[str] = "Circular zone plate up to a stated number of pixels a cycle"
    source: ClassVar[str] = "common practice, no source"

    finest_pixels: int = count_parameter(
        2, "a cycle at the rim; 2 is the most that samples hold", minimum=2, maximum=16, unit="pixels"
    )
    diameter_percent: float = number_parameter(
        50.0, "share of the picture's height", minimum=10.0, maximum=100.0, unit="%"
    )
    level: Level = light_parameter(100.0, "highest point of the wave")
    dark_level: Level = light_parameter(0.0, "lowest point of the wave, and the words")

    def layout(self, signal: SignalFormat) -> Layout:
        """What lies around the plate: the middle of the wave, its extremes, and the plate's figure."""
        grey, dot = signal.encoding.grey, label_dot(signal)
        low, high = self.code("dark_level", signal), self.code("level", signal)
        if high <= low:
            raise self.refuse(
                f"the highest code is {high}, the lowest {low}; use a higher level or a lower dark one"
            )
        middle = grey(wave_code(low, high, 1, 4))
        width, height = even(signal.width / _CORNERS), even(signal.height / _CORNERS)
        right, bottom = signal.width - width, signal.height - height
        text = f"{self.finest_pixels} PX"
        place = centred_label(text, dot, Rect(right, bottom, width, height))
        return Layout(
            background=middle,
            patches=(
                Patch("highest", Rect(0, 0, width, height), grey(high)),
                Patch("lowest", Rect(right, 0, width, height), grey(low)),
                Patch("middle", Rect(0, bottom, width, height), middle),
            ),
            labels=(Label(text, *place, dot, low),),
            hazards=stripe_hazards(signal, [self._square(signal)]),
        )

    def draw(self, signal: SignalFormat) -> Still:
        """The plate on what lies around it: a quarter of it, mirrored twice."""
        layout, square = self.layout(signal), self._square(signal)
        planes = painted_planes(signal, layout)
        cycle = np.array(self._cycle(signal), dtype=planes[0].dtype)
        sums = np.cumsum(np.arange(square.width // 2, dtype=np.int64))
        phase = sums[:, np.newaxis] + sums
        outside = planes[0].dtype.type(layout.background[0])
        quarter = np.where(phase <= _rim(square.width), cycle[phase % cycle.size], outside)
        half: PlaneArray = np.concatenate([quarter[:, ::-1], quarter], axis=1)
        for plane in planes if signal.components is Components.RGB else planes[:1]:
            plane[square.slices] = np.concatenate([half[::-1], half])
        return Still(frame_of(signal, planes))

    def claims(self, signal: SignalFormat) -> Claims:
        """What lies around the plate, and the pixels of every code of it, counted in a quarter."""
        layout = self.layout(signal)
        flat, grey = layout_claims(signal, layout), signal.encoding.grey
        areas = Counter(flat.areas)
        for code, pixels in self._quarter_counts(signal).items():
            areas[grey(code)] += 4 * pixels
            areas[layout.background] -= 4 * pixels
        return replace(flat, areas={code: pixels for code, pixels in sorted(areas.items()) if pixels})

    def _square(self, signal: SignalFormat) -> Rect:
        """The square around the plate, in the middle of the picture."""
        side = 2 * even(signal.height * self.diameter_percent / 200.0)
        return Rect((signal.width - side) // 2, (signal.height - side) // 2, side, side)

    def _cycle(self, signal: SignalFormat) -> list[int]:
        """Codes of one cycle by the sum of the triangular numbers of a column and a row."""
        low, high = self.code("dark_level", signal), self.code("level", signal)
        steps = self._square(signal).width * self.finest_pixels // 2
        return [wave_code(low, high, 4 * place + 1, 4 * steps) for place in range(steps)]

    def _quarter_counts(self, signal: SignalFormat) -> Counter[int]:
        """Pixels of each code in a quarter of the plate, row by row from its middle to its rim."""
        cycle, side = self._cycle(signal), self._square(signal).width
        sums = [place * (place + 1) // 2 for place in range(side // 2)]
        counts: Counter[int] = Counter()
        inside = len(sums)
        for down in sums:
            while inside and sums[inside - 1] + down > _rim(side):
                inside -= 1
            counts.update([cycle[(across + down) % len(cycle)] for across in sums[:inside]])
        return counts


def _rim(diameter: int) -> int:
    """The largest sum of two triangular numbers inside: (2a + 1)² + (2b + 1)² up to the diameter's square."""
    return (diameter * diameter - 2) // 8
