"""Flat pictures with one ramp in them: what sets of colour bars have below their bars.

The layout has one patch in the ramp's place. The ramp is painted over it by array code, and counted column
by column by scalar arithmetic.
"""

from abc import abstractmethod
from collections import Counter
from dataclasses import dataclass, replace

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import code_at
from knownlight.frame.sources import Still
from knownlight.signal.encoding import Components
from patterns.patches import Layout, Patch, PatchFamily, frame_of, layout_claims, painted_planes
from patterns.ramps import ramp_codes

CLIMB = "climb"  # the name, within its row, of the patch that the ramp lies on


@dataclass(frozen=True, kw_only=True)
class RampedFamily(PatchFamily):
    """A family whose layout has one patch, without purpose, of which the name ends in `climb`.

    The ramp starts on the patch's own grey; nothing else may lie on it.
    """

    @abstractmethod
    def last_code(self, signal: SignalFormat) -> int:
        """The ramp's code at its right end."""

    def draw(self, signal: SignalFormat) -> Still:
        """The flat picture with the ramp painted over its place."""
        layout = self.layout(signal)
        place = _place(layout)
        codes = ramp_codes(signal, place.code[0], self.last_code(signal), place.rect.width, bits=signal.depth)
        planes = painted_planes(signal, layout)
        for plane in planes if signal.components is Components.RGB else planes[:1]:
            plane[place.rect.slices] = codes
        return Still(frame_of(signal, planes))

    def claims(self, signal: SignalFormat) -> Claims:
        """The flat parts, and the pixels of every colour with the ramp's columns among them."""
        layout = self.layout(signal)
        place, last, flat = _place(layout), self.last_code(signal), layout_claims(signal, layout)
        areas = Counter(flat.areas)
        areas[place.code] -= place.rect.area
        for column in range(place.rect.width):
            code = code_at(place.code[0], last, column, place.rect.width)
            areas[signal.encoding.grey(code)] += place.rect.height
        return replace(flat, areas={code: pixels for code, pixels in areas.items() if pixels})


def _place(layout: Layout) -> Patch:
    return next(patch for patch in layout.patches if patch.name.endswith(CLIMB))
