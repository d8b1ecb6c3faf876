"""Grey to grey: whole frames by hand, pace by ITU-R BT.1702-3 (known second-hand), frames drawn once."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from knownlight.frame.format import parse_signal_format
from knownlight.frame.rates import RATES
from knownlight.frame.sources import Cycle
from patterns.registry import build

PQ = parse_signal_format("720p60-pq")


# By hand, and in the last three: a third of a second is 8 frames of 24, 8.33 of 25 and 20 of 60.
@pytest.mark.parametrize(
    ("rate", "seconds", "expected"),
    [("24", 1, 24), ("23.976", 1, 24), ("59.94", 0.5, 30), ("25", 0.5, 13), ("144", 2, 288),
     ("24", 0.333, 8), ("25", 0.333, 9), ("60", 0.333, 20)],
)  # fmt: skip
def test_holds_are_whole_frames(rate: str, seconds: float, expected: int) -> None:
    """Each level is held for the nearest whole number of frames, and the period is two holds."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    pattern = build("grey-to-grey", {"hold_seconds": seconds})
    source = pattern.draw(signal)
    assert isinstance(source, Cycle)
    assert 2 * expected == source.period
    assert expected == pattern.claims(signal).notes["hold_frames"]


@given(st.sampled_from(sorted(RATES)), st.integers(333, 5000))
def test_never_more_than_three_changes_a_second(rate: str, milliseconds: int) -> None:
    """At every rate and hold there are at most three changes a second, and the notes say how many."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    notes = build("grey-to-grey", {"hold_seconds": milliseconds / 1000}).claims(signal).notes
    pace = RATES[rate] / Fraction(int(notes["hold_frames"]))
    assert pace <= 3
    assert float(pace) == notes["changes_per_second"]


def test_two_frames_are_drawn() -> None:
    """Every frame of a hold is the same object, and the two states hold their own codes in the window."""
    pattern = build(
        "grey-to-grey", {"code": 200, "other_code": 700, "surround_code": 100, "hold_seconds": 0.5}
    )
    source = pattern.draw(PQ)
    for first, last, code in ((0, 29, 200), (30, 59, 700)):
        frame = source.frame(first)
        assert all(source.frame(index) is frame for index in range(first, last + 1))
        codes, counts = np.unique(frame.planes[0], return_counts=True)
        assert [100, code] == codes.tolist()
        assert pattern.claims(PQ).notes["area_percent"] == pytest.approx(100 * counts[1] / counts.sum())
    assert source.frame(0) is source.frame(60)


def test_a_whole_field_has_no_surround() -> None:
    """At 100 % nothing stands still, and the codes are the two levels alone."""
    keys = {"area_percent": 100, "code": 200, "other_code": 700, "surround_code": 64}
    claims = build("grey-to-grey", keys).claims(PQ)
    assert () == claims.regions
    assert [200, 700] == [claims.notes["lowest_code"], claims.notes["highest_code"]]


# BT.1702-3, second-hand: more than a quarter of the screen and 20 cd/m² or more.
@pytest.mark.parametrize(
    ("area", "lighter", "flashes"), [(10, 500, False), (24, 500, False), (26, 500, True), (100, 19, False)]
)
def test_large_and_strong_changes_are_a_hazard(area: float, lighter: float, flashes: bool) -> None:  # noqa: FBT001
    """A caution is due where both the area and the change of light pass the limits."""
    keys = {"area_percent": area, "luminance": 0, "other_luminance": lighter}
    expected = frozenset({Hazard.FLASHING}) if flashes else frozenset()
    assert expected == build("grey-to-grey", keys).claims(PQ).hazards


def test_equal_levels_are_refused() -> None:
    """Two equal levels change nothing, which is refused in words."""
    pattern = build("grey-to-grey", {"code": 300, "other_code": 300})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput, match="both levels are code 300, so nothing changes; use two levels"):
            refused(PQ)
