"""The search for a quantiser: few tries, the nearest accepted one, and none where none is accepted."""

import math
from collections.abc import Callable

import pytest

from knownlight.stress.calibrate import MOST_TRIALS, Aim, Trial, calibrate

QUARTERS = [quarter / 4 for quarter in range(8, 180)]
DOUBLES_EVERY = 6.0  # quantisers: the rate of AVC halves with six steps (H.264: a step doubles every six)


def _rate(quantiser: float) -> float:
    return 40.0 * math.exp2(-quantiser / DOUBLES_EVERY)


def _blocking(quantiser: float) -> float:
    """A figure that rises to a ceiling, as blocking does."""
    return 1.0 + 15.0 / (1.0 + math.exp(-(quantiser - 18.0) / 3.0))


def _tried(figure: Callable[[float], float]) -> Callable[[float], Trial]:
    return lambda quantiser: Trial(quantiser, figure(quantiser))


@pytest.mark.parametrize("wanted", [0.5, 1.0, 3.0, 8.0, 20.0])
def test_a_rate_is_found(wanted: float) -> None:
    """Within 5 % and in a handful of tries, since the next try lies where logarithms put it."""
    aim = Aim(lowest=0.85 * wanted, highest=1.15 * wanted, target=wanted, rises=False)
    best, trials = calibrate(QUARTERS, aim, _tried(_rate))
    assert best is not None
    assert wanted == pytest.approx(best.figure, rel=0.05)
    assert len(trials) <= 5


@pytest.mark.parametrize(("lowest", "highest", "target"), [(1.5, 2.8, 2.05), (4.0, 8.0, 5.66), (14, 99, 16)])
def test_a_rising_figure_is_found(lowest: float, highest: float, target: float) -> None:
    """Also one that flattens towards its end: the best accepted try is taken, in few enough tries."""
    aim = Aim(lowest=lowest, highest=highest, target=target, rises=True)
    best, trials = calibrate(QUARTERS, aim, _tried(_blocking))
    assert best is not None
    assert lowest <= best.figure < highest
    assert best.figure == min((t.figure for t in trials if aim.takes(t.figure)), key=aim.distance)
    assert len(trials) <= MOST_TRIALS


def test_what_is_out_of_reach_is_said() -> None:
    """None is taken where no try is accepted, and all tries come back to be told."""
    best, trials = calibrate(QUARTERS, Aim(lowest=50, highest=60, target=55, rises=True), _tried(_blocking))
    assert best is None
    assert 16.0 == pytest.approx(max(trial.figure for trial in trials), rel=0.02)
    assert len(trials) <= MOST_TRIALS


def test_tries_that_may_not_be_used_are_too_fine() -> None:
    """What passes the level is never taken, and the search goes on among coarser ones."""

    def attempt(quantiser: float) -> Trial:
        return Trial(quantiser, _rate(quantiser), usable=quantiser >= 12)

    best, _ = calibrate(QUARTERS, Aim(lowest=9, highest=41, target=20, rises=False), attempt)
    assert best is not None
    assert best.quantiser >= 12
    assert _rate(12) == pytest.approx(best.figure, rel=0.1)


def test_a_short_ladder_is_tried_out() -> None:
    """Whole quantiser scales of MPEG-2: no place is tried twice."""
    scales = [float(scale) for scale in range(1, 32)]
    aim = Aim(lowest=3.999, highest=4.001, target=4.0, rises=True)
    best, trials = calibrate(scales, aim, _tried(_blocking))
    assert best is None
    assert len(trials) == len({trial.quantiser for trial in trials})
