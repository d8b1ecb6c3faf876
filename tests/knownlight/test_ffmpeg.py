"""The ffmpeg process: found, run, fed, read, stopped."""

import os
import subprocess
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import imageio_ffmpeg
import pytest

from knownlight import ffmpeg, pipes
from knownlight.errors import BadInput, Cancelled, ToolFailed

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
def test_what_the_binary_can_do_is_asked() -> None:
    """Encoders, decoders and filters by their own names, each in its own list."""
    assert [True, False] == [ffmpeg.has_filter(name) for name in ("separatefields", "libx264")]
    assert [True, False] == [ffmpeg.has_encoder(name) for name in ("libx264", "separatefields")]
    assert [True, False] == [ffmpeg.has_decoder(name) for name in ("h264", "libx264")]


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
        pipes.feed(
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
    reader = pipes.frames_of(ENDLESS_PIXELS, 256, what="an hour", stop=stop)
    next(reader)
    (process,) = started
    session = os.getsid(process.pid)
    reader.close()  # type: ignore[attr-defined]
    assert process.pid == session
