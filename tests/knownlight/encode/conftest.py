"""What the tests of every coder ask of a clip, by plain ffmpeg: is it exact, how far off, how large."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame, Planes

if TYPE_CHECKING:
    from tests.conftest import Clip

AllPictures = Callable[[Path, SignalFormat], list[Planes]]


@pytest.fixture
def assert_exact(
    all_pictures: AllPictures, assert_same_planes: Callable[[Frame, Planes, str], None]
) -> "Callable[[Clip], None]":
    """Fails where a picture is missing, or any sample of any is not as drawn."""

    def check(clip: "Clip") -> None:
        pictures = all_pictures(clip.path, clip.intent.signal)
        assert clip.intent.frames == len(pictures)
        for index, planes in enumerate(pictures):
            assert_same_planes(clip.intent.source.frame(index), planes, f"picture {index}")

    return check


@pytest.fixture
def largest_error(all_pictures: AllPictures) -> "Callable[[Clip], int]":
    """Largest code difference of any sample of any picture."""

    def measure(clip: "Clip") -> int:
        pictures = all_pictures(clip.path, clip.intent.signal)
        assert clip.intent.frames == len(pictures)
        return max(
            int(abs(got.astype(int) - drawn.astype(int)).max())
            for index, planes in enumerate(pictures)
            for got, drawn in zip(planes, clip.intent.source.frame(index).planes, strict=True)
        )

    return measure


@pytest.fixture
def picture_sizes(run_ffmpeg: Callable[..., bytes]) -> Callable[[Path], list[int]]:
    """Bytes of every picture of a finished file, as ffmpeg lists them."""

    def read(path: Path) -> list[int]:
        text = run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "framecrc", "-").decode()
        return [int(line.split(",")[4]) for line in text.splitlines() if not line.startswith("#")]

    return read
