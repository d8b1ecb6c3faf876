"""A pack from the command line: proven, resumable, careful with what is not its own."""

import json
import signal as signals
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from knownlight.pack.cache import FOLDER_VARIABLE
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
_BESIDE = ["START-HERE.html", "manifest.json", "playlist.m3u8", "readings.csv"]
_LONGEST_WAIT = 60.0  # seconds until an interrupted run has begun


@pytest.fixture(autouse=True)
def cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache that is empty at first."""
    folder = tmp_path_factory.mktemp("cache")
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    return folder


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
    assert [*_FILES, *_BESIDE] == _files(folder)
    assert _FILES == [clip.file for clip in manifest.clips]
    assert digest(manifest) == manifest.digest
    assert all(clip.proof.passed and clip.exactness.kind == "exact" for clip in manifest.clips)


def test_what_is_proven_is_reused(run: Run, pack: Path, tmp_path: Path) -> None:
    """A second run makes nothing; a damaged file is copied again, a changed clip made anew, no other is."""
    folder = tmp_path / "stick"
    run("render", pack, "--to", folder)
    sealed = (folder / "manifest.json").read_bytes()
    again = run("render", pack, "--to", folder, "--json").json
    assert sealed == (folder / "manifest.json").read_bytes(), "nothing changed, so nothing is written"
    damaged = folder / _FILES[0]
    damaged.write_bytes(damaged.read_bytes()[:-1] + b"?")
    pack.write_text(
        _PACK.replace('pattern = "pan"', 'pattern = "pan"\nparameters = { pixels_per_frame = 4 }')
    )
    third = run("render", pack, "--to", folder, "--json").json

    assert ([], {"window", "field", "pan"}) == (again["made"], set(again["reused"]))
    assert (["pan"], ["window"], ["field"]) == (third["made"], third["copied"], third["reused"])
    assert [] == third["stale"], "the new pan lies where the old one lay"
    assert 0 == run("verify", folder).code


def test_what_this_machine_has_proven_is_copied(run: Run, pack: Path, cache: Path, tmp_path: Path) -> None:
    """Nothing is made for a second stick, whatever its clips are called; what the cache lost is made anew."""
    run("render", pack, "--to", tmp_path / "first", "--only", "[wf]i*")
    pack.write_text(_PACK.replace('id = "window"', 'id = "window-b"').replace("A window.", "Two of them."))
    second = run("render", pack, "--to", tmp_path / "second", "--json", "--only", "[wf]i*").json
    clip = read_manifest(tmp_path / "second" / "manifest.json").clips[0]
    (damaged,) = cache.glob("proven/*/*-field-*.mp4")
    damaged.write_bytes(damaged.read_bytes()[:-1] + b"?")
    third = run("render", pack, "--to", tmp_path / "third", "--json", "--only", "[wf]i*").json

    assert ([], ["window-b", "field"]) == (second["made"], second["copied"])
    assert ("window-b", "010-light/010-window-b-signal-100.mp4", "Two of them.") == (
        clip.id,
        clip.file,
        clip.look,
    )
    assert (["field"], ["window-b"]) == (third["made"], third["copied"])
    for name in ("second", "third"):
        assert 0 == run("verify", tmp_path / name).code


def test_a_choice_keeps_the_rest(run: Run, pack: Path, tmp_path: Path) -> None:
    """Rendering a part leaves the other clips and their entries; the order stays the pack's."""
    folder = tmp_path / "stick"
    assert ["pan"] == run("render", pack, "--only", "pan", "--to", folder, "--json").json["made"]
    assert ["field"] == run("render", pack, "--signal", "*-sdr", "--to", folder, "--json").json["made"]
    entries = json.loads((folder / "manifest.json").read_text())["clips"]

    assert ["field", "pan"] == [entry["id"] for entry in entries]


def test_a_dry_run_writes_nothing(run: Run, pack: Path, tmp_path: Path) -> None:
    """The plan is told, neither folder nor cache is even made; of estimated sizes it says so."""
    folder, cache = tmp_path / "stick", tmp_path / "cache"
    words = ("render", pack, "--to", folder, "--cache", cache)
    answer = run(*words, "--dry-run")
    made = [folder.exists(), cache.exists()]
    run(*words, "--only", "field")
    told = run(*words, "--dry-run", "--json").json
    size = (folder / _FILES[1]).stat().st_size

    assert (0, [False, False]) == (answer.code, made)
    assert (
        "010-light/010-window-signal-100.mp4  720p24-pq  hevc-mp4  24 frames  about 0.0 MB, to make"
        in answer.stdout
    )
    assert "MB to write, " in answer.stdout
    assert "; by estimate less than a minute to make and prove, less than a minute to copy" in answer.stdout
    assert "3 files, 0.1 minutes to play; nothing was written" in answer.stdout
    files = [(each["id"], each["state"], each["bytes_are"]) for each in told["files"]]
    assert ("field", "there", "exact") == files[1]
    assert [("window", "to make", "estimated"), ("pan", "to make", "estimated")] == [files[0], files[2]]
    assert size == told["files"][1]["bytes"]
    assert told["free_bytes"] > told["needed_bytes"] > 0


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


def test_old_files_are_listed_and_removed_when_asked(run: Run, pack: Path, tmp_path: Path) -> None:
    """What the pack has no more: told by a dry run and a run, listed before it is removed by --prune."""
    folder = tmp_path / "stick"
    words = ("render", pack, "--to", folder, "--only", "[fw]i*")
    run(*words)
    pack.write_text(_PACK.replace('id = "field"', 'id = "plain"'))
    words = (*words[:-1], "[wp]*")
    planned = run(*words, "--only", "[wp][il]*", "--dry-run").stdout
    kept = run(*words, "--only", "[wp][il]*")
    pruned = run(*words, "--only", "[wp][il]*", "--prune")

    assert f"{_FILES[1]}  old: the pack has it no more" in planned
    assert "1 old file of the pack on the stick; --prune lists and removes them" in kept.stderr
    assert f"Old files of the pack, to be removed:\n  {_FILES[1]}\n" in pruned.stderr
    assert "1 old file removed" in pruned.stderr
    assert _FILES[1] not in _files(folder)
    assert 0 == run("verify", folder).code


def test_another_pack_is_refused(run: Run, pack: Path, tmp_path: Path) -> None:
    """A folder holds one pack."""
    folder = tmp_path / "stick"
    run("render", pack, "--only", "field", "--to", folder)
    answer = run("render", "first-look", "--to", folder)

    assert 2 == answer.code
    assert "it holds pack small; choose another folder for first-look" in answer.stderr


@pytest.mark.parametrize("how", [signals.SIGINT, signals.SIGTERM, signals.SIGKILL])
def test_an_interrupted_run_resumes(
    how: signals.Signals, run: Run, start: Start, pack: Path, cache: Path
) -> None:
    """Stopped at its second file: what was proven is not made again, the stick holds nothing by halves."""
    folder = pack.parent / "stick"
    process = start("render", pack, "--to", folder, "--jobs", "1")
    deadline = time.monotonic() + _LONGEST_WAIT
    while not list(cache.glob("proven/*/entry.json")) and time.monotonic() < deadline:
        time.sleep(0.01)
    process.send_signal(how)
    _, words = process.communicate(timeout=_LONGEST_WAIT)
    stopped = _files(folder)
    proven = len(list(cache.glob("proven/*/entry.json")))
    resumed = run("render", pack, "--to", folder, "--json").json

    assert [] == stopped, "nothing is copied before all is proven"
    assert proven >= 1
    if how is not signals.SIGKILL:
        assert (130, True) == (process.returncode, "nothing unfinished was left" in words)
    assert (3 - proven, proven) == (len(resumed["made"]), len(resumed["copied"]))
    assert [*_FILES, *_BESIDE] == _files(folder)
    assert [] == list((cache / "work").iterdir()), "what the killed run left is cleaned up"
    assert 0 == run("verify", folder).code
