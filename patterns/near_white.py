"""Near-white steps: every n-th code up to the highest there is, each a labelled patch on that highest code.

A set that clips shows no patch of the codes that it clips: they are one with what they lie on, and the last
patch that can be seen is the last code that the set tells from the highest. White has a patch of its own, and
where the range goes on above it (BT.709-6, BT.2100-2 Table 9: narrow range up to 254, 1019 or 4079) so do the
codes there. In PQ those mean nothing more than white.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from patterns.labelled import cells, centred, inset, step_codes, step_parameter
from patterns.parameters import Level, level_parameter
from patterns.patches import Layout, Patch, PatchFamily

_FEWEST_PATCHES, _MOST_PATCHES = 2, 160


@dataclass(frozen=True, kw_only=True)
class NearWhite(PatchFamily):
    """A grid of patches, each inside a block of the highest code."""

    name: ClassVar[str] = "near-white"
    title: ClassVar[str] = "Near-white steps: every n-th code from a limit up to the highest there is"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    limit_level: Level = level_parameter(90.0, "the darkest patch, or the next above it that a step meets")
    step: int = step_parameter()
    label_level: Level = level_parameter(40.0, "the labels; 0 % hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Patches in reading order, the highest code last."""
        grey, quantisation = signal.encoding.grey, signal.quantisation
        label, highest = self.code("label_level", signal), quantisation.highest_allowed
        codes = self._codes(signal)
        patches, labels = [], []
        for code, cell in zip(codes, cells(signal, len(codes)), strict=True):
            block = inset(
                cell.patch, 1
            )  # smaller than the cell lets it be: less light, less dimming by the set
            patches += [
                Patch(f"around-{code}", block, grey(highest), None),
                Patch(f"code-{code}", inset(block, 2), grey(code)),
            ]
            labels.append(centred(signal, str(code), cell.below, label))
        return Layout(
            background=grey(quantisation.black),
            patches=tuple(patches),
            labels=tuple(labels),
            notes=MappingProxyType({"white_code": quantisation.white, "around_code": highest}),
        )

    def _codes(self, signal: SignalFormat) -> list[int]:
        """Codes by whole steps from white, down to the limit and up to the highest."""
        limit, step = self.code("limit_level", signal), step_codes(self.step, signal)
        white, highest = signal.quantisation.white, signal.quantisation.highest_allowed
        last = highest - (highest - white) % step
        codes = list(range(last, limit - 1, -step))[::-1]
        if not _FEWEST_PATCHES <= len(codes) <= _MOST_PATCHES:
            lowest = max(signal.quantisation.lowest_allowed, last - (_MOST_PATCHES - 1) * step)
            raise self.refuse(
                f"a limit of code {limit} gives {len(codes)} patches by steps of {step}; "
                f"use a limit of code {lowest} to {last - step}, or another step"
            )
        return codes
