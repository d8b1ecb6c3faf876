"""A star field: small bright squares on a dark ground, to show what local dimming makes of them."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.sources import Still
from patterns.canvas import Tally, flat_frame
from patterns.family import Family
from patterns.noise import raw_words
from patterns.parameters import Level, count_parameter, level_parameter

_PITCH = 4  # cells of this many star sizes keep stars apart
_CLAIMED = 5  # stars that are claimed by place; all are claimed by number


@dataclass(frozen=True, kw_only=True)
class Stars(Family):
    """Stars at places picked by a seed, never touching."""

    name: ClassVar[str] = "stars"
    title: ClassVar[str] = "Star field: small bright squares on a dark ground"
    source: ClassVar[str] = "common practice, no source"

    count: int = count_parameter(400, "how many", minimum=1, maximum=20000, unit="stars")
    size: int = count_parameter(
        2, "side of a star; even, so that chroma fits", minimum=2, maximum=64, unit="pixels"
    )
    level: Level = level_parameter(60.0, "the stars")
    background_level: Level = level_parameter(0.0, "what they lie on")
    seed: int = count_parameter(1, "picks other places", minimum=0, maximum=65535, unit="")

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        boxes = dict.fromkeys(self._places(signal), self.code("level", signal))
        return Still(flat_frame(signal, self.code("background_level", signal), boxes))

    def claims(self, signal: SignalFormat) -> Claims:
        """Some stars by place, all of them by their pixels."""
        light, dark = self.code("level", signal), self.code("background_level", signal)
        tally = Tally(signal, dark)
        tally.put(self.count * self.size * self.size, light, on=dark)
        regions = [
            Region(f"star-{index + 1}", rect, signal.encoding.grey(light), Purpose.LOOK)
            for index, rect in enumerate(self._places(signal)[:_CLAIMED])
        ]
        return Claims(regions=tuple(regions), areas=tally.areas())

    def _places(self, signal: SignalFormat) -> list[Rect]:
        """One star in the middle of each of some cells of a grid, in the order of random words."""
        if self.size % 2:
            raise self.refuse(f"size={self.size} is odd; use an even number of pixels")
        pitch = _PITCH * self.size
        columns, rows = signal.width // pitch, signal.height // pitch
        if self.count > columns * rows:
            raise self.refuse(
                f"count={self.count} do not fit; use at most {columns * rows}, or smaller stars"
            )
        order = np.argsort(raw_words(self.seed, 0, 0, columns * rows), kind="stable")[: self.count]
        inset = 2 * ((pitch - self.size) // 4)
        return [
            Rect(
                int(cell % columns) * pitch + inset,
                int(cell // columns) * pitch + inset,
                self.size,
                self.size,
            )
            for cell in order
        ]
