"""Scenes: what is claimed of them, against pixels that numpy counts; when they move, and what is refused."""

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Cycle, Levels, Still
from patterns.parameters import Level, LevelUnit
from patterns.picture import BuiltIn
from patterns.scene import BUILT_IN, Scene, SceneContent
from patterns.scene_parts import Box, Ellipse, Grid, Key, Paint, Part, Photo, Ramp, Text

STEADY = settings(deadline=None, derandomize=True)
COLUMNS, ROWS = 200, 100  # 1 % is two columns or one row
SIGNALS = {
    components: replace(parse_signal_format("720p50-sdr", components=components), width=COLUMNS, height=ROWS)
    for components in ("4:2:0", "4:4:4", "rgb")
}
SDR = SIGNALS["4:2:0"]
RED = Paint(level=Level(LevelUnit.SIGNAL_PERCENT, 75.0), hue="red")
AWAY = Ellipse(name="away", rect=(-50.0, -50.0, 10.0, 10.0), paint=RED)  # never seen; and no box


def grey(code: int) -> Paint:
    """A grey by its code."""
    return Paint(level=Level(LevelUnit.CODE, code))


def box(name: str, *rect: float, **keys: Any) -> Box:
    """A box, grey of code 100 unless told."""
    left, top, width, height = rect
    return Box(**{"name": name, "rect": (left, top, width, height), "paint": grey(100), **keys})


def scene(*parts: Part, seconds: Fraction = Fraction(1)) -> Scene:
    """A scene of some parts on a dark grey."""
    return Scene(
        file=SceneContent(name="a.toml", sha256="0", background=grey(40), parts=parts, seconds=seconds)
    )


def moved(*places: tuple[float, float], every: Fraction = Fraction(1, 2)) -> tuple[Key, ...]:
    """Keyframes at some places, one after another."""
    return tuple(Key(at=index * every, place=place) for index, place in enumerate(places))


def triples(frame: Frame) -> Counter[CodeTriple]:
    """Pixels of each colour, chroma samples of 4:2:0 standing for two by two pixels."""
    whole = [
        plane.repeat(ROWS // plane.shape[0], axis=0).repeat(COLUMNS // plane.shape[1], axis=1).ravel()
        for plane in frame.planes
    ]
    codes, counts = np.unique(np.stack(whole, axis=-1), axis=0, return_counts=True)
    found = zip(codes.tolist(), counts.tolist(), strict=True)
    return Counter({(code[0], code[1], code[2]): number for code, number in found})


def names(pattern: Scene, signal: SignalFormat = SDR) -> list[str]:
    """The claimed regions' names."""
    return [region.name for region in pattern.claims(signal).regions]


PAINTS = st.sampled_from([grey(60), grey(61), grey(200), RED])
SIDES = st.floats(-30.0, 110.0)
SIZES = st.floats(0.1, 80.0)
BOXES = st.lists(st.tuples(SIDES, SIDES, SIZES, SIZES, PAINTS, st.booleans()), max_size=6)


@STEADY
@given(BOXES, st.sampled_from(sorted(SIGNALS)))
def test_boxes_alone_claim_every_pixel(rows: list[tuple[Any, ...]], kind: str) -> None:
    """Of nothing but standing boxes, areas are the pixels; regions are even, inside and of one colour.

    What is seen of each box is painted by the test into a plane of numbers.
    """
    signal = SIGNALS[kind]
    boxes = [
        box(f"box-{index}", *row[:4], paint=row[4], purpose=Purpose.MEASURE if row[5] else Purpose.LOOK)
        for index, row in enumerate(rows)
    ]
    pattern = scene(*boxes)
    source, claims = pattern.draw(signal), pattern.claims(signal)
    assert isinstance(source, Still)
    assert triples(source.picture) == claims.areas
    seen = np.full((ROWS, COLUMNS), -1)
    wanted = {}
    for index, each in enumerate(boxes):
        rect = each.rect_at(signal, Fraction(0))
        inside = np.zeros_like(seen, dtype=np.bool_)
        inside[max(0, rect.y) : max(0, rect.bottom), max(0, rect.x) : max(0, rect.right)] = True
        seen[inside] = index
        wanted[index] = int(inside.sum())
    uncovered = [index for index, pixels in wanted.items() if pixels and (seen == index).sum() == pixels]
    assert [f"box-{index}" for index in uncovered] == [region.name for region in claims.regions]
    for index, region in zip(uncovered, claims.regions, strict=True):
        rect = region.rect
        assert {0} == {side % 2 for side in (rect.x, rect.y, rect.width, rect.height)}
        assert (seen[rect.slices] == index).all()
        assert wanted[index] == rect.area
        assert (boxes[index].purpose, boxes[index].paint.code("", signal)) == (region.purpose, region.code)
        for plane, code in zip(source.picture.planes, region.code, strict=True):
            each = ROWS // plane.shape[0]
            part = plane[rect.y // each : rect.bottom // each, rect.x // each : rect.right // each]
            assert [code] == np.unique(part).tolist()


@STEADY
@given(BOXES, st.sampled_from(sorted(SIGNALS)))
def test_boxes_are_drawn_alike_beside_other_parts(rows: list[tuple[Any, ...]], kind: str) -> None:
    """Boxes come out the same, and are claimed the same, where the scene is not of boxes alone."""
    boxes = [box(f"box-{index}", *row[:4], paint=row[4]) for index, row in enumerate(rows)]
    alone, beside = scene(*boxes), scene(AWAY, *boxes)

    pairs = zip(
        alone.draw(SIGNALS[kind]).frame(0).planes, beside.draw(SIGNALS[kind]).frame(0).planes, strict=True
    )
    for expected, found in pairs:
        np.testing.assert_array_equal(expected, found)
    assert beside.claims(SIGNALS[kind]).areas is None
    assert set(names(beside)) <= set(names(alone))


# The rectangle of each: the box is at 10 to 30 % both ways; every other part comes near or over it.
@pytest.mark.parametrize(
    ("other", "claimed"),
    [
        (box("b", 28, 28, 5, 5), False),
        (box("b", 30, 30, 5, 5), True),
        (Ellipse(name="b", rect=(25, 25, 20, 20), paint=RED), False),
        (Ellipse(name="b", rect=(31, 10, 20, 20), paint=RED), True),
        (Grid(name="b", rect=(0, 0, 100, 100), paint=RED, pitch=20), False),
        (Text(name="b", rect=(0, 15, 1, 10), paint=RED, text="LONG TEXT"), False),
        (Text(name="b", rect=(0, 35, 1, 10), paint=RED, text="LONG TEXT"), True),
        (Ramp(name="b", rect=(0, 20, 50, 5), paint=grey(60), last=grey(90)), False),
        (Photo(name="b", rect=(0, 0, 50, 50), paint=RED, picture=BuiltIn()), False),
        (Photo(name="b", rect=(50, 50, 50, 50), paint=RED, picture=BuiltIn()), True),
        (box("b", 40, 10, 5, 5, keys=moved((40, 10), (60, 60))), True),
        (box("b", 40, 40, 5, 5, keys=moved((60, 60), (20, 20))), False),
        (box("b", 0, 0, 5, 5, keys=moved((0, 0), (50, 50))), False),  # on its way only
        (box("b", 0, 0, 5, 5, keys=moved((0, 0), (50, 0), (50, 50))), True),  # around it
    ],
)
def test_a_box_that_something_comes_to_lie_on(other: Part, claimed: bool) -> None:  # noqa: FBT001
    """A standing box is claimed only where no later part ever lies on it; an earlier one does not matter."""
    standing = box("a", 10, 10, 20, 20, paint=RED)
    assert claimed == ("a" in names(scene(standing, other)))
    assert "a" in names(scene(other, standing))


def test_only_boxes_that_stand_are_claimed() -> None:
    """A box that moves, or changes its colour, is not claimed; nor is any other kind of part."""
    parts = (
        box("still", 0, 0, 10, 10),
        box("moving", 20, 0, 10, 10, keys=moved((20, 0), (20, 10))),
        box("changing", 40, 0, 10, 10, keys=(Key(at=Fraction(1), paint=grey(90)),)),
        Ellipse(name="ellipse", rect=(60, 0, 10, 10), paint=RED),
        Grid(name="grid", rect=(80, 0, 10, 10), paint=RED, pitch=4),
    )
    assert ["still"] == names(scene(*parts))


def test_claimed_boxes_hold_in_every_frame() -> None:
    """Frame by frame, what is claimed has its code, and luma lies between the lowest and the highest told."""
    half = Fraction(1, 2)
    pattern = scene(
        box("a", 10, 10, 20, 20, paint=RED),
        box("b", 0, 60, 10, 10, keys=(*moved((0, 60), (90, 60), (0, 60)),)),
        Ellipse(name="c", rect=(50, 50, 30, 30), paint=grey(30), keys=(Key(at=half, paint=grey(220)),)),
        Ramp(name="d", rect=(0, 90, 100, 10), paint=grey(20), last=grey(230)),
    )
    claims, source = pattern.claims(SDR), pattern.draw(SDR)
    assert isinstance(source, Cycle)
    assert ["a"] == [region.name for region in claims.regions]
    assert [20, 230] == [claims.notes["lowest_code"], claims.notes["highest_code"]]
    assert claims.areas is None
    for index in range(source.period):
        luma, _, red = source.frame(index).planes
        assert [[51], [212]] == [np.unique(luma[10:30, 20:60]).tolist(), np.unique(red[5:15, 10:30]).tolist()]
        assert claims.notes["lowest_code"] <= luma.min()
        assert luma.max() <= claims.notes["highest_code"]


# By hand: 50 frames a second and 100 columns in one second are two columns a frame.
@pytest.mark.parametrize(("index", "x"), [(0, 0), (12, 24), (24, 48), (49, 98), (50, 0), (74, 48)])
def test_a_scene_moves_by_its_own_seconds(index: int, x: int) -> None:
    """Frame i shows what is at i / rate seconds; after a round it begins again."""
    source = scene(box("a", 0, 0, 10, 10, keys=moved((0, 0), (50, 0), every=Fraction(1)))).draw(SDR)
    assert isinstance(source, Cycle)
    assert (50, Levels.CHANGING) == (source.period, source.levels)
    lit = np.argwhere(source.frame(index).planes[0] == 100)
    assert [0, x] == lit.min(axis=0).tolist()
    assert [9, x + 19] == lit.max(axis=0).tolist()


def test_what_lies_under_a_moving_part_stays() -> None:
    """Parts are painted in their order in every frame, moving ones between standing ones."""
    pattern = scene(
        box("under", 10, 0, 20, 20, paint=grey(60)),
        box("moving", 0, 0, 10, 20, keys=moved((0, 0), (50, 0), every=Fraction(1))),
        box("over", 20, 0, 20, 10, paint=grey(80)),
    )
    row, lower = (pattern.draw(SDR).frame(20).planes[0][y] for y in (0, 15))  # moved to 20 %
    np.testing.assert_array_equal(np.repeat([40, 60, 80, 40], [20, 20, 40, 120]), row)
    np.testing.assert_array_equal(np.repeat([40, 60, 100, 40], [20, 20, 20, 140]), lower)
    assert ["over"] == names(pattern)


@pytest.mark.parametrize(
    ("seconds", "written", "expected"),
    [("1", "720p50-sdr", Fraction(1)), ("1/2", "720p24-sdr", Fraction(1, 2)),
     ("1", "720p23.976-sdr", Fraction(1001, 1000))],
)  # fmt: skip
def test_natural_length(seconds: str, written: str, expected: Fraction) -> None:
    """A moving scene is shown one round, to the nearest frame; a standing one has no length of its own."""
    signal = parse_signal_format(written)
    moving = scene(box("a", 0, 0, 9, 9, keys=moved((0, 0), (9, 0))), seconds=Fraction(seconds))
    assert expected == moving.natural_seconds(signal)
    assert scene(box("a", 0, 0, 9, 9)).natural_seconds(signal) is None
    assert scene(AWAY).natural_seconds(signal) is None


def test_a_scene_that_is_too_long_is_refused() -> None:
    """More than 3600 frames of a round are refused; of a standing scene no seconds matter."""
    keys = moved((0, 0), (9, 0))
    assert 3600 == scene(box("a", 0, 0, 9, 9, keys=keys), seconds=Fraction(72)).draw(SDR).unrepeated(10**6)
    long = scene(box("a", 0, 0, 9, 9, keys=keys), seconds=Fraction(73))
    for ask in (long.claims, long.draw, long.natural_seconds):
        with pytest.raises(BadInput) as caught:
            ask(SDR)
        said = "scene: a.toml: seconds: 3650 frames are more than 3600; make it shorter"
        assert said == str(caught.value)
    assert isinstance(scene(box("a", 0, 0, 9, 9), seconds=Fraction(73)).draw(SDR), Still)


WHITE_AND_MORE = Paint(level=Level(LevelUnit.LUMINANCE, 200.0))
OUTSIDE = Paint(level=Level(LevelUnit.LUMINANCE, 5.0), xy=(0.7, 0.25))


# Where there is nothing but standing boxes a scene is claimed by another way than beside another part.
@pytest.mark.parametrize("beside", [(), (AWAY,)])
@pytest.mark.parametrize(
    ("part", "words"),
    [
        (box("lamp", 0, 0, 9, 9, paint=grey(255)), "code=255 is code 255, outside the codes 1 to 254 of 8"),
        (box("lamp", 0, 0, 9, 9, paint=WHITE_AND_MORE), "luminance=200: "),
        (box("lamp", 0, 0, 9, 9, paint=OUTSIDE), "x 0.7000, y 0.2500 lies outside bt709"),
        (box("lamp", -90, 0, 9, 9, paint=grey(255)), "code=255 is code 255"),  # never seen
        (box("lamp", 0, 0, 9, 9, keys=(Key(at=Fraction(9), paint=grey(0)),)), "code=0 is code 0"),
        (Ramp(name="lamp", rect=(0, 0, 9, 9), paint=grey(60), last=grey(255)), "code=255 is code 255"),
        (Text(name="lamp", rect=(0, 0, 9, 9), paint=grey(255), text="A"), "code=255 is code 255"),
    ],
)
def test_what_the_signal_does_not_hold_is_refused(beside: tuple[Part, ...], part: Part, words: str) -> None:
    """A level or colour that cannot be drawn is refused before it is: family, file, part, key and value."""
    with pytest.raises(BadInput) as caught:
        scene(*beside, part).claims(SDR)
    assert str(caught.value).startswith(f"scene: a.toml: lamp: {words}")


@pytest.mark.parametrize("parts", [(), (box("a", 0, 0, 9, 9),), (AWAY,)])
def test_a_background_that_the_signal_does_not_hold_is_refused(parts: tuple[Part, ...]) -> None:
    """The background goes by that name, whatever lies on it."""
    content = SceneContent(name="b/c.toml", sha256="", background=grey(0), parts=parts, seconds=Fraction(1))
    with pytest.raises(
        BadInput, match=r"^scene: b/c\.toml: background: code=0 is code 0, outside the codes 1"
    ):
        Scene(file=content).claims(SDR)


# By hand: its one second at 4000 pictures a second is longer than the longest round.
def test_the_built_in_scene_is_refused_by_name() -> None:
    """Without a file the scene is called built-in."""
    for ask in (Scene().claims, Scene().natural_seconds):
        with pytest.raises(
            BadInput, match=r"^scene: built-in: seconds: 4000 frames are more than 3600; make"
        ):
            ask(replace(SDR, rate=Fraction(4000)))


def test_without_a_file_there_is_a_scene() -> None:
    """The built-in scene moves, comes round, and claims its one box; a file's content is a parameter."""
    signal = parse_signal_format("720p24-sdr")
    source = Scene().draw(signal)
    assert 24 == source.unrepeated(10**6)
    assert ["box"] == names(Scene(), signal)
    assert Rect(128, 108, 256, 216) == Scene().claims(signal).regions[0].rect  # 10, 15, 20, 30 %, by hand
    assert {} == Scene().parameters()
    assert {"file": "a.toml", "file_sha256": "0"} == scene().parameters()
    assert Scene(file=BUILT_IN).claims(signal) == Scene().claims(signal)
