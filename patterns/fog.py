"""Dark fog: the content that makes weak encoders and weak displays show blocks.

Energy at the size of a coding block and larger provokes blocking; white noise does not. Fog with a power
spectrum of 1/f³ drifts slowly under soft grain that is new in every frame.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame, grey_frame, sample_type
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Cycle, FrameSource, Levels, Run
from patterns.family import Family
from patterns.noise import CLIP, TILE, enlarged, fog_gain, raw_words, shaped, soft_gain, white_noise
from patterns.parameters import Level, count_parameter, level_parameter, number_parameter

_FOG, _GRAIN, _PLACE = 1, 2, 3  # purposes of the generator
_TILES = 8
_FINE = 16  # fixed-point steps of a code
_COARSE = 4  # the fog is smooth: a quarter of the size is enough to make it
_GRAIN_SIGMA_ROWS = 270  # picture rows for each pixel of the grain's softness: 4 pixels at 1080 rows
_PLACES = 1 << 20  # frames before the grain's places repeat in a clip without repetition


@dataclass(frozen=True, kw_only=True)
class Fog(Family):
    """Drifting fog with grain."""

    name: ClassVar[str] = "fog"
    title: ClassVar[str] = "Dark fog under soft grain"
    source: ClassVar[str] = "our own measurements of what provokes blocking; no published source"

    mean_level: Level = level_parameter(5.5, "the mean; 5.5 % is code 28 at 8 bits")
    fog_percent: float = number_parameter(
        1.37, "strength of the fog, standard deviation", minimum=0.0, maximum=10.0, unit="%"
    )
    grain_percent: float = number_parameter(
        0.68, "strength of the grain, standard deviation", minimum=0.0, maximum=10.0, unit="%"
    )
    drift: int = count_parameter(
        2, "pixels the fog moves a frame", minimum=0, maximum=16, unit="pixels a frame"
    )
    repeat_seconds: float = number_parameter(
        4.0,
        "seconds until the clip repeats, the fog coming back by a square path; 0 never repeats",
        minimum=0.0,
        maximum=60.0,
        unit="s",
    )
    seed: int = count_parameter(1, "picks another fog of the same kind", minimum=0, maximum=65535, unit="")

    def draw(self, signal: SignalFormat) -> FrameSource:
        """Frames that repeat after `repeat_seconds`, or never."""
        if self.repeat_seconds == 0:
            return Run(self._drawer(signal, self._straight(signal), signal.width))
        period = frames_in(Fraction(self.repeat_seconds).limit_denominator(1000), signal.rate)
        side = self.drift * (-(-period // 4))
        return Cycle(period, self._drawer(signal, self._square(period), side), Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """The range that the codes keep to."""
        mean, reach = self.code("mean_level", signal), self._reach(signal)
        quantisation = signal.quantisation
        if mean - reach < quantisation.lowest_allowed or mean + reach > quantisation.highest_allowed:
            raise self.refuse(
                f"codes would reach {mean - reach} to {mean + reach}, outside "
                f"{quantisation.lowest_allowed} to {quantisation.highest_allowed}; "
                "use a higher mean or weaker fog and grain"
            )
        return Claims(notes=MappingProxyType({"lowest_code": mean - reach, "highest_code": mean + reach}))

    def _codes(self, percent: float, signal: SignalFormat) -> float:
        """Codes of a strength in %."""
        return percent / 100.0 * (signal.quantisation.white - signal.quantisation.black)

    def _reach(self, signal: SignalFormat) -> int:
        """Largest distance of a code from the mean; one more for the two roundings."""
        return int(CLIP * self._codes(self.fog_percent + self.grain_percent, signal)) + 1

    def _straight(self, signal: SignalFormat) -> Callable[[int], tuple[int, int]]:
        return lambda index: (0, (self.drift * index) % signal.width)

    def _square(self, period: int) -> Callable[[int], tuple[int, int]]:
        """Right, down, left, up: back at the start after the period, never a jump."""
        quarter = -(-period // 4)

        def place(index: int) -> tuple[int, int]:
            side, step = divmod(index, quarter)
            rest = quarter if side < 3 else period - 3 * quarter  # noqa: PLR2004 - the last side may be shorter
            along = self.drift * step
            back = self.drift * quarter
            return (
                (0, along),
                (along, back),
                (back, back - along),
                (back - (back * step) // max(1, rest), 0),
            )[side]

        return place

    def _drawer(
        self, signal: SignalFormat, place: Callable[[int], tuple[int, int]], room: int
    ) -> Callable[[int], Frame]:
        """A function that draws any frame from tiles made once."""
        fog = self._fog(signal, room)
        grain = [self._grain_tile(signal, index) for index in range(_TILES)]
        kind = sample_type(signal.depth)

        def draw(index: int) -> Frame:
            top, left = place(index)
            fine = fog[top : top + signal.height, left : left + signal.width].copy()
            which, down, across = _grain_place(self.seed, index % _PLACES)
            _add_tiled(fine, np.roll(grain[which], (down, across), axis=(0, 1)))
            fine >>= 4
            return grey_frame(signal, fine.view(np.uint16) if kind is np.uint16 else fine.astype(kind))

        return draw

    def _fog(self, signal: SignalFormat, room: int) -> NDArray[np.int16]:
        """Mean and fog in sixteenths of a code, with half a code for rounding, and room to move in."""
        rows, columns = signal.height // _COARSE, signal.width // _COARSE
        plane = enlarged(
            shaped(white_noise(rows, columns, self.seed, _FOG), fog_gain(rows, columns)), _COARSE
        )
        strength = self._codes(self.fog_percent, signal)
        fine = np.floor((self.code("mean_level", signal) + strength * plane) * _FINE + _FINE / 2).astype(
            np.int16
        )
        return np.pad(fine, ((0, min(room, signal.height)), (0, room)), mode="wrap")

    def _grain_tile(self, signal: SignalFormat, index: int) -> NDArray[np.int16]:
        gain = soft_gain(TILE, TILE, signal.height / _GRAIN_SIGMA_ROWS)
        plane = shaped(white_noise(TILE, TILE, self.seed, _GRAIN, index), gain)
        return np.floor(plane * self._codes(self.grain_percent, signal) * _FINE + 0.5).astype(np.int16)


def _grain_place(seed: int, index: int) -> tuple[int, int, int]:
    """Which tile a frame has, and how far it is rolled down and across."""
    word = int(raw_words(seed, _PLACE, index, 1)[0])
    return word % _TILES, (word >> 8) % TILE, (word >> 24) % TILE


def _add_tiled(plane: NDArray[np.int16], tile: NDArray[np.int16]) -> None:
    """Add a tile all over a plane, in place."""
    for row in range(0, plane.shape[0], TILE):
        for column in range(0, plane.shape[1], TILE):
            part = plane[row : row + TILE, column : column + TILE]
            part += tile[: part.shape[0], : part.shape[1]]
