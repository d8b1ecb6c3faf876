"""Skin tones: the complexion sample of CIE 13.3 and the same chromaticity at lower and lower luminance.

The lightest patch is sample 13, "light yellowish pink (human complexion)", as it looks under D65. Real skin
changes its chromaticity with its lightness; that these patches do not is on purpose, so that a tint which
comes with level is the set's own. The steps, of equal ratio, and how dark they go: common practice, no
source.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.signal.chromaticity import uv_prime_from_xy, xy_from_uv_prime
from knownlight.signal.primaries import D65
from patterns.cards import card_cells
from patterns.colour_samples import SAMPLES
from patterns.colours import colour_code, level_light, light_parameter
from patterns.labelled import centred
from patterns.parameters import Level, count_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, PatchFamily

_COMPLEXION = SAMPLES[12]


@dataclass(frozen=True, kw_only=True)
class SkinTones(PatchFamily):
    """Columns from light to dark."""

    name: ClassVar[str] = "skin-tones"
    title: ClassVar[str] = "Skin tones: one chromaticity from light to dark"
    source: ClassVar[str] = "lightest: CIE 13.3 sample 13 under D65; the others: common practice, no source"

    steps: int = count_parameter(6, "patches", minimum=2, maximum=12, unit="patches")
    white_level: Level = light_parameter(100.0, "white, of which the lightest patch has 57.1 %")
    darkest_percent: float = number_parameter(
        4.0, "luminance of the darkest patch, of white", minimum=0.5, maximum=50.0, unit="%"
    )
    colourfulness_percent: float = number_parameter(
        100.0, "way from D65 to the sample, in u', v'", minimum=0.0, maximum=150.0, unit="%"
    )
    surround_level: Level = level_parameter(0.0, "the grey around the patches")
    label_level: Level = level_parameter(30.0, "the labels; the level of the surround hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Each patch with its luminance in % of white below it."""
        white = level_light(self.name, "white_level", self.white_level, signal)
        label = self.code("label_level", signal)
        _, _, x, y, lightest = _COMPLEXION
        start, end = uv_prime_from_xy(D65), uv_prime_from_xy((x, y))
        u, v = start + (end - start) * self.colourfulness_percent / 100.0
        tone_x, tone_y = (float(part) for part in xy_from_uv_prime((u, v)))
        patches, labels = [], []
        for index, cell in enumerate(card_cells(signal, self.steps, 1)):
            share = lightest * (self.darkest_percent / lightest) ** (index / (self.steps - 1))
            code = colour_code(self.name, (tone_x, tone_y), white * share / 100.0, signal)
            patches.append(Patch(f"tone-{index + 1:02d}", cell.patch, code))
            labels.append(centred(signal, f"{share:.1f}", cell.below, label))
        return Layout(
            background=signal.encoding.grey(self.code("surround_level", signal)),
            patches=tuple(patches),
            labels=tuple(labels),
        )
