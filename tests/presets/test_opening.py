"""Files that parameters name: where they are looked for, and what is said when they are other ones."""

import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from knownlight.errors import BadInput, UnreadableFile
from knownlight.frame.format import parse_signal_format
from patterns.picture import Picture
from patterns.scene import Scene
from patterns.scene_parts import Photo
from presets.opening import build_in

SIGNAL = parse_signal_format("720p50-sdr")
SCENE = """schema = 1
background = { signal_percent = 5 }
[[parts]]
kind = "box"
name = "lamp"
rect = [10, 10, 20, 20]
code = 100
"""
WITH_CAT = (
    SCENE + '[[parts]]\nkind = "picture"\nname = "cat"\nrect = [50, 50, 20, 20]\nfile = "pets/cat.png"\n'
)


def paint(path: Path, code: int) -> None:
    """A grey PNG, with a time of change that is surely another."""
    path.parent.mkdir(exist_ok=True)
    before = path.stat().st_mtime_ns if path.exists() else 0
    Image.fromarray(np.full((4, 4), code, dtype=np.uint8)).save(path)
    os.utime(path, ns=(before + 10**9, before + 10**9))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A picture, a scene and a scene with a picture in a folder beside it."""
    paint(tmp_path / "grey.png", 188)
    paint(tmp_path / "pets" / "cat.png", 100)
    (tmp_path / "scene.toml").write_text(SCENE, encoding="utf-8")
    (tmp_path / "with-cat.toml").write_text(WITH_CAT, encoding="utf-8")
    return tmp_path


def test_a_picture_is_opened(folder: Path) -> None:
    """A picture of the folder is drawn, and keeps the name that was written.

    By hand: 188 of sRGB is 0.50289 of light (IEC 61966-2-1), of BT.1886 0.75095 of signal, so 16 + 164.46.
    """
    pattern = build_in(folder, name="picture", values={"file": "grey.png"})

    assert isinstance(pattern, Picture)
    assert pattern.file is not None
    assert "grey.png" == pattern.parameters()["file"]
    assert [180] == np.unique(pattern.draw(SIGNAL).frame(0).planes[0]).tolist()


def test_pictures_of_a_scene_lie_beside_it(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """What a scene names is looked for from the scene's own folder, wherever that was found."""
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    paint(elsewhere / "pets" / "cat.png", 200)  # not this one
    written = os.path.relpath(folder / "with-cat.toml", elsewhere)
    for pattern in (
        build_in(folder, name="scene", values={"file": "with-cat.toml"}),
        build_in(elsewhere, folder, name="scene", values={"file": "with-cat.toml"}),
        build_in(elsewhere, name="scene", values={"file": written}),
        build_in(elsewhere, name="scene", values={"file": str(folder / "with-cat.toml")}),
    ):
        assert isinstance(pattern, Scene)
        assert pattern.file is not None
        photo = pattern.file.parts[1]
        assert isinstance(photo, Photo)
        assert "pets/cat.png" == photo.picture.name
        light = photo.picture.fitted(1, 1, photo.fit, lambda samples: 255.0 * samples)
        assert pytest.approx(100.0) == float(light[0, 0, 0])


def test_folders_are_searched_in_their_order(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The first folder that has the file is the one."""
    other = tmp_path_factory.mktemp("other")
    paint(other / "grey.png", 0)
    for folders, code in (((folder, other), 180), ((other, folder), 16), ((folder / "pets", folder), 180)):
        pattern = build_in(*folders, name="picture", values={"file": "grey.png"})
        assert [code] == np.unique(pattern.draw(SIGNAL).frame(0).planes[0]).tolist()


@pytest.mark.parametrize(
    ("family", "file"), [("picture", "none.png"), ("scene", "none.toml"), ("scene", "pets")]
)
def test_a_missing_file_is_named_with_the_places(folder: Path, family: str, file: str) -> None:
    """The family, the file as written, where it was looked for, and the remedy; a folder is no file."""
    with pytest.raises(BadInput) as caught:
        build_in(folder, folder / "pets", name=family, values={"file": file})

    places = f"{folder} or {folder / 'pets'}"
    assert f"{family}: file={file}: there is no such file in {places}; bring it there" == str(caught.value)


def test_a_missing_picture_of_a_scene_is_named(folder: Path) -> None:
    """The scene, the picture as the scene names it, and the folder it must lie in: the scene's own."""
    (folder / "pets" / "cat.png").unlink()
    with pytest.raises(BadInput) as caught:
        build_in(folder / "pets", folder, name="scene", values={"file": "with-cat.toml"})

    words = f"file=pets/cat.png: there is no such file in {folder}; bring it there"
    assert f"scene: with-cat.toml: {words}" == str(caught.value)


def test_faults_of_files_come_through(folder: Path) -> None:
    """A damaged picture, alone or in a scene, and a faulty scene are refused in their readers' words."""
    (folder / "grey.png").write_bytes(b"no picture")
    (folder / "pets" / "cat.png").write_bytes(b"no picture")
    (folder / "bad.toml").write_text(SCENE.replace("name", "nam"), encoding="utf-8")

    with pytest.raises(UnreadableFile, match=r"^grey\.png: it could not be read"):
        build_in(folder, name="picture", values={"file": "grey.png"})
    with pytest.raises(UnreadableFile, match=r"^pets/cat\.png: it could not be read"):
        build_in(folder, name="scene", values={"file": "with-cat.toml"})
    with pytest.raises(BadInput, match=r"^bad\.toml: parts\[0\]\.nam is not a setting; did you mean name\?$"):
        build_in(folder, name="scene", values={"file": "bad.toml"})


def test_other_families_are_built_as_ever(folder: Path) -> None:
    """Families without files do not mind; their own name opens their messages."""
    assert {"file"}.isdisjoint(build_in(folder, name="window", values={}).parameters())
    with pytest.raises(BadInput, match=r"^window: area is not a parameter; did you mean area_percent\?$"):
        build_in(folder, name="window", values={"area": 1})


def test_what_was_opened_is_told_by_the_names_that_open_it_again(folder: Path) -> None:
    """A scene and the pictures it names, from one folder; nothing for a family without files."""
    opened: dict[str, Path] = {}
    build_in(folder, name="scene", values={"file": "with-cat.toml"}, opened=opened)
    assert {"with-cat.toml": folder / "with-cat.toml", "pets/cat.png": folder / "pets/cat.png"} == opened
    nothing: dict[str, Path] = {}
    build_in(folder, name="window", values={}, opened=nothing)
    assert {} == nothing


@pytest.mark.parametrize(
    ("family", "file", "changed"),
    [("picture", "grey.png", "grey.png"), ("scene", "scene.toml", "scene.toml"),
     ("scene", "with-cat.toml", "with-cat.toml"), ("scene", "with-cat.toml", "pets/cat.png")],
)  # fmt: skip
def test_a_file_that_has_changed_is_refused(folder: Path, family: str, file: str, changed: str) -> None:
    """A pattern is built again from its own parameters while its files are the same, and refused when not."""
    parameters = build_in(folder, name=family, values={"file": file}).parameters()
    again = build_in(folder, name=family, values=parameters)
    assert parameters == again.parameters()

    if changed.endswith("png"):
        paint(folder / changed, 77)
    else:
        (folder / changed).write_text((folder / changed).read_text("utf-8") + "# changed\n", encoding="utf-8")
    digest = parameters["file_sha256"]
    with pytest.raises(BadInput) as caught:
        build_in(folder, name=family, values=parameters)
    used = f"or a file that it names, is not what was used (SHA-256 {digest}); bring that back"
    assert f"{family}: file={file}, {used}" == str(caught.value)
    assert digest != build_in(folder, name=family, values={"file": file}).parameters()["file_sha256"]


def test_a_picture_that_does_not_matter_may_change(folder: Path) -> None:
    """Pictures that a scene does not name are no part of its digest."""
    parameters = build_in(folder, name="scene", values={"file": "with-cat.toml"}).parameters()
    paint(folder / "grey.png", 1)
    assert parameters == build_in(folder, name="scene", values=parameters).parameters()
