"""Cadence: cells by hand from the rates, what a long photograph adds up; the layout is ours, no source."""

from itertools import pairwise

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import text_mask
from knownlight.frame.rates import RATES
from knownlight.frame.sources import Cycle
from patterns.registry import build

SDR = parse_signal_format("720p60-sdr")
LIT, UNLIT, LABEL, BLACK = 180, 27, 71, 16  # 75 %, 5 % and 25 % of 219 codes above 16 (BT.709-6), by hand


def walk(signal: SignalFormat = SDR, **keys: float) -> Cycle:
    """The frames of a walk."""
    source = build("cadence", keys).draw(signal)
    assert isinstance(source, Cycle)
    return source


def lit_cell(source: Cycle, index: int) -> Rect:
    """The one lit rectangle of a frame, from its pixels."""
    rows, columns = np.nonzero(source.frame(index).planes[0] == LIT)
    rect = Rect(
        int(columns.min()),
        int(rows.min()),
        int(columns.max() - columns.min()) + 1,
        int(rows.max() - rows.min()) + 1,
    )
    assert rect.area == len(rows)
    return rect


@pytest.mark.parametrize(
    ("rate", "expected"),
    [("23.976", 24), ("24", 24), ("25", 25), ("29.97", 30), ("50", 50), ("59.94", 60), ("60", 60),
     ("120", 120), ("144", 144)],
)  # fmt: skip
def test_as_many_cells_as_the_nominal_rate(rate: str, expected: int) -> None:
    """A walk of a second has the nominal rate's number of frames, each a cell."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    assert expected == walk(signal).period
    assert expected == build("cadence", {}).claims(signal).notes["cells"]


@pytest.mark.parametrize(
    ("rate", "seconds"), [("24", 0.5), ("23.976", 1), ("25", 1.0), ("60", 1), ("144", 2)]
)
def test_the_cell_walks_in_reading_order(rate: str, seconds: float) -> None:
    """Each frame lights the cell to the right of the one before, or the first of the next row."""
    source = walk(parse_signal_format(f"720p{rate}-sdr"), seconds=seconds)
    cells = [lit_cell(source, index) for index in range(source.period)]
    assert 1 == len({(cell.width, cell.height) for cell in cells})
    for before, after in pairwise(cells):
        assert (after.y == before.y and after.x > before.right) or (
            after.y > before.bottom and after.x == cells[0].x
        )
    # BT.1702-3 (second-hand) counts flashes over more than a quarter of the screen: here two cells change.
    assert 8 * cells[0].area < 1280 * 720


@pytest.mark.parametrize("rate", ["24", "25", "30", "48", "50", "60", "100", "120", "144"])
def test_rows_are_whole(rate: str) -> None:
    """At every usual rate each row has the same number of cells, which are wider than high."""
    source = walk(parse_signal_format(f"720p{rate}-sdr"))
    cells = [lit_cell(source, index) for index in range(source.period)]
    lefts, tops = (sorted({(cell.x, cell.y)[axis] for cell in cells}) for axis in (0, 1))
    assert len(lefts) * len(tops) == int(RATES[rate])
    assert 1.0 < (lefts[1] - lefts[0]) / (tops[1] - tops[0]) < 2.5


# What a camera adds up is light; codes do as well to tell how often a cell was lit.
def test_a_long_photograph_shows_every_frame_once() -> None:
    """Every cell is lit once a walk; a dropped frame leaves its cell dark, a repeated one counts twice."""
    source = walk()
    cells = [lit_cell(source, index) for index in range(60)]
    shown = [index for index in range(60) if index != 21] + [34]
    times = sum((source.frame(index).planes[0] == LIT).astype(np.int64) for index in shown)
    expected = [1] * 60
    expected[21], expected[34] = 0, 2
    assert [[count] for count in expected] == [np.unique(times[cell.slices]).tolist() for cell in cells]
    assert sum(cell.area * count for cell, count in zip(cells, expected, strict=True)) == int(times.sum())


@pytest.mark.parametrize(("index", "text"), [(0, "00"), (7, "07"), (59, "59")])
def test_the_number_is_the_frame(index: int, text: str) -> None:
    """The number at the top, in the alphabet's dots of 12 pixels (720 / 6 / 10), is the frame in the walk."""
    plane = walk().frame(index).planes[0]
    mask = text_mask(text, 12)
    rows, columns = mask.shape
    top, left = (120 - rows) // 2, (1280 - columns) // 2
    found = plane[top : top + rows, left : left + columns]
    np.testing.assert_array_equal(np.where(mask, LABEL, BLACK), found)


@pytest.mark.parametrize(("rate", "seconds", "dot"), [("60", 1, 4), ("144", 2, 2)])
def test_every_cell_has_its_number(rate: str, seconds: float, dot: int) -> None:
    """The number of each cell stands above it on black in every frame, lit or not."""
    source = walk(parse_signal_format(f"720p{rate}-sdr"), seconds=seconds)
    cells = [lit_cell(source, index) for index in range(source.period)]
    plane = source.frame(3).planes[0]
    digits = len(str(source.period - 1))
    for index, cell in enumerate(cells):
        mask = text_mask(f"{index:0{digits}d}", dot)
        row_above = max((other.bottom for other in cells if other.bottom < cell.y), default=120)
        above = plane[row_above : cell.y, cell.x : cell.right]
        lit_rows, lit_columns = np.nonzero(above == LABEL)
        found = above[lit_rows.min() : lit_rows.max() + 1, lit_columns.min() : lit_columns.max() + 1]
        dots = mask[:, mask.any(axis=0).argmax() : mask.shape[1] - mask[:, ::-1].any(axis=0).argmax()]
        np.testing.assert_array_equal(dots, found == LABEL)
        assert [UNLIT if index != 3 else LIT] == np.unique(plane[cell.slices]).tolist()


def test_equal_levels_are_refused() -> None:
    """A lit cell as dark as the others is refused in words."""
    pattern = build("cadence", {"code": 60, "cell_code": 60})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput, match="both code 60, so nothing walks; use two levels"):
            refused(SDR)
