"""Grey steps: columns from one level to another, each labelled with its code.

Even in signal as a rule; even in luminance, or by equal ratios of luminance, between the same two levels.
Those start from the light that was asked for, where a level was given as light; codes are the nearest.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import Claims, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, code_at, even, even_edges
from knownlight.frame.glyphs import text_size
from knownlight.frame.planes import grey_frame
from knownlight.frame.sources import Still
from patterns.canvas import Tally, centred_label, draw_label, label_dot, luma_plane
from patterns.family import Family
from patterns.parameters import Level, LevelUnit, choice_parameter, count_parameter, level_parameter

_SPACINGS = ("signal", "luminance", "ratio")


@dataclass(frozen=True, kw_only=True)
class GreySteps(Family):
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

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        black, label = signal.quantisation.black, self.code("label_level", signal)
        plane = luma_plane(signal, black)
        dot = label_dot(signal)
        for rect, code in self._columns(signal):
            plane[rect.slices] = code
            strip = Rect(rect.x, rect.bottom, rect.width, signal.height - rect.bottom)
            text = _label(code, rect, dot)
            if text:
                draw_label(plane, text, dot, centred_label(text, dot, strip), label)
        return Still(grey_frame(signal, plane))

    def claims(self, signal: SignalFormat) -> Claims:
        """Every column."""
        black, label = signal.quantisation.black, self.code("label_level", signal)
        dot = label_dot(signal)
        tally = Tally(signal, black)
        regions = []
        for index, (rect, code) in enumerate(self._columns(signal)):
            regions.append(Region(f"step-{index + 1:02d}", rect, signal.encoding.grey(code)))
            tally.put(rect.area, code, on=black)
            tally.label(_label(code, rect, dot), dot, label, on=black)
        return Claims(regions=tuple(regions), areas=tally.areas())

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
        low, high = sorted(
            (first, last)
        )  # codes below black, and above white in PQ, ask for the light of that end
        return [first, *(min(max(code, low), high) for code in codes), last]

    def _light(self, field_name: str, signal: SignalFormat) -> float:
        """Luminance (cd/m²) that a level asks for."""
        asked: Level = getattr(self, field_name)
        if asked.unit is LevelUnit.LUMINANCE:
            return asked.value
        return signal.encoding.grey_luminance(self.code(field_name, signal))


def _label(code: int, rect: Rect, dot: int) -> str:
    """The code in figures, or nothing where the column is too narrow for it."""
    text = str(code)
    return text if text_size(text, dot)[0] <= rect.width - 2 * dot else ""
