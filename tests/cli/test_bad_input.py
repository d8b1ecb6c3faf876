"""What cannot be done is refused in one or two lines that name the key and the remedy; nothing is written."""

import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

_WINDOW = ("clip", "window", "--signal", "2160p60-pq")

Run = Callable[..., Any]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("clip", "windw", "--signal", "720p24-pq"), "pattern 'windw' is not known; did you mean window?"),
        ((*_WINDOW, "area_percnt=10"), "area_percnt is not a parameter; did you mean area_percent?"),
        ((*_WINDOW, "area_percent"), "'area_percent' is not KEY=VALUE"),
        ((*_WINDOW, "code=100", "code=200"), "code is given twice"),
        ((*_WINDOW, "code=100", "luminance=200"), "code and luminance set the same level"),
        ((*_WINDOW, "luminance=1000nits"), "luminance=1000nits is not a number; write it bare, in cd/m²"),
        (
            (*_WINDOW, "luminance=11000"),
            "luminance=11000: luminance 11000 cd/m² is outside what this pq signal",
        ),
        ((*_WINDOW, "code=1020"), "code=1020 is code 1020, outside the codes 4 to 1019 of 10 bits"),
        ((*_WINDOW, "area_percent=0"), "area_percent=0 is out of range; use 0.01 to 100 %"),
        ((*_WINDOW, "area_percent=130"), "area_percent=130 is out of range; use 0.01 to 100 %"),
        (
            ("clip", "window", "--signal", "2160-pq"),
            "is not written SIZE SCAN RATE - TRANSFER; write 2160p60-pq",
        ),
        (
            ("clip", "window", "--signal", "2161p60-pq"),
            "2161 is no known size; use one of 480, 576, 720, 1080, 2160, 4320",
        ),
        (("clip", "window", "--signal", "2160p61-pq"), "frame rate '61' is not known; use one of 23.976"),
        (("clip", "window", "--signal", "2160p60-hdr"), "'hdr' is none of sdr, srgb, pq, hlg"),
        ((*_WINDOW, "--depth", "8", "--range", "full"), "pq at full range needs 10 bits or more"),
        ((*_WINDOW, "--depth", "12"), "hevc-mp4 carries 8 or 10 bits, not 12; use --depth 10"),
        ((*_WINDOW, "--delivery", "avc-mp4"), "avc-mp4 carries sdr only, not pq; use --delivery hevc-mp4"),
        ((*_WINDOW, "--delivery", "vhs"), "delivery 'vhs' is not known; use one of hevc-mp4, hevc-mkv"),
        ((*_WINDOW, "--seconds", "0"), "--seconds 0 is no length for a clip"),
        (("clip", "window", "--signal", "1080i25-sdr"), "no interlaced pictures; use --delivery avc-ts or"),
    ],
)
def test_a_clip_is_refused(words: tuple[str, ...], message: str, run: Run, tmp_path: Path) -> None:
    """Exit 2, one line on standard error that says why and what to do, nothing on standard output."""
    answer = run(*words, "--to", tmp_path / "a.mp4")

    assert message in answer.stderr
    assert (2, "", 1) == (answer.code, answer.stdout, answer.stderr.count("\n"))
    assert [] == list(tmp_path.iterdir())


def test_a_machine_is_told_too(run: Run, tmp_path: Path) -> None:
    """With --json the error is an object on standard output as well."""
    answer = run("clip", "windw", "--signal", "720p24-pq", "--to", tmp_path / "a.mp4", "--json")

    assert {"error": "pattern 'windw' is not known; did you mean window?", "exit": 2} == answer.json


def test_a_missing_folder_is_refused(run: Run, tmp_path: Path) -> None:
    """A folder that is not there is not made: a stick that is not mounted would be filled on the disk."""
    answer = run("clip", "window", "--signal", "720p24-sdr", "--to", tmp_path / "stick" / "a.mp4")
    pack = run("render", "first-look", "--to", tmp_path / "stick" / "pack")

    assert (2, 2) == (answer.code, pack.code)
    for each in (answer, pack):
        assert f"{tmp_path / 'stick'}: there is no such folder; make it first, or correct --to" in each.stderr
    assert [] == list(tmp_path.iterdir())


def test_a_wrong_ending_is_refused(run: Run, tmp_path: Path) -> None:
    """A file name must end as its kind does."""
    clip = run("clip", "window", "--signal", "720p24-sdr", "--to", tmp_path / "a.mkv")
    still = run("still", "window", "--signal", "720p24-sdr", "--to", tmp_path / "a.bmp")

    assert "hevc-mp4 files end in .mp4" in clip.stderr
    assert "stills end in one of .png, .avif, .heic, .jxl, .exr, .tif, .jpg" in still.stderr
    assert (2, 2) == (clip.code, still.code)


def test_a_file_of_somebody_else_is_not_overwritten(run: Run, tmp_path: Path) -> None:
    """A file that knownlight did not make stays as it is."""
    path = tmp_path / "a.mp4"
    path.write_bytes(b"holiday")
    answer = run("clip", "window", "--signal", "720p24-sdr", "--to", path)

    assert 2 == answer.code
    assert "was not made by knownlight; choose another name or move it away" in answer.stderr
    assert b"holiday" == path.read_bytes()


def test_a_read_only_folder_is_refused(run: Run, small_disk: Path) -> None:
    """A file system that may not be written is refused before any work."""
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    clip = run("clip", "window", "--signal", "720p24-sdr", "--to", small_disk / "a.mp4")
    pack = run("render", "first-look", "--to", small_disk / "pack")

    assert (2, 2) == (clip.code, pack.code)
    for each in (clip, pack):
        assert f"{small_disk}: Read-only file system; choose a folder that can be written" in each.stderr


def test_a_full_disk_leaves_nothing(run: Run, small_disk: Path) -> None:
    """Where the space ends, one line says so and nothing half-written stays, under no name."""
    words = ("pan", "content=texture", "--signal", "1080p24-sdr", "--seconds", "2")
    clip = run("clip", *words, "--to", small_disk / "a.mp4")
    still = run("still", "ramp", "--signal", "2160p60-pq", "--to", small_disk / "a.png")
    pack = run(
        "render", "first-look", "--only", "pan-texture-60", "--size", "1080", "--to", small_disk / "pack"
    )

    assert (2, 2) == (clip.code, pack.code), (clip.stderr, pack.stderr)
    assert "a.mp4 could not be written: No space left on device; free some space" in clip.stderr
    assert "MB are needed, 0.2 MB are free; free some space" in pack.stderr
    assert 0 == still.code, "a still of 60 kB fits"
    left = sorted(path.name for path in small_disk.rglob("*") if path.is_file())
    assert ["a.png", "a.png.manifest.json"] == left
