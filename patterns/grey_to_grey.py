"""Grey to grey: a window or the whole field that changes between two levels, for response times.

Never faster than three changes a second: ITU-R BT.1702-3 (known second-hand) permits three flashes a second
of two changes each, so this is half of that. Over more than a quarter of the screen a caution goes with it.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Hazard, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, around, window_of_area
from knownlight.frame.planes import Frame
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import flat_frame
from patterns.family import Family
from patterns.flashing import QUARTER, is_flash
from patterns.parameters import Level, level_parameter, number_parameter

_MOST_CHANGES = 3  # a second


@dataclass(frozen=True, kw_only=True)
class GreyToGrey(Family):
    """A window at one level, then at another, and back."""

    name: ClassVar[str] = "grey-to-grey"
    title: ClassVar[str] = "Window or field that changes between two levels and back"
    source: ClassVar[str] = "common practice, no source; pace: ITU-R BT.1702-3 (second-hand)"

    area_percent: float = number_parameter(
        10.0, "share of the screen's area; 100 is the whole field", minimum=0.01, maximum=100.0, unit="%"
    )
    hold_seconds: float = number_parameter(
        1.0,
        "how long each level is held, to the nearest whole frame but for no less than a third of a second",
        minimum=0.333,
        maximum=5.0,
        unit="s",
    )
    level: Level = level_parameter(20.0, "the first level")
    other_level: Level = level_parameter(60.0, "the second level")
    surround_level: Level = level_parameter(0.0, "what lies around the window")

    def draw(self, signal: SignalFormat) -> Cycle:
        """Both levels, each held; the frames of a hold are one frame."""
        levels, surround = self._codes(signal), self.code("surround_level", signal)
        rect, held = self._rect(signal), self._held_frames(signal)

        @cache
        def state(second: bool) -> Frame:  # noqa: FBT001 - one of two
            return flat_frame(signal, surround, {rect: levels[second]})

        return Cycle(2 * held, lambda index: state(index >= held), Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """The surround, in up to four rectangles; the window changes."""
        levels, surround = self._codes(signal), self.code("surround_level", signal)
        rect, held = self._rect(signal), self._held_frames(signal)
        share = rect.area / (signal.width * signal.height)
        sides = around(rect, signal.width, signal.height)
        shown = [*levels, surround] if sides else levels
        return Claims(
            regions=tuple(
                Region(f"surround-{side}", part, signal.encoding.grey(surround)) for side, part in sides
            ),
            notes=MappingProxyType(
                {
                    "area_percent": 100.0 * share,
                    "changes_per_second": float(signal.rate / held),
                    "hold_frames": held,
                    "lowest_code": min(shown),
                    "highest_code": max(shown),
                }
            ),
            hazards=frozenset({Hazard.FLASHING} if share > QUARTER and is_flash(signal, *levels) else ()),
        )

    def _codes(self, signal: SignalFormat) -> tuple[int, int]:
        """The two levels."""
        first, second = self.code("level", signal), self.code("other_level", signal)
        if first == second:
            raise self.refuse(f"both levels are code {first}, so nothing changes; use two levels")
        return first, second

    def _rect(self, signal: SignalFormat) -> Rect:
        return window_of_area(signal.width, signal.height, self.area_percent)

    def _held_frames(self, signal: SignalFormat) -> int:
        wanted = frames_in(Fraction(self.hold_seconds).limit_denominator(1000), signal.rate)
        return max(wanted, math.ceil(signal.rate / _MOST_CHANGES))
