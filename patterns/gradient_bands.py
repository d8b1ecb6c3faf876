"""One gradient in bands of fewer and fewer bits, in any of four directions, between two greys or two hues.

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

from knownlight.frame.claims import Claims, CodeTriple, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even, even_edges
from knownlight.frame.sources import Still
from knownlight.signal.arrays import CodeArray
from patterns.canvas import centred_label, label_dot
from patterns.cards import line_height
from patterns.colour_gradient import run_around
from patterns.colours import HUES, gamut_parameter, gamut_primaries, hue_code, light_parameter
from patterns.parameters import Level, choice_parameter, level_parameter
from patterns.patches import Label, Layout, Patch, PatchFamily, frame_of, layout_claims, painted_planes
from patterns.ramps import ramp_codes

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
    """A quarter of the band, and how often each of its places comes in the whole."""
    rings: Counter[int] = Counter()
    for row in range(1 - height % 2, height, 2):
        for column in range(1 - width % 2, width, 2):
            times = (2 if row else 1) * (2 if column else 1)
            rings[max(0, isqrt(column * column + row * row) - 1)] += times
    return rings


def _drawn_rings(width: int, height: int) -> CodeArray:
    """Twice the distance from the middle, less 1; whole roots come out whole."""
    columns, rows = (np.arange(1 - length, length, 2, dtype=np.int64) for length in (width, height))
    rings = np.floor(np.sqrt(columns * columns + (rows * rows)[:, np.newaxis])).astype(np.int64)
    return np.maximum(rings - 1, 0)


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
    title: ClassVar[str] = (
        "Gradient of greys or hues at the signal's bits, 8, 7 and 6 side by side, four ways"
    )
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    first_level: Level = level_parameter(0.0, "the left, upper or inner end")
    last_level: Level = level_parameter(100.0, "the right, lower or outer end")
    first_colour: str = choice_parameter("white", "hue of the first end", choices=tuple(HUES))
    last_colour: str = choice_parameter("white", "hue of the last end", choices=tuple(HUES))
    gamut: str = gamut_parameter()
    direction: str = choice_parameter("horizontal", "the way it runs in each band", choices=tuple(_RUNS))
    label_level: Level = light_parameter(10.0, "the words; 0 hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """The flat picture: places for the bands, and words."""
        grey, dot, label = signal.encoding.grey, label_dot(signal), self.code("label_level", signal)
        first, _ = self._ends(signal)
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
        run, block = _RUNS[self.direction], self._block
        planes = painted_planes(signal, self.layout(signal))
        for band, _, bits in self._bands(signal):
            size = band.width // block, band.height // block
            places = np.broadcast_to(run.drawn(*size), size[::-1])
            for plane, first, last in zip(planes, *self._ends(signal), strict=True):
                codes = ramp_codes(signal, first, last, run.positions(*size), bits)[places]
                down = signal.height // plane.shape[0]
                if down == 1:
                    codes = codes.repeat(block, axis=0).repeat(block, axis=1)
                elif block == 1:  # greys: no colour difference to draw
                    continue
                plane[band.y // down : band.bottom // down, band.x // down : band.right // down] = codes
        return Still(frame_of(signal, planes))

    def claims(self, signal: SignalFormat) -> Claims:
        """The pixels of every code; three places in each band that runs straight across or down."""
        first, last = self._ends(signal)
        run, block = _RUNS[self.direction], self._block
        flat = layout_claims(signal, self.layout(signal))
        areas, regions = Counter(flat.areas), []
        for band, _, bits in self._bands(signal):
            areas[first] -= band.area
            size, step = (band.width // block, band.height // block), 1 << (signal.depth - bits)
            positions = run.positions(*size)
            colours = [_colour_at(first, last, place, positions, step) for place in range(positions)]
            for position, pixels in run.counted(*size).items():
                areas[colours[position]] += pixels * block * block
            if self.direction not in ("horizontal", "vertical"):
                continue
            for place in range(_PLACES):
                start, end = run_around(colours, (positions - 1) * place // (_PLACES - 1))
                at, length = block * start, block * (end - start)
                if self.direction == "horizontal":
                    rect = Rect(band.x + at, band.y, length, band.height)
                else:
                    rect = Rect(band.x, band.y + at, band.width, length)
                regions.append(Region(f"{bits}-bit-{place + 1}", rect, colours[start], Purpose.LOOK))
        return replace(
            flat,
            regions=tuple(regions),
            areas={code: pixels for code, pixels in sorted(areas.items()) if pixels},
        )

    @property
    def _block(self) -> int:
        """Pixels of a position each way: greys change at any pixel, colours where a chroma sample does."""
        return 1 if self.first_colour == self.last_colour == "white" else 2

    def _ends(self, signal: SignalFormat) -> tuple[CodeTriple, CodeTriple]:
        """The colours of both ends, before bits are cut."""
        first, last = (
            hue_code(
                self.name,
                f"{which}_level",
                getattr(self, f"{which}_level"),
                primaries=gamut_primaries(self.gamut, signal),
                hue=getattr(self, f"{which}_colour"),
                saturation_percent=100.0,
                signal=signal,
            )
            if self._block > 1
            else signal.encoding.grey(self.code(f"{which}_level", signal))
            for which in ("first", "last")
        )
        return first, last

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


def _colour_at(first: CodeTriple, last: CodeTriple, place: int, places: int, step: int) -> CodeTriple:
    one, two, three = (code_at(low, high, place, places, step) for low, high in zip(first, last, strict=True))
    return one, two, three
