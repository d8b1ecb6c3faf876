"""The manifest is strict, sealed and written whole."""

import json
from pathlib import Path

import pytest

from knownlight.errors import UnreadableFile
from knownlight.pack.manifest import SCHEMA, Manifest, digest, read_manifest, write_manifest


def _empty() -> Manifest:
    return Manifest(schema=SCHEMA, knownlight="0", pack="p", created="2026-01-01T00:00:00+00:00", clips=[])


def test_a_manifest_comes_back(tmp_path: Path) -> None:
    """What is read is what was written, sealed by a digest that still holds; no part is left behind."""
    path = tmp_path / "manifest.json"
    write_manifest(_empty(), path)
    read = read_manifest(path)

    assert "p" == read.pack
    assert digest(read) == read.digest
    assert [path] == list(tmp_path.iterdir())


def test_a_change_breaks_the_seal(tmp_path: Path) -> None:
    """A changed value no longer fits the digest."""
    path = tmp_path / "manifest.json"
    write_manifest(_empty(), path)
    data = json.loads(path.read_text())
    data["created"] = "2027-01-01T00:00:00+00:00"
    path.write_text(json.dumps(data))
    read = read_manifest(path)

    assert digest(read) != read.digest


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"schema": 6}, r"schema 6 is not 5; use a newer knownlight"),
        ({"schema": 1}, r"schema 1 is not 5; move it away and render the pack again"),
        ({"extra": 1}, r"unknown field `extra`"),
        ({"stale": [{"file": "a/../../b", "sha256": "0"}]}, r"a/\.\./\.\./b is outside its folder; move"),
        (
            {"unfinished": [{"file": "/b", "sha256": "0"}]},
            r"/b is outside its folder; move the manifest away",
        ),
        ({"clips": 3}, r"Expected `array`, got `int` - at `\$\.clips`"),
    ],
)
def test_a_wrong_manifest_is_refused(tmp_path: Path, change: dict[str, object], words: str) -> None:
    """Another schema, an unknown field, a wrong type, a file elsewhere are refused with file and path."""
    path = tmp_path / "manifest.json"
    write_manifest(_empty(), path)
    path.write_text(json.dumps({**json.loads(path.read_text()), **change}))

    with pytest.raises(UnreadableFile, match=words) as caught:
        read_manifest(path)
    assert str(path) in str(caught.value)


def test_a_missing_or_cut_manifest_is_refused(tmp_path: Path) -> None:
    """No file, and half a file, each get a message that names it."""
    path = tmp_path / "manifest.json"
    with pytest.raises(UnreadableFile, match=r"manifest\.json: no manifest could be read"):
        read_manifest(path)
    path.write_text('{"schema": 1, "pa')
    with pytest.raises(UnreadableFile, match=r"manifest\.json: .*render the pack again"):
        read_manifest(path)
