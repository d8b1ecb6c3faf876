"""Zone walk: a lit box that steps over a grid of places, held for some frames at each.

It goes along the rows, to and fro, so that each step is to the neighbouring place. Where a set lights zones,
the box is seen to drag light with it and to change as it passes from one zone to the next.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Hazard
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import Tally, flat_frame
from patterns.family import Family
from patterns.flashing import MOST_FLASHES, is_flash
from patterns.parameters import Level, count_parameter, level_parameter

_LONGEST = 1200  # frames of a period: all of them are encoded and proven


@dataclass(frozen=True, kw_only=True)
class ZoneWalk(Family):
    """A box that walks over a grid."""

    name: ClassVar[str] = "zone-walk"
    title: ClassVar[str] = "Zone walk: a lit box that steps over a grid, to see the zones of a set's light"
    source: ClassVar[str] = "common practice, no source"

    columns: int = count_parameter(8, "places across", minimum=2, maximum=64, unit="columns")
    rows: int = count_parameter(5, "places down", minimum=1, maximum=36, unit="rows")
    hold_frames: int = count_parameter(12, "time at each place", minimum=1, maximum=600, unit="frames")
    level: Level = level_parameter(100.0, "the box")
    background_level: Level = level_parameter(0.0, "all other places")

    def draw(self, signal: SignalFormat) -> Cycle:
        """One walk."""
        lit, background = self.code("level", signal), self.code("background_level", signal)

        @lru_cache(maxsize=1)
        def draw_step(step: int) -> Frame:
            return flat_frame(signal, background, {self._box(step, signal): lit})

        return Cycle(self._period(), lambda index: draw_step(index // self.hold_frames), Levels.MOVED)

    def claims(self, signal: SignalFormat) -> Claims:
        """The pixels of each level; nothing stands still to be measured."""
        lit, background = self.code("level", signal), self.code("background_level", signal)
        if lit == background:
            raise self.refuse(f"the box and its background are both code {lit}; use two levels")
        period, box = self._period(), self._box(0, signal)
        tally = Tally(signal, background)
        tally.put(box.area, lit, on=background)
        flashes = signal.rate > MOST_FLASHES * period and is_flash(signal, lit, background)
        return Claims(
            areas=tally.areas(),
            notes=MappingProxyType(
                {
                    "area_percent": 100.0 * box.area / (signal.width * signal.height),
                    "period_frames": period,
                    "hold_seconds": float(self.hold_frames / signal.rate),
                }
            ),
            hazards=frozenset({Hazard.FLASHING}) if flashes else frozenset(),
        )

    def natural_seconds(self, signal: SignalFormat) -> Fraction:
        """One walk."""
        return self._period() / signal.rate

    def _period(self) -> int:
        places = self.columns * self.rows
        period = places * self.hold_frames
        if period > _LONGEST:
            raise self.refuse(
                f"{places} places of {self.hold_frames} frames take {period}, more than {_LONGEST}; "
                + (
                    f"use hold_frames={_LONGEST // places} or less"
                    if places <= _LONGEST
                    else f"use {_LONGEST} places or fewer"
                )
            )
        return period

    def _box(self, step: int, signal: SignalFormat) -> Rect:
        """The box at a step: places are of one even size, in the middle of the picture."""
        wide, tall = 2 * (signal.width // (2 * self.columns)), 2 * (signal.height // (2 * self.rows))
        row, along = divmod(step, self.columns)
        column = along if row % 2 == 0 else self.columns - 1 - along
        left = 2 * ((signal.width - self.columns * wide) // 4)
        top = 2 * ((signal.height - self.rows * tall) // 4)
        return Rect(left + column * wide, top + row * tall, wide, tall)
