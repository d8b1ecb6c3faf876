"""A gradient from one colour to another over the whole picture.

Both ends are hues of stated primaries. Between them the codes run straight, each of the three by itself: that
is a straight line in the signal R'G'B' (as it is in Y'CbCr), not in light. Every position is two pixels wide,
so that at 4:2:0 a chroma sample belongs to one. Fewer bits are codes with the lowest bits cut off, in colour
difference as in luma.
"""

from collections import Counter
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims, CodeTriple, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at
from knownlight.frame.planes import plane_shapes, sample_type
from knownlight.frame.sources import Still
from patterns.colours import HUES, gamut_parameter, gamut_primaries, hue_code
from patterns.family import Family
from patterns.parameters import Level, choice_parameter, count_parameter, level_parameter
from patterns.patches import frame_of
from patterns.ramps import ramp_codes

_WIDE = 2  # pixels of a position
_FEWEST_BITS = 6
_PLACES = 5  # regions claimed along the gradient
_LEVEL_WORDS = "luminance is the colour's own, signal_percent and code are those of R', G', B'"


@dataclass(frozen=True, kw_only=True)
class ColourGradient(Family):
    """Two hues and all that lies between them."""

    name: ClassVar[str] = "colour-gradient"
    title: ClassVar[str] = "Gradient between two hues, straight in the signal, at its depth or fewer bits"
    source: ClassVar[str] = "primaries: H.273 Table 2; codes: BT.709-6, BT.2100-2; layout: no source"

    first_colour: str = choice_parameter("red", "the left or upper end", choices=tuple(HUES))
    last_colour: str = choice_parameter("blue", "the right or lower end", choices=tuple(HUES))
    gamut: str = gamut_parameter()
    first_level: Level = level_parameter(50.0, f"the left or upper end; {_LEVEL_WORDS}")
    last_level: Level = level_parameter(50.0, f"the right or lower end; {_LEVEL_WORDS}")
    direction: str = choice_parameter("horizontal", "the way it runs", choices=("horizontal", "vertical"))
    bits: int = count_parameter(
        0, "codes cut to so many bits; 0 is the signal's own depth", minimum=0, maximum=12, unit="bits"
    )

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        planes = []
        ends = zip(self._end("first", signal), self._end("last", signal), strict=True)
        for shape, (first, last) in zip(plane_shapes(signal), ends, strict=True):
            codes = ramp_codes(signal, first, last, self._positions(signal), self._bits(signal))
            horizontal = self.direction == "horizontal"
            line = np.repeat(codes, shape[1 if horizontal else 0] // codes.size)
            plane = np.empty(shape, dtype=sample_type(signal.depth))
            plane[:] = line if horizontal else line[:, np.newaxis]
            planes.append(plane)
        return Still(frame_of(signal, planes))

    def claims(self, signal: SignalFormat) -> Claims:
        """The pixels of every colour, and five places along the gradient."""
        colours, horizontal = self._colours(signal), self.direction == "horizontal"
        across = signal.height if horizontal else signal.width
        areas: Counter[CodeTriple] = Counter()
        for colour in colours:
            areas[colour] += _WIDE * across
        regions = []
        for place in range(_PLACES):
            start, end = run_around(colours, (len(colours) - 1) * place // (_PLACES - 1))
            at, length = _WIDE * start, _WIDE * (end - start)
            rect = Rect(at, 0, length, across) if horizontal else Rect(0, at, across, length)
            regions.append(Region(f"place-{place + 1}", rect, colours[start], Purpose.LOOK))
        return Claims(regions=tuple(regions), areas=areas)

    def _colours(self, signal: SignalFormat) -> list[CodeTriple]:
        """The colour of every position, one position at a time."""
        ends = list(zip(self._end("first", signal), self._end("last", signal), strict=True))
        positions, step = self._positions(signal), 1 << (signal.depth - self._bits(signal))
        colours = []
        for position in range(positions):
            one, two, three = (code_at(first, last, position, positions, step) for first, last in ends)
            colours.append((one, two, three))
        return colours

    def _end(self, which: str, signal: SignalFormat) -> CodeTriple:
        """The colour of an end, before bits are cut."""
        return hue_code(
            self.name,
            f"{which}_level",
            getattr(self, f"{which}_level"),
            primaries=gamut_primaries(self.gamut, signal),
            hue=getattr(self, f"{which}_colour"),
            saturation_percent=100.0,
            signal=signal,
        )

    def _positions(self, signal: SignalFormat) -> int:
        return (signal.width if self.direction == "horizontal" else signal.height) // _WIDE

    def _bits(self, signal: SignalFormat) -> int:
        if self.bits > signal.depth or 0 < self.bits < _FEWEST_BITS:
            raise self.refuse(
                f"bits={self.bits} of a {signal.depth}-bit signal; use {_FEWEST_BITS} to {signal.depth}, or 0"
            )
        return self.bits or signal.depth


def run_around(colours: list[CodeTriple], near: int) -> tuple[int, int]:
    """Start and end of the positions around one that have its colour."""
    start, end = near, near + 1
    while start and colours[start - 1] == colours[near]:
        start -= 1
    while end < len(colours) and colours[end] == colours[near]:
        end += 1
    return start, end
