"""One gradient in bands of fewer and fewer bits, in any of four directions.

Seen from the usual distance, a display of the signal's own depth shows steps in the bands of fewer bits and
none in the first; where two bands look alike, the finer one was cut on its way. Fewer bits are the signal's
own codes with the lowest bits cut off, as in `ramp`, which has the horizontal gradient without words.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isqrt
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even, even_edges
from knownlight.frame.sources import Still
from knownlight.signal.arrays import CodeArray
from knownlight.signal.encoding import Components
from patterns.canvas import centred_label, label_dot
from patterns.cards import line_height
from patterns.colours import light_parameter
from patterns.parameters import Level, choice_parameter, level_parameter
from patterns.patches import Label, Layout, Patch, PatchFamily, frame_of, layout_claims, painted
from patterns.ramps import constant_run, ramp_codes

SHOWN_BITS = (12, 10, 8, 7, 6)
_PLACES = 3  # regions claimed along a band


@dataclass(frozen=True)
class _Run:
    """How a gradient runs through a band of so many columns and rows, in positions from 0.

    positions: how many there are. drawn: the position of every pixel, by array code; it broadcasts.
    counted: pixels at every position, by scalar arithmetic.
    """

    positions: Callable[[int, int], int]
    drawn: Callable[[int, int], CodeArray]
    counted: Callable[[int, int], Counter[int]]


@lru_cache(maxsize=8)
def _counted_rings(width: int, height: int) -> Counter[int]:
    """A quarter of the band, four times over."""
    quarter = Counter(
        isqrt(column * column + row * row) - 1 for row in range(1, height, 2) for column in range(1, width, 2)
    )
    return Counter({position: 4 * pixels for position, pixels in quarter.items()})


def _drawn_rings(width: int, height: int) -> CodeArray:
    """Twice the distance from the middle, less the 1 of the middle itself; whole roots come out whole."""
    columns, rows = (np.arange(1 - length, length, 2, dtype=np.int64) for length in (width, height))
    return np.floor(np.sqrt(columns * columns + (rows * rows)[:, np.newaxis])).astype(np.int64) - 1


_RUNS = {
    "horizontal": _Run(
        positions=lambda width, _: width,
        drawn=lambda width, _: np.arange(width)[np.newaxis],
        counted=lambda width, height: Counter(dict.fromkeys(range(width), height)),
    ),
    "vertical": _Run(
        positions=lambda _, height: height,
        drawn=lambda _, height: np.arange(height)[:, np.newaxis],
        counted=lambda width, height: Counter(dict.fromkeys(range(height), width)),
    ),
    "diagonal": _Run(
        positions=lambda width, height: width + height - 1,
        drawn=lambda width, height: np.arange(width) + np.arange(height)[:, np.newaxis],
        counted=lambda width, height: Counter(
            {at: min(at + 1, width, height, width + height - 1 - at) for at in range(width + height - 1)}
        ),
    ),
    "radial": _Run(
        positions=lambda width, height: isqrt((width - 1) ** 2 + (height - 1) ** 2),
        drawn=_drawn_rings,
        counted=_counted_rings,
    ),
}


@dataclass(frozen=True, kw_only=True)
class GradientBands(PatchFamily):
    """Bands, each over the number of its bits."""

    name: ClassVar[str] = "gradient-bands"
    title: ClassVar[str] = "One gradient at the signal's bits, 8, 7 and 6 side by side, in four directions"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    first_level: Level = level_parameter(0.0, "the left, upper or inner end")
    last_level: Level = level_parameter(100.0, "the right, lower or outer end")
    direction: str = choice_parameter("horizontal", "the way it runs in each band", choices=tuple(_RUNS))
    label_level: Level = light_parameter(10.0, "the words; 0 hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """The flat picture: places for the bands, and words."""
        grey, dot = signal.encoding.grey, label_dot(signal)
        first, label = grey(self.code("first_level", signal)), self.code("label_level", signal)
        patches, labels = [], []
        for band, words, bits in self._bands(signal):
            text = f"{bits} BIT"
            patches.append(Patch(text, band, first, None))
            labels.append(Label(text, *centred_label(text, dot, words), dot, label))
        return Layout(
            background=grey(signal.quantisation.black), patches=tuple(patches), labels=tuple(labels)
        )

    def draw(self, signal: SignalFormat) -> Still:
        """The flat picture with the gradient in its places."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        run = _RUNS[self.direction]
        planes = [plane.copy() for plane in painted(signal, self.layout(signal)).planes]
        for band, _, bits in self._bands(signal):
            size = band.width, band.height
            codes = ramp_codes(signal, first, last, run.positions(*size), bits)[run.drawn(*size)]
            for plane in planes if signal.components is Components.RGB else planes[:1]:
                plane[band.slices] = codes
        return Still(frame_of(signal, planes))

    def claims(self, signal: SignalFormat) -> Claims:
        """The pixels of every code; three places in each band that runs straight across or down."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        run, grey = _RUNS[self.direction], signal.encoding.grey
        flat = layout_claims(signal, self.layout(signal))
        areas, regions = Counter(flat.areas), []
        for band, _, bits in self._bands(signal):
            areas[grey(first)] -= band.area
            positions, step = run.positions(band.width, band.height), 1 << (signal.depth - bits)
            for position, pixels in run.counted(band.width, band.height).items():
                areas[grey(code_at(first, last, position, positions, step))] += pixels
            if self.direction not in ("horizontal", "vertical"):
                continue
            for place in range(_PLACES):
                near = (positions - 1) * place // (_PLACES - 1)
                start, length, code = constant_run(first, last, near, positions, step)
                if self.direction == "horizontal":
                    rect = Rect(band.x + start, band.y, length, band.height)
                else:
                    rect = Rect(band.x, band.y + start, band.width, length)
                regions.append(Region(f"{bits}-bit-{place + 1}", rect, grey(code), Purpose.LOOK))
        return replace(
            flat,
            regions=tuple(regions),
            areas={code: pixels for code, pixels in sorted(areas.items()) if pixels},
        )

    def _bands(self, signal: SignalFormat) -> list[tuple[Rect, Rect, int]]:
        """Each band, the room for its words, and its bits: one upon another where they run across."""
        shown = [bits for bits in SHOWN_BITS if bits <= signal.depth]
        line, stacked = even(line_height(signal)), self.direction == "horizontal"
        edges = even_edges(signal.height if stacked else signal.width, len(shown))
        bands = []
        for index, bits in enumerate(shown):
            start, length = edges[index], edges[index + 1] - edges[index]
            if stacked:
                band = Rect(0, start, signal.width, length - line)
            else:
                band = Rect(start, 0, length, signal.height - line)
            bands.append((band, Rect(band.x, band.bottom, band.width, line), bits))
        return bands
