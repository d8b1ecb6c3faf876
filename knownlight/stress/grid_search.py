"""Finds a grid of blocks in pictures of which nobody knows how they were coded, shifted or cropped.

The gaps between columns (or rows) are taken in stretches of one period. In each stretch one gap has the
largest mean step; where there is no grid, it may be any of them, and where there is one, it is always the one
at the same place. Only the order of steps matters, so busy and calm parts of a picture count alike. The rule
and its limits are ours.
"""

import math
from dataclasses import dataclass

import numpy as np

from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import FloatArray
from knownlight.stress.grid import PERIODS, Grid
from knownlight.stress.picture import Steps

CHANCE = 1e-8  # a grid is found where so many stretches agree by chance less often than this
_MOST = 0.5  # share of stretches that must agree, in both directions
_NEARLY = (
    0.9  # a shorter period is taken where it is clear nearly as often: blocks of 8 make lines each 16 too
)


@dataclass(frozen=True, kw_only=True)
class FoundGrid:
    """A grid, and how clear it is.

    across, down: share 0..1 of stretches of one period that have their largest step at the grid's upright and
    level lines; without a grid one of `period` would.
    """

    grid: Grid
    across: float
    down: float

    @property
    def clearness(self) -> float:
        """Mean share of the two directions."""
        return (self.across + self.down) / 2.0


@dataclass(frozen=True)
class _Place:
    """Where most stretches have their largest step, in one direction."""

    first: int
    share: float
    chance: float


def find_grid(steps: Steps, rect: Rect) -> FoundGrid | None:
    """The clearest grid of an area; None where none stands out.

    Args:
        steps: mean steps over each gap of the area, or their sums over pictures.
        rect: where the area lies in the picture; the grid is told from the picture's corner.
    """
    found = []
    for period in PERIODS:
        across, down = _best(steps.across, rect.x, period), _best(steps.down, rect.y, period)
        if across is None or down is None:
            continue
        if min(across.share, down.share) > _MOST and across.chance * down.chance < CHANCE:
            grid = Grid(period=period, x=across.first, y=down.first)
            found.append(FoundGrid(grid=grid, across=across.share, down=down.share))
    clearest = max((each.clearness for each in found), default=0.0)
    return next((each for each in found if each.clearness >= _NEARLY * clearest), None)


def _best(steps: FloatArray, first: int, period: int) -> _Place | None:
    """The place of most of the largest steps; None where no stretch has one step above all others."""
    stretches = steps[: steps.size // period * period].reshape(-1, period)
    ranked = np.sort(stretches, axis=1)
    clear = stretches[ranked[:, -1] > ranked[:, -2]]
    if not len(clear):
        return None
    # the gap after pixel k is the line before a block that begins at k + 1
    counts = np.bincount((first + 1 + clear.argmax(axis=1)) % period, minlength=period)
    best = int(counts.argmax())
    return _Place(
        first=best,
        # of all: pure blocks of 16 have half of their stretches of 8 empty, and are no blocks of 8
        share=int(counts[best]) / len(stretches),
        chance=period * _at_least(int(counts[best]), len(stretches), 1.0 / period),
    )


def _at_least(hits: int, trials: int, chance: float) -> float:
    """Probability of so many hits or more, of independent trials (binomial distribution)."""
    return math.fsum(
        math.exp(_log_ways(trials, hit) + hit * math.log(chance) + (trials - hit) * math.log1p(-chance))
        for hit in range(hits, trials + 1)
    )


def _log_ways(trials: int, hits: int) -> float:
    """Logarithm of the binomial coefficient, which itself is too large for wide pictures."""
    return math.lgamma(trials + 1) - math.lgamma(hits + 1) - math.lgamma(trials - hits + 1)
