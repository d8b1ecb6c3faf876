"""Parts of scenes: where each paints and what, in all three planes, by hand and by numpy's own arithmetic.

The picture is 200 by 100 pixels: 1 % is two columns or one row. Red of 75 % is the bar of BT.709 (bars.toml).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import text_mask
from knownlight.frame.picture import Decode, Fit
from knownlight.signal.arrays import FloatArray, PlaneArray
from patterns.parameters import Level, LevelUnit
from patterns.patches import writable_planes
from patterns.scene_parts import Box, Ellipse, Grid, Key, Paint, Part, Photo, Ramp, Text, paint_blocks

FLOATS = 1e-9  # of a code: what numpy may miss a half by
STEADY = settings(deadline=None, derandomize=True)
COLUMNS, ROWS = 200, 100
SIGNALS = {
    components: replace(parse_signal_format("720p50-sdr", components=components), width=COLUMNS, height=ROWS)
    for components in ("4:2:0", "4:4:4", "rgb")
}
BACK = {"4:2:0": (40, 128, 128), "4:4:4": (40, 128, 128), "rgb": (40, 40, 40)}
RED = {"4:2:0": (51, 109, 212), "4:4:4": (51, 109, 212), "rgb": (180, 16, 16)}  # 75 %, bars.toml
RED_PAINT = Paint(level=Level(LevelUnit.SIGNAL_PERCENT, 75.0), hue="red")
every_kind = pytest.mark.parametrize("kind", SIGNALS)
Mask = NDArray[np.bool_]


def grey(code: int) -> Paint:
    """A grey by its code."""
    return Paint(level=Level(LevelUnit.CODE, code))


def part(kind: Callable[..., Part], rect: tuple[float, float, float, float], **keys: Any) -> Part:
    """A part named a, red unless told."""
    return kind(**{"name": "a", "rect": rect, "paint": RED_PAINT, **keys})


def drawn(made: Part, kind: str, seconds: Fraction = Fraction(0)) -> list[PlaneArray]:
    """Planes of the part alone on its background."""
    planes = writable_planes(SIGNALS[kind], BACK[kind])
    made.luma_codes(SIGNALS[kind])
    made.draw(planes, SIGNALS[kind], seconds)
    return planes


def assert_painted(planes: list[PlaneArray], kind: str, mask: Mask, code: tuple[int, int, int]) -> None:
    """Pixels of a mask, even in both directions, have the code and all others the background's."""
    for plane, value, ground in zip(planes, code, BACK[kind], strict=True):
        each = ROWS // plane.shape[0]
        np.testing.assert_array_equal(np.where(mask[::each, ::each], value, ground), plane)


def boxed(x: int, y: int, width: int, height: int) -> Mask:
    """The pixels of a rectangle that lie inside the picture."""
    mask = np.zeros((ROWS, COLUMNS), dtype=np.bool_)
    mask[max(0, y) : max(0, y + height), max(0, x) : max(0, x + width)] = True
    return mask


# By hand: % times two columns or one row, to the nearest even number, a part at least two pixels.
@every_kind
@pytest.mark.parametrize(
    ("rect", "pixels"),
    [
        ((10.0, 20.0, 30.0, 40.0), (20, 20, 60, 40)),
        ((0.0, 0.0, 100.0, 100.0), (0, 0, 200, 100)),
        ((10.4, 20.9, 0.1, 0.1), (20, 20, 2, 2)),
        ((10.6, 21.1, 5.0, 5.1), (22, 22, 10, 6)),
        ((-5.0, -10.0, 10.0, 30.0), (-10, -10, 20, 30)),
        ((95.0, 90.0, 10.0, 30.0), (190, 90, 20, 30)),
        ((-5.0, 40.0, 110.0, 10.0), (-10, 40, 220, 10)),
        ((-20.0, 0.0, 10.0, 10.0), (-40, 0, 20, 10)),
        ((100.0, 0.0, 10.0, 10.0), (200, 0, 20, 10)),
        ((0.0, 100.0, 10.0, 10.0), (0, 100, 20, 10)),
    ],
)
def test_a_box(kind: str, rect: tuple[float, float, float, float], pixels: tuple[int, int, int, int]) -> None:
    """A box paints its rectangle in every plane; what lies outside the picture is cut."""
    made = part(Box, rect)
    assert Rect(*pixels) == made.rect_at(SIGNALS[kind], Fraction(0))
    assert_painted(drawn(made, kind), kind, boxed(*pixels), RED[kind])


@every_kind
@pytest.mark.parametrize("rect", [(10, 20, 30, 40), (0, 0, 100, 100), (-10, -10, 20, 40), (90, 10, 25, 7)])
def test_an_ellipse(kind: str, rect: tuple[float, float, float, float]) -> None:
    """Blocks of two by two pixels whose middle satisfies (x / a)² + (y / b)² <= 1, in exact fractions."""
    made = part(Ellipse, rect)
    place = made.rect_at(SIGNALS[kind], Fraction(0))
    across, down = Fraction(place.width, 2), Fraction(place.height, 2)
    mask = np.zeros((ROWS, COLUMNS), dtype=np.bool_)
    for y in range(0, ROWS, 2):
        for x in range(0, COLUMNS, 2):
            off_x, off_y = x + 1 - place.x - across, y + 1 - place.y - down
            mask[y : y + 2, x : x + 2] = (off_x / across) ** 2 + (off_y / down) ** 2 <= 1
    assert mask.any()
    assert_painted(drawn(made, kind), kind, mask, RED[kind])


def test_an_ellipse_covers_its_share() -> None:
    """An ellipse covers pi / 4 of its rectangle, less than 1 % apart at that size, and is even about it."""
    lit = drawn(part(Ellipse, (0.0, 0.0, 100.0, 100.0)), "rgb")[0] == 180
    assert pytest.approx(np.pi / 4.0, rel=0.01) == lit.mean()
    np.testing.assert_array_equal(lit, lit[::-1, ::-1])
    np.testing.assert_array_equal(lit, lit[:, ::-1])


@every_kind
@pytest.mark.parametrize(("rect", "pitch", "thickness"), [
    ((10, 20, 30, 40), 8, 2), ((-3, -6, 50, 50), 10, 4), ((0, 0, 100, 100), 2, 2), ((80, 80, 40, 40), 16, 6)
])  # fmt: skip
def test_a_grid(kind: str, rect: tuple[float, float, float, float], pitch: int, thickness: int) -> None:
    """Lines as thick and as far apart as stated, counted from the rectangle's own corner."""
    made = part(Grid, rect, pitch=pitch, thickness=thickness)
    place = made.rect_at(SIGNALS[kind], Fraction(0))
    x, y = np.arange(COLUMNS)[None, :] - place.x, np.arange(ROWS)[:, None] - place.y
    mask = boxed(place.x, place.y, place.width, place.height) & (
        (x % pitch < thickness) | (y % pitch < thickness)
    )
    assert_painted(drawn(made, kind), kind, mask, RED[kind])


# By hand: a letter has 7 rows of dots, and 30 rows hold them four times: dots of 4, 28 rows. Three rows hold
# none, and a dot is never less than two pixels.
@every_kind
@pytest.mark.parametrize(
    ("rect", "text", "dot"),
    [((5, 10, 1, 30), "LIGHT1", 4), ((5, 10, 90, 3), "A.B", 2), ((60, -7, 9, 14), "EDGES", 2)],
)
def test_a_text(kind: str, rect: tuple[float, float, float, float], text: str, dot: int) -> None:
    """Letters of the alphabet, as large as the rectangle is high, from its corner; cut at the edges."""
    made = part(Text, rect, text=text)
    place = made.rect_at(SIGNALS[kind], Fraction(0))
    letters = text_mask(text, dot)
    assert letters.shape == (place.height, place.width)
    mask = np.zeros((ROWS + 200, COLUMNS + 200), dtype=np.bool_)
    y, x = place.y + 100, place.x + 100
    mask[y : y + place.height, x : x + place.width] = letters
    assert_painted(drawn(made, kind), kind, mask[100 : 100 + ROWS, 100 : 100 + COLUMNS], RED[kind])


# By hand: 40 columns are 20 steps of two, ten codes each from 40 to 230; 20 rows are 10 steps, of 21 and 1/9.
@every_kind
@pytest.mark.parametrize(
    ("downwards", "expected"),
    [
        (False, np.repeat(np.arange(40, 231, 10), 2)),
        (True, np.repeat([40, 61, 82, 103, 124, 146, 167, 188, 209, 230], 2)),
    ],
)
def test_a_ramp(kind: str, downwards: bool, expected: NDArray[np.int64]) -> None:  # noqa: FBT001
    """Evenly from the first level to the last, both reached, two columns or rows at a time."""
    made = part(Ramp, (30, 20, 20, 20), paint=grey(40), last=grey(230), downwards=downwards)
    planes = drawn(made, kind)
    luma = np.tile(expected[:, None], 40) if downwards else np.tile(expected, (20, 1))
    np.testing.assert_array_equal(luma, planes[0][20:40, 60:100])
    for plane in planes[1:]:
        each = ROWS // plane.shape[0]
        wanted = luma[::each, ::each] if kind == "rgb" else 128
        np.testing.assert_array_equal(
            np.broadcast_to(wanted, (20 // each, 40 // each)),
            plane[20 // each : 40 // each, 60 // each : 100 // each],
        )
    outside = ~boxed(60, 20, 40, 20)
    assert [40] == np.unique(planes[0][outside]).tolist()


@pytest.mark.parametrize("downwards", [False, True])
def test_a_ramp_between_colours(downwards: bool) -> None:  # noqa: FBT001 - a table's column
    """All three codes run evenly, to half a code of numpy's straight line, cut where the picture ends."""
    made = part(Ramp, (-20, 0, 140, 100), last=grey(200), downwards=downwards)
    planes = drawn(made, "4:4:4")
    steps = 50 if downwards else 140
    for plane, first, last in zip(planes, RED["4:4:4"], (200, 128, 128), strict=True):
        line = np.floor(np.linspace(first, last, steps) + 0.5 + FLOATS).repeat(2)
        expected = np.tile(line[:, None], COLUMNS) if downwards else np.tile(line[40:240], (ROWS, 1))
        np.testing.assert_array_equal(expected, plane)


@dataclass(frozen=True)
class Fields:
    """A picture whose pixels tell where they are: red by column, green by row; blue is sample 1."""

    name: str = "fields"
    sha256: str = "0"
    shape: tuple[int, int] = (4, 4)

    def fitted(self, rows: int, columns: int, fit: Fit, decode: Decode) -> FloatArray:  # noqa: ARG002
        """Linear light at a size, whatever the fit."""
        light = np.zeros((rows, columns, 3))
        light[..., 0] = np.linspace(0.0, 60.0, columns)
        light[..., 1] = np.linspace(0.0, 60.0, rows)[:, None]
        light[..., 2] = decode(np.array(1.0))
        return light


@every_kind
@pytest.mark.parametrize("rect", [(10, 20, 30, 40), (-10, -10, 50, 60), (80, 70, 60, 60), (0, 0, 100, 100)])
def test_a_picture_part_is_cut_like_any_other(kind: str, rect: tuple[float, float, float, float]) -> None:
    """Where a picture sticks out, the rest of it is what a picture that does not stick out has there."""
    made = part(Photo, rect, picture=Fields())
    place = made.rect_at(SIGNALS[kind], Fraction(0))
    whole_signal = replace(SIGNALS[kind], width=place.width, height=place.height)
    whole = writable_planes(whole_signal, BACK[kind])
    part(Photo, (0, 0, 100, 100), picture=Fields()).draw(whole, whole_signal, Fraction(0))
    for plane, inner, ground in zip(drawn(made, kind), whole, BACK[kind], strict=True):
        each = ROWS // plane.shape[0]
        expected = np.full((3 * ROWS, 3 * COLUMNS), ground)
        y, x = place.y // each + ROWS, place.x // each + COLUMNS
        expected[y : y + inner.shape[0], x : x + inner.shape[1]] = inner
        seen = expected[ROWS : ROWS + plane.shape[0], COLUMNS : COLUMNS + plane.shape[1]]
        np.testing.assert_array_equal(seen, plane)


# By hand, BT.1886 of 100 cd/m²: white of 25 cd/m² is signal 0.5612, code 139; the usual white is 235.
@pytest.mark.parametrize(("white", "code"), [(0.0, 235), (25.0, 139), (1000.0, 235)])
def test_a_picture_part_has_its_own_white(white: float, code: int) -> None:
    """Sample 1 of a picture is the stated luminance, 100 cd/m² of SDR where none is stated."""
    planes = drawn(part(Photo, (50, 50, 20, 20), picture=Fields(), white_luminance=white), "rgb")
    assert code == planes[2][60, 110]
    assert [16, 235] == part(Photo, (0, 0, 1, 1), picture=Fields()).luma_codes(SIGNALS["rgb"])


# By hand: codes 40 to 200 in two seconds; places 10 % to 50 % of 200 columns are 20 to 100.
MOVING = (
    Key(at=Fraction(1), place=(10.0, 20.0), paint=grey(40)),
    Key(at=Fraction(3), place=(50.0, 20.0), paint=grey(200)),
    Key(at=Fraction(4), place=(50.0, 60.0)),
)


@pytest.mark.parametrize(
    ("seconds", "x", "y", "code"),
    [("0", 20, 20, 40), ("1", 20, 20, 40), ("2", 60, 20, 120), ("5/2", 80, 20, 160), ("3", 100, 20, 200),
     ("7/2", 100, 40, 200), ("4", 100, 60, 200), ("100", 100, 60, 200), ("251/250", 20, 20, 40)],
)  # fmt: skip
def test_keyframes(seconds: str, x: int, y: int, code: int) -> None:
    """Places and codes run evenly between keyframes and stand before the first and after the last."""
    made = part(Box, (0, 0, 10, 10), keys=MOVING)
    signal, time = SIGNALS["4:2:0"], Fraction(seconds)
    assert Rect(x, y, 20, 10) == made.rect_at(signal, time)
    assert (code, 128, 128) == made.code_at(signal, time)
    assert_painted(drawn(made, "4:2:0", time), "4:2:0", boxed(x, y, 20, 10), (code, 128, 128))
    assert [51, 40, 200] == made.luma_codes(signal)


def test_codes_between_keyframes_are_rounded_half_up() -> None:
    """Halfway from code 40 to 43 is 41.5, so 42."""
    keys = (Key(at=Fraction(0), paint=grey(40)), Key(at=Fraction(1), paint=grey(43)))
    made = part(Box, (0, 0, 10, 10), keys=keys)
    assert (42, 128, 128) == made.code_at(SIGNALS["4:2:0"], Fraction(1, 2))
    assert Rect(0, 0, 20, 10) == made.rect_at(SIGNALS["4:2:0"], Fraction(1, 2))


@STEADY
@given(
    st.lists(
        st.tuples(st.fractions(0, 5), st.floats(-50, 120), st.floats(-50, 120)), min_size=1, max_size=4,
        unique_by=lambda key: key[0],
    ),
    st.fractions(0, 6),
)  # fmt: skip
def test_reach_holds_every_place(places: list[tuple[Fraction, float, float]], seconds: Fraction) -> None:
    """Wherever a part is at any time, one of its rectangles of reach holds it whole."""
    keys = tuple(Key(at=at, place=(x, y)) for at, x, y in sorted(places))
    made = part(Box, (5, 5, 10, 10), keys=keys)
    rect = made.rect_at(SIGNALS["rgb"], seconds)
    assert any(
        held.x <= rect.x and held.y <= rect.y and held.right >= rect.right and held.bottom >= rect.bottom
        for held in made.reach(SIGNALS["rgb"])
    )


@pytest.mark.parametrize(
    ("paint", "signal", "words"),
    [
        (Paint(level=Level(LevelUnit.LUMINANCE, 100.0), xy=(0.3, 0.3)), SIGNALS["rgb"], "100 cd/m² is more"),
        (Paint(level=Level(LevelUnit.LUMINANCE, 101.0), hue="red"), SIGNALS["rgb"], "luminance: 101 "),
        (Paint(level=Level(LevelUnit.LUMINANCE, 200.0)), SIGNALS["rgb"], "luminance=200: "),
        (Paint(level=Level(LevelUnit.LUMINANCE, 5.0), xy=(0.7, 0.25)), SIGNALS["rgb"], "x 0.7000"),
        (grey(255), SIGNALS["4:2:0"], "code=255 is code 255, outside the codes 1 to 254 of 8 bits"),
    ],
)  # fmt: skip
def test_a_paint_that_the_signal_does_not_hold(paint: Paint, signal: SignalFormat, words: str) -> None:
    """It is refused with the part's name, wherever it comes: at first, in a keyframe, at a ramp's end."""
    made = [
        part(Box, (0, 0, 10, 10), paint=paint),
        part(Box, (0, 0, 10, 10), keys=(Key(at=Fraction(0), paint=paint),)),
        part(Ramp, (0, 0, 10, 10), last=paint),
    ]
    for each in made:
        with pytest.raises(BadInput) as caught:
            each.luma_codes(signal)
        assert str(caught.value).startswith(f"a: {words}")


# D65 is (0.3127, 0.3290) in H.273 Table 2: at 100 cd/m² it is the white of SDR.
def test_a_paint_by_chromaticity() -> None:
    """A chromaticity at a luminance is that colour: D65 at 100 cd/m² is white, and code 139 at 25."""
    for luminance, code in ((100.0, 235), (25.0, 139)):
        paint = Paint(level=Level(LevelUnit.LUMINANCE, luminance), xy=(0.3127, 0.3290))
        assert (code, 128, 128) == paint.code("a", SIGNALS["4:2:0"])


def test_blocks_outside_the_picture_paint_nothing() -> None:
    """A rectangle that lies wholly outside, on any side, leaves every plane as it was."""
    for x, y in ((-10, 10), (200, 10), (10, -10), (10, 100)):
        planes = writable_planes(SIGNALS["4:2:0"], (1, 2, 3))
        paint_blocks(planes, Rect(x, y, 10, 10), np.ones((5, 5), dtype=np.bool_), (9, 9, 9))
        assert [[1], [2], [3]] == [np.unique(plane).tolist() for plane in planes]
