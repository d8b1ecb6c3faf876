"""Code pairs: neighbouring codes side by side, from a first code upwards, to see which ones a set merges.

Each patch is split down its middle: a code at its left and the next one at its right. Where no edge is seen,
the set shows both alike. A first code below black shows what a set does with codes under it.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from patterns.labelled import cells, centred
from patterns.parameters import Level, count_parameter, level_parameter
from patterns.patches import Layout, Patch, PatchFamily


@dataclass(frozen=True, kw_only=True)
class CodePairs(PatchFamily):
    """A grid of split patches."""

    name: ClassVar[str] = "code-pairs"
    title: ClassVar[str] = "Code pairs: each code beside the next one, for codes that a set merges"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    first_level: Level = level_parameter(0.0, "the left half of the first pair; may lie below black")
    pairs: int = count_parameter(
        24, "pairs, each one code above the one before", minimum=1, maximum=60, unit="pairs"
    )
    surround_level: Level = level_parameter(0.0, "what the pairs lie on")
    label_level: Level = level_parameter(12.0, "the labels; the level of the surround hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Pairs in reading order."""
        grey = signal.encoding.grey
        first, label = self.code("first_level", signal), self.code("label_level", signal)
        highest = signal.quantisation.highest_allowed
        if first + self.pairs > highest:
            raise self.refuse(
                f"{self.pairs} pairs from code {first} end at code {first + self.pairs}, above the highest, "
                f"{highest}; use a first code of {highest - self.pairs} or less, or fewer pairs"
            )
        patches, labels = [], []
        for code, cell in zip(range(first, first + self.pairs), cells(signal, self.pairs), strict=True):
            rect = cell.patch
            half = 2 * (rect.width // 4)
            patches += [
                Patch(f"pair-{code}-left", Rect(rect.x, rect.y, half, rect.height), grey(code)),
                Patch(f"pair-{code}-right", Rect(rect.x + half, rect.y, half, rect.height), grey(code + 1)),
            ]
            labels.append(centred(signal, f"{code}/{code + 1}", cell.below, label))
        return Layout(
            background=grey(self.code("surround_level", signal)), patches=tuple(patches), labels=tuple(labels)
        )
