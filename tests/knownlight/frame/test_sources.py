"""Frame sources: how many frames differ, and which frame is at an index."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from knownlight.frame.planes import Frame, grey_frame
from knownlight.frame.sources import Cycle, FrameSource, Levels, Run, Still, unrepeated_frames

STEADY = settings(deadline=None, derandomize=True)
SIGNAL = replace(parse_signal_format("720p60-sdr"), width=4, height=2)


def numbered(index: int) -> Frame:
    """A grey of the code `index`."""
    return grey_frame(SIGNAL, np.full((2, 4), index, dtype=np.uint8))


def code(frame: Frame) -> int:
    """The code of a numbered frame."""
    return int(frame.planes[0][0, 0])


STILL = Still(numbered(9))
CYCLE = Cycle(3, numbered, Levels.MOVED)
RUN = Run(numbered)


@pytest.mark.parametrize(
    ("source", "frames", "expected"),
    [
        (STILL, 5, [9]),
        (CYCLE, 5, [0, 1, 2]),
        (CYCLE, 3, [0, 1, 2]),
        (CYCLE, 2, [0, 1]),
        (RUN, 5, [0, 1, 2, 3, 4]),
    ],
)
def test_frames_that_differ(source: FrameSource, frames: int, expected: list[int]) -> None:
    """Only frames that differ are drawn, in order: one, a period, or all."""
    assert len(expected) == source.unrepeated(frames)
    assert expected == [code(frame) for frame in unrepeated_frames(source, frames)]


@STEADY
@given(st.sampled_from([STILL, CYCLE, RUN]), st.integers(1, 60), st.data())
def test_frames_repeat_those_that_differ(source: FrameSource, frames: int, data: st.DataObject) -> None:
    """Frame i of a clip is frame i modulo the number of those that differ."""
    index = data.draw(st.integers(0, frames - 1))
    assert code(source.frame(index % source.unrepeated(frames))) == code(source.frame(index))


def test_a_still_is_held() -> None:
    """Every frame of a still is the same object, so that nothing is drawn or counted twice."""
    assert STILL.frame(0) is STILL.frame(99) is STILL.picture


def test_levels() -> None:
    """A still has the light levels of its one frame; a run is not known to."""
    expected = [Levels.MOVED, Levels.MOVED, Levels.CHANGING]
    assert expected == [source.levels for source in (STILL, CYCLE, RUN)]
