"""Dark fog: the content that makes weak encoders and weak displays show blocks.

Energy at the size of a coding block and larger provokes blocking; white noise does not. Fog with a power
spectrum of 1/f³ drifts slowly under soft grain that is new in every frame.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar, Protocol

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
_COARSE = 4  # the fog is smooth: a quarter of the size is enough to make it
_GRAIN_SIGMA_ROWS = 270  # picture rows for each pixel of the grain's softness: 4 pixels at 1080 rows
_PLACES = 1 << 20  # frames before the grain's places repeat in a clip without repetition


class _Path(Protocol):
    """Where the fog is: pixels down and to the right of its start."""

    @property
    def reach(self) -> tuple[int, int]:
        """The farthest it gets in each direction."""
        ...

    def place(self, index: int) -> tuple[int, int]:
        """At a frame."""
        ...


@dataclass(frozen=True)
class _Straight:
    """To the right for ever, in fog that is periodic over `width`."""

    drift: int
    width: int

    @property
    def reach(self) -> tuple[int, int]:
        return 0, self.width

    def place(self, index: int) -> tuple[int, int]:
        return 0, self.drift * index


@dataclass(frozen=True)
class _Square:
    """Right, down, left, up, and back at the start after the period; one frame of rest where it is odd."""

    drift: int
    period: int

    @property
    def _sides(self) -> tuple[int, int]:
        """Frames to the right (and left), and down (and up)."""
        half = self.period // 2
        return half // 2, half - half // 2

    @property
    def reach(self) -> tuple[int, int]:
        across, down = self._sides
        return self.drift * down, self.drift * across

    def place(self, index: int) -> tuple[int, int]:
        across, down = self._sides
        right = min(index, across) - min(max(index - across - down, 0), across)
        below = min(max(index - across, 0), down) - min(max(index - 2 * across - down, 0), down)
        return self.drift * below, self.drift * right


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
            return Run(self._drawer(signal, _Straight(self.drift, signal.width)))
        period = frames_in(Fraction(self.repeat_seconds).limit_denominator(1000), signal.rate)
        return Cycle(period, self._drawer(signal, _Square(self.drift, period)), Levels.CHANGING)

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

    def _drawer(self, signal: SignalFormat, path: _Path) -> Callable[[int], Frame]:
        """A function that draws any frame from tiles made once."""
        fog = self._fog(signal, path)
        grain = [self._grain_tile(signal, index) for index in range(_TILES)]
        kind, shift = sample_type(signal.depth), _fine_bits(signal)

        def draw(index: int) -> Frame:
            down, right = path.place(index)
            top, left = down % signal.height, right % signal.width  # the fog is periodic
            fine = fog[top : top + signal.height, left : left + signal.width].copy()
            which, rolled_down, rolled_right = _grain_place(self.seed, index % _PLACES)
            _add_tiled(fine, np.roll(grain[which], (rolled_down, rolled_right), axis=(0, 1)))
            fine >>= shift
            return grey_frame(signal, fine.view(np.uint16) if kind is np.uint16 else fine.astype(kind))

        return draw

    def _fog(self, signal: SignalFormat, path: _Path) -> NDArray[np.int16]:
        """Mean and fog in parts of a code, with half a code for rounding, and room to move in."""
        rows, columns = signal.height // _COARSE, signal.width // _COARSE
        plane = enlarged(
            shaped(white_noise(rows, columns, self.seed, _FOG), fog_gain(rows, columns)), _COARSE
        )
        strength, fine = self._codes(self.fog_percent, signal), 1 << _fine_bits(signal)
        codes = np.floor((self.code("mean_level", signal) + strength * plane + 0.5) * fine).astype(np.int16)
        down, right = path.reach
        room = ((0, min(down, signal.height)), (0, min(right, signal.width)))
        return np.pad(codes, room, mode="wrap")

    def _grain_tile(self, signal: SignalFormat, index: int) -> NDArray[np.int16]:
        gain = soft_gain(TILE, TILE, signal.height / _GRAIN_SIGMA_ROWS)
        plane = shaped(white_noise(TILE, TILE, self.seed, _GRAIN, index), gain)
        strength = self._codes(self.grain_percent, signal) * (1 << _fine_bits(signal))
        return np.floor(plane * strength + 0.5).astype(np.int16)


def _fine_bits(signal: SignalFormat) -> int:
    """Bits of a code's fraction: as many as leave room for the largest code in 16 bits with a sign."""
    return 15 - signal.depth if signal.depth > 10 else 4  # noqa: PLR2004


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
