"""One colour in a window: primaries, secondaries and white, and the places of a saturation sweep."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import around, window_of_area
from patterns.colours import HUES, gamut_parameter, gamut_primaries, hue_code
from patterns.parameters import Level, choice_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, PatchFamily


@dataclass(frozen=True, kw_only=True)
class ColourWindow(PatchFamily):
    """A window of a hue at a saturation and a level."""

    name: ClassVar[str] = "colour-window"
    title: ClassVar[str] = "Window of one colour: a hue of stated primaries, saturation and level"
    source: ClassVar[str] = (
        "primaries: H.273 Table 2; straight saturation in x, y: common practice, no source"
    )

    colour: str = choice_parameter("red", "the hue", choices=tuple(HUES))
    gamut: str = gamut_parameter()
    saturation_percent: float = number_parameter(
        100.0, "way from white to the hue, in x, y", minimum=0.0, maximum=100.0, unit="%"
    )
    level: Level = level_parameter(
        75.0, "the colour; luminance is its own, signal_percent and code are those of R', G', B'"
    )
    area_percent: float = number_parameter(
        10.0, "share of the screen's area", minimum=0.01, maximum=100.0, unit="%"
    )
    surround_level: Level = level_parameter(0.0, "the grey around it")

    def layout(self, signal: SignalFormat) -> Layout:
        """The window, and the surround in up to four rectangles."""
        rect = window_of_area(signal.width, signal.height, self.area_percent)
        code = hue_code(
            self.name,
            "level",
            self.level,
            primaries=gamut_primaries(self.gamut, signal),
            hue=self.colour,
            saturation_percent=self.saturation_percent,
            signal=signal,
        )
        surround = signal.encoding.grey(self.code("surround_level", signal))
        return Layout(
            background=surround,
            patches=(
                Patch("window", rect, code),
                *(
                    Patch(f"surround-{side}", part, surround, Purpose.LOOK)
                    for side, part in around(rect, signal.width, signal.height)
                ),
            ),
            notes=MappingProxyType({"area_percent": 100.0 * rect.area / (signal.width * signal.height)}),
        )
