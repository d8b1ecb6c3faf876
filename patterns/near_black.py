"""Near-black steps: every code from black up to a limit, each a labelled patch on black.

A 10-bit signal shows every 10-bit code. The first patch that can be told from black, and any two that cannot
be told from each other, are what to look for.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from patterns.labelled import cells, centred
from patterns.parameters import Level, level_parameter
from patterns.patches import Layout, Patch, PatchFamily

_MOST_PATCHES = 160


@dataclass(frozen=True, kw_only=True)
class NearBlack(PatchFamily):
    """A grid of patches, one a code."""

    name: ClassVar[str] = "near-black"
    title: ClassVar[str] = "Near-black steps: every code from black up to a limit"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    limit_level: Level = level_parameter(4.0, "the brightest patch")
    label_level: Level = level_parameter(12.0, "the labels; 0 % hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Every patch, and its code below it."""
        grey, label = signal.encoding.grey, self.code("label_level", signal)
        codes = self._codes(signal)
        grid = cells(signal, len(codes))
        return Layout(
            background=grey(signal.quantisation.black),
            patches=tuple(
                Patch(f"code-{code}", cell.patch, grey(code)) for code, cell in zip(codes, grid, strict=True)
            ),
            labels=tuple(
                centred(signal, str(code), cell.below, label) for code, cell in zip(codes, grid, strict=True)
            ),
        )

    def _codes(self, signal: SignalFormat) -> range:
        black, limit = signal.quantisation.black, self.code("limit_level", signal)
        codes = range(black, limit + 1)
        if not 1 < len(codes) <= _MOST_PATCHES:
            raise self.refuse(
                f"the limit is code {limit} and black is {black}; {len(codes)} patches do not fit: "
                f"use a limit of code {black + 1} to {black + _MOST_PATCHES - 1}"
            )
        return codes
