"""Finds the quantiser at which a measured figure is the one that is asked for, in a few short encodes."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

MOST_TRIALS = 8
_NEAR_ENOUGH = 0.05  # of the target: another seed moves blocking further than that


@dataclass(frozen=True, kw_only=True)
class Aim:
    """What a figure is to be.

    lowest, highest: what is accepted; highest may be infinite. target: what is tried for. rises: whether the
    figure grows along the quantisers; else it falls.
    """

    lowest: float
    highest: float
    target: float
    rises: bool

    def takes(self, figure: float) -> bool:
        """Whether a figure is accepted."""
        return self.lowest <= figure < self.highest

    def distance(self, figure: float) -> float:
        """How far an accepted figure is from the target, as a ratio's logarithm."""
        return abs(math.log(figure / self.target))

    def passed(self, figure: float) -> bool:
        """Whether finer quantisers are nearer to the target."""
        return (figure > self.target) is self.rises


@dataclass(frozen=True)
class Trial:
    """A quantiser that was tried, and what it gave; usable: whether only the figure may speak against it."""

    quantiser: float
    figure: float
    usable: bool = True


@dataclass(frozen=True)
class _End:
    """An end of what is left of the ladder, and the figure there; 0 where it is not known."""

    index: int
    figure: float = 0.0


def _between(fine: _End, coarse: _End, aim: Aim) -> int:
    """The place to try next, never an end itself."""
    first, last = fine.index + 1, coarse.index - 1
    if fine.figure <= 0 or coarse.figure <= 0 or fine.figure == coarse.figure:
        return (first + last) // 2
    share = math.log(aim.target / fine.figure) / math.log(coarse.figure / fine.figure)
    return min(max(fine.index + round(share * (coarse.index - fine.index)), first), last)


def calibrate(
    quantisers: Sequence[float], aim: Aim, attempt: Callable[[float], Trial]
) -> tuple[Trial | None, list[Trial]]:
    """Narrow a ladder of quantisers down until the figure is near enough to the target.

    The next one lies between two whose figures enclose the target, where the logarithms of these two put it;
    until there are two, in the middle.

    Args:
        quantisers: from fine to coarse.
        aim: the figure.
        attempt: encodes at a quantiser and measures; a trial that is not usable is too fine.

    Returns:
        The accepted trial nearest to the target, or None where none is accepted; and all trials.
    """
    fine, coarse = _End(-1), _End(len(quantisers))
    trials: list[Trial] = []
    while coarse.index - fine.index > 1 and len(trials) < MOST_TRIALS:
        index = _between(fine, coarse, aim)
        trial = attempt(quantisers[index])
        trials.append(trial)
        if trial.usable and abs(trial.figure - aim.target) <= _NEAR_ENOUGH * aim.target:
            break
        end = _End(index, trial.figure if trial.usable else 0.0)
        if trial.usable and aim.passed(trial.figure):
            coarse = end
        else:
            fine = end
    accepted = [trial for trial in trials if trial.usable and aim.takes(trial.figure)]
    return min(accepted, key=lambda trial: aim.distance(trial.figure), default=None), trials
