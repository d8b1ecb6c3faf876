"""`knownlight deliveries`: what there is, and what the ffmpeg in use cannot make."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import imageio_ffmpeg
import pytest

from knownlight import ffmpeg

Run = Callable[..., Any]


@pytest.fixture
def poor_ffmpeg(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An ffmpeg whose list of encoders lacks libx265, as builds without it have it."""
    real = imageio_ffmpeg.get_ffmpeg_exe()
    chosen = tmp_path / "poor"
    chosen.write_text(f'#!/bin/sh\n"{real}" "$@" | grep -v libx265\n', encoding="utf-8")
    chosen.chmod(0o755)
    monkeypatch.setenv(ffmpeg.ENVIRONMENT_VARIABLE, os.fspath(chosen))
    ffmpeg.binary.cache_clear()
    yield chosen
    ffmpeg.binary.cache_clear()


def test_what_there_is(run: Run) -> None:
    """Each delivery with its codec, bits and exactness; the carried ffmpeg makes all."""
    found = {entry["name"]: entry for entry in run("deliveries", "--json").json["deliveries"]}

    few, more = [8], [8, 10]
    assert {
        "hevc-mp4": more, "hevc-mkv": more, "hevc-ts": more, "avc-mp4": few, "avc-ts": few, "av1-mp4": more,
        "av1-mkv": more, "vp9-webm": more, "mpeg2-ts": few,
    } == {name: entry["bits"] for name, entry in found.items()}  # fmt: skip
    assert {(True, "")} == {(entry["here"], entry["why_not"]) for entry in found.values()}
    words = run("deliveries").stdout
    assert "hevc-mp4  HEVC Main, Main 10 in MP4, 8 and 10 bits  here" in words
    assert "bounded; measured patches have their codes" in words


def test_stills_are_a_block_of_their_own(run: Run) -> None:
    """Each format with the bits of a code that it holds; the packages make all of them."""
    found = {entry["name"]: entry for entry in run("deliveries", "--json").json["stills"]}

    any_depth = [8, 10, 12]
    assert {**dict.fromkeys(("png", "avif", "heic", "jxl", "exr", "tif"), any_depth), "jpg": [8]} == {
        name: entry["bits"] for name, entry in found.items()
    }
    assert {(True, "")} == {(entry["here"], entry["why_not"]) for entry in found.values()}
    words = run("deliveries").stdout
    assert "\nStills, by the ending of the file name:\npng  PNG, 8, 10 and 12 bits  here\n" in words
    assert "bounded, measured; flat patches within one code" in words


@pytest.mark.usefixtures("poor_ffmpeg")
def test_what_is_missing_is_told(run: Run) -> None:
    """A delivery whose encoder is missing is not here, and says why."""
    found = {entry["name"]: entry for entry in run("deliveries", "--json").json["deliveries"]}

    assert (False, "the ffmpeg in use has no libx265") == (
        found["hevc-mp4"]["here"],
        found["hevc-mp4"]["why_not"],
    )
    assert found["avc-mp4"]["here"]
    assert "not here: the ffmpeg in use has no libx265" in run("deliveries").stdout


def test_what_is_missing_is_refused_before_any_work(run: Run, poor_ffmpeg: Path, tmp_path: Path) -> None:
    """A clip and a pack end at once with what works and how to get the rest; nothing is written."""
    words = (
        "hevc-mp4: the ffmpeg in use has no libx265; use --delivery avc-mp4, or set KNOWNLIGHT_FFMPEG to one "
        "that has"
    )
    clip = run("clip", "window", "--signal", "720p50-sdr", "--to", tmp_path / "a.mp4")
    pack = run("render", "first-look", "--to", tmp_path / "stick")
    hdr = words.replace("avc-mp4", "av1-mp4")  # the nearest that holds PQ

    assert (2, 2) == (clip.code, pack.code)
    assert words in clip.stderr
    assert hdr in pack.stderr
    assert [poor_ffmpeg] == list(tmp_path.iterdir())


def test_what_cannot_be_decoded_is_not_made(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An ffmpeg that encodes AV1 and has no decoder for it could prove nothing."""
    real = imageio_ffmpeg.get_ffmpeg_exe()
    chosen = tmp_path / "undecoding"
    chosen.write_text(f'#!/bin/sh\n"{real}" "$@" | grep -v -e libdav1d -e libaom-av1\n', encoding="utf-8")
    chosen.chmod(0o755)
    monkeypatch.setenv(ffmpeg.ENVIRONMENT_VARIABLE, os.fspath(chosen))
    ffmpeg.binary.cache_clear()
    try:
        found = {entry["name"]: entry for entry in run("deliveries", "--json").json["deliveries"]}
    finally:
        ffmpeg.binary.cache_clear()
    words = "the ffmpeg in use cannot decode it (libdav1d or libaom-av1)"
    assert (False, words) == (found["av1-mp4"]["here"], found["av1-mp4"]["why_not"])
    assert found["hevc-mp4"]["here"]
