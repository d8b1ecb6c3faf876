"""Pictures under grain: the base of content that is made to be judged for the faults of coding.

A ground, at rest or moving, lies under soft grain that is new in every picture, or remembers the one before.
Both are in parts of a code and are rounded once, so that what lies between two codes is kept in the mean.
Blocks may be baked into what comes out (`baked_blocks`).

In an interlaced signal pictures are drawn at the field rate and woven: a baked block is as many rows of the
frame high as it is columns wide, half of them in each field, and each field's half is drawn to the mean of
the block in its own picture. That is how a coder of whole frames leaves them; in a field by itself they are
half as high.
"""

from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor
from types import MappingProxyType
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Area, Claims, DrawnBlocks
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame, grey_frame, sample_type
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Cycle, FrameSource, Levels, Run, Still
from knownlight.signal.arrays import PlaneArray
from patterns.baked_blocks import BakedBlocks, block_depth_parameter, block_size_parameter
from patterns.family import Family
from patterns.grain import (
    FINE,
    Noise,
    codes_of,
    dither_parameter,
    fine_bits,
    grain_parameter,
    soft_grain,
    triangular_dither,
)
from patterns.noise import CLIP, TILE
from patterns.parameters import count_parameter, number_parameter

Ground = Callable[[int], FINE]  # the whole plane of a picture, which is not written to


@dataclass(frozen=True, kw_only=True)
class Grainy(Family):
    """A ground under grain."""

    remedy: ClassVar[str] = "levels further inside or weaker grain"

    grain_percent: float = grain_parameter(0.68)
    grain_size: float = number_parameter(
        4.0,
        "softness of the grain in pixels at 1080 rows, standard deviation; it grows with the picture",
        minimum=0.0,
        maximum=16.0,
        unit="pixels",
    )
    correlation: float = number_parameter(
        0.0, "of the grain with that of the picture before", minimum=0.0, maximum=0.9, unit=""
    )
    repeat_seconds: float = number_parameter(
        4.0, "seconds until the clip repeats; 0 never repeats", minimum=0.0, maximum=60.0, unit="s"
    )
    seed: int = count_parameter(
        1, "picks another picture of the same kind", minimum=0, maximum=65535, unit=""
    )
    block_percent: int = block_depth_parameter()
    block_size: str = block_size_parameter("side of a baked block in pixels")

    @abstractmethod
    def ground(self, signal: SignalFormat, period: int | None) -> Ground:
        """What lies under the grain at every picture, by array code; period: None where nothing repeats."""

    @abstractmethod
    def ground_codes(self, signal: SignalFormat) -> tuple[float, float]:
        """The lowest and the highest code of the ground, by scalar arithmetic.

        Raises:
            BadInput: where the signal cannot hold it.
        """

    def noises(self, signal: SignalFormat, period: int | None) -> list[Noise]:
        """What lies on the ground."""
        if self.grain_percent == 0.0:
            return []
        return [
            soft_grain(
                signal,
                percent=self.grain_percent,
                size=self.grain_size,
                correlation=self.correlation,
                seed=self.seed,
                period=period,
            )
        ]

    def noise_codes(self, signal: SignalFormat) -> float:
        """How far noise takes a code away from the ground."""
        return CLIP * codes_of(self.grain_percent, signal)

    @property
    def stands_still(self) -> bool:
        """Whether every picture is the same."""
        return False

    def notes(self, signal: SignalFormat) -> dict[str, float]:  # noqa: ARG002
        """Further figures to claim."""
        return {}

    def areas_of_faults(self, signal: SignalFormat) -> tuple[Area, ...]:
        """Where the faults of coding are measured: the whole picture."""
        return (Area("picture", Rect(0, 0, signal.width, signal.height)),)

    def levels_of(self, signal: SignalFormat) -> Levels:  # noqa: ARG002
        """Whether every picture holds the same codes: noise does not."""
        return Levels.CHANGING

    def period(self, signal: SignalFormat) -> int | None:
        """Frames until the clip repeats; None where it never does."""
        if self.repeat_seconds == 0:
            return None
        return frames_in(Fraction(self.repeat_seconds).limit_denominator(1000), signal.rate)

    def draw(self, signal: SignalFormat) -> FrameSource:
        """Frames that repeat after `repeat_seconds`, or never; one where nothing moves."""
        self._range(signal)
        period = self.period(signal)
        draw = self._drawer(signal, period)
        if self.stands_still:
            return Still(draw(0))
        return Run(draw) if period is None else Cycle(period, draw, self.levels_of(signal))

    def claims(self, signal: SignalFormat) -> Claims:
        """The range that the codes keep to."""
        lowest, highest = self._range(signal)
        return Claims(
            notes=MappingProxyType({"lowest_code": lowest, "highest_code": highest, **self.notes(signal)}),
            areas_of_faults=tuple(
                replace(area, blocks=self._blocks) for area in self.areas_of_faults(signal)
            ),
        )

    @property
    def _blocks(self) -> DrawnBlocks:
        return DrawnBlocks.ON_PURPOSE if self.block_percent else DrawnBlocks.NONE

    def _range(self, signal: SignalFormat) -> tuple[int, int]:
        """The lowest and the highest code.

        What is cut off of parts of a code is less than half a code in all, so that rounding ends at the next
        whole code at the latest; and a mean, of a baked block, lies between the codes that it is of.
        """
        (low, high), noise = self.ground_codes(signal), self.noise_codes(signal)
        lowest, highest = floor(low - noise), ceil(high + noise)
        quantisation = signal.quantisation
        if lowest < quantisation.lowest_allowed or highest > quantisation.highest_allowed:
            raise self.refuse(
                f"codes would reach {lowest} to {highest}, outside "
                f"{quantisation.lowest_allowed} to {quantisation.highest_allowed}; use {self.remedy}"
            )
        return lowest, highest

    def _drawer(self, signal: SignalFormat, period: int | None) -> Callable[[int], Frame]:
        """A function that draws any frame from what is made once."""
        ground, noises = self.ground(signal, period), self.noises(signal, period)
        blocks = BakedBlocks(self.block_percent, int(self.block_size))

        def draw(index: int) -> Frame:
            codes = _rounded(ground(index), [noise(index) for noise in noises], signal)
            return grey_frame(signal, blocks.baked(codes))

        return draw


@dataclass(frozen=True, kw_only=True)
class Dithered(Grainy):
    """A ground under grain and dither."""

    dither: str = dither_parameter()

    def noises(self, signal: SignalFormat, period: int | None) -> list[Noise]:
        """Grain and dither."""
        noises = super().noises(signal, period)
        if self.dither == "none":
            return noises
        dither = triangular_dither(signal, seed=self.seed, period=period)
        return [*noises, dither if self.dither == "moving" else lambda _: dither(0)]

    def noise_codes(self, signal: SignalFormat) -> float:
        """A code more."""
        return super().noise_codes(signal) + (self.dither != "none")


def _rounded(ground: FINE, noises: list[FINE], signal: SignalFormat) -> PlaneArray:
    """Codes of a ground with tiles of noise all over it: a tile's place at a time, which fits in cache."""
    codes: PlaneArray = np.empty(ground.shape, dtype=sample_type(signal.depth))
    tile = sum(noises[1:], noises[0]) if noises else np.zeros((TILE, TILE), dtype=np.int16)
    shift = fine_bits(signal)
    for top in range(0, ground.shape[0], TILE):
        for left in range(0, ground.shape[1], TILE):
            place = slice(top, top + TILE), slice(left, left + TILE)
            part = ground[place]
            fine = part + tile[: part.shape[0], : part.shape[1]]
            fine >>= shift
            codes[place] = fine
    return codes
