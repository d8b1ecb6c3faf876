"""Highlight steps: rows at levels where sets reach their limits, each with patches a little below and above.

Each row lies on its own level. A set that clips shows no patch of the codes that it clips; one that rolls off
shows them nearer to the row than they are asked. PQ has rows at 600, 1000, 2000, 4000 and 10 000 cd/m², peaks
that sets and masters are often said to have (common practice, no source). SDR and HLG mean no fixed light:
their rows are 90 % and 100 % of the signal and, where the range goes on above white, 105 %, the upper limit
of EBU R 103 (known second-hand).
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import ClassVar

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from knownlight.signal.encoding import Transfer
from patterns.labelled import centred, inset, step_codes, step_parameter
from patterns.parameters import Level, level_parameter
from patterns.patches import Label, Layout, Patch, PatchFamily

_PQ_ROWS = (600, 1000, 2000, 4000, 10000)  # cd/m²
_SIGNAL_ROWS = (90, 100, 105)  # %
_EACH_SIDE = 5  # patches below a row's level, and above it


@dataclass(frozen=True, kw_only=True)
class HighlightSteps(PatchFamily):
    """Rows of patches, from dim to bright."""

    name: ClassVar[str] = "highlight-steps"
    title: ClassVar[str] = (
        "Highlight steps: codes around 600 to 10 000 cd/m², or around white, for clip and roll-off"
    )
    source: ClassVar[str] = "rows: common practice, no source; codes: ST 2084, BT.709-6, BT.2100-2 Table 9"

    step: int = step_parameter()
    label_level: Level = level_parameter(40.0, "the labels; 0 % hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Rows from the top, each named at its left."""
        rows = _rows(signal)
        edges = even_edges(signal.height, len(rows))
        tall = even(signal.height / 20)  # small: the less light in all, the less a set dims
        left, wide = even(signal.width / 5), even(signal.width * 3 / 5)
        patches: list[Patch] = []
        labels: list[Label] = []
        for (level, unit, code), (top, bottom) in zip(rows, pairwise(edges), strict=True):
            band = Rect(left, 2 * ((top + bottom - 2 * tall) // 4), wide, tall)
            row_patches, row_labels = self._row(signal, f"row-{level}", code, band)
            patches += row_patches
            labels += row_labels
            room = Rect(0, band.y, band.x, band.height)
            labels.append(centred(signal, f"{level} {unit}", room, self.code("label_level", signal)))
        return Layout(
            background=signal.encoding.grey(signal.quantisation.black),
            patches=tuple(patches),
            labels=tuple(labels),
        )

    def _row(self, signal: SignalFormat, name: str, code: int, band: Rect) -> tuple[list[Patch], list[Label]]:
        """A band and its patches from the darkest on; the place in the middle is the band's own level."""
        grey, label = signal.encoding.grey, self.code("label_level", signal)
        step, last = step_codes(self.step, signal), _last_meaning(signal)
        patches, labels = [Patch(name, band, grey(code), None)], []
        edges = even_edges(band.width, 2 * _EACH_SIDE + 1)
        for index, (start, end) in enumerate(pairwise(edges)):
            shown = code + (index - _EACH_SIDE) * step
            if shown > last:
                break
            cell = Rect(band.x + start, band.y, end - start, band.height)
            purpose = Purpose.MEASURE if shown == code else Purpose.LOOK
            patches.append(Patch(f"{name}-code-{shown}", inset(cell, 2), grey(shown), purpose))
            below = Rect(cell.x, cell.bottom, cell.width, cell.height)
            labels.append(centred(signal, str(shown), below, label))
        return patches, labels


def _rows(signal: SignalFormat) -> list[tuple[int, str, int]]:
    """Level, its unit and its code of each row that the signal has."""
    if signal.transfer is Transfer.PQ:
        return [(level, "CD/M2", signal.encoding.grey_code_from_luminance(level)) for level in _PQ_ROWS]
    highest = signal.quantisation.luma_signal(signal.quantisation.highest_allowed)
    return [
        (percent, "%", int(signal.quantisation.luma_code(percent / 100.0)))
        for percent in _SIGNAL_ROWS
        if percent / 100.0 <= highest
    ]


def _last_meaning(signal: SignalFormat) -> int:
    """The highest code that asks for more light than the one below it: PQ ends at white."""
    quantisation = signal.quantisation
    return quantisation.white if signal.transfer is Transfer.PQ else quantisation.highest_allowed
