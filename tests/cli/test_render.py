"""A pack from the command line: proven, resumable, careful with what is not its own."""

import json
import signal as signals
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from knownlight.pack.manifest import digest, read_manifest

Run = Callable[..., Any]
Start = Callable[..., "subprocess.Popen[str]"]

_PACK = """schema = 1
name = "small"
title = "Small"
summary = "Three quick clips."
signal = "720p24-pq"
seconds = 1
[[chapters]]
name = "light"
title = "Light"
answers = "How bright."
[[chapters.clips]]
id = "window"
pattern = "window"
look = "A window."
[[chapters.clips]]
id = "field"
pattern = "full-field"
signal = "720p25-sdr"
look = "A field."
[[chapters]]
name = "motion"
title = "Motion"
answers = "How smooth."
[[chapters.clips]]
id = "pan"
pattern = "pan"
look = "Bars."
"""
_FILES = [
    "010-light/010-window-signal-100.mp4",
    "010-light/020-field-signal-100.mp4",
    "020-motion/010-pan-signal-50.mp4",
]
_LONGEST_WAIT = 60.0  # seconds until an interrupted run has begun


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    """A pack of three clips."""
    path = tmp_path / "small.toml"
    path.write_text(_PACK, encoding="utf-8")
    return path


def _files(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_a_pack_is_rendered_and_listed(run: Run, pack: Path, tmp_path: Path) -> None:
    """Chapters are folders, files are numbered, the manifest lists them in play order, sealed."""
    folder = tmp_path / "stick"
    answer = run("render", pack, "--to", folder, "--json")
    manifest = read_manifest(folder / "manifest.json")

    assert 0 == answer.code
    assert {"field", "pan", "window"} == set(answer.json["made"])
    assert [*_FILES, "manifest.json"] == _files(folder)
    assert _FILES == [clip.file for clip in manifest.clips]
    assert digest(manifest) == manifest.digest
    assert all(clip.proof.passed and clip.exactness.kind == "exact" for clip in manifest.clips)


def test_what_is_proven_is_reused(run: Run, pack: Path, tmp_path: Path) -> None:
    """A second run makes nothing; a damaged file, and a changed clip, are made anew and nothing else is."""
    folder = tmp_path / "stick"
    run("render", pack, "--to", folder)
    again = run("render", pack, "--to", folder, "--json").json
    damaged = folder / _FILES[0]
    damaged.write_bytes(damaged.read_bytes()[:-1] + b"?")
    pack.write_text(
        _PACK.replace('pattern = "pan"', 'pattern = "pan"\nparameters = { pixels_per_frame = 4 }')
    )
    third = run("render", pack, "--to", folder, "--json").json

    assert ([], {"window", "field", "pan"}) == (again["made"], set(again["reused"]))
    assert ({"window", "pan"}, ["field"]) == (set(third["made"]), third["reused"])
    assert 0 == run("verify", folder).code


def test_a_choice_keeps_the_rest(run: Run, pack: Path, tmp_path: Path) -> None:
    """Rendering a part leaves the other clips and their entries; the order stays the pack's."""
    folder = tmp_path / "stick"
    assert ["pan"] == run("render", pack, "--only", "pan", "--to", folder, "--json").json["made"]
    assert ["field"] == run("render", pack, "--signal", "*-sdr", "--to", folder, "--json").json["made"]
    entries = json.loads((folder / "manifest.json").read_text())["clips"]

    assert ["field", "pan"] == [entry["id"] for entry in entries]


def test_a_dry_run_writes_nothing(run: Run, pack: Path, tmp_path: Path) -> None:
    """The plan is told, the folder is not even made."""
    answer = run("render", pack, "--to", tmp_path / "stick", "--dry-run")

    assert (0, False) == (answer.code, (tmp_path / "stick").exists())
    assert "010-light/010-window-signal-100.mp4  720p24-pq  hevc-mp4  24 frames" in answer.stdout
    assert "3 files, 0.1 minutes to play; nothing was written" in answer.stdout


def test_files_of_others_stay(run: Run, pack: Path, tmp_path: Path) -> None:
    """Other files on a stick are not touched; one that stands in the way stops the run, named."""
    folder = tmp_path / "stick"
    (folder / "010-light").mkdir(parents=True)
    (folder / "holiday.jpg").write_bytes(b"beach")
    in_the_way = folder / _FILES[1]
    in_the_way.write_bytes(b"film")
    answer = run("render", pack, "--to", folder)

    assert 2 == answer.code
    assert f"{in_the_way}: it is there and not in the manifest; move it away" in answer.stderr
    assert (b"film", b"beach") == (in_the_way.read_bytes(), (folder / "holiday.jpg").read_bytes())


def test_another_pack_is_refused(run: Run, pack: Path, tmp_path: Path) -> None:
    """A folder holds one pack."""
    folder = tmp_path / "stick"
    run("render", pack, "--only", "field", "--to", folder)
    answer = run("render", "first-look", "--to", folder)

    assert 2 == answer.code
    assert "it holds pack small; choose another folder for first-look" in answer.stderr


@pytest.mark.parametrize("how", [signals.SIGINT, signals.SIGTERM, signals.SIGKILL])
def test_an_interrupted_run_resumes(
    how: signals.Signals, run: Run, start: Start, pack: Path, tmp_path: Path
) -> None:
    """Stopped at its second file: what was proven is listed and holds, the next run makes only the rest."""
    folder = tmp_path / "stick"
    process = start("render", pack, "--to", folder, "--jobs", "1")
    deadline = time.monotonic() + _LONGEST_WAIT
    while not (folder / "manifest.json").exists() and time.monotonic() < deadline:
        time.sleep(0.01)
    process.send_signal(how)
    _, words = process.communicate(timeout=_LONGEST_WAIT)
    listed = [clip.file for clip in read_manifest(folder / "manifest.json").clips]
    stopped = run("verify", folder)
    resumed = run("render", pack, "--to", folder, "--json").json

    assert 0 == stopped.code
    assert set(listed) <= set(_FILES)
    assert set(listed) >= set(_FILES[:1])
    if how is not signals.SIGKILL:
        assert (130, True) == (process.returncode, "nothing unfinished was left" in words)
    assert len(listed) == len(resumed["reused"])
    assert [*_FILES, "manifest.json"] == _files(folder)
    assert 0 == run("verify", folder).code
