"""A window of stated area on a surround of stated level.

Area is a share of the screen at the screen's own aspect, as IDMS and the usual loading measurements have it;
common practice, no source for the rounding to even sizes.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, around, window_of_area
from patterns.parameters import (
    FILLING_UNITS,
    Level,
    LevelUnit,
    choice_parameter,
    level_parameter,
    luma_code,
    number_parameter,
)
from patterns.patches import Layout, Patch, PatchFamily

_POSITIONS = ("centre", "top-left", "top-right", "bottom-left", "bottom-right")


@dataclass(frozen=True, kw_only=True)
class Window(PatchFamily):
    """A window on a plain surround."""

    name: ClassVar[str] = "window"
    title: ClassVar[str] = "Window of stated area, on black or on a surround that holds the average"
    source: ClassVar[str] = "area at the screen's aspect: common practice, no source"

    area_percent: float = number_parameter(
        10.0, "share of the screen's area", minimum=0.01, maximum=100.0, unit="%"
    )
    level: Level = level_parameter(100.0, "the window")
    surround_level: Level = level_parameter(
        0.0, "what lies around it; fall and apl_percent fill it up to that average", units=FILLING_UNITS
    )
    position: str = choice_parameter("centre", "where the window lies", choices=_POSITIONS)

    def layout(self, signal: SignalFormat) -> Layout:
        """The window, and the surround in up to four rectangles."""
        rect, grey = self._rect(signal), signal.encoding.grey
        code, surround = grey(self.code("level", signal)), grey(self._surround_code(signal))
        outside = [
            Patch(f"surround-{side}", part, surround, Purpose.LOOK)
            for side, part in around(rect, signal.width, signal.height)
        ]
        return Layout(
            background=surround,
            patches=(Patch("window", rect, code), *outside),
            notes=MappingProxyType({"area_percent": 100.0 * rect.area / (signal.width * signal.height)}),
        )

    def _rect(self, signal: SignalFormat) -> Rect:
        centred = window_of_area(signal.width, signal.height, self.area_percent)
        right, bottom = signal.width - centred.width, signal.height - centred.height
        x = {"left": 0, "right": right}.get(self.position.rpartition("-")[2], centred.x)
        y = {"top": 0, "bottom": bottom}.get(self.position.partition("-")[0], centred.y)
        return Rect(x, y, centred.width, centred.height)

    def _surround_code(self, signal: SignalFormat) -> int:
        """The surround's code; where an average is asked for, the nearest that reaches it."""
        unit = self.surround_level.unit
        if unit not in (LevelUnit.FALL, LevelUnit.APL_PERCENT):
            return self.code("surround_level", signal)
        share = self._rect(signal).area / (signal.width * signal.height)
        window = self.code("level", signal)
        if share == 1.0:
            raise self.refuse(
                f"area_percent={self.area_percent:g} leaves no surround to fill; "
                f"leave out surround_{unit.value}"
            )
        if unit is LevelUnit.FALL:
            inside, plain = signal.encoding.grey_luminance(window), LevelUnit.LUMINANCE
        else:
            inside, plain = 100.0 * float(signal.quantisation.luma_signal(window)), LevelUnit.SIGNAL_PERCENT
        needed = (self.surround_level.value - share * inside) / (1.0 - share)
        if needed < 0.0:
            raise self.refuse(
                f"surround_{unit.value}={self.surround_level.value:g} is below what the window alone gives "
                f"({share * inside:.4g}); ask for more, or for a smaller or dimmer window"
            )
        try:
            return luma_code(self.name, "surround_level", Level(plain, needed), signal)
        except BadInput:
            raise self.refuse(
                f"surround_{unit.value}={self.surround_level.value:g} needs a surround of {needed:.4g} "
                f"({plain.value}), more than this signal has; ask for less, or for more window"
            ) from None
