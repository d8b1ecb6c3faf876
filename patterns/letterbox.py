"""Letterbox: a wide picture of grey steps between bars, which are measured.

Steps rise above and fall below the middle, so that either bar has every level at its edge somewhere. 2.39 is
the usual wide cinema aspect, 1.85 the other; 2.76 is that of 65 mm anamorphic prints (from memory).
"""

from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even, even_edges
from patterns.parameters import Level, count_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, PatchFamily

_THIRDS = ("left", "centre", "right")


@dataclass(frozen=True, kw_only=True)
class Letterbox(PatchFamily):
    """A bar, two rows of steps and a bar."""

    name: ClassVar[str] = "letterbox"
    title: ClassVar[str] = "Letterbox: grey steps of a wide picture between bars that should stay black"
    source: ClassVar[str] = "aspects of cinema, from memory; layout: common practice, no source"

    aspect: float = number_parameter(
        2.39, "width of the picture between the bars to its height", minimum=1.85, maximum=2.76, unit="to 1"
    )
    steps: int = count_parameter(11, "columns", minimum=1, maximum=64, unit="columns")
    first_level: Level = level_parameter(0.0, "the upper left step and the lower right one")
    last_level: Level = level_parameter(75.0, "the upper right step and the lower left one")
    bar_level: Level = level_parameter(0.0, "the bars")

    def layout(self, signal: SignalFormat) -> Layout:
        """Each bar in three parts, each row in its steps."""
        grey = signal.encoding.grey
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        bar_code = grey(self.code("bar_level", signal))
        bar = even((signal.height - signal.width / self.aspect) / 2)
        tall = signal.height - 2 * bar
        middle = bar + 2 * (tall // 4)
        patches = []
        thirds = even_edges(signal.width, len(_THIRDS))
        for side, (left, right) in zip(_THIRDS, pairwise(thirds), strict=True):
            for name, top in (("upper", 0), ("lower", signal.height - bar)):
                patches.append(Patch(f"{name}-bar-{side}", Rect(left, top, right - left, bar), bar_code))
        for index, (left, right) in enumerate(pairwise(even_edges(signal.width, self.steps))):
            rising = grey(code_at(first, last, index, self.steps))
            falling = grey(code_at(last, first, index, self.steps))
            upper = Rect(left, bar, right - left, middle - bar)
            lower = Rect(left, middle, right - left, signal.height - bar - middle)
            patches += [
                Patch(f"upper-step-{index + 1:02d}", upper, rising, Purpose.LOOK),
                Patch(f"lower-step-{index + 1:02d}", lower, falling, Purpose.LOOK),
            ]
        return Layout(
            background=bar_code,
            patches=tuple(patches),
            notes=MappingProxyType({"bar_rows": bar, "aspect": signal.width / tall}),
        )
