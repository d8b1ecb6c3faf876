"""What a scene file may not say of paint, letters, places and times: refused as it is read."""

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.pictures.file import PictureFile
from patterns.scene import SceneContent
from patterns.scene_parts import Photo, Text
from presets.scene_file import read_scene

HEAD = "schema = 1\nbackground = { signal_percent = 5 }\n"
BOX = '[[parts]]\nkind = "box"\nname = "lamp"\nrect = [10, 20, 30, 40]\n'
LIT = BOX + "luminance = 100\n"
CAT = '[[parts]]\nkind = "picture"\nname = "cat"\nrect = [0, 0, 50, 50]\nfile = "cat.png"\n'


def read(folder: Path, text: str) -> SceneContent:
    """A scene as written, whose pictures are all there."""
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return read_scene(path, "my/a.toml", lambda name: PictureFile(name, "", np.zeros((2, 2, 3))))


def refusal(folder: Path, text: str) -> str:
    """What is said of a scene."""
    with pytest.raises(BadInput) as caught:
        read(folder, text)
    return str(caught.value)


NO_LEVEL = "give one of luminance, signal_percent and code, not 0 of them"
NO_LUMINANCE = "a colour given by xy needs luminance, in cd/m²; give that"
NO_HUE = "gamut and saturation_percent are those of a hue; give hue too"
PLACES = {
    "parts[0]": HEAD + BOX + "@\n",
    "background": "schema = 1\nparts = []\n[background]\n@\n",
    "parts[0].keys[1]": HEAD + LIT + "[[parts.keys]]\nat = 0\ncode = 1\n[[parts.keys]]\nat = 1\n@\n",
    "parts[0].last": HEAD + LIT.replace('"box"', '"ramp"') + "[parts.last]\n@\n",
}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ('hue = "red"', NO_LEVEL),
        ("xy = [0.3, 0.3]", NO_LEVEL),
        ('gamut = "bt2020"', NO_LEVEL),
        ("saturation_percent = 50", NO_LEVEL),
        ("saturation_percent = 0", NO_LEVEL),
        ("code = 100\nxy = [0.3, 0.3]", NO_LUMINANCE),
        ("signal_percent = 50\nxy = [0.3, 0.3]", NO_LUMINANCE),
        ('code = 100\ngamut = "p3-d65"', NO_HUE),
        ('code = 100\ngamut = "bt709"', NO_HUE),  # though it is the usual one
        ("code = 100\nsaturation_percent = 100", NO_HUE),
        ("code = 100\nsaturation_percent = 0", NO_HUE),
        ("luminance = 100\nxy = [0.3, 0.3]\nsaturation_percent = 50", NO_HUE),
    ],
)
def test_a_colour_that_is_not_whole_is_refused(tmp_path: Path, place: str, keys: str, words: str) -> None:
    """A colour without a level, or its parts without what they belong to: wherever a colour is given."""
    assert f"my/a.toml: {place}: {words}" == refusal(tmp_path, PLACES[place].replace("@", keys))


LEVELS_AND_COLOURS = [
    "luminance = 5", "signal_percent = 0", "code = 0", 'hue = "red"', "xy = [0.3, 0.3]", 'gamut = "bt709"',
    "saturation_percent = 0",
]  # fmt: skip


@pytest.mark.parametrize("keys", LEVELS_AND_COLOURS)
def test_a_picture_has_no_paint(tmp_path: Path, keys: str) -> None:
    """A level or a colour of a picture part, or of a keyframe of it with or without a place, is refused."""
    words = "my/a.toml: parts[1]: a picture has no level or colour of its own; set white_luminance"
    start = HEAD + LIT + CAT
    assert words == refusal(tmp_path, f"{start}{keys}\n")
    assert words == refusal(tmp_path, start + f"keys = [{{ at = 0, {keys} }}]\n")
    moved = "{ at = 0, place = [1, 1] }"
    assert words == refusal(tmp_path, start + f"keys = [{moved}, {{ at = 1, place = [2, 2], {keys} }}]\n")


def test_a_picture_may_move(tmp_path: Path) -> None:
    """Keyframes with a place alone are a picture's too."""
    part = read(tmp_path, HEAD + CAT + "keys = [{ at = 0, place = [1, 2] }]\n").parts[0]
    assert isinstance(part, Photo)
    assert ((1.0, 2.0), None) == (part.keys[0].place, part.keys[0].paint)


@pytest.mark.parametrize(
    ("text", "missing"),
    [("a", "'a'"), ("LIGHt", "'t'"), ("A_B", "'_'"), ("Ä", "'Ä'"), ("A\\nB", r"'\n'"), ("10 %!?", "'!'")],
)
def test_a_letter_that_there_is_not_is_refused(tmp_path: Path, text: str, missing: str) -> None:
    """The first letter that is not in the alphabet, and what there is."""
    said = refusal(tmp_path, f'{HEAD}{LIT}{LIT.replace("box", "text").replace("lamp", "b")}text = "{text}"\n')
    words = f"there is no letter {missing}; use capitals, figures and . , - + % / :"
    assert f"my/a.toml: parts[1].text: {words}" == said


def test_every_letter_that_is_told_of_is_taken(tmp_path: Path) -> None:
    """Capitals, figures, the signs that the refusal names, and the space."""
    text = "ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789 .,-+%/:"
    part = read(tmp_path, HEAD + LIT.replace('"box"', '"text"') + f'text = "{text}"\n').parts[0]
    assert isinstance(part, Text)
    assert text == part.text


RECT, KEYS = "rect = [10, 20, 30, 40]", "keys = [{ at = 1, place = [1, 1] }]"
AT = "my/a.toml: parts[0]"
WHOLE = f"seconds = 4.0\n{HEAD}{LIT}xy = [0.3, 0.3]\n{KEYS}\n"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[10,", "[-200.1,", f"{AT}.rect[0]: Expected `float` >= -200"),
        ("[10,", "[201,", f"{AT}.rect[0]: Expected `float` <= 200"),
        (" 20,", " -200.1,", f"{AT}.rect[1]: Expected `float` >= -200"),
        (" 20,", " 200.1,", f"{AT}.rect[1]: Expected `float` <= 200"),
        (" 30,", " 0.0,", f"{AT}.rect[2]: Expected `float` > 0"),
        (" 30,", " 200.1,", f"{AT}.rect[2]: Expected `float` <= 200"),
        (" 40]", " -1]", f"{AT}.rect[3]: Expected `float` > 0"),
        (" 40]", " 201]", f"{AT}.rect[3]: Expected `float` <= 200"),
        ("[1,", "[-200.1,", f"{AT}.keys[0].place[0]: Expected `float` >= -200"),
        (" 1] }", " 200.1] }", f"{AT}.keys[0].place[1]: Expected `float` <= 200"),
        ("at = 1", "at = 3600.1", f"{AT}.keys[0].at: Expected `float` <= 3600"),
        ("seconds = 4.0", "seconds = 3601", "my/a.toml: seconds: Expected `float` <= 3600"),
        ("seconds = 4.0", "seconds = -1.0", "my/a.toml: seconds: Expected `float` > 0"),
        ("xy = [0.3,", "xy = [0,", f"{AT}.xy[0]: Expected `float` > 0"),
        ("xy = [0.3,", "xy = [1,", f"{AT}.xy[0]: Expected `float` < 1"),
        (" 0.3]", " 0.0]", f"{AT}.xy[1]: Expected `float` > 0"),
        (" 0.3]", " 1.0]", f"{AT}.xy[1]: Expected `float` < 1"),
    ],
)
def test_what_lies_too_far_out_is_refused(tmp_path: Path, old: str, new: str, words: str) -> None:
    """Places, sizes, times and chromaticities have ends, told with the key."""
    assert 1 == WHOLE.count(old)
    assert refusal(tmp_path, WHOLE.replace(old, new)).startswith(words)


def test_the_ends_themselves_are_taken(tmp_path: Path) -> None:
    """Places of -200 and 200, sizes of 200, times of 3600 seconds, and chromaticities near 0 and 1."""
    rect = "rect = [-200, 200, 200, 0.001]"
    text = WHOLE.replace(RECT, rect).replace("[0.3, 0.3]", "[0.001, 0.999]").replace("4.0", "3600")
    content = read(tmp_path, text.replace(KEYS, "keys = [{ at = 3600, place = [200, -200] }]"))
    part = content.parts[0]
    assert (Fraction(3600), Fraction(3600)) == (content.seconds, part.keys[0].at)
    assert ((-200.0, 200.0, 200.0, 0.001), (200.0, -200.0)) == (part.rect, part.keys[0].place)
    assert (0.001, 0.999) == part.paint.xy


@pytest.mark.parametrize("value", ["nan", "inf", "-inf"])
@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("seconds = 4.0", "seconds = @", "seconds"),
        ("percent = 5", "percent = @", "background.signal_percent"),
        ("luminance = 100", "luminance = @", "parts[0].luminance"),
        (
            "luminance = 100",
            "luminance = 1\nhue = 'red'\nsaturation_percent = @",
            "parts[0].saturation_percent",
        ),
        ("luminance = 100", "code = @", "parts[0].code"),
        ("[10,", "[@,", "parts[0].rect[0]"),
        (" 40]", " @]", "parts[0].rect[3]"),
        ("[0.3,", "[@,", "parts[0].xy[0]"),
        ("at = 1", "at = @", "parts[0].keys[0].at"),
        ("[1,", "[@,", "parts[0].keys[0].place[0]"),
        ("at = 1", "luminance = @, at = 1", "parts[0].keys[0].luminance"),
    ],
)
def test_a_number_that_is_not_finite_is_refused(
    tmp_path: Path, old: str, new: str, key: str, value: str
) -> None:
    """Whether it has bounds or none, its key is named."""
    assert 1 == WHOLE.count(old)
    assert refusal(tmp_path, WHOLE.replace(old, new.replace("@", value))).startswith(f"my/a.toml: {key}: ")
