"""`--sound`, and what a marker's clip says of its sound."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest
from pymediainfo import MediaInfo

from knownlight.pack.manifest import read_manifest, write_manifest

Run = Callable[..., Any]
MARKER = ("clip", "lip-sync", "--signal", "720p59.94-sdr", "--seconds", 2)
WINDOW = ("clip", "window", "--signal", "720p24-pq", "--seconds", 1)


def test_a_marker_beeps(run: Run, tmp_path: Path) -> None:
    """Two beeps in two seconds, told in a line and in the manifest, and found again by verify."""
    path = tmp_path / "a.mp4"
    answer = run(*MARKER, "--to", path)
    told = re.search(
        r"^  sound AAC: 2 beeps within (\d\.\d\d) ms of the picture, ([+-]\d\.\d\d) ms in the mean$",
        answer.stdout,
        re.MULTILINE,
    )
    (entry,) = read_manifest(tmp_path / "a.mp4.manifest.json").clips

    assert told is not None
    assert entry.sound is not None
    assert ("beeps", "AAC", 2) == (entry.sound.kind, entry.sound.codec, entry.sound.beeps)
    assert (float(told[1]), float(told[2])) == (entry.sound.offset_ms, entry.sound.mean_offset_ms)
    assert 0 == run("verify", path).code


def test_other_clips_are_silent(run: Run, tmp_path: Path) -> None:
    """A silent stereo track, as before, and nothing measured of it."""
    path = tmp_path / "a.mp4"
    answer = run(*WINDOW, "--to", path)
    (entry,) = read_manifest(tmp_path / "a.mp4.manifest.json").clips

    assert "  silent sound track, AAC\n" in answer.stdout
    assert entry.sound is not None
    assert ("silent", "AAC", 0, None) == (
        entry.sound.kind, entry.sound.codec, entry.sound.beeps, entry.sound.offset_ms,
    )  # fmt: skip
    assert 1 == len(MediaInfo.parse(str(path)).audio_tracks)


@pytest.mark.parametrize(
    ("words", "delivery"),
    [
        (MARKER, "hevc-mp4"),
        (WINDOW, "hevc-mp4"),
        (WINDOW, "hevc-mkv"),
        (WINDOW, "hevc-ts"),
        (WINDOW, "vp9-webm"),
    ],
)
def test_none_leaves_the_track_out(
    words: tuple[object, ...], delivery: str, run: Run, tmp_path: Path
) -> None:
    """MediaInfo finds no sound, the manifest says so, and verify wants none; in any container."""
    path = tmp_path / f"a.{delivery.partition('-')[2]}"
    answer = run(*words, "--sound", "none", "--delivery", delivery, "--to", path)
    (entry,) = read_manifest(tmp_path / f"{path.name}.manifest.json").clips

    assert 0 == answer.code
    assert "  no sound track\n" in answer.stdout
    assert [] == MediaInfo.parse(str(path)).audio_tracks
    assert entry.sound is not None
    assert "none" == entry.sound.kind
    assert 0 == run("verify", path).code


def test_a_still_has_no_sound(run: Run, tmp_path: Path) -> None:
    """Neither a line nor an entry."""
    to = tmp_path / "a.png"
    assert run("still", "window", "--signal", "720p24-pq", "--to", to, "--json").json["sound"] is None
    assert " sound" not in run("still", "window", "--signal", "720p24-pq", "--to", to).stdout


def test_another_word_is_refused(run: Run, tmp_path: Path) -> None:
    """In one line with the words that there are; nothing is written."""
    answer = run(*WINDOW, "--sound", "loud", "--to", tmp_path / "a.mp4")
    assert (2, "knownlight: sound 'loud' is not known; use none or silent\n") == (answer.code, answer.stderr)
    assert [] == list(tmp_path.iterdir())


def test_sound_that_is_not_the_clips_is_found(run: Run, tmp_path: Path) -> None:
    """A clip without sound in the place of one with, and one with in the place of one without."""
    silent, none = tmp_path / "silent.mp4", tmp_path / "none.mp4"
    run(*WINDOW, "--to", silent)
    run(*WINDOW, "--sound", "none", "--to", none)
    data = silent.read_bytes()
    silent.write_bytes(none.read_bytes())
    none.write_bytes(data)

    assert "silent.mp4: sound: the track is missing" in run("verify", silent).stdout
    assert "none.mp4: sound: there is a track (AAC), none is intended" in run("verify", none).stdout


def test_a_manifest_that_says_another_offset_is_found(run: Run, tmp_path: Path) -> None:
    """Verify measures again and holds the manifest's figure against it."""
    path, beside = tmp_path / "a.mp4", tmp_path / "a.mp4.manifest.json"
    run(*MARKER, "--to", path)
    manifest = read_manifest(beside)
    (entry,) = manifest.clips
    assert entry.sound is not None
    sound = msgspec.structs.replace(entry.sound, offset_ms=0.5)
    clips = [msgspec.structs.replace(entry, sound=sound)]
    write_manifest(msgspec.structs.replace(manifest, clips=clips), beside)
    answer = run("verify", path)

    assert 1 == answer.code
    assert 'manifest: sound is {"kind":"beeps","codec":"AAC","beeps":2,"offset_ms":0.5,' in answer.stdout
