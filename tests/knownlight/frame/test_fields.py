"""Interlaced frames: which rows come from which picture, how long a round is, and what is claimed of it.

Rows are told apart by codes that a test gives to pictures, or by a place worked out with whole numbers.
Rows of fields: H.262 and H.264 (from memory); the field order is our own choice.
"""

from fractions import Fraction

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from knownlight.frame.fields import Woven, drawn_in, shown_in, woven, woven_source
from knownlight.frame.format import parse_signal_format
from knownlight.frame.planes import Frame, grey_frame, plane_shapes
from knownlight.frame.sources import Cycle, Levels, Run, Sequence, Still
from knownlight.signal.encoding import Components
from patterns.registry import build

INTERLACED = parse_signal_format("576i25-sdr")
FIELDS = INTERLACED.fields


def numbered(index: int) -> Frame:
    """A picture of one field: luma of the code `index`, colour differences of codes after it."""
    codes = (index, index + 100, index + 200)
    planes = [np.full(shape, code, np.uint8) for shape, code in zip(plane_shapes(FIELDS), codes, strict=True)]
    return Frame(FIELDS, (planes[0], planes[1], planes[2]))


def pictures_of(frame: Frame) -> tuple[int, int]:
    """The numbers of the pictures that the even and the odd rows of a frame are from, in all planes alike."""
    found = []
    for first in (0, 1):
        rows = {int(code) - 100 * place for place, plane in enumerate(frame.planes)
                for code in np.unique(plane[first::2])}  # fmt: skip
        assert 1 == len(rows)
        found.append(rows.pop())
    return found[0], found[1]


@pytest.mark.parametrize("components", list(Components))
def test_rows_of_every_plane_are_woven(components: Components) -> None:
    """Even rows are the first picture's, odd rows the second's, in planes of 4:2:0 chroma as in luma."""
    signal = parse_signal_format("576i25-sdr", components=components.value)
    rng = np.random.default_rng(601)

    def noise() -> Frame:
        first, second, third = (rng.integers(16, 235, shape, np.uint8) for shape in plane_shapes(signal))
        return Frame(signal.fields, (first, second, third))

    top, bottom = noise(), noise()
    frame = woven(top, bottom, signal)
    assert signal == frame.signal
    for plane, even, odd in zip(frame.planes, top.planes, bottom.planes, strict=True):
        expected = [odd[row] if row % 2 else even[row] for row in range(len(even))]
        np.testing.assert_array_equal(expected, plane)
        assert not plane.flags.writeable


def test_two_fields_of_one_picture_are_that_picture() -> None:
    """Nothing is copied where both fields are the same object."""
    picture = numbered(7)
    assert picture.planes is woven(picture, picture, INTERLACED).planes


@pytest.mark.parametrize(
    ("period", "expected"),
    [
        (4, [(0, 1), (2, 3)]),
        (3, [(0, 1), (2, 0), (1, 2)]),
        (2, [(0, 1)]),
        (1, [(0, 0)]),
    ],
)
def test_a_round_of_fields(period: int, expected: list[tuple[int, int]]) -> None:
    """Frame i has pictures 2i and 2i + 1: an even period halves, an odd one takes two rounds of fields."""
    source = woven_source(Cycle(period, numbered, Levels.MOVED), INTERLACED)
    assert len(expected) == source.unrepeated(1000)
    assert expected == [pictures_of(source.frame(index)) for index in range(len(expected))]
    assert expected[0] == pictures_of(source.frame(len(expected)))
    assert Levels.CHANGING is source.levels


def test_a_run_stays_one() -> None:
    """What never repeats has new fields in every frame."""
    source = woven_source(Run(numbered), INTERLACED)
    assert 50 == source.unrepeated(50)
    assert (18, 19) == pictures_of(source.frame(9))


def test_what_is_held_is_not_woven() -> None:
    """A still and a sequence are drawn in the interlaced format; their length is that of whole frames."""
    for family, kind in (("window", Still), ("loading-sequence", Sequence)):
        pattern = build(family, {})
        assert pattern is shown_in(pattern, INTERLACED)
        assert INTERLACED == drawn_in(pattern, INTERLACED)
        source = shown_in(pattern, INTERLACED).draw(INTERLACED)
        assert isinstance(source, kind)
        assert INTERLACED == source.frame(0).signal


def test_progressive_signals_show_a_pattern_as_it_is() -> None:
    """Nothing is drawn to find that out."""
    pattern = build("moving-edge", {})
    assert pattern is shown_in(pattern, FIELDS)
    assert FIELDS == drawn_in(pattern, FIELDS)


def edge_of(row: np.ndarray[tuple[int], np.dtype[np.integer]], lit: int) -> int:
    """The first column past the lit band that begins at the left edge."""
    return int(np.flatnonzero(row != lit)[0])


@pytest.mark.parametrize("name", ["576i25-sdr", "480i29.97-sdr", "1080i25-sdr"])
def test_an_edge_moves_between_fields(name: str) -> None:
    """The band's edge lies one step farther to the left in the bottom field than in the top field.

    It starts at half the width and moves 16 pixels a field: picture n has it at width / 2 - 16 n.
    """
    signal = parse_signal_format(name)
    pattern = shown_in(build("moving-edge", {"code": 200, "background_code": 50}), signal)
    source = pattern.draw(signal)
    half = signal.width // 2
    for index in (0, 1, 5):
        luma = source.frame(index).planes[0]
        for row in range(signal.height):
            expected = half - 16 * (2 * index + row % 2)
            assert expected == edge_of(luma[row], 200)


def test_a_pan_moves_between_fields() -> None:
    """Bars that move 8 pixels a field: odd rows are even rows moved by 8, and a frame moves by 16."""
    signal = parse_signal_format("1080i25-sdr")
    source = shown_in(build("pan", {"pixels_per_frame": 8}), signal).draw(signal)
    for index in (0, 3):
        luma, following = (source.frame(each).planes[0] for each in (index, index + 1))
        top, bottom = luma[0], luma[1]
        assert not np.array_equal(top, bottom)
        assert (luma[0::2] == top).all()
        assert (luma[1::2] == bottom).all()
        np.testing.assert_array_equal(top[8:], bottom[:-8])
        np.testing.assert_array_equal(top[16:], following[0][:-16])


def test_fields_of_a_still_are_one_picture() -> None:
    """A window of the interlaced format has the planes of the progressive one."""
    pattern = build("window", {})
    frame = shown_in(pattern, INTERLACED).draw(INTERLACED).frame(0)
    for plane, other in zip(frame.planes, pattern.draw(FIELDS).frame(0).planes, strict=True):
        np.testing.assert_array_equal(other, plane)


def test_figures_are_those_of_fields() -> None:
    """A speed in widths a second is right at the field rate, and frames of the pattern are called fields.

    By hand: 0.5 widths of 720 pixels a second at 50 fields are 7.2 pixels a field; the nearest whole number
    is 7, which is 7 · 50 / 720 widths a second.
    """
    pattern = build("pan", {"widths_per_second": 0.5})
    notes = shown_in(pattern, INTERLACED).claims(INTERLACED).notes
    assert 7 == notes["pixels_per_field"]
    assert 7 * 50 / 720 == notes["widths_per_second"]
    assert not any("frame" in name for name in notes)


def test_regions_stay_and_areas_become_codes() -> None:
    """Where something moves, a frame is no picture of the pattern: its pixels are not claimed."""
    pattern = build("moving-window", {"code": 200, "surround_code": 20})
    whole, claims = pattern.claims(FIELDS), shown_in(pattern, INTERLACED).claims(INTERLACED)
    assert {(20, 128, 128), (200, 128, 128)} == set(whole.areas or {})
    assert claims.areas is None
    assert claims.light(INTERLACED.encoding) is None
    assert (20, 200) == (claims.notes["lowest_code"], claims.notes["highest_code"])
    assert whole.regions == claims.regions
    assert 1 == len(claims.regions)


def test_hazards_are_those_of_the_field_rate() -> None:
    """An edge of 48 pixels a field passes 720 of them 3.3 times a second at 50, which flashes; 1.7 at 25."""
    pattern = build("moving-edge", {"pixels_per_frame": 48})
    assert frozenset() == pattern.claims(parse_signal_format("576p25-sdr")).hazards
    assert frozenset({Hazard.FLASHING}) == shown_in(pattern, INTERLACED).claims(INTERLACED).hazards


def test_the_natural_length_is_that_of_the_fields() -> None:
    """A walk of 40 places of 12 fields takes 480: 9.6 s at 50 a second. A round of pictures has its own."""
    walk, sequence = build("zone-walk", {}), build("loading-sequence", {})
    assert Fraction(48, 5) == walk.natural_seconds(drawn_in(walk, INTERLACED))
    assert sequence.natural_seconds(INTERLACED) == sequence.natural_seconds(drawn_in(sequence, INTERLACED))


def test_a_pattern_keeps_its_name_and_parameters() -> None:
    """So that a manifest can build it again."""
    pattern = build("fade", {"fade_seconds": 2})
    shown = shown_in(pattern, INTERLACED)
    assert isinstance(shown, Woven)
    assert (pattern.name, pattern.parameters()) == (shown.name, shown.parameters())


def test_what_the_fields_cannot_hold_is_refused() -> None:
    """A fade of 15 s each way is 1500 fields: too many at 50 a second, though not at 25."""
    pattern = build("fade", {"fade_seconds": 15, "rest_seconds": 0})
    assert 750 == pattern.claims(parse_signal_format("576p25-sdr")).notes["period_frames"]
    with pytest.raises(BadInput, match=r"^fade: up and down takes 1500 frames, more than 1200"):
        shown_in(pattern, INTERLACED)


def test_a_grey_picture_is_grey_in_both_fields() -> None:
    """Neutral chroma stays neutral."""
    luma = np.full((576, 720), 90, np.uint8)
    assert woven(grey_frame(FIELDS, luma), grey_frame(FIELDS, luma), INTERLACED).is_grey
