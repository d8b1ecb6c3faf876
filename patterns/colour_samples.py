"""The fourteen test colour samples of colour rendering as they look in daylight, with white.

CIE 13.3: samples 1 to 8 of moderate colour, 9 to 12 strong ones, 13 a human complexion, 14 a leaf. x, y and
Y were computed from the published reflectances with the CIE 1931 standard observer and D65, summed from 380
to 780 nm in steps of 5 nm; the names are CIE 13.3's (from memory). Colours are not adapted to the signal's
white, which is D65 to four decimals. A sample that the signal's primaries do not hold leaves its place
empty: number 12, the strong blue, lies outside BT.709 and P3-D65; BT.2020 holds all fourteen.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from patterns.cards import card_cells
from patterns.colours import colour_code, holds, level_light, light_parameter
from patterns.labelled import centred
from patterns.parameters import Level, level_parameter
from patterns.patches import Layout, Patch, PatchFamily

# Number, name, x, y, and Y in % of the perfect reflector.
SAMPLES = (
    (1, "light-greyish-red", 0.37797, 0.34121, 29.783),
    (2, "dark-greyish-yellow", 0.38553, 0.40530, 28.892),
    (3, "strong-yellow-green", 0.37219, 0.47375, 30.439),
    (4, "moderate-yellowish-green", 0.28708, 0.41432, 29.487),
    (5, "light-bluish-green", 0.25977, 0.32069, 30.844),
    (6, "light-blue", 0.24356, 0.25718, 29.785),
    (7, "light-violet", 0.28765, 0.25354, 29.371),
    (8, "light-reddish-purple", 0.32909, 0.27408, 31.337),
    (9, "strong-red", 0.56930, 0.31083, 11.245),
    (10, "strong-yellow", 0.43610, 0.46873, 58.994),
    (11, "strong-green", 0.25369, 0.42595, 20.376),
    (12, "strong-blue", 0.15492, 0.15988, 6.435),
    (13, "light-yellowish-pink", 0.37438, 0.36311, 57.109),
    (14, "moderate-olive-green", 0.35307, 0.44296, 11.708),
)
_COLUMNS, _ROWS = 5, 3


@dataclass(frozen=True, kw_only=True)
class ColourSamples(PatchFamily):
    """A card of fourteen patches and white, each with its number below it."""

    name: ClassVar[str] = "colour-samples"
    title: ClassVar[str] = "The fourteen test colour samples of CIE 13.3 under D65, and white"
    source: ClassVar[str] = (
        "CIE 13.3 reflectances, CIE 1931 observer, D65; layout: common practice, no source"
    )

    white_level: Level = light_parameter(100.0, "white, of which each sample has its reflectance")
    surround_level: Level = level_parameter(0.0, "the grey around the patches")
    label_level: Level = level_parameter(30.0, "the labels; the level of the surround hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """Samples in reading order; white is the last."""
        white = level_light(self.name, "white_level", self.white_level, signal)
        label = self.code("label_level", signal)
        cells = card_cells(signal, _COLUMNS, _ROWS)
        patches, labels = [], []
        for (number, name, x, y, share), cell in zip(SAMPLES, cells, strict=False):
            if holds(signal.content_primaries, (x, y)):
                code = colour_code(self.name, (x, y), white * share / 100.0, signal)
                patches.append(Patch(f"sample-{number:02d}-{name}", cell.patch, code))
                labels.append(centred(signal, str(number), cell.below, label))
        last = cells[-1]
        patches.append(Patch("white", last.patch, signal.encoding.grey(self.code("white_level", signal))))
        labels.append(centred(signal, "WHITE", last.below, label))
        return Layout(
            background=signal.encoding.grey(self.code("surround_level", signal)),
            patches=tuple(patches),
            labels=tuple(labels),
            notes=MappingProxyType({"samples_left_out": float(len(cells) - len(patches))}),
        )
