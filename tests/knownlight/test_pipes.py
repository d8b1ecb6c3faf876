"""Pictures into the ffmpeg process and out of it: all of them, in order, and no further than a stop."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from knownlight import ffmpeg, pipes
from knownlight.errors import Cancelled, ToolFailed
from knownlight.signal.arrays import PlaneArray

ENDLESS_PIXELS = ("-re", "-f", "lavfi", "-i", "color=s=16x16:r=25:d=3600,format=gray", "-f", "rawvideo")
STOPS_WITHIN = 30.0  # seconds; the hour-long commands above end long after it unless they are stopped
GREY_4_BY_2 = ("-f", "rawvideo", "-pix_fmt", "gray", "-s", "4x2", "-framerate", "25")
TO_RAW = ("-f", "rawvideo", "-fps_mode", "passthrough")


def picture(value: int) -> tuple[PlaneArray]:
    """Four by two samples that count up from a value."""
    return (np.arange(value, value + 8, dtype=np.uint8).reshape(2, 4),)


def test_feed_hands_over_every_picture_in_order(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """What ffmpeg got is what was given, sample for sample, and the last count is the number of pictures."""
    to = tmp_path / "out.raw"
    counts: list[int] = []
    pipes.feed(
        [*GREY_4_BY_2, "-i", "pipe:0", *TO_RAW, str(to)],
        (picture(10 * index) for index in range(20)),
        what="pixels",
        stop=stop,
        on_frames=counts.append,
    )
    assert b"".join(bytes(range(10 * index, 10 * index + 8)) for index in range(20)) == to.read_bytes()
    assert 20 == counts[-1]
    assert sorted(counts) == counts


def test_feed_raises_with_the_words_of_ffmpeg_where_it_ends_first(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """A broken pipe is never what is told: ffmpeg's own reason is."""
    pictures = (picture(0) for _ in range(100_000))
    with pytest.raises(ToolFailed, match=r"^the film: ffmpeg says: Unknown encoder 'nothing'; "):
        pipes.feed(
            ["-v", "error", *GREY_4_BY_2, "-i", "pipe:0", "-c:v", "nothing", str(tmp_path / "out.mkv")],
            pictures,
            what="the film",
            stop=stop,
            on_frames=lambda _: None,
        )


def test_a_stop_ends_an_endless_feed() -> None:
    """Pictures without end stop being asked for once a stop was asked for."""
    stop = ffmpeg.Stop()
    drawn: list[int] = []

    def endless() -> Iterator[tuple[PlaneArray]]:
        while True:
            drawn.append(1)
            if len(drawn) == 100:
                stop.ask()
            yield picture(0)

    with pytest.raises(Cancelled):
        pipes.feed(
            [*GREY_4_BY_2, "-i", "pipe:0", "-f", "null", "-"],
            endless(),
            what="without end",
            stop=stop,
            on_frames=lambda _: None,
        )
    asked = len(drawn)
    time.sleep(0.2)
    assert asked == len(drawn)
    stop.ask()  # the process is no longer among those to end: asking again is harmless


def test_an_error_of_the_drawing_ends_the_process_and_is_passed_on(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """What the pictures raise comes out as it is, and no file is closed as if it were whole."""
    to = tmp_path / "half.mp4"

    def broken() -> Iterator[tuple[PlaneArray]]:
        yield picture(0)
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        pipes.feed(
            [*GREY_4_BY_2, "-i", "pipe:0", "-vf", "scale=32:32", "-c:v", "mpeg4", str(to)],
            broken(),
            what="broken",
            stop=stop,
            on_frames=lambda _: None,
        )
    assert not to.exists() or b"moov" not in to.read_bytes()


def test_pictures_are_read_one_by_one(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """Each picture has its own bytes while it is the one at hand."""
    raw = tmp_path / "in.raw"
    raw.write_bytes(bytes(range(24)))
    arguments = [*GREY_4_BY_2, "-i", str(raw), *TO_RAW]
    read = [bytes(part) for part in pipes.frames_of(arguments, 8, what="pixels", stop=stop)]
    assert [bytes(range(0, 8)), bytes(range(8, 16)), bytes(range(16, 24))] == read


def test_pictures_of_another_size_are_refused(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """Bytes that are no whole number of pictures mean another size or depth, and are told so."""
    raw = tmp_path / "in.raw"
    raw.write_bytes(bytes(range(24)))
    arguments = [*GREY_4_BY_2, "-i", str(raw), *TO_RAW]
    with pytest.raises(ToolFailed) as caught:
        list(pipes.frames_of(arguments, 9, what="pixels", stop=stop))
    assert "pixels: the pictures are not of the expected size or depth" == str(caught.value)


def test_a_stop_ends_reading() -> None:
    """A reader of pictures without end is told Cancelled."""
    stop = ffmpeg.Stop()
    threading.Timer(0.5, stop.ask).start()
    started = time.monotonic()
    with pytest.raises(Cancelled):
        for _ in pipes.frames_of(ENDLESS_PIXELS, 256, what="an hour", stop=stop):
            pass
    assert time.monotonic() - started < STOPS_WITHIN


def test_reading_may_end_early(stop: ffmpeg.Stop) -> None:
    """A reader that wants one picture ends the process by going away."""
    started = time.monotonic()
    reader = pipes.frames_of(ENDLESS_PIXELS, 256, what="an hour", stop=stop)
    assert 256 == len(next(reader))
    reader.close()  # type: ignore[attr-defined]
    assert time.monotonic() - started < STOPS_WITHIN
