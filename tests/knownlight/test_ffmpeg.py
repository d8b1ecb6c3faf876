"""The ffmpeg process: found, run, fed, read, stopped."""

import os
import subprocess
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import imageio_ffmpeg
import numpy as np
import pytest

from knownlight import ffmpeg
from knownlight.errors import BadInput, Cancelled, ToolFailed
from knownlight.signal.arrays import PlaneArray

ENDLESS = ("-re", "-f", "lavfi", "-i", "color=s=16x16:r=25:d=3600", "-f", "null", "-")
ENDLESS_PIXELS = ("-re", "-f", "lavfi", "-i", "color=s=16x16:r=25:d=3600,format=gray", "-f", "rawvideo")
FULL_DEVICE = Path("/dev/full")
STOPS_WITHIN = 30.0  # seconds; the hour-long commands above end long after it unless they are stopped
GREY_4_BY_2 = ("-f", "rawvideo", "-pix_fmt", "gray", "-s", "4x2", "-framerate", "25")
TO_RAW = ("-f", "rawvideo", "-fps_mode", "passthrough")


@pytest.fixture
def _fresh_binary(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The binary is looked for once a process; these tests look again, and leave no trace."""
    monkeypatch.delenv(ffmpeg.ENVIRONMENT_VARIABLE, raising=False)
    ffmpeg.binary.cache_clear()
    yield
    ffmpeg.binary.cache_clear()


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[bytes]]:
    """Every process that is started from here on."""
    processes: list[subprocess.Popen[bytes]] = []
    real = subprocess.Popen

    def noted(*arguments: Any, **keywords: Any) -> subprocess.Popen[bytes]:
        processes.append(real(*arguments, **keywords))
        return processes[-1]

    monkeypatch.setattr(subprocess, "Popen", noted)
    return processes


def picture(value: int) -> tuple[PlaneArray]:
    """Four by two samples that count up from a value."""
    return (np.arange(value, value + 8, dtype=np.uint8).reshape(2, 4),)


@pytest.mark.usefixtures("_fresh_binary")
def test_the_packaged_binary_is_used_where_the_environment_says_nothing() -> None:
    """Without the variable, the binary is the one that imageio-ffmpeg carries."""
    assert imageio_ffmpeg.get_ffmpeg_exe() == ffmpeg.binary()


@pytest.mark.usefixtures("_fresh_binary")
def test_the_environment_names_the_binary(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The variable wins over the packaged binary."""
    chosen = tmp_path / "ffmpeg"
    chosen.touch()
    monkeypatch.setenv("KNOWNLIGHT_FFMPEG", str(chosen))
    assert str(chosen) == ffmpeg.binary()


@pytest.mark.usefixtures("_fresh_binary")
def test_an_environment_that_names_no_file_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A wrong variable is told, not passed over for the packaged binary."""
    chosen = tmp_path / "absent"
    monkeypatch.setenv("KNOWNLIGHT_FFMPEG", str(chosen))
    with pytest.raises(BadInput) as caught:
        ffmpeg.binary()
    assert f"KNOWNLIGHT_FFMPEG names {chosen}, which is no file; unset it or correct it" == str(caught.value)


@pytest.mark.usefixtures("_fresh_binary")
def test_a_binary_that_cannot_be_started_is_a_failed_tool(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, stop: ffmpeg.Stop
) -> None:
    """A file that is no program ends in ToolFailed that names the variable."""
    chosen = tmp_path / "ffmpeg"
    chosen.write_text("not a program")
    monkeypatch.setenv("KNOWNLIGHT_FFMPEG", str(chosen))
    with pytest.raises(ToolFailed, match=r"^ffmpeg could not be started \(.*\); set KNOWNLIGHT_FFMPEG$"):
        ffmpeg.run(["-version"], what="the version", stop=stop)


def test_run_returns_the_output(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """Standard output comes back byte for byte."""
    raw = tmp_path / "in.raw"
    raw.write_bytes(bytes(range(16)))
    output, _ = ffmpeg.run(
        [*GREY_4_BY_2, "-i", str(raw), "-f", "rawvideo", "pipe:1"], what="pixels", stop=stop
    )
    assert bytes(range(16)) == output


def test_a_failing_command_raises_with_the_words_of_ffmpeg(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """The message opens with what was tried and carries what ffmpeg says of it."""
    absent = tmp_path / "absent.mp4"
    with pytest.raises(ToolFailed) as caught:
        ffmpeg.run(["-v", "error", "-i", str(absent), "-f", "null", "-"], what="the film", stop=stop)
    message = str(caught.value)
    assert message.startswith("the film: ffmpeg says: ")
    assert f"Error opening input file {absent}" in message
    assert "No such file or directory" in message


@pytest.mark.skipif(not FULL_DEVICE.exists(), reason="the system has no device that is always full")
def test_a_full_disk_is_told_with_a_remedy(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """Of everything that ffmpeg says then, the cause is told, and what to do."""
    raw = tmp_path / "in.raw"
    raw.write_bytes(bytes(16))
    with pytest.raises(ToolFailed) as caught:
        ffmpeg.run(
            [*GREY_4_BY_2, "-i", str(raw), "-f", "rawvideo", str(FULL_DEVICE)], what="the film", stop=stop
        )
    expected = "the film: No space left on device; free some space, or choose another folder"
    assert expected == str(caught.value)


def test_asking_to_stop_ends_a_running_process() -> None:
    """A process that would run for an hour ends at once, as Cancelled and not as a failure."""
    stop = ffmpeg.Stop()
    threading.Timer(0.5, stop.ask).start()
    started = time.monotonic()
    with pytest.raises(Cancelled, match=r"^stopped; nothing unfinished was left under a final name$"):
        ffmpeg.run(ENDLESS, what="an hour", stop=stop)
    assert time.monotonic() - started < STOPS_WITHIN


def test_nothing_runs_on_after_a_stop(started: list[subprocess.Popen[bytes]], tmp_path: Path) -> None:
    """A command that comes after the stop raises Cancelled and leaves no process and no file behind."""
    stop = ffmpeg.Stop()
    stop.ask()
    with pytest.raises(Cancelled):
        ffmpeg.run(ENDLESS, what="an hour", stop=stop)
    with pytest.raises(Cancelled):
        ffmpeg.feed(
            [*GREY_4_BY_2, "-i", "pipe:0", *TO_RAW, str(tmp_path / "late.raw")],
            [],
            what="late",
            stop=stop,
            on_frames=lambda _: None,
        )
    still_running = [process.args for process in started if process.poll() is None]
    for process in started:
        process.kill()
        process.communicate()
    assert [] == still_running
    assert [] == list(tmp_path.iterdir())


def test_an_interrupt_at_the_terminal_does_not_reach_ffmpeg(
    started: list[subprocess.Popen[bytes]], stop: ffmpeg.Stop
) -> None:
    """The process has a session of its own: ffmpeg answers an interrupt by closing its file as if whole."""
    reader = ffmpeg.frames_of(ENDLESS_PIXELS, 256, what="an hour", stop=stop)
    next(reader)
    (process,) = started
    session = os.getsid(process.pid)
    reader.close()  # type: ignore[attr-defined]
    assert process.pid == session


def test_feed_hands_over_every_picture_in_order(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """What ffmpeg got is what was given, sample for sample, and the last count is the number of pictures."""
    to = tmp_path / "out.raw"
    counts: list[int] = []
    ffmpeg.feed(
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
        ffmpeg.feed(
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
        ffmpeg.feed(
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
        ffmpeg.feed(
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
    read = [bytes(part) for part in ffmpeg.frames_of(arguments, 8, what="pixels", stop=stop)]
    assert [bytes(range(0, 8)), bytes(range(8, 16)), bytes(range(16, 24))] == read


def test_pictures_of_another_size_are_refused(tmp_path: Path, stop: ffmpeg.Stop) -> None:
    """Bytes that are no whole number of pictures mean another size or depth, and are told so."""
    raw = tmp_path / "in.raw"
    raw.write_bytes(bytes(range(24)))
    arguments = [*GREY_4_BY_2, "-i", str(raw), *TO_RAW]
    with pytest.raises(ToolFailed) as caught:
        list(ffmpeg.frames_of(arguments, 9, what="pixels", stop=stop))
    assert "pixels: the pictures are not of the expected size or depth" == str(caught.value)


def test_a_stop_ends_reading() -> None:
    """A reader of pictures without end is told Cancelled."""
    stop = ffmpeg.Stop()
    threading.Timer(0.5, stop.ask).start()
    started = time.monotonic()
    with pytest.raises(Cancelled):
        for _ in ffmpeg.frames_of(ENDLESS_PIXELS, 256, what="an hour", stop=stop):
            pass
    assert time.monotonic() - started < STOPS_WITHIN


def test_reading_may_end_early(stop: ffmpeg.Stop) -> None:
    """A reader that wants one picture ends the process by going away."""
    started = time.monotonic()
    reader = ffmpeg.frames_of(ENDLESS_PIXELS, 256, what="an hour", stop=stop)
    assert 256 == len(next(reader))
    reader.close()  # type: ignore[attr-defined]
    assert time.monotonic() - started < STOPS_WITHIN
