"""Scenes and pictures of the user's own, from the command line to a proven file and back."""

import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import OpenEXR
import pytest
from PIL import Image

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Planes

Run = Callable[..., Any]
SCENE = """schema = 1
seconds = 0.5
background = { luminance = 5 }

[[parts]]
kind = "box"
name = "lamp"
rect = [5, 10, 20, 20]
luminance = 203

[[parts]]
kind = "picture"
name = "cat"
rect = [50, 50, 25, 25]
file = "cat.png"

[[parts]]
kind = "ellipse"
name = "moon"
rect = [10, 60, 9, 16]
luminance = 400
keys = [{ at = 0, place = [10, 60] }, { at = 0.5, place = [30, 60] }]
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A scene and its picture in the folder where the user is."""
    (tmp_path / "night.toml").write_text(SCENE, encoding="utf-8")
    paint(tmp_path / "cat.png", 255)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def paint(path: Path, code: int) -> None:
    """A grey PNG by Pillow."""
    Image.fromarray(np.full((90, 160, 3), code, dtype=np.uint8)).save(path)


# BT.2408 (second-hand): 203 cd/m² is PQ code 573, also of the picture's white. By hand: 5, 10, 20 and 20 %.
def test_a_scene_becomes_a_proven_clip(
    run: Run, folder: Path, all_pictures: Callable[[Path, SignalFormat], list[Planes]]
) -> None:
    """A clip of a scene with a picture is exact, claims its standing box, and verifies again.

    By a plain ffmpeg command, box and picture have their code in every frame, and the moon is elsewhere.
    """
    words = ("clip", "scene", "file=night.toml", "--signal", "720p60-pq", "--seconds", 1, "--to", "night.mp4")
    entry = run(*words, "--json").json
    assert ("exact", 0) == (entry["exactness"]["class"], entry["exactness"]["largest_error"])
    assert [("lamp", [64, 72, 256, 144], [573, 512, 512])] == [
        (claim["name"], claim["rect"], claim["code"]) for claim in entry["claims"]
    ]
    frames = all_pictures(folder / "night.mp4", parse_signal_format("720p60-pq"))
    assert 60 == len(frames)
    for luma, *_ in frames:
        assert [573] == np.unique(luma[72:216, 64:320]).tolist()
        assert [573] == np.unique(luma[360:540, 640:960]).tolist()
    assert (frames[0][0] != frames[29][0]).any()
    np.testing.assert_array_equal(frames[0][0], frames[30][0])

    assert 0 == run("verify", "night.mp4").code


@pytest.mark.parametrize("changed", ["cat.png", "night.toml"])
def test_a_changed_file_is_found_by_verify(run: Run, folder: Path, changed: str) -> None:
    """After the scene or the picture in it has changed, the clip is not proven; the words name the scene."""
    words = ("clip", "scene", "file=night.toml", "--signal", "720p24-pq", "--seconds", 0.5, "--to", "n.mp4")
    digest = run(*words, "--json").json["parameters"]["file_sha256"]
    assert 0 == run("verify", "n.mp4").code
    if changed == "cat.png":
        paint(folder / "cat.png", 254)
    else:
        (folder / changed).write_text(SCENE + "# another\n", encoding="utf-8")
    answer = run("verify", "n.mp4")

    assert 1 == answer.code
    used = rf"or a file that it names, is not what was used \(SHA-256 {digest}\); bring that back\n"
    assert re.search(rf"^n\.mp4: scene: file=night\.toml, {used}", answer.stdout, re.MULTILINE)
    assert "0 passed, 1 failed\n" in answer.stdout


def test_a_changed_picture_is_named_by_verify(run: Run, folder: Path) -> None:
    """A clip of a picture alone: the words name the picture and the digest it had, and ask for it."""
    made = ("clip", "picture", "file=cat.png", "--signal", "720p24-sdr", "--seconds", 0.5, "--to", "p.mp4")
    assert 0 == run(*made).code
    digest = hashlib.sha256((folder / "cat.png").read_bytes()).hexdigest()
    paint(folder / "cat.png", 254)
    answer = run("verify", "p.mp4")

    assert 1 == answer.code
    words = f"or a file that it names, is not what was used (SHA-256 {digest}); bring that back"
    assert f"p.mp4: picture: file=cat.png, {words}\n" in answer.stdout


@pytest.mark.parametrize(
    ("removed", "words"),
    [("night.toml", "n.mp4: scene: file=night.toml: there is no such file in "),
     ("cat.png", "n.mp4: scene: night.toml: file=cat.png: there is no such file in ")],
)  # fmt: skip
def test_a_missing_file_is_found_by_verify(run: Run, folder: Path, removed: str, words: str) -> None:
    """Without the scene, or the picture in it, there is nothing to compare with; both are named."""
    made = ("clip", "scene", "file=night.toml", "--signal", "720p24-pq", "--seconds", 0.5, "--to", "n.mp4")
    assert 0 == run(*made).code
    (folder / removed).unlink()
    answer = run("verify", "n.mp4")

    assert 1 == answer.code
    assert words in answer.stdout


def test_a_clip_verifies_where_its_files_lie_beside_it(
    run: Run, folder: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files are looked for beside the manifest first, so that a folder can be taken elsewhere whole."""
    made = ("clip", "picture", "file=cat.png", "--signal", "720p24-sdr", "--seconds", 0.5, "--to", "p.mp4")
    assert 0 == run(*made).code
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    paint(Path("cat.png"), 3)  # another one, where the user is

    assert 0 == run("verify", folder / "p.mp4").code


# By colour-science's inverse of ST 2084: 101.5 cd/m² is 521.29 of 1023, and 203 is 594.04. A sample of 16
# bits holds 10 in its upper ones (PNG third edition, sBIT).
def test_a_still_of_linear_light(run: Run, folder: Path) -> None:
    """A half-float OpenEXR of linear light becomes a still that is exact: PQ codes of its light."""
    samples = np.full((720, 1280), 0.5, dtype=np.float16)
    samples[:, 640:] = 1.0
    header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    with OpenEXR.File(header, dict.fromkeys("RGB", samples)) as file:
        file.write(str(folder / "x.exr"))
    words = ("still", "picture", "file=x.exr", "encoding=linear", "--signal", "720p60-pq", "--to", "x.png")
    entry = run(*words, "--json").json
    codes = imagecodecs.png_decode((folder / "x.png").read_bytes()) >> 6

    assert ("exact", 0) == (entry["exactness"]["class"], entry["exactness"]["largest_error"])
    assert {"file": "x.exr", "encoding": "linear"}.items() <= entry["parameters"].items()
    assert [[521], [594]] == [np.unique(half).tolist() for half in (codes[:, :640], codes[:, 640:])]
    assert 0 == run("verify", "x.png").code


PACK = """schema = 1
name = "mine"
title = "Mine"
summary = "A scene of my own."
signal = "720p50-sdr"
seconds = 1

[[chapters]]
name = "own"
title = "Own"
answers = "Whether it looks right."

[[chapters.clips]]
id = "night"
pattern = "scene"
parameters = { file = "night.toml" }
look = "The moon."
"""


def test_a_pack_keeps_what_it_was_made_of(
    run: Run, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A stick is verified from the stick alone: the scene and its picture lie in its folder `sources`."""
    (folder / "mine.toml").write_text(PACK.replace("720p50-sdr", "720p50-pq"), encoding="utf-8")
    stick = tmp_path_factory.mktemp("stick")
    run("render", "mine.toml", "--to", stick)
    kept = {path.name: path.read_bytes() for path in (stick / "sources").iterdir()}
    assert {name: (folder / name).read_bytes() for name in ("night.toml", "cat.png")} == kept

    (folder / "night.toml").unlink()
    (folder / "cat.png").unlink()
    assert "1 passed, 0 failed" in run("verify", stick).stdout
    paint(stick / "sources" / "cat.png", 7)
    assert "0 passed, 1 failed" in run("verify", stick).stdout


def test_what_a_pack_was_made_of_is_kept_as_its_clips_are(
    run: Run, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A changed picture replaces the old one; one that no clip needs is old; another's is in the way."""
    pack = PACK.replace("720p50-sdr", "720p50-pq")
    (folder / "mine.toml").write_text(pack, encoding="utf-8")
    stick = tmp_path_factory.mktemp("stick")
    run("render", "mine.toml", "--to", stick)
    paint(folder / "cat.png", 7)
    changed = run("render", "mine.toml", "--to", stick, "--json").json
    kept = (stick / "sources" / "cat.png").read_bytes()
    verified = run("verify", stick).stdout
    (folder / "mine.toml").write_text(pack.replace('"scene"', '"window"').replace('file = "night.toml"', ""))
    without = run("render", "mine.toml", "--to", stick, "--json").json
    run("render", "mine.toml", "--to", stick, "--prune")
    left = (stick / "sources").exists()
    (stick / "sources").mkdir()
    (stick / "sources" / "cat.png").write_bytes(b"holiday")
    (folder / "mine.toml").write_text(pack, encoding="utf-8")
    refused = run("render", "mine.toml", "--to", stick)

    assert (["night"], []) == (changed["made"], changed["stale"])
    assert ((folder / "cat.png").read_bytes(), True) == (kept, "1 passed, 0 failed" in verified)
    assert {"sources/cat.png", "sources/night.toml"} <= set(without["stale"])
    assert not left, "a folder that is empty goes with its files"
    assert 2 == refused.code
    assert "sources/cat.png: it is there and not in the manifest" in refused.stderr
    assert b"holiday" == (stick / "sources" / "cat.png").read_bytes()


def test_a_file_whose_name_leads_elsewhere_is_not_copied(
    run: Run, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """An absolute name or one with .. stays where it is; the rest of the pack is made."""
    other = tmp_path_factory.mktemp("elsewhere") / "cat.png"
    paint(other, 200)
    (folder / "mine.toml").write_text(
        PACK.replace('"scene"', '"picture"').replace("night.toml", str(other)), encoding="utf-8"
    )
    stick = tmp_path_factory.mktemp("stick")
    run("render", "mine.toml", "--to", stick)
    assert not (stick / "sources").exists()
    assert "1 passed, 0 failed" in run("verify", stick).stdout
