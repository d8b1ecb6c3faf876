"""knownlight verify --readers: other programs read the clips too, and are told."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from knownlight.pack.manifest import BESIDE, read_manifest, write_manifest
from knownlight.readback.packets import file_sha256
from knownlight.verify.other_readers import READERS

Run = Callable[..., Any]
STANDARD = ["ffmpeg", "ISO base media boxes", "MediaInfo"]


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a clip and a still, each with its manifest; tests work on copies."""
    from typer.testing import CliRunner  # noqa: PLC0415 - once a session

    from cli.app import app  # noqa: PLC0415

    folder = tmp_path_factory.mktemp("readers")
    for command, name in (("clip", "w.mp4"), ("still", "w.png")):
        words = [command, "window", "luminance=100", "--signal", "720p24-pq", "--to", str(folder / name)]
        assert 0 == CliRunner().invoke(app, words).exit_code
    return folder


@pytest.fixture
def clip(made: Path, tmp_path: Path) -> Path:
    """A copy of the clip to spoil."""
    return Path(shutil.copytree(made, tmp_path / "copy")) / "w.mp4"


def needs(*names: str) -> None:
    """Skips where a reader is absent."""
    for reader in READERS:
        if reader.name in names and reader.tool.absence:
            pytest.skip(reader.tool.absence)


def _short(names: list[str]) -> list[str]:
    return [name if name in STANDARD else name.partition(" ")[0] for name in names]


def test_the_standard_readers_are_told_to_machines(run: Run, clip: Path) -> None:
    """Without the option nothing else is asked; words say nothing of readers."""
    told = run("verify", clip, "--json").json
    assert [STANDARD] == [_short(file["readers"]) for file in told["files"]]
    assert "ok      w.mp4\n1 passed, 0 failed\n" == run("verify", clip).stdout


def test_named_readers_are_asked_and_told(run: Run, clip: Path) -> None:
    """In the order of the option, with versions, in words and for machines."""
    needs("mkvmerge", "libde265")
    told = run("verify", clip, "--readers", "libde265,mkvmerge", "--json").json
    words = run("verify", clip, "--readers", "libde265,mkvmerge").stdout.splitlines()

    assert [[*STANDARD, "libde265", "mkvmerge"]] == [_short(file["readers"]) for file in told["files"]]
    assert "ok      w.mp4" == words[0]
    assert f"        read by {', '.join(told['files'][0]['readers'])}" == words[1]


def test_all_readers_that_there_are_and_those_that_are_not(
    run: Run, clip: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One note on standard error names the absent ones and who has them; the rest read the clip."""
    needs("libde265", "mkvmerge")
    absent = "made-up is not installed; Debian has it in made-up"
    for reader in READERS:
        usable = reader.name in {"libde265", "mkvmerge"}
        monkeypatch.setitem(reader.tool.__dict__, "absence", "" if usable else absent)
    answer = run("verify", clip, "--readers", "all", "--json")

    assert 0 == answer.code
    assert [*STANDARD, "mkvmerge", "libde265"] == _short(answer.json["files"][0]["readers"])
    assert 1 == len(answer.stderr.splitlines())
    assert answer.stderr.startswith("knownlight: absent readers: mpv (made-up is not installed; Debian has")
    assert "libmpeg2 (" in answer.stderr


def test_a_still_is_read_by_the_standard_readers_alone(run: Run, clip: Path) -> None:
    """No other reader reads PNG here."""
    needs("mpv")
    told = run("verify", clip.with_name("w.png"), "--readers", "mpv", "--json").json
    assert [["ffmpeg", "PNG chunks"]] == [file["readers"] for file in told["files"]]


def test_what_another_reader_finds_fails_the_clip(run: Run, clip: Path) -> None:
    """A transfer changed in `colr`, believed by the manifest: the other reader's words stand beside ours."""
    needs("mkvmerge")
    data = clip.read_bytes()
    at = data.index(b"colrnclx") + len(b"colrnclx") + 2
    clip.write_bytes(data[:at] + b"\0\x12" + data[at + 2 :])
    manifest = clip.with_name(f"w.mp4{BESIDE}")
    read = read_manifest(manifest)
    believed = msgspec.structs.replace(read.clips[0], sha256=file_sha256(clip))
    write_manifest(msgspec.structs.replace(read, clips=[believed]), manifest)
    answer = run("verify", clip, "--readers", "mkvmerge")

    assert 1 == answer.code
    assert "w.mp4: ISO base media boxes: colour.transfer is 18, it must be 16" in answer.stdout
    assert "w.mp4: mkvmerge: colour.transfer is 18, it must be 16" in answer.stdout


def test_a_reader_that_is_none_is_refused(run: Run, clip: Path) -> None:
    """Exit 2 before anything is read, with all that there are."""
    answer = run("verify", clip, "--readers", "eyes")

    assert 2 == answer.code
    assert "" == answer.stdout
    assert "readers: 'eyes' is none" in answer.stderr
    assert "mkvmerge, mpv, gstreamer, libde265, openh264, dav1d, libaom, libvpx, libmpeg2" in answer.stderr
