"""Bursts of sine waves, from coarse to fine and in two directions, beside flat patches of both extremes.

What is lost between a signal and the screen is seen as a burst of less contrast than the patches have. The
codes of one cycle are computed once and repeated, and every burst holds whole cycles. The finest has two
pixels a cycle, the most that samples can hold, and is drawn at its highest and lowest point. Common
practice, no source.
"""

import math
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from patterns.canvas import centred_label, label_dot
from patterns.cards import gap, line_height
from patterns.colours import light_parameter
from patterns.parameters import Level, level_parameter
from patterns.patches import Label, Patch
from patterns.tiled import Field, TiledFamily, TiledLayout, stripe_hazards
from patterns.waves import wave_code

CYCLES = (32, 16, 12, 8, 6, 4, 3, 2)  # pixels
_ACROSS_PERCENT = 15  # of the height: higher ones could not be lossless within the level


@dataclass(frozen=True, kw_only=True)
class Multiburst(TiledFamily):
    """A column of flat patches, then bursts to the right and, under their pixels a cycle, downwards."""

    name: ClassVar[str] = "multiburst"
    title: ClassVar[str] = "Sine waves of 32 to 2 pixels a cycle, across and down, beside both their extremes"
    source: ClassVar[str] = "common practice, no source"

    level: Level = light_parameter(100.0, "highest point of the waves")
    dark_level: Level = light_parameter(0.0, "lowest point of the waves")
    label_level: Level = level_parameter(0.0, "the labels, on the middle between both extremes")

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """Bursts of equal width."""
        grey, dot = signal.encoding.grey, label_dot(signal)
        light, dark = self.code("level", signal), self.code("dark_level", signal)
        if light <= dark:
            raise self.refuse(
                f"the highest code is {light}, the lowest {dark}; use a higher level or a lower dark one"
            )
        apart, line = gap(signal), even(line_height(signal))
        edges = even_edges(signal.width - 2 * apart, len(CYCLES) + 1)
        columns = [
            Rect(left + 2 * apart, apart, right - left - 2 * apart, signal.height - 2 * apart)
            for left, right in pairwise(edges)
        ]
        high = even(signal.height * _ACROSS_PERCENT / 100.0)
        fields, labels = [], []
        for cycle, column in zip(CYCLES, columns[1:], strict=True):
            codes = tuple(grey(wave_code(dark, light, place, cycle)) for place in range(cycle))
            across = Rect(column.x, column.y, column.width, high)
            room = Rect(column.x, across.bottom, column.width, line)
            down = Rect(column.x, room.bottom, column.width, column.bottom - room.bottom)
            fields.append(Field(_whole_cycles(across, cycle), (codes,)))
            fields.append(Field(_whole_cycles_down(down, cycle), tuple((code,) for code in codes)))
            text = str(cycle)
            labels.append(Label(text, *centred_label(text, dot, room), dot, self.code("label_level", signal)))
        upper, lower = _halves(columns[0])
        return TiledLayout(
            background=grey(wave_code(dark, light, 1, 4)),
            patches=(Patch("light", upper, grey(light)), Patch("dark", lower, grey(dark))),
            labels=tuple(labels),
            fields=tuple(fields),
            notes=MappingProxyType(
                {f"cycles_a_width_at_{cycle}_pixels": signal.width / cycle for cycle in CYCLES}
            ),
            hazards=stripe_hazards(signal, (field.rect for field in fields)),
        )


def _whole_cycles(rect: Rect, cycle: int) -> Rect:
    """The middle of a rectangle that holds whole cycles and has an even width."""
    step = math.lcm(2, cycle)
    width = rect.width // step * step
    return Rect(rect.x + even((rect.width - width) / 2), rect.y, width, rect.height)


def _whole_cycles_down(rect: Rect, cycle: int) -> Rect:
    """The same for waves that run down."""
    turned = _whole_cycles(Rect(rect.y, rect.x, rect.height, rect.width), cycle)
    return Rect(turned.y, turned.x, turned.height, turned.width)


def _halves(rect: Rect) -> tuple[Rect, Rect]:
    upper = Rect(rect.x, rect.y, rect.width, even(rect.height / 2))
    return upper, Rect(rect.x, upper.bottom, rect.width, rect.bottom - upper.bottom)
