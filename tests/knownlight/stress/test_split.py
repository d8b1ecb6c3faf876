"""The split: drawn pixels before an edge that moves, coded ones from it on, and areas it never reaches."""

import numpy as np
import pytest

from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame, neutral_chroma
from knownlight.frame.sources import Still
from knownlight.stress.split import Split

SIGNAL = parse_signal_format("720p24-sdr")
PERIOD = 48


def _flat(luma: int, chroma: int) -> Frame:
    first, second = (np.full_like(plane, chroma) for plane in neutral_chroma(SIGNAL))
    return Frame(SIGNAL, (np.full((720, 1280), luma, np.uint8), first, second))


@pytest.mark.parametrize("axis", [0, 1])
def test_pixels_are_of_one_side_or_the_other(axis: int) -> None:
    """In all three planes the edge is at the same place, and nothing is mixed."""
    split = Split(SIGNAL, axis)
    source = split.source(Still(_flat(30, 120)), Still(_flat(60, 140)), PERIOD)
    for index in (0, 7, 24, 40):
        frame, edge = source.frame(index), split.edge(index, PERIOD)
        for plane, (clean, coded), place in zip(
            frame.planes, [(30, 60), (120, 140), (120, 140)], [edge, edge // 2, edge // 2], strict=True
        ):
            first, second = np.split(plane, [place], axis)
            assert ({clean}, {coded}) == (set(np.unique(first)), set(np.unique(second)))


@pytest.mark.parametrize("axis", [0, 1])
def test_the_edge_goes_there_and_back(axis: int) -> None:
    """From three tenths to seven and back in a period, in even steps, without a jump where it repeats."""
    split, length = Split(SIGNAL, axis), (720, 1280)[axis]
    places = [split.edge(index, PERIOD) for index in range(PERIOD)]
    steps = np.abs(np.diff([*places, places[0]]))
    assert (length * 3 // 10 // 2 * 2, length * 7 // 10 // 2 * 2) == (min(places), max(places))
    assert set(np.mod(places, 2)) == {0}
    assert steps.max() <= length * 4 // 10 / (PERIOD / 2) + 2


@pytest.mark.parametrize("axis", [0, 1])
def test_areas_are_whole_blocks_that_the_edge_never_reaches(axis: int) -> None:
    """Each side is measured where it always is, on the grid of 64 pixels."""
    split = Split(SIGNAL, axis)
    clean, coded = (area.rect for area in split.areas(Rect(0, 0, 1280, 720)))
    places = [split.edge(index, PERIOD) for index in range(PERIOD)]
    ends = (clean.right, coded.x) if axis else (clean.bottom, coded.y)
    assert ends[0] <= min(places)
    assert max(places) <= ends[1]
    assert (0, 0) == (ends[0] % 64, ends[1] % 64)
    assert min(clean.area, coded.area) > 0


def test_areas_stay_inside_a_half() -> None:
    """Of a dark half beside a busy one, only the dark one is measured on either side."""
    clean, coded = Split(SIGNAL, axis=0).areas(Rect(0, 0, 640, 720))
    assert [(0, 640), (0, 640)] == [(area.rect.x, area.rect.width) for area in (clean, coded)]
