"""Saturation sweeps of six hues on one card: rows of hues, columns from white to the corner of the primaries.

A sweep that a set bends, clips or compresses shows as steps that are not even. Straight lines in x, y:
common practice, no source. Along a row the luminance stays that of the full hue.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even, even_edges
from knownlight.frame.glyphs import text_size
from patterns.canvas import label_dot
from patterns.cards import gap, line_height
from patterns.colours import HUES, check_light, gamut_parameter, gamut_primaries, hue_code, hue_xy
from patterns.labelled import centred
from patterns.parameters import Level, LevelUnit, count_parameter, level_parameter
from patterns.patches import Layout, Patch, PatchFamily

_HUES = tuple(hue for hue in HUES if hue != "white")
_LONGEST = max(_HUES, key=len).upper()


@dataclass(frozen=True, kw_only=True)
class SaturationCard(PatchFamily):
    """Six rows of patches, hues named at the left and saturations in % at the top."""

    name: ClassVar[str] = "saturation-card"
    title: ClassVar[str] = "Six hues by steps of saturation, from white to the corners of stated primaries"
    source: ClassVar[str] = (
        "primaries: H.273 Table 2; straight saturation in x, y and layout: common practice, no source"
    )

    gamut: str = gamut_parameter()
    steps: int = count_parameter(
        6, "columns, white and the full hue among them", minimum=2, maximum=11, unit=""
    )
    level: Level = level_parameter(
        58.0, "every patch; luminance is its own, signal_percent and code are those of R', G', B' at full hue"
    )
    surround_level: Level = level_parameter(0.0, "the grey around the patches")
    label_level: Level = level_parameter(30.0, "the labels; the level of the surround hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Patches row by row."""
        primaries = gamut_primaries(self.gamut, signal)
        if self.level.unit is LevelUnit.LUMINANCE:
            full = {
                hue: (hue_xy(gamut_primaries(self.gamut, signal), hue), self.level.value) for hue in _HUES
            }
            check_light(f"{self.name}: luminance", full, signal)
        label, apart = self.code("label_level", signal), gap(signal)
        left, top = self._margins(signal)
        across = [left + edge for edge in even_edges(signal.width - left, self.steps)]
        down = [top + edge for edge in even_edges(signal.height - top, len(_HUES))]
        percents = [100.0 * step / (self.steps - 1) for step in range(self.steps)]
        patches = []
        labels = [
            centred(signal, f"{percent:.0f}%", Rect(across[i], 0, across[i + 1] - across[i], top), label)
            for i, percent in enumerate(percents)
        ]
        for row, hue in enumerate(_HUES):
            height = down[row + 1] - down[row]
            labels.append(centred(signal, hue.upper(), Rect(0, down[row], left, height), label))
            for i, percent in enumerate(percents):
                code = hue_code(
                    self.name,
                    "level",
                    self.level,
                    primaries=primaries,
                    hue=hue,
                    saturation_percent=percent,
                    signal=signal,
                )
                rect = Rect(across[i], down[row], across[i + 1] - across[i] - apart, height - apart)
                patches.append(Patch(f"{hue}-{percent:.0f}", rect, code))
        return Layout(
            background=signal.encoding.grey(self.code("surround_level", signal)),
            patches=tuple(patches),
            labels=tuple(labels),
        )

    def _margins(self, signal: SignalFormat) -> tuple[int, int]:
        """Columns for the names of hues, and rows for the figures."""
        dot = label_dot(signal)
        return even(text_size(_LONGEST, dot)[0] + 4 * dot), even(line_height(signal))
