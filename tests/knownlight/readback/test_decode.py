"""Decoded planes, bit for bit against libde265 and against what was drawn."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, Planes
from knownlight.readback.decode import decoded_planes

if TYPE_CHECKING:
    from tests.conftest import MakeClip

Dec265 = Callable[[Path, SignalFormat], list[Planes]]
SamePlanes = Callable[[Frame, Planes, str], None]

SDR10 = parse_signal_format("720p24-sdr", depth=10)


def copied(planes: Planes) -> Planes:
    """Planes that outlast the buffer they were read into."""
    luma, first, second = (plane.copy() for plane in planes)
    return luma, first, second


@pytest.mark.parametrize("signal", ["720p24-sdr", SDR10, "720p24-pq"], ids=["sdr-8", "sdr-10", "pq"])
def test_two_decoders_read_the_drawn_codes(
    signal: str | SignalFormat,
    shared_clip: "MakeClip",
    dec265: Dec265,
    assert_same_planes: SamePlanes,
    stop: Stop,
) -> None:
    """An exact clip of 8 or 10 bits: libde265, this reader and the drawing agree in every sample."""
    clip = shared_clip("ramp", signal, 30)
    drawn = clip.intent.source.frame(0)
    other = dec265(clip.path, clip.intent.signal)
    assert 30 == len(other)
    for index, planes in enumerate(decoded_planes(clip.path, clip.intent.signal, 30, stop)):
        assert_same_planes(drawn, other[index], f"libde265, picture {index}")
        assert_same_planes(drawn, planes, f"ffmpeg, picture {index}")
    assert 29 == index


@pytest.mark.parametrize(
    ("family", "frames"),
    [("flash", 100), ("fade", 48), ("bars-bt2111", 20), ("chroma-detail", 20), ("pan", 30)],
)
def test_libde265_reads_every_frame_as_it_was_drawn(
    family: str, frames: int, make_clip: "MakeClip", dec265: Dec265, assert_same_planes: SamePlanes
) -> None:
    """Joined pieces, weighted prediction, colour and motion, as a decoder that is not ffmpeg sees them."""
    keys: dict[str, float] = {"flash_seconds": 0.5, "rest_seconds": 1} if family == "flash" else {}
    clip = make_clip(family, "720p24-pq", frames, "hevc-mp4", **keys)
    other = dec265(clip.path, clip.intent.signal)
    assert frames == len(other)
    for index, planes in enumerate(other):
        assert_same_planes(clip.intent.source.frame(index), planes, f"libde265, picture {index}")


def test_reading_may_start_anywhere(make_clip: "MakeClip", stop: Stop) -> None:
    """Pictures from a number on are those of the whole clip, at a key picture or between two."""
    clip = make_clip("pan", "720p23.976-pq", 40)
    whole = [copied(planes) for planes in decoded_planes(clip.path, clip.intent.signal, 40, stop)]
    for start in (1, 7, 23, 24, 39):
        part = decoded_planes(clip.path, clip.intent.signal, min(3, 40 - start), stop, start=start)
        for offset, planes in enumerate(part):
            for read, wanted in zip(planes, whole[start + offset], strict=True):
                np.testing.assert_array_equal(wanted, read)


@pytest.mark.parametrize(
    ("name", "signal"),
    [
        ("hevc-sdr", replace(parse_signal_format("720p24-sdr"), width=322, height=178)),
        ("hevc-hlg-full", replace(parse_signal_format("720p24-hlg"), width=320, height=178)),
    ],
    ids=["8 bits", "10 bits"],
)
def test_colour_losses_and_reordered_pictures_read_as_libde265_reads_them(
    *,
    name: str,
    signal: SignalFormat,
    independent_clip: Callable[[str], Path],
    dec265: Dec265,
    assert_same_planes: SamePlanes,
    stop: Stop,
) -> None:
    """A moving colour picture with B pictures, lossy and not of our making: same order, same planes."""
    path = independent_clip(name)
    other = dec265(path, signal)
    read = [copied(planes) for planes in decoded_planes(path, signal, 20, stop)]
    assert (20, 20) == (len(other), len(read))
    for index, planes in enumerate(read):
        assert_same_planes(Frame(signal, other[index]), planes, f"picture {index}")


@pytest.mark.parametrize("wanted", [1, 12, 30])
def test_only_the_pictures_asked_for_are_read(wanted: int, shared_clip: "MakeClip", stop: Stop) -> None:
    """The first so many, and no more."""
    clip = shared_clip("ramp", "720p24-sdr", 30)
    assert wanted == sum(1 for _ in decoded_planes(clip.path, clip.intent.signal, wanted, stop))


def test_a_clip_shorter_than_asked_ends_early(shared_clip: "MakeClip", stop: Stop) -> None:
    """Nothing is made up for pictures that are not there."""
    clip = shared_clip("ramp", "720p24-sdr", 30)
    assert 30 == sum(1 for _ in decoded_planes(clip.path, clip.intent.signal, 31, stop))


@pytest.mark.parametrize("signal", ["1080p24-sdr", SDR10], ids=["another size", "another depth"])
def test_pictures_of_another_format_are_refused(
    signal: str | SignalFormat, shared_clip: "MakeClip", stop: Stop
) -> None:
    """Thirteen 8-bit pictures of 720p are no whole number of larger ones; nothing is scaled to fit."""
    clip = shared_clip("ramp", "720p24-sdr", 30)
    wrong = parse_signal_format(signal) if isinstance(signal, str) else signal
    with pytest.raises(ToolFailed) as caught:
        list(decoded_planes(clip.path, wrong, 13, stop))
    message = f"{clip.path} could not be decoded: the pictures are not of the expected size or depth"
    assert message == str(caught.value)


def test_a_file_that_is_no_clip_fails_with_its_name(tmp_path: Path, stop: Stop) -> None:
    """The message opens with the path, and ffmpeg says why."""
    path = tmp_path / "words.mp4"
    path.write_text("words, not boxes")
    with pytest.raises(ToolFailed, match=f"^{path} could not be decoded: ffmpeg says: .*Invalid data"):
        list(decoded_planes(path, parse_signal_format("720p24-sdr"), 1, stop))
