"""Dark beside busy: dark fog at the left of a neighbour that takes all the bits.

The right half moves and is busy at every scale. A coder that is short of bits spends them where most seems to
happen, and the dark half breaks into blocks at rates that are usual on air.
"""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Area
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from patterns.drift import Drifting
from patterns.fog import fog_plane
from patterns.grain import FINE, codes_of, fine_codes
from patterns.grainy import Grainy, Ground
from patterns.noise import CLIP, Purpose, falling_gain, shaped, white_noise
from patterns.parameters import Level, count_parameter, level_parameter, number_parameter

_SPLIT = 64  # pixels: the largest coding block, so that none lies in both halves
_BUSY_POWER = 1.0
_BUSY_CLIP = 2.5  # standard deviations: mid grey has no room for more


@dataclass(frozen=True, kw_only=True)
class DarkBesideBusy(Grainy):
    """Two halves under one grain."""

    name: ClassVar[str] = "dark-beside-busy"
    title: ClassVar[str] = "Dark fog beside a busy mid grey half that takes the bits"
    source: ClassVar[str] = "our own measurements of what provokes blocking; no published source"
    remedy: ClassVar[str] = "means further inside or weaker fog, noise and grain"

    mean_level: Level = level_parameter(5.5, "the mean of the dark half; 5.5 % is code 28 at 8 bits")
    fog_percent: float = number_parameter(
        1.37, "strength of the fog, standard deviation", minimum=0.0, maximum=10.0, unit="%"
    )
    drift: int = count_parameter(
        2, "pixels the fog moves a frame", minimum=0, maximum=16, unit="pixels a frame"
    )
    busy_mean_level: Level = level_parameter(43.0, "the mean of the busy half; 43 % is code 110 at 8 bits")
    busy_percent: float = number_parameter(
        16.0, "strength of the busy half, standard deviation", minimum=0.0, maximum=40.0, unit="%"
    )
    busy_drift: int = count_parameter(
        6, "pixels the busy half moves a frame", minimum=0, maximum=64, unit="pixels a frame"
    )
    repeat_seconds: float = number_parameter(
        4.0,
        "seconds until the clip repeats, both halves coming back by square paths; 0 never repeats",
        minimum=0.0,
        maximum=60.0,
        unit="s",
    )

    def ground(self, signal: SignalFormat, period: int | None) -> Ground:
        """Both halves on their ways."""
        dark, busy = (area.rect for area in self.areas_of_faults(signal))
        fog = codes_of(self.fog_percent, signal) * fog_plane(dark.height, dark.width, self.seed)
        gain = falling_gain(busy.height, busy.width, _BUSY_POWER)
        noise = shaped(white_noise(busy.height, busy.width, self.seed, Purpose.BUSY), gain, _BUSY_CLIP)
        noise *= codes_of(self.busy_percent, signal)
        halves = [
            (dark, Drifting(fine_codes(self.code("mean_level", signal) + fog, signal), self.drift, period)),
            (
                busy,
                Drifting(
                    fine_codes(self.code("busy_mean_level", signal) + noise, signal), self.busy_drift, period
                ),
            ),
        ]

        def side_by_side(index: int) -> FINE:
            plane = np.empty((signal.height, signal.width), dtype=np.int16)
            for rect, half in halves:
                plane[rect.slices] = half.at(index)
            return plane

        return side_by_side

    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """Of the half that goes further, each way."""
        dark, fog = self.code("mean_level", signal), CLIP * codes_of(self.fog_percent, signal)
        busy = self.code("busy_mean_level", signal)
        noise = _BUSY_CLIP * codes_of(self.busy_percent, signal)
        return min(dark - fog, busy - noise), max(dark + fog, busy + noise)

    def areas_of_faults(self, signal: SignalFormat) -> tuple[Area, ...]:
        """The two halves."""
        split = signal.width // (2 * _SPLIT) * _SPLIT
        return (
            Area("dark half", Rect(0, 0, split, signal.height)),
            Area("busy half", Rect(split, 0, signal.width - split, signal.height)),
        )
