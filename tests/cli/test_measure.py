"""`knownlight measure`: what it prints and writes of files that it did not make."""

import json
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from knownlight import ffmpeg

Run = Callable[..., Any]
Ffmpeg = Callable[..., bytes]
FILES = {
    "blocking-over-time.png",
    "blocking-over-time.svg",
    "dark-codes.png",
    "dark-codes.svg",
    "figures.json",
    "grid-map.png",
}
# grey in blocks of 8, each of one random code from 20 to 27; kept exactly
_BLOCKS = "nullsrc=s=40x30:r=25,geq=lum='20+7*random(0)':cb=128:cr=128,scale=320:240:flags=neighbor"


@pytest.fixture(scope="module")
def blocky(tmp_path_factory: pytest.TempPathFactory, run_ffmpeg: Ffmpeg) -> Path:
    """Eleven pictures of 320x240 in pure blocks of 8 pixels."""
    path = tmp_path_factory.mktemp("blocky") / "blocky.mkv"
    run_ffmpeg("-f", "lavfi", "-i", _BLOCKS, "-frames:v", "11", "-pix_fmt", "yuv420p", "-c:v", "ffv1", path)
    return path


def test_the_figures_are_printed_with_their_words(run: Run, blocky: Path) -> None:
    """A line for the file and one for each figure."""
    answer = run("measure", blocky)

    assert (0, "") == (answer.code, answer.stderr)
    lines = answer.stdout.splitlines()
    assert f"{blocky}: FFV1, 320x240p, 25 frames/s, 8 bits; 11 pictures, 3 measured" == lines[0]
    assert "  picture [0, 0, 320, 240]" in lines
    assert "    grid      8 pixels from x 0, y 0; clear in 100 % of the width, 100 % of the height" in lines
    assert any(line.startswith("    blocking  ratio ") and "(severe); step " in line for line in lines)
    assert any(line.startswith("    flat      100 % of blocks of 8x8, ") for line in lines)
    assert any(line.startswith("  banding   CAMBI ") for line in lines)


def test_machines_get_one_object(run: Run, blocky: Path) -> None:
    """Numbers as they are, words where there are any, null where not."""
    found = run("measure", blocky, "--json", "--crop", "13,21,240,200", "--every", 10).json

    assert [13, 21, 240, 200] == found["area"]
    assert (11, 10, "progressive", 25.0) == (
        found["pictures"], found["every"], found["scan"], found["frames_per_second"],
    )  # fmt: skip
    (part,) = found["parts"]
    assert ("part", 2, 1.0, "severe") == (part["area"], part["pictures"], part["flat8"], part["blocking"])
    assert {"period": 8, "x": 0, "y": 0} == {key: part["grid"][key] for key in ("period", "x", "y")}
    assert part["drawn_jump"] is None
    assert found["banding"]["cambi"] >= 0.0


def test_a_grid_can_be_asked_for(run: Run, blocky: Path) -> None:
    """Of 16 pixels: measured, not looked for, and without a word, as the scale is of 8."""
    (part,) = run("measure", blocky, "--json", "--grid", 16).json["parts"]

    assert [16] == [grid["period"] for grid in part["grids"]]
    assert (None, None) == (part["grid"]["found"], part["blocking"])
    assert "measured as asked for, at 16 pixels" in run("measure", blocky, "--grid", 16).stdout


def test_no_grid_is_said_to_be_none(run: Run, run_ffmpeg: Ffmpeg, tmp_path: Path) -> None:
    """A small picture of noise, too small for CAMBI as well."""
    path = tmp_path / "noise.mkv"
    noise = "nullsrc=s=96x64:r=25,geq=lum='40+30*random(0)':cb=128:cr=128"
    run_ffmpeg("-f", "lavfi", "-i", noise, "-frames:v", "1", "-pix_fmt", "yuv420p", "-c:v", "ffv1", path)

    words = run("measure", path).stdout
    assert "no grid found; measured at 8 pixels from the corner" in words
    assert "banding   not measured: CAMBI needs 216 pixels" in words


def test_an_ffmpeg_without_libvmaf_measures_the_rest(
    run: Run, blocky: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Builds without it lack the filter of that name."""
    monkeypatch.setattr(ffmpeg, "has_filter", lambda name: name != "libvmaf")
    found = run("measure", blocky, "--json").json

    why_not = "the ffmpeg in use has no libvmaf"
    assert {"cambi": None, "label": None, "why_not": why_not} == found["banding"]
    assert "severe" == found["parts"][0]["blocking"]


def test_fields_have_figures_of_their_own(run: Run, run_ffmpeg: Ffmpeg, tmp_path: Path) -> None:
    """Interlaced MPEG-2."""
    path = tmp_path / "fields.ts"
    source = ("-f", "lavfi", "-i", "testsrc2=s=320x256:r=25", "-frames:v", "3", "-vf", "setfield=tff")
    run_ffmpeg(*source, "-flags", "+ildct+ilme", "-c:v", "mpeg2video", path)

    found = run("measure", path, "--json").json
    assert "interlaced" == found["scan"]
    assert ["picture, top field", "picture, bottom field"] == [part["area"] for part in found["parts"]]


def test_a_folder_gets_figures_and_plots(run: Run, blocky: Path, tmp_path: Path) -> None:
    """All of them, readable, the same bytes twice, and nothing else."""
    folders = [tmp_path / "one", tmp_path / "two"]
    for folder in folders:
        answer = run("measure", blocky, "--json", "--to", folder)
        assert (0, FILES) == (answer.code, {path.name for path in folder.iterdir()})

    figures = json.loads((folders[0] / "figures.json").read_text("utf-8"))
    (over_time,) = figures.pop("over_time")
    assert answer.json == figures
    assert ("picture", 3) == (over_time["area"], len(over_time["ratios"]))
    for name in FILES:
        assert (folders[0] / name).read_bytes() == (folders[1] / name).read_bytes()
        if name.endswith(".png"):
            with Image.open(folders[0] / name) as picture:
                assert picture.width == 1080
        if name.endswith(".svg"):
            root = ET.parse(folders[0] / name).getroot()  # noqa: S314 - just written
            assert "{http://www.w3.org/2000/svg}svg" == root.tag
    assert ["one", "two"] == sorted(path.name for path in tmp_path.iterdir())


def test_what_failed_leaves_no_folder(
    run: Run, blocky: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fills while plots are made: one line, and neither folder nor work is left."""

    def full(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("knownlight.stress.plots.write_plots", full)
    answer = run("measure", blocky, "--to", tmp_path / "figures")

    assert 2 == answer.code
    expected = (
        f"knownlight: {tmp_path / 'figures'}: No space left on device; free some space, or write elsewhere\n"
    )
    assert expected == answer.stderr
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("--crop", "0,0,400,100"),
            "--crop 0,0,400,100 is outside the picture of 320x240; use x,y,width,height",
        ),
        (("--crop=-2,0,64,64",), "--crop -2,0,64,64 is outside the picture"),
        (("--crop", "0,0,16,100"), "--crop 0,0,16,100 is too small to measure; use 32x32 pixels or more"),
        (("--crop", "0,0,60,60", "--grid", "64"), "is too small to measure; use 65x65 pixels or more"),
        (("--crop", "0,0,64"), "--crop '0,0,64' is not x,y,width,height in whole pixels; write it as"),
        (("--grid", "9"), "--grid 9 is none of auto, 8, 16, 32, 64"),
        (("--every", "0"), "--every 0 is no number of pictures; use 1 or more"),
        (("--to", "absent/figures"), "absent: there is no such folder; make it first, or correct --to"),
    ],
)
def test_bad_input_is_one_line(run: Run, blocky: Path, words: tuple[str, ...], told: str) -> None:
    """With what is wrong and what to do; exit code 2."""
    answer = run("measure", blocky, *words)

    assert (2, "", 1) == (answer.code, answer.stdout, answer.stderr.count("\n"))
    assert told in answer.stderr


def test_a_file_that_is_no_video_is_one_line(run: Run, independent_clip: Callable[[str], Path]) -> None:
    """Sound alone; nothing by that name."""
    for path, told in (
        (independent_clip("sound-only"), "it has sound and no pictures"),
        ("absent", "no such file"),
    ):
        answer = run("measure", path)
        assert (2, 1) == (answer.code, answer.stderr.count("\n"))
        assert told in answer.stderr
