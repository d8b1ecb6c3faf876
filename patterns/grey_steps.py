"""Grey steps: columns from one level to another, each labelled with its code.

Even in signal as a rule; even in luminance, or by equal ratios of luminance, between the same two levels.
Those start from the light that was asked for, where a level was given as light; codes are the nearest.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even, even_edges
from knownlight.frame.glyphs import text_size
from patterns.canvas import label_dot
from patterns.labelled import centred
from patterns.parameters import Level, LevelUnit, choice_parameter, count_parameter, level_parameter
from patterns.patches import Layout, Patch, PatchFamily

_SPACINGS = ("signal", "luminance", "ratio")


@dataclass(frozen=True, kw_only=True)
class GreySteps(PatchFamily):
    """Columns of grey above a strip of labels."""

    name: ClassVar[str] = "grey-steps"
    title: ClassVar[str] = (
        "Grey steps, even in signal, in luminance or by ratios of it, labelled with their codes"
    )
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; layout: common practice, no source"

    steps: int = count_parameter(11, "columns", minimum=2, maximum=64, unit="columns")
    first_level: Level = level_parameter(0.0, "the leftmost column")
    last_level: Level = level_parameter(100.0, "the rightmost column")
    spacing: str = choice_parameter(
        "signal",
        "even in signal, even in luminance, or by equal ratios of luminance, from a first level above 0",
        choices=_SPACINGS,
    )
    label_level: Level = level_parameter(20.0, "the labels; the level of the strip (0 %) hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Every column, and its code below it."""
        grey, dot, label = signal.encoding.grey, label_dot(signal), self.code("label_level", signal)
        patches, labels = [], []
        for index, (rect, code) in enumerate(self._columns(signal)):
            patches.append(Patch(f"step-{index + 1:02d}", rect, grey(code)))
            strip = Rect(rect.x, rect.bottom, rect.width, signal.height - rect.bottom)
            if text_size(str(code), dot)[0] <= rect.width - 2 * dot:  # else the column is too narrow for it
                labels.append(centred(signal, str(code), strip, label))
        return Layout(
            background=grey(signal.quantisation.black), patches=tuple(patches), labels=tuple(labels)
        )

    def _columns(self, signal: SignalFormat) -> list[tuple[Rect, int]]:
        edges = even_edges(signal.width, self.steps)
        height = signal.height - even(signal.height / 18)
        return [
            (Rect(edges[i], 0, edges[i + 1] - edges[i], height), code)
            for i, code in enumerate(self._codes(signal))
        ]

    def _codes(self, signal: SignalFormat) -> list[int]:
        """Codes of the columns; the first and the last are those of their levels at every spacing."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        if self.spacing == "signal":
            return [code_at(first, last, i, self.steps) for i in range(self.steps)]
        start, end = self._light("first_level", signal), self._light("last_level", signal)
        if self.spacing == "ratio" and 0.0 in (start, end):
            raise self.refuse(
                "spacing=ratio has no step from or to 0 cd/m²; use first_luminance and last_luminance above 0"
            )
        shares = [i / (self.steps - 1) for i in range(1, self.steps - 1)]
        if self.spacing == "luminance":
            between = [start + (end - start) * share for share in shares]
        else:
            between = [start * (end / start) ** share for share in shares]
        codes = [signal.encoding.grey_code_from_luminance(light) for light in between]
        # codes below black, and above white in PQ, ask for the light of that end
        low, high = sorted((first, last))
        return [first, *(min(max(code, low), high) for code in codes), last]

    def _light(self, field_name: str, signal: SignalFormat) -> float:
        """Luminance (cd/m²) that a level asks for."""
        asked: Level = getattr(self, field_name)
        if asked.unit is LevelUnit.LUMINANCE:
            return asked.value
        return signal.encoding.grey_luminance(self.code(field_name, signal))
