"""Scene files are read strictly: what each key becomes, and every fault by file, key and remedy."""

import hashlib
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose
from knownlight.frame.picture import Fit
from knownlight.pictures.file import PictureFile
from patterns.parameters import Level, LevelUnit
from patterns.scene import SceneContent
from patterns.scene_parts import Box, Ellipse, Grid, Key, Paint, Photo, Ramp, Text
from presets.scene_file import read_scene

STEADY = settings(deadline=None, derandomize=True)
HEAD = "schema = 1\nbackground = { signal_percent = 5 }\n"
BOX = '[[parts]]\nkind = "box"\nname = "lamp"\nrect = [10, 20, 30, 40]\n'
LIT = BOX + "luminance = 100\n"
CAT = '[[parts]]\nkind = "picture"\nname = "cat"\nrect = [0, 0, 50, 50]\nfile = "cat.png"\n'
LUMINANCE_100 = Level(LevelUnit.LUMINANCE, 100)


def picture(name: str) -> PictureFile:
    """A picture whose digest is made of its name."""
    return PictureFile(name, f"digest of {name}", np.zeros((2, 2, 3)))


def read(folder: Path, text: str, name: str = "mine.toml") -> SceneContent:
    """A scene as written."""
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return read_scene(path, name, picture)


def test_a_scene_is_read(tmp_path: Path) -> None:
    """Name as the user wrote it, the digest of the bytes, background, seconds and one part."""
    content = read(tmp_path, "seconds = 1.5\n" + HEAD + LIT, name="../mine.toml")

    assert (
        SceneContent(
            name="../mine.toml",
            sha256=hashlib.sha256((tmp_path / "mine.toml").read_bytes()).hexdigest(),
            background=Paint(level=Level(LevelUnit.SIGNAL_PERCENT, 5)),
            parts=(Box(name="lamp", rect=(10, 20, 30, 40), paint=Paint(level=LUMINANCE_100)),),
            seconds=Fraction(3, 2),
        )
        == content
    )
    assert Fraction(4) == read(tmp_path, HEAD + "parts = []\n").seconds


COMMON: dict[str, Any] = {"name": "lamp", "rect": (10, 20, 30, 40), "paint": Paint(level=LUMINANCE_100)}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (LIT, Box(**COMMON)),
        (LIT + "measure = false\n", Box(**COMMON, purpose=Purpose.LOOK)),
        (LIT.replace('"box"', '"field"'), Box(**COMMON)),
        (LIT.replace('"box"', '"ellipse"'), Ellipse(**COMMON)),
        (LIT.replace('"box"', '"grid"') + "pitch = 16\n", Grid(**COMMON, pitch=16, thickness=2)),
        (
            LIT.replace('"box"', '"grid"') + "pitch = 16\nthickness = 4\n",
            Grid(**COMMON, pitch=16, thickness=4),
        ),
        (LIT.replace('"box"', '"text"') + 'text = "A 1"\n', Text(**COMMON, text="A 1")),
        (
            LIT.replace('"box"', '"ramp"') + "last = { code = 940 }\n",
            Ramp(**COMMON, last=Paint(level=Level(LevelUnit.CODE, 940))),
        ),
        (
            LIT.replace('"box"', '"ramp"') + 'last = { luminance = 100 }\ndirection = "down"\n',
            Ramp(**COMMON, last=Paint(level=LUMINANCE_100), downwards=True),
        ),
        (
            LIT + "keys = [{ at = 0.1, place = [1, 2] }, { at = 2, signal_percent = 50 }]\n",
            Box(
                **COMMON,
                keys=(
                    Key(at=Fraction(1, 10), place=(1.0, 2.0)),
                    Key(at=Fraction(2), paint=Paint(level=Level(LevelUnit.SIGNAL_PERCENT, 50))),
                ),
            ),
        ),
    ],
)
def test_parts(tmp_path: Path, text: str, expected: Box) -> None:
    """As docs/scenes.md has it: every kind of part, with its own keys and what is left out as documented."""
    assert (expected,) == read(tmp_path, HEAD + text).parts


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ("code = 500", Paint(level=Level(LevelUnit.CODE, 500))),
        ("luminance = 100\nxy = [0.3, 0.4]", Paint(level=LUMINANCE_100, xy=(0.3, 0.4))),
        ('luminance = 100\nhue = "red"', Paint(level=LUMINANCE_100, hue="red")),
        (
            'luminance = 100\nhue = "cyan"\ngamut = "p3-d65"\nsaturation_percent = 80',
            Paint(level=LUMINANCE_100, hue="cyan", gamut="p3-d65", saturation_percent=80.0),
        ),
    ],
)
def test_paints(tmp_path: Path, keys: str, expected: Paint) -> None:
    """A level in one of its units, with a colour where it is no grey; the same in keyframe and background."""
    assert expected == read(tmp_path, f"{HEAD}{BOX}{keys}\n").parts[0].paint
    inline = keys.replace("\n", ", ")
    assert expected == read(tmp_path, f"{HEAD}{LIT}keys = [{{ at = 1, {inline} }}]\n").parts[0].keys[0].paint
    assert expected == read(tmp_path, f"schema = 1\nbackground = {{ {inline} }}\nparts = []\n").background


def test_a_picture_is_opened_by_its_name(tmp_path: Path) -> None:
    """A picture part holds what was opened; its digest is part of the scene's."""
    plain = read(tmp_path, HEAD + CAT)
    photo = plain.parts[0]
    assert isinstance(photo, Photo)
    assert (picture("cat.png"), "srgb", "bt709", 0.0, Fit.FILL) == (
        photo.picture, photo.encoding, photo.primaries, photo.white_luminance, photo.fit
    )  # fmt: skip
    data = (tmp_path / "mine.toml").read_bytes()
    assert hashlib.sha256(data + b"digest of cat.png").hexdigest() == plain.sha256

    keys = 'encoding = "linear"\nprimaries = "bt2020"\nwhite_luminance = 120\nfit = "inside"\n'
    told = read(tmp_path, HEAD + CAT + keys).parts[0]
    assert isinstance(told, Photo)
    assert ("linear", "bt2020", 120.0, Fit.INSIDE) == (
        told.encoding, told.primaries, told.white_luminance, told.fit
    )  # fmt: skip


@STEADY
@given(st.integers(0, 100_000), st.integers(1, 100_000))
def test_times_are_exact_thousandths(tmp_path_factory: pytest.TempPathFactory, at: int, seconds: int) -> None:
    """A written decimal of up to three places is that fraction, not the nearest float."""
    text = f"seconds = {seconds / 1000:.3f}\n{HEAD}{LIT}keys = [{{ at = {at / 1000:.3f}, place = [0, 0] }}]\n"
    content = read(tmp_path_factory.getbasetemp(), text)
    assert (Fraction(seconds, 1000), Fraction(at, 1000)) == (content.seconds, content.parts[0].keys[0].at)


AT = r"parts\[0\]"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (HEAD + LIT.replace("luminance", "lumnance"), rf"{AT}\.lumnance is not .* mean luminance\?"),
        (HEAD + LIT + "zzz = 1\n", rf"{AT}\.zzz is not a setting; remove it"),
        ("secs = 3\n" + HEAD + LIT, r"secs is not a setting; did you mean seconds\?"),
        (HEAD + LIT + "keys = [{ at = 0, plce = [1, 1] }]\n", rf"{AT}\.keys\[0\]\.plce .* mean place\?"),
        (HEAD.replace("signal_p", "signl_p") + LIT, r"background\.signl_percent .* mean signal_percent\?"),
        (HEAD + LIT.replace('"box"', '"bocks"'), rf"{AT}\.kind: 'bocks' is not known; use one of field, box"),
        (HEAD + LIT.replace('kind = "box"\n', ""), rf"{AT}: Object missing required field `kind`"),
        (HEAD + LIT.replace('name = "lamp"\n', ""), rf"{AT}: Object missing required field `name`"),
        (HEAD + BOX, rf"{AT}: give one of luminance, signal_percent and code, not 0 of them"),
        (HEAD + LIT + "code = 5\n", rf"{AT}: give one of luminance, signal_percent and code, not 2 of them"),
        ("schema = 1\nbackground = {}\n" + LIT, r"background: give one of luminance, .*, not 0 of"),
        (
            HEAD + LIT.replace('"box"', '"ramp"') + "last = { code = 1, luminance = 2 }\n",
            rf"{AT}\.last: give one of luminance, signal_percent and code, not 2",
        ),
        (
            HEAD + LIT + "keys = [{ at = 0, code = 1 }, { at = 1, code = 1, luminance = 2 }]\n",
            rf"{AT}\.keys\[1\]: give one of luminance, signal_percent and code, not 2",
        ),
        (HEAD + LIT + 'hue = "red"\nxy = [0.3, 0.3]\n', rf"{AT}: hue and xy both give a colour; give one"),
        (HEAD + LIT + 'hue = "pink"\n', rf"{AT}\.hue: Invalid enum value 'pink'"),
        (HEAD + LIT + 'gamut = "srgb"\n', rf"{AT}\.gamut: Invalid enum value 'srgb'"),
        (HEAD + LIT + "saturation_percent = 101\n", rf"{AT}\.saturation_percent: Expected `float` <= 100"),
        (HEAD + LIT + "keys = [{ at = 1, code = 1 }, { at = 0.5, code = 2 }]\n", rf"{AT}\.keys\[1\]\.at: 0"),
        (HEAD + LIT + "keys = [{ at = 1, code = 1 }, { at = 1, code = 2 }]\n", rf"{AT}\.keys\[1\]\.at: 1"),
        (HEAD + LIT + "keys = [{ at = 1 }]\n", rf"{AT}\.keys\[0\]: it changes nothing; give it a place"),
        (HEAD + LIT + "keys = [{ at = -1, code = 1 }]\n", rf"{AT}\.keys\[0\]\.at: Expected `float` >= 0"),
        (HEAD + LIT + LIT, r"parts\[1\]\.name: 'lamp' is there twice; give each part a name of its own"),
        (HEAD.replace("1", "2", 1) + LIT, r"schema 2 is not 1; use a knownlight that knows it"),
        (HEAD + LIT.replace("[10, 20, 30, 40]", "[10, 20, 30]"), rf"{AT}\.rect: Expected `array` of"),
        (HEAD + LIT.replace("30, 40]", "0, 40]"), rf"{AT}\.rect\[2\]: Expected `float` > 0"),
        (HEAD + LIT.replace("= 100", '= "bright"'), rf"{AT}\.luminance: Expected `float"),
        (HEAD + LIT.replace("luminance = 100", "code = 10.5"), rf"{AT}\.code: Expected `int"),
        ("seconds = 0\n" + HEAD + LIT, r"seconds: Expected `float` > 0"),
        (HEAD + LIT.replace('"box"', '"grid"') + "pitch = 3\n", rf"{AT}\.pitch: Expected `int`"),
        (HEAD + LIT.replace('"box"', '"text"') + 'text = ""\n', rf"{AT}\.text: Expected `str` of length"),
        (HEAD + LIT.replace('"box"', '"ramp"'), rf"{AT}: Object missing required field `last`"),
        (HEAD + CAT + 'encoding = "hlg"\n', rf"{AT}\.encoding: Invalid enum value 'hlg'"),
        (HEAD, "Object missing required field `parts`"),
        ("schema = \n", r"Invalid value"),
        ("", "Object missing required field"),
    ],
)  # fmt: skip
def test_a_faulty_scene_is_refused_with_its_key(tmp_path: Path, text: str, words: str) -> None:
    """File, the path of the key, and what to do."""
    with pytest.raises(BadInput, match=rf"^scenes/mine\.toml: {words}"):
        read(tmp_path, text, name="scenes/mine.toml")


def test_what_cannot_be_read_is_refused(tmp_path: Path) -> None:
    """A file that is not there, or is a folder, is named as the user wrote it."""
    with pytest.raises(BadInput, match=r"^a\.toml: No such file or directory; name a \.toml file that can"):
        read_scene(tmp_path / "none.toml", "a.toml", picture)
    with pytest.raises(BadInput, match=r"^a\.toml: Is a directory; name a \.toml file that can be read$"):
        read_scene(tmp_path, "a.toml", picture)


@pytest.mark.parametrize(
    "other", [HEAD + LIT + "\n", HEAD + LIT.replace("100", "101"), HEAD + LIT + "# a note\n"]
)
def test_any_change_is_another_file(tmp_path: Path, other: str) -> None:
    """The digest is of the bytes: a level, and a mere comment, change it."""
    assert read(tmp_path, HEAD + LIT).sha256 != read(tmp_path, other).sha256
    assert read(tmp_path, HEAD + LIT).sha256 == read(tmp_path, HEAD + LIT).sha256
