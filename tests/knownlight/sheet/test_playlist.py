"""The list for players, by mpv; its lines are RFC 8216 clause 4.3.2.1 (from memory), the rest is custom."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from knownlight.pack.manifest import read_manifest
from knownlight.sheet.playlist import playlist


def test_it_lists_the_clips_in_play_order(sheet_pack: Path) -> None:
    """Relative paths with slashes, that are there; seconds and id before each; no stills."""
    manifest = read_manifest(sheet_pack / "manifest.json")
    lines = playlist(manifest).decode("utf-8").split("\n")

    assert [
        "#EXTM3U",
        "# knownlight",
        "#EXTINF:60.000,window-pq",
        "010-light/010-window-pq-1000.mp4",
    ] == lines[:4]
    assert "" == lines[-1]
    paths = [line for line in lines if line and not line.startswith("#")]
    assert [clip.file for clip in manifest.clips if clip.id != "steps-still"] == paths
    assert all((sheet_pack / path).is_file() for path in paths)
    seconds = [
        float(line.partition(":")[2].partition(",")[0]) for line in lines if line.startswith("#EXTINF:")
    ]
    assert [clip.seconds for clip in manifest.clips if clip.seconds] == seconds


def test_a_player_plays_all_of_it(sheet_pack: Path, tmp_path: Path) -> None:
    """Every clip, in that order, from the list that lies beside their folders."""
    mpv = shutil.which("mpv")
    if mpv is None:
        pytest.skip("mpv is not installed")
    stick = Path(shutil.copytree(sheet_pack, tmp_path / "stick"))
    manifest = read_manifest(stick / "manifest.json")
    (stick / "playlist.m3u8").write_bytes(playlist(manifest))
    words = [mpv, "--no-config", "--vo=null", "--ao=null", "--frames=1", str(stick / "playlist.m3u8")]
    told = subprocess.run(words, capture_output=True, check=True, text=True, timeout=60).stdout
    played = re.findall(r"Playing: (.+)", told)
    assert [str(stick / clip.file) for clip in manifest.clips if clip.seconds] == played
