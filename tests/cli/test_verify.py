"""Verify finds whatever happened to a pack after it was made, and names it."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from knownlight.pack.manifest import Manifest, read_manifest, write_manifest
from knownlight.pack.manifest_entries import ClipEntry
from knownlight.readback.packets import file_sha256

Run = Callable[..., Any]


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A rendered part of first-look, small; tests work on copies."""
    from typer.testing import CliRunner  # noqa: PLC0415 - once a session

    from cli.app import app  # noqa: PLC0415

    folder = tmp_path_factory.mktemp("made") / "stick"
    words = ["render", "first-look", "--size", "720", "--only", "window-10pct-*", "--to", str(folder)]
    assert 0 == CliRunner().invoke(app, words).exit_code
    return folder


@pytest.fixture
def stick(made: Path, tmp_path: Path) -> Path:
    """A copy to spoil."""
    return Path(shutil.copytree(made, tmp_path / "stick"))


def _resealed(stick: Path, change: Callable[[ClipEntry], ClipEntry]) -> None:
    """Change the first entry and seal the manifest anew, as somebody who knows how would."""
    manifest = read_manifest(stick / "manifest.json")
    clips = [change(manifest.clips[0]), *manifest.clips[1:]]
    write_manifest(msgspec.structs.replace(manifest, clips=clips), stick / "manifest.json")


def _first(stick: Path) -> Path:
    return stick / read_manifest(stick / "manifest.json").clips[0].file


def _patched(path: Path, old: bytes, new: bytes) -> None:
    data = path.read_bytes()
    assert data.count(old) >= 1
    path.write_bytes(data.replace(old, new, 1))


def _believed(stick: Path) -> None:
    """Put the changed file's own size and hash into the manifest, so that only its content can tell."""
    path = _first(stick)
    size, sha = path.stat().st_size, file_sha256(path)
    _resealed(stick, lambda entry: msgspec.structs.replace(entry, bytes=size, sha256=sha))


def test_a_pack_as_it_was_made_passes(run: Run, stick: Path) -> None:
    """Every file by name, and a count; a machine is told the frames as well."""
    answer = run("verify", stick)
    told = run("verify", stick, "--json").json

    assert 0 == answer.code
    assert "ok      020-light/020-window-10pct-1000.mp4" in answer.stdout
    assert answer.stdout.endswith("3 passed, 0 failed\n")
    assert told["passed"]
    assert [3600, 1200, 1200] == [file["decoded_frames"] + file["repeated_frames"] for file in told["files"]]


def test_one_file_of_a_pack_verifies(run: Run, stick: Path) -> None:
    """A path inside a pack is looked up in its manifest."""
    answer = run("verify", _first(stick))

    assert (0, "1 passed, 0 failed") == (answer.code, answer.stdout.splitlines()[-1])


def _flip_a_byte(stick: Path) -> None:
    path = _first(stick)
    data = bytearray(path.read_bytes())
    at = data.index(b"mdat") + 2000
    data[at] ^= 1
    path.write_bytes(data)


def _swap_two_files(stick: Path) -> None:
    one, two = (stick / clip.file for clip in read_manifest(stick / "manifest.json").clips[:2])
    kept = one.read_bytes()
    one.write_bytes(two.read_bytes())
    two.write_bytes(kept)


def _swap_and_believe(stick: Path) -> None:
    _swap_two_files(stick)
    _believed(stick)


def _change_the_tag(stick: Path) -> None:
    _patched(_first(stick), b"hvc1", b"hev1")
    _believed(stick)


def _change_the_level(stick: Path) -> None:
    path = _first(stick)
    data = bytearray(path.read_bytes())
    at = data.index(b"hvcC") + 4 + 12  # general_level_idc of the record (ISO/IEC 14496-15)
    data[at] = 255
    path.write_bytes(data)
    _believed(stick)


def _change_the_colour(stick: Path) -> None:
    _patched(_first(stick), b"nclx\x00\x09\x00\x10", b"nclx\x00\x09\x00\x12")
    _believed(stick)


def _change_the_light(stick: Path) -> None:
    _patched(_first(stick), b"clli" + (1005).to_bytes(2, "big"), b"clli" + (400).to_bytes(2, "big"))
    _believed(stick)


def _remove_a_file(stick: Path) -> None:
    _first(stick).unlink()


def _change_the_manifest(stick: Path) -> None:
    path = stick / "manifest.json"
    data = json.loads(path.read_text())
    data["clips"][0]["seconds"] = 61.0
    path.write_text(json.dumps(data))


def _change_a_claim(stick: Path) -> None:
    def change(entry: ClipEntry) -> ClipEntry:
        return msgspec.structs.replace(
            entry, claims=[msgspec.structs.replace(entry.claims[0], code=(724, 512, 512)), *entry.claims[1:]]
        )

    _resealed(stick, change)


def _change_a_parameter(stick: Path) -> None:
    _resealed(
        stick,
        lambda entry: msgspec.structs.replace(entry, parameters={**entry.parameters, "luminance": 1011.0}),
    )


def _change_a_figure(stick: Path) -> None:
    _resealed(
        stick,
        lambda entry: msgspec.structs.replace(
            entry, light=msgspec.structs.replace(entry.light, max_fall=99.0)
        ),
    )


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (_flip_a_byte, "its SHA-256 is not the manifest's"),
        (_swap_two_files, "its SHA-256 is not the manifest's"),
        (_swap_and_believe, "pixels: frame 0: Y plane differs at x="),
        (_change_the_tag, "ISO base media boxes: tag is hev1, it must be hvc1"),
        (_change_the_level, "ISO base media boxes: level is 8.5, it must be 4"),
        (_change_the_colour, "ISO base media boxes: colour.transfer is 18, it must be 16"),
        (_change_the_light, "ISO base media boxes: hdr.light.max_cll is 400, it must be 1005"),
        (_remove_a_file, "the file is missing; render the pack again"),
        (_change_the_manifest, "the manifest was changed after it was written"),
        (_change_a_claim, "manifest: its claims are not those of the pattern and its parameters"),
        (_change_a_parameter, "pixels: frame 0: Y plane differs at x="),
        (_change_a_figure, 'manifest: light is {"max_cll":1004.19'),
    ],
)
def test_a_spoilt_pack_fails(spoil: Callable[[Path], None], words: str, run: Run, stick: Path) -> None:
    """Exit 1, and the file with what is wrong; also where the manifest was made to agree with the file."""
    spoil(stick)
    answer = run("verify", stick)

    assert 1 == answer.code
    assert words in answer.stdout
    assert answer.stdout.splitlines()[-1] != "3 passed, 0 failed"


@pytest.mark.parametrize(
    ("path", "words"),
    [("missing.mp4", "there is no such file or folder"), (".", "no manifest could be read")],
)
def test_what_has_no_manifest_is_refused(path: str, words: str, run: Run, tmp_path: Path) -> None:
    """Exit 2: there is nothing to verify against."""
    answer = run("verify", tmp_path / path)

    assert 2 == answer.code
    assert words in answer.stderr


def test_a_stray_file_is_refused(run: Run, tmp_path: Path) -> None:
    """A file that no manifest speaks of cannot be verified."""
    (tmp_path / "film.mp4").write_bytes(b"film")
    answer = run("verify", tmp_path / "film.mp4")

    assert 2 == answer.code
    assert "no manifest beside it or above it speaks of it" in answer.stderr


def test_a_manifest_of_the_wrong_kind_is_refused(run: Run, stick: Path) -> None:
    """An unknown field is told with its path."""
    path = stick / "manifest.json"
    path.write_text(json.dumps({**json.loads(path.read_text()), "extra": 1}))
    answer = run("verify", stick)

    assert 2 == answer.code
    assert "unknown field `extra`" in answer.stderr


def test_the_manifest_is_as_the_design_has_it(stick: Path) -> None:
    """The fields that other programs may rely on are there."""
    manifest = read_manifest(stick / "manifest.json")
    assert isinstance(manifest, Manifest)
    entry = json.loads((stick / "manifest.json").read_text())["clips"][0]

    assert {"id", "file", "bytes", "sha256", "pattern", "parameters", "signal", "delivery", "seconds"} <= set(
        entry
    )
    assert {
        "frames",
        "level",
        "exactness",
        "light",
        "declared",
        "claims",
        "stress",
        "safety",
        "proof",
    } <= set(entry)
    assert {"max_cll", "max_fall", "apl_percent", "fall"} == set(entry["light"])
    assert {"name", "rect", "code", "luminance", "xy", "measure", "seconds"} == set(entry["claims"][0])
    assert {"decoded_frames", "repeated_frames", "passed", "readers"} == set(entry["proof"])
    assert [0.3127, 0.329] == [round(value, 10) for value in entry["claims"][0]["xy"]]
