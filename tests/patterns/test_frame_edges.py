"""Frame edges: what lies outside each tick, counted in pixels (layout: common practice, no source)."""

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from patterns.frame_edges import PERCENTS, PIXELS
from patterns.patches import overlap
from patterns.registry import build
from patterns.tiled import TiledLayout
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels

SDR = SIGNALS["sdr-8"]
HEIGHTS = (720, 1080, 2160, 4320)


def layout_in(height: int) -> TiledLayout:
    """The layout in SDR at a size."""
    layout = build("frame-edges", {}).layout(SDR.resized(height))  # type: ignore[attr-defined]
    assert isinstance(layout, TiledLayout)
    return layout


def lit(height: int) -> NDArray[np.bool_]:
    """Pixels that are not background."""
    plane = build("frame-edges", {}).draw(SDR.resized(height)).frame(0).planes[0]
    codes = np.unique(plane)
    assert 2 == codes.size
    return np.asarray(plane == codes[1])


# So many per cent of 720, 1080, 2160 and 4320 rows by hand, to the nearest whole row, halves up.
ROWS = {
    720: {1.0: 7, 2.0: 14, 2.5: 18, 3.5: 25, 5.0: 36},
    1080: {1.0: 11, 2.0: 22, 2.5: 27, 3.5: 38, 5.0: 54},
    2160: {1.0: 22, 2.0: 43, 2.5: 54, 3.5: 76, 5.0: 108},
    4320: {1.0: 43, 2.0: 86, 2.5: 108, 3.5: 151, 5.0: 216},
}
COLUMNS_720 = {1.0: 13, 2.0: 26, 2.5: 32, 3.5: 45, 5.0: 64}


@pytest.mark.parametrize("height", HEIGHTS)
def test_a_tick_has_its_number_of_pixels_outside_it(height: int) -> None:
    """Seen from each side, the first lit pixel behind the frame is the tick's, so many rows or columns in."""
    picture, layout = lit(height), layout_in(height)
    outsides = [*PIXELS, *(ROWS[height][percent] for percent in PERCENTS)]
    texts = [str(pixels) for pixels in PIXELS] + [f"{percent:g}%" for percent in PERCENTS]
    ticks = layout.fields[-4 * len(outsides) :]
    assert texts * 4 + [f"{height // 2} X {height // 2}"] == [label.text for label in layout.labels]
    for index, outside in enumerate(outsides):
        top, bottom = ticks[index].rect, ticks[len(outsides) + index].rect
        for column in (top.x, top.right - 1):
            assert outside == np.flatnonzero(picture[1:, column])[0] + 1
        for column in (bottom.x, bottom.right - 1):
            assert outside == np.flatnonzero(picture[::-1][1:, column])[0] + 1
    if height == 720:
        outsides = [*PIXELS, *COLUMNS_720.values()]
        for index, outside in enumerate(outsides):
            left, right = (ticks[side * len(outsides) + index].rect for side in (2, 3))
            assert outside == np.flatnonzero(picture[left.y, 1:])[0] + 1
            assert outside == np.flatnonzero(picture[right.y, ::-1][1:])[0] + 1


@pytest.mark.parametrize("height", HEIGHTS)
def test_notes_are_the_distances(height: int) -> None:
    """The manifest has the rows of every per cent."""
    notes = layout_in(height).notes
    assert ROWS[height] == {percent: notes[f"rows_at_{percent:g}_percent"] for percent in PERCENTS}


def test_ticks_are_one_pixel_thin() -> None:
    """Each tick is a line with background on both sides."""
    picture = lit(1080)
    for field in layout_in(1080).fields[-4 * (len(PIXELS) + len(PERCENTS)) :]:
        rect = field.rect
        around = picture[rect.y - 1 : rect.bottom + 1, rect.x - 1 : rect.right + 1]
        inside = picture[rect.slices]
        assert max(rect.width, rect.height) == np.count_nonzero(inside) == np.count_nonzero(around)


@pytest.mark.parametrize("height", HEIGHTS)
def test_the_frame_is_the_outermost_pixel(height: int) -> None:
    """A line of one pixel runs round all four edges without a gap; the next pixels are dark."""
    picture = lit(height)
    assert all(edge.all() for edge in (picture[0], picture[-1], picture[:, 0], picture[:, -1]))
    for inner in (picture[1, 1:-1], picture[-2, 1:-1], picture[1:-1, 1], picture[1:-1, -2]):
        assert not inner.any()


def test_the_square_and_the_cross_are_in_the_middle() -> None:
    """The square has equally many rows and columns; the cross is two pixels wide about the very middle."""
    picture = lit(1080)
    across, down = picture[540, 690:1230], picture[270:810, 960]
    assert [True] * 4 + [False] == across[:5].tolist()
    np.testing.assert_array_equal(across, across[::-1])
    np.testing.assert_array_equal(across[270:], down[270:])  # words lie in the upper half
    assert down[:4].all()
    assert not picture[270 - 1, 690:1230].any()
    assert not picture[270:810, 690 - 1].any()
    arm = picture[520, 900:1020].nonzero()[0] + 900
    assert [959, 960] == arm.tolist()


@pytest.mark.parametrize("height", HEIGHTS)
def test_parts_are_apart(height: int) -> None:
    """Fields, words and corner marks do not overlap; the picture holds them all."""
    layout, signal = layout_in(height), SDR.resized(height)
    marks = [patch for patch in layout.patches if patch.purpose is not None]
    everything = [
        *(field.rect for field in layout.fields),
        *(patch.rect for patch in marks),
        *(label.rect for label in layout.labels),
    ]
    assert not any(overlap(one, other) for one, other in combinations(everything, 2))
    assert all(rect.right <= signal.width and rect.bottom <= signal.height for rect in everything)
    assert min(min(rect.x, rect.y) for rect in everything) >= 0


@pytest.mark.parametrize("kind", SIGNALS)
def test_claims_are_the_pixels(kind: str) -> None:
    """Areas are what is drawn between other levels too, of lines darker than their background."""
    pattern = build("frame-edges", {"luminance": 1, "background_luminance": 60})
    assert_areas_are_pixels(pattern.draw(SIGNALS[kind]).frame(0), pattern.claims(SIGNALS[kind]))
