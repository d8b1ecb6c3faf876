"""Folders of figures and plots, of signals of every kind."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.stress.any_file import measure
from knownlight.stress.report import write_report

_INTERLACED = (
    "-f lavfi -i testsrc2=s=320x256:r=25 -frames:v 6 -vf setfield=tff -flags +ildct+ilme -c:v mpeg2video"
)
_ONE_PICTURE = "-f lavfi -i color=black:s=320x256:r=25 -frames:v 1 -pix_fmt yuv420p12le -c:v ffv1"


@pytest.fixture
def made(
    tmp_path: Path, run_ffmpeg: Callable[..., bytes], independent_clip: Callable[[str], Path]
) -> Callable[[str], Path]:
    """A video by a word."""

    def make(name: str) -> Path:
        if name == "hdr":
            return independent_clip("hevc-hlg-full")
        path = tmp_path / f"{name}.mkv"
        run_ffmpeg(*(_INTERLACED if name == "fields" else _ONE_PICTURE).split(), path)
        return path

    return make


@pytest.mark.parametrize(
    ("name", "pictures", "parts", "light"),
    [
        ("hdr", [0, 5, 10, 15], 1, "BT.2100 HLG (as the file says), full range (as the file says)"),
        ("fields", [0, 5], 2, "BT.1886 (taken; the file does not say), narrow range (as the file says)"),
        ("black", [0], 1, "BT.1886 (taken; the file does not say), narrow range (as the file says)"),
    ],
)
def test_every_kind_of_picture_is_told_and_drawn(
    *,
    name: str,
    pictures: list[int],
    parts: int,
    light: str,
    made: Callable[[str], Path],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """Ten bits of full range, fields, and one black picture of twelve bits that has nothing to see."""
    folder = tmp_path / "figures"
    measured = measure(made(name), stop)
    names = write_report(measured, folder, stop)

    assert sorted(path.name for path in folder.iterdir()) == list(names)
    assert 6 == len(names)
    found: dict[str, Any] = json.loads((folder / "figures.json").read_text("utf-8"))
    assert light == found["light"]
    assert parts == len(found["parts"])
    for series in found["over_time"]:
        assert len(pictures) == len(series["ratios"])
    assert measured.blockiest in pictures


def test_a_folder_that_is_there_keeps_what_is_in_it(
    made: Callable[[str], Path], tmp_path: Path, stop: Stop
) -> None:
    """Files of the same names are replaced, others stay."""
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "figures.json").write_text("old")
    write_report(measure(made("black"), stop), tmp_path, stop)

    assert "mine" == (tmp_path / "notes.txt").read_text()
    assert "old" != (tmp_path / "figures.json").read_text()


def test_a_folder_that_is_a_file_is_refused(made: Callable[[str], Path], tmp_path: Path, stop: Stop) -> None:
    """Named, with what to do; what is there is left alone."""
    taken = tmp_path / "taken"
    taken.write_text("mine")
    with pytest.raises(BadInput, match=r"taken: .*; free some space, or write elsewhere"):
        write_report(measure(made("black"), stop), taken, stop)
    assert "mine" == taken.read_text()
