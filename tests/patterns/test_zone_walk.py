"""Zone walk: every place once, each beside the one before. The layout is ours, common practice, no source."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from knownlight.frame.format import parse_signal_format
from knownlight.frame.sources import Cycle
from knownlight.signal.arrays import PlaneArray
from patterns.registry import build

SMALL = replace(parse_signal_format("720p60-pq"), width=640, height=360)


def box(plane: PlaneArray) -> tuple[int, int, int, int]:
    """Left, top, width and height of the lit box."""
    rows, columns = np.nonzero(plane == 940)
    return int(columns[0]), int(rows[0]), int(np.ptp(columns)) + 1, int(np.ptp(rows)) + 1


# By hand: 640 by 360 in 8 by 5 is 80 by 72; in 7 by 4 it is 90 by 90 with 10 columns left, 4 of them at the
# left: half of ten, made even.
@pytest.mark.parametrize(
    ("columns", "rows", "size", "left"), [(8, 5, (80, 72), 0), (7, 4, (90, 90), 4), (2, 1, (320, 360), 0)]
)
def test_every_place_is_lit_once(columns: int, rows: int, size: tuple[int, int], left: int) -> None:
    """The box goes over every place of the grid once, each time to a place beside the one before."""
    frames = build("zone-walk", {"columns": columns, "rows": rows, "hold_frames": 3}).draw(SMALL)
    assert isinstance(frames, Cycle)
    assert 3 * columns * rows == frames.period
    boxes = [box(frames.frame(index).planes[0]) for index in range(0, frames.period, 3)]
    assert {size} == {(wide, tall) for _, _, wide, tall in boxes}
    expected = [(left + column * size[0], row * size[1]) for row in range(rows) for column in range(columns)]
    assert expected == sorted(((x, y) for x, y, *_ in boxes), key=lambda place: place[::-1])
    for (x, y, *_), (next_x, next_y, *_) in pairwise(boxes):
        assert 1 == abs(next_x - x) // size[0] + abs(next_y - y) // size[1]


def test_a_place_is_held_as_one_frame() -> None:
    """The frames of a place are one object; the next place is another."""
    frames = build("zone-walk", {"hold_frames": 4}).draw(SMALL)
    assert frames.frame(0) is frames.frame(3)
    assert not np.array_equal(frames.frame(3).planes[0], frames.frame(4).planes[0])


def test_the_walk_is_the_natural_length() -> None:
    """Forty places of twelve frames at 60 a second are eight seconds."""
    assert Fraction(8) == build("zone-walk", {}).natural_seconds(SMALL)


# BT.1702-3, known second-hand: more than three flashes a second. Two places of 9 frames at 60 a second are
# lit 3.3 times a second, of 10 frames three times; 20 cd/m² is the least change that counts.
@pytest.mark.parametrize(
    ("hold", "luminance", "expected"), [(9, 100, True), (10, 100, False), (9, 19, False), (9, 21, True)]
)
def test_a_fast_walk_flashes(hold: int, luminance: int, *, expected: bool) -> None:
    """A walk that comes back to each place more than three times a second is a hazard."""
    keys = {"columns": 2, "rows": 1, "hold_frames": hold, "luminance": luminance}
    hazards = build("zone-walk", keys).claims(SMALL).hazards
    assert expected == (Hazard.FLASHING in hazards)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"hold_frames": 31}, "40 places of 31 frames take 1240, more than 1200; use hold_frames=30 or less"),
        (
            {"columns": 64, "rows": 20, "hold_frames": 1},
            "1280 places of 1 frames take 1280, more than 1200; use 1200 places or fewer",
        ),
        ({"code": 64}, "the box and its background are both code 64; use two levels"),
    ],
)
def test_what_is_refused(keys: dict[str, int], said: str) -> None:
    """Periods too long to prove and a box that is not seen are refused with what to use."""
    with pytest.raises(BadInput) as caught:
        build("zone-walk", keys).claims(SMALL)
    assert f"zone-walk: {said}" == str(caught.value)
