"""Ramps and gradients at their own depth and at fewer bits.

A ramp of fewer bits has the lowest bits of the signal's own codes cut off, as a source of so many bits lacks
them (BT.2100-2 Table 9 scales narrow range by powers of two, so black stays where it is).
"""

from collections import Counter
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even_edges
from knownlight.frame.planes import grey_frame, sample_type
from knownlight.frame.sources import Still
from knownlight.signal.arrays import PlaneArray
from patterns.canvas import luma_plane
from patterns.family import Family
from patterns.parameters import Level, choice_parameter, count_parameter, level_parameter

_SHOWN_BITS = (12, 10, 8, 7, 6)
_SAMPLES = 5  # regions claimed along a ramp


def ramp_codes(signal: SignalFormat, first: int, last: int, positions: int, bits: int) -> PlaneArray:
    """Codes along a ramp, as an array: integer arithmetic on all positions at once."""
    step = 1 << (signal.depth - bits)
    intervals = max(1, positions - 1)
    doubled = 2 * (first * intervals + (last - first) * np.arange(positions, dtype=np.int64))
    codes = ((doubled + intervals) // (2 * intervals)) & -step
    return codes.astype(sample_type(signal.depth))


def constant_run(first: int, last: int, near: int, positions: int, step: int) -> tuple[int, int, int]:
    """Start, length and code of the run of one code around a position, one position at a time."""
    code = code_at(first, last, near, positions, step)
    start = end = near
    while start > 0 and code_at(first, last, start - 1, positions, step) == code:
        start -= 1
    while end + 1 < positions and code_at(first, last, end + 1, positions, step) == code:
        end += 1
    return start, end + 1 - start, code


@dataclass(frozen=True, kw_only=True)
class Ramp(Family):
    """The same horizontal ramp in bands of fewer and fewer bits."""

    name: ClassVar[str] = "ramp"
    title: ClassVar[str] = "Ramp at the signal's depth beside the same ramp at 8, 7 and 6 bits"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    first_level: Level = level_parameter(0.0, "the left end")
    last_level: Level = level_parameter(100.0, "the right end")

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        plane = luma_plane(signal, first)
        for rect, bits in self._bands(signal):
            plane[rect.slices] = ramp_codes(signal, first, last, signal.width, bits)
        return Still(grey_frame(signal, plane))

    def claims(self, signal: SignalFormat) -> Claims:
        """Five places in each band, and the pixels of every code."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        counts: Counter[int] = Counter()
        regions = []
        for rect, bits in self._bands(signal):
            step = 1 << (signal.depth - bits)
            for x in range(signal.width):
                counts[code_at(first, last, x, signal.width, step)] += rect.height
            for sample in range(_SAMPLES):
                near = (signal.width - 1) * sample // (_SAMPLES - 1)
                start, length, code = constant_run(first, last, near, signal.width, step)
                regions.append(
                    Region(
                        f"{bits}-bit-{sample + 1}",
                        Rect(start, rect.y, length, rect.height),
                        signal.encoding.grey(code),
                        Purpose.LOOK,
                    )
                )
        grey = signal.encoding.grey
        return Claims(regions=tuple(regions), areas={grey(code): n for code, n in sorted(counts.items())})

    def _bands(self, signal: SignalFormat) -> list[tuple[Rect, int]]:
        shown = [bits for bits in _SHOWN_BITS if bits <= signal.depth]
        edges = even_edges(signal.height, len(shown))
        return [
            (Rect(0, edges[i], signal.width, edges[i + 1] - edges[i]), bits) for i, bits in enumerate(shown)
        ]


@dataclass(frozen=True, kw_only=True)
class Gradient(Family):
    """One gradient over the whole picture."""

    name: ClassVar[str] = "gradient"
    title: ClassVar[str] = "Gradient between two levels over the whole picture"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    first_level: Level = level_parameter(0.0, "the left or upper end")
    last_level: Level = level_parameter(100.0, "the right or lower end")
    direction: str = choice_parameter("horizontal", "the way it runs", choices=("horizontal", "vertical"))
    bits: int = count_parameter(
        0, "quantised to so many bits; 0 is the signal's own depth", minimum=0, maximum=12, unit="bits"
    )

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        codes = ramp_codes(signal, first, last, self._positions(signal), self._bits(signal))
        plane = luma_plane(signal, first)
        plane[:] = codes if self.direction == "horizontal" else codes[:, np.newaxis]
        return Still(grey_frame(signal, plane))

    def claims(self, signal: SignalFormat) -> Claims:
        """Five places along the gradient, and the pixels of every code."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        positions, step = self._positions(signal), 1 << (signal.depth - self._bits(signal))
        horizontal = self.direction == "horizontal"
        across = signal.height if horizontal else signal.width
        counts: Counter[int] = Counter()
        for position in range(positions):
            counts[code_at(first, last, position, positions, step)] += across
        regions = []
        for sample in range(_SAMPLES):
            near = (positions - 1) * sample // (_SAMPLES - 1)
            start, length, code = constant_run(first, last, near, positions, step)
            rect = Rect(start, 0, length, across) if horizontal else Rect(0, start, across, length)
            regions.append(Region(f"place-{sample + 1}", rect, signal.encoding.grey(code), Purpose.LOOK))
        grey = signal.encoding.grey
        return Claims(regions=tuple(regions), areas={grey(code): n for code, n in sorted(counts.items())})

    def _positions(self, signal: SignalFormat) -> int:
        return signal.width if self.direction == "horizontal" else signal.height

    def _bits(self, signal: SignalFormat) -> int:
        fewest = min(_SHOWN_BITS)
        if self.bits > signal.depth or 0 < self.bits < fewest:
            raise self.refuse(
                f"bits={self.bits} of a {signal.depth}-bit signal; use {fewest} to {signal.depth}, or 0"
            )
        return self.bits or signal.depth
