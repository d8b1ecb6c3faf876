"""A grid of blocks: its period, where it begins, and steps folded by it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import CodeArray, FloatArray

PERIODS = (8, 16, 32, 64)  # pixels: transform and coding blocks of MPEG-2, AVC, HEVC and AV1
FOLD = 64  # pixels; a multiple of every period
EASING = 0.05  # codes of 8 bits; part of the ratio's definition, so that flat pictures have 1


@dataclass(frozen=True, kw_only=True)
class Grid:
    """Blocks of `period` pixels, the first of which begins at x, y of the picture; both below the period."""

    period: int
    x: int = 0
    y: int = 0

    def __post_init__(self) -> None:
        if self.period not in PERIODS or not (0 <= self.x < self.period and 0 <= self.y < self.period):
            raise ValueError(f"{self} is no grid; periods are {PERIODS}")


@dataclass(frozen=True, kw_only=True)
class Profile:
    """Steps of one picture by the place of the gap, modulo FOLD, counted from the picture's corner.

    across, down: sums of mean steps, of each of FOLD places.
    """

    across: FloatArray
    down: FloatArray


def folded(steps: FloatArray, first: int) -> FloatArray:
    """Sums of steps by place; the first gap lies after pixel `first` of the picture."""
    return np.bincount(_places(steps.size, first), weights=steps, minlength=FOLD).astype(np.float64)


def _places(gaps: int, first: int) -> CodeArray:
    return (first + np.arange(gaps)) % FOLD


@dataclass(frozen=True)
class Folder:
    """Folds the steps of one area."""

    rect: Rect

    @cached_property
    def _gaps(self) -> tuple[CodeArray, CodeArray]:
        """How many gaps each place has: between columns, between rows."""
        return (
            np.bincount(_places(self.rect.width - 1, self.rect.x), minlength=FOLD),
            np.bincount(_places(self.rect.height - 1, self.rect.y), minlength=FOLD),
        )

    def has_room(self, period: int) -> bool:
        """Whether every place of a grid has a gap in both directions."""
        return min(self.rect.width, self.rect.height) > period

    def line_and_rest(self, profile: Profile, grid: Grid) -> tuple[float, float]:
        """Mean step over the grid's lines, and elsewhere; each averaged over the two directions."""
        across, down = self._gaps
        pairs = [
            _line_and_rest(profile.across, across, grid.period, grid.x),
            _line_and_rest(profile.down, down, grid.period, grid.y),
        ]
        line, rest = np.mean(pairs, axis=0)
        return float(line), float(rest)


def _line_and_rest(sums: FloatArray, gaps: CodeArray, period: int, first: int) -> tuple[float, float]:
    """In one direction: the line before a block that begins at `first`, and the mean of the other places."""
    means = sums.reshape(-1, period).sum(axis=0) / gaps.reshape(-1, period).sum(axis=0)
    line = (first - 1) % period
    return float(means[line]), float(np.delete(means, line).mean())


def ratio(line: float, rest: float) -> float:
    """Blocking ratio of two mean steps in codes of 8 bits."""
    return (line + EASING) / (rest + EASING)
