"""Slates and joined clips from the command line: made, told, reused, verified."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

_PACK = """schema = 1
name = "small"
title = "Small"
summary = "Two clips that can be joined, one that cannot."
signal = "720p24-pq"
seconds = 0.5
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
parameters = { luminance = 5 }
look = "A field."
[[chapters.clips]]
id = "stream"
pattern = "full-field"
signal = "480p59.94-sdr"
delivery = "hevc-ts"
look = "A stream."
"""
_JOINED = "010-light/999-joined-720p24-pq-hevc-mp4.mp4"


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pack."""
    path = tmp_path_factory.mktemp("joined") / "small.toml"
    path.write_text(_PACK, encoding="utf-8")
    return path


def test_a_pack_with_slates_is_joined_and_verified(run: Run, pack: Path, tmp_path: Path) -> None:
    """Files, marks and words; a second run makes nothing; what was tampered with fails."""
    folder = tmp_path / "out"
    first = run("render", pack, "--to", folder, "--slates", "--joined")
    planned = run("render", pack, "--to", folder, "--slates", "--joined", "--dry-run")
    again = run("render", pack, "--to", folder, "--slates", "--joined", "--json").json
    joined = json.loads((folder / "manifest.json").read_text())["joined"]

    assert 0 == first.code, first.stderr
    assert f"{_JOINED}: joined, 2 clips, 7 s, 0 MB" in first.stdout
    assert f"{folder / 'START-HERE.html'}: what to do with it; open it in a browser\n" in first.stdout
    assert "all of it is there by its size; a run reads it again\n" in planned.stdout
    assert "not joined, a transport stream has no chapter marks: stream" in first.stderr
    assert {"made": [], "reused": [_JOINED], "failures": []} == {
        key: again["joined"][key] for key in ("made", "reused", "failures")
    }
    assert [{"id": "stream", "reason": "a transport stream has no chapter marks"}] == again["joined"][
        "left_out"
    ]
    assert [_JOINED] == [entry["file"] for entry in joined]
    marks = [(mark["seconds"], mark["clip"]) for mark in joined[0]["marks"]]
    assert [(0.0, "slate-window"), (3.0, "window"), (3.5, "slate-field"), (6.5, "field")] == marks

    path = folder / _JOINED
    alone = run("verify", path, "--json")
    assert (0, [_JOINED]) == (alone.code, [file["file"] for file in alone.json["files"]])
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    tampered = run("verify", path)
    assert 1 == tampered.code
    assert f"{_JOINED}: its SHA-256 is not the manifest's" in tampered.stdout
    assert "0 passed, 1 failed" in tampered.stdout


def test_a_plan_has_slates_and_their_time(run: Run, pack: Path, tmp_path: Path) -> None:
    """A dry run shows them."""
    shown = run("render", pack, "--to", tmp_path / "out", "--slates", "--dry-run").stdout
    assert "010-light/009-slate-window.mp4  720p24-pq  hevc-mp4  72 frames" in shown
    assert "6 files" in shown


def test_a_whole_folder_is_verified_with_its_joined_files(run: Run, pack: Path, tmp_path: Path) -> None:
    """Without slates; a joined file beside clips that are no more there is told."""
    folder = tmp_path / "out"
    run("render", pack, "--to", folder, "--joined", "--only", "[wf]i*")
    whole = run("verify", folder)
    assert (0, True) == (whole.code, f"ok      {_JOINED}" in whole.stdout)
    (folder / _JOINED).unlink()
    missing = run("verify", folder)
    assert (1, True) == (
        missing.code,
        f"{_JOINED}: the file is missing; render with --joined" in missing.stdout,
    )


def test_slates_outlive_a_run_of_a_part(run: Run, pack: Path, tmp_path: Path) -> None:
    """A run of one clip leaves slates alone; a whole one without them makes them old files."""
    folder = tmp_path / "out"
    run("render", pack, "--to", folder, "--slates")
    part = run("render", pack, "--to", folder, "--only", "field", "--prune", "--json").json
    whole = run("render", pack, "--to", folder, "--json").json

    assert ([], []) == (part["stale"], part["pruned"])
    assert ["010-light/009-slate", "010-light/019-slate", "010-light/029-slate"] == sorted(
        file[:19] for file in whole["stale"]
    )
    assert ["START-HERE.html", "readings.csv", "playlist.m3u8"] == whole["sheet"]["files"]
