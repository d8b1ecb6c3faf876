"""Near-black steps: every code from black up to a limit, each a labelled patch on black.

A 10-bit signal shows every 10-bit code. The first patch that can be told from black, and any two that cannot
be told from each other, are what to look for.
"""

import math
from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import Claims, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even_edges
from knownlight.frame.planes import grey_frame
from knownlight.frame.sources import Still
from patterns.canvas import Tally, centred_label, draw_label, label_dot, luma_plane
from patterns.family import Family
from patterns.parameters import Level, level_parameter

_MOST_PATCHES = 160


@dataclass(frozen=True, kw_only=True)
class NearBlack(Family):
    """A grid of patches, one a code."""

    name: ClassVar[str] = "near-black"
    title: ClassVar[str] = "Near-black steps: every code from black up to a limit"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    limit_level: Level = level_parameter(4.0, "the brightest patch")
    label_level: Level = level_parameter(12.0, "the labels; 0 % hides them")

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        label, dot = self.code("label_level", signal), label_dot(signal)
        plane = luma_plane(signal, signal.quantisation.black)
        for patch, below, code in self._patches(signal):
            plane[patch.slices] = code
            draw_label(plane, str(code), dot, centred_label(str(code), dot, below), label)
        return Still(grey_frame(signal, plane))

    def claims(self, signal: SignalFormat) -> Claims:
        """Every patch."""
        black, label, dot = signal.quantisation.black, self.code("label_level", signal), label_dot(signal)
        tally = Tally(signal, black)
        regions = []
        for patch, _, code in self._patches(signal):
            regions.append(Region(f"code-{code}", patch, signal.encoding.grey(code)))
            tally.put(patch.area, code, on=black)
            tally.label(str(code), dot, label, on=black)
        return Claims(regions=tuple(regions), areas=tally.areas())

    def _patches(self, signal: SignalFormat) -> list[tuple[Rect, Rect, int]]:
        """Patch, the room for its label, and its code."""
        black, limit = signal.quantisation.black, self.code("limit_level", signal)
        codes = list(range(black, limit + 1))
        if not 1 < len(codes) <= _MOST_PATCHES:
            raise self.refuse(
                f"the limit is code {limit} and black is {black}; {len(codes)} patches do not fit: "
                f"use a limit of code {black + 1} to {black + _MOST_PATCHES - 1}"
            )
        columns = math.ceil(math.sqrt(len(codes) * 16 / 9))
        rows = math.ceil(len(codes) / columns)
        across, down = even_edges(signal.width, columns), even_edges(signal.height, rows)
        return [
            _cell(
                across[i % columns], down[i // columns], across[i % columns + 1], down[i // columns + 1], code
            )
            for i, code in enumerate(codes)
        ]


def _cell(left: int, top: int, right: int, bottom: int, code: int) -> tuple[Rect, Rect, int]:
    """A patch of three quarters of the cell's width and five eighths of its height, and the room below it."""
    margin_x, margin_y = 2 * ((right - left) // 16), 2 * ((bottom - top) // 16)
    width, height = right - left - 2 * margin_x, 2 * ((bottom - top) * 5 // 16)
    patch = Rect(left + margin_x, top + margin_y, width, height)
    return patch, Rect(left, patch.bottom, right - left, bottom - patch.bottom), code
