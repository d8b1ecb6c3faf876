"""Flat patches: what is claimed is what numpy counts in the painted planes, however patches overlap.

The outside truth is a plane of patch numbers, painted by the tests and counted by numpy.
"""

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from knownlight.frame.claims import Claims, CodeTriple, Hazard, Purpose, Region
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import text_mask
from knownlight.frame.planes import Frame
from patterns.patches import (
    Label,
    Layout,
    Patch,
    PatchFamily,
    colour_under,
    fill,
    layout_claims,
    overlap,
    painted,
    visible_areas,
    writable_planes,
)

STEADY = settings(deadline=None, derandomize=True)
WIDTH, HEIGHT = 48, 32
SIGNALS = {
    name: replace(parse_signal_format(written, components=components), width=WIDTH, height=HEIGHT)
    for name, written, components in (
        ("sdr", "720p60-sdr", "4:2:0"),
        ("pq", "720p60-pq", "4:2:0"),
        ("444", "720p60-pq", "4:4:4"),
        ("rgb", "720p60-pq", "rgb"),
    )
}
TEXT, DOT = "7", 2  # a label of 10 by 14 pixels
BLACK, GREY, RED = (16, 128, 128), (126, 128, 128), (63, 102, 240)


@st.composite
def rects(draw: st.DrawFn) -> Rect:
    """Rectangles on even positions inside the picture."""
    x, y = 2 * draw(st.integers(0, WIDTH // 2 - 1)), 2 * draw(st.integers(0, HEIGHT // 2 - 1))
    return Rect(x, y, 2 * draw(st.integers(1, (WIDTH - x) // 2)), 2 * draw(st.integers(1, (HEIGHT - y) // 2)))


CODES = st.tuples(*[st.integers(16, 235)] * 3)
PURPOSES = st.sampled_from([Purpose.MEASURE, Purpose.LOOK, None])
PLACES = st.tuples(st.integers(0, WIDTH - 10), st.integers(0, HEIGHT - 14))


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    """A few patches on a background, of few codes, so that neighbours may share them."""
    few = draw(st.lists(CODES, min_size=1, max_size=4))
    patches = [
        Patch(f"patch-{index}", rect, draw(st.sampled_from(few)), draw(PURPOSES))
        for index, rect in enumerate(draw(st.lists(rects(), max_size=7)))
    ]
    return Layout(background=draw(st.sampled_from(few)), patches=tuple(patches))


def topmost(layout: Layout) -> NDArray[np.int64]:
    """The number of the patch that is seen at each pixel; -1 where none is."""
    numbers = np.full((HEIGHT, WIDTH), -1, dtype=np.int64)
    for index, patch in enumerate(layout.patches):
        numbers[patch.rect.slices] = index
    return numbers


def triples(frame: Frame) -> Counter[CodeTriple]:
    """Pixels of each colour, chroma samples of 4:2:0 standing for two by two pixels."""
    whole = [
        plane.repeat(HEIGHT // plane.shape[0], axis=0).repeat(WIDTH // plane.shape[1], axis=1).ravel()
        for plane in frame.planes
    ]
    codes, counts = np.unique(np.stack(whole, axis=-1), axis=0, return_counts=True)
    return Counter(
        {(int(a), int(b), int(c)): int(n) for (a, b, c), n in zip(codes, counts, strict=True)}
    )  # fmt: skip


@STEADY
@given(layouts(), st.sampled_from(sorted(SIGNALS)))
def test_areas_are_the_pixels(layout: Layout, kind: str) -> None:
    """Whatever lies on what, the claimed pixels of each colour are those of the painted planes."""
    frame = painted(SIGNALS[kind], layout)

    assert triples(frame) == layout_claims(SIGNALS[kind], layout).areas
    numbers, counts = np.unique(topmost(layout), return_counts=True)
    seen: Counter[CodeTriple] = Counter()
    for number, count in zip(numbers.tolist(), counts.tolist(), strict=True):
        seen[layout.background if number < 0 else layout.patches[number].code] += count
    assert seen == visible_areas(SIGNALS[kind], layout)


@STEADY
@given(layouts(), PLACES, st.integers(16, 235), st.sampled_from(sorted(SIGNALS)))
def test_labels_are_counted(layout: Layout, place: tuple[int, int], code: int, kind: str) -> None:
    """A label is counted on the colour it lies on; across an edge it is refused."""
    signal = SIGNALS[kind]
    label = Label(TEXT, *place, DOT, code)
    with_label = replace(layout, labels=(label,))
    under = np.unique(topmost(layout)[label.rect.slices])
    if under.size > 1:
        with pytest.raises(ValueError, match=r"lies across an edge of patch-\d"):
            colour_under(layout, label.rect)
        with pytest.raises(ValueError, match="lies across an edge"):
            layout_claims(signal, with_label)
        return
    expected = layout.background if under[0] < 0 else layout.patches[int(under[0])].code
    assert expected == colour_under(layout, label.rect)
    frame, plain = painted(signal, with_label), painted(signal, layout)
    assert triples(frame) == layout_claims(signal, with_label).areas
    lit = np.zeros((HEIGHT, WIDTH), dtype=np.bool_)
    lit[label.rect.slices] = text_mask(TEXT, DOT)
    for index, (plane, before) in enumerate(zip(frame.planes, plain.planes, strict=True)):
        written = kind == "rgb" or index == 0
        np.testing.assert_array_equal(np.where(lit, code, before) if written else before, plane)


@STEADY
@given(layouts(), st.none() | PLACES)
def test_regions_are_what_nothing_lies_on(layout: Layout, place: tuple[int, int] | None) -> None:
    """A patch with a purpose is claimed where all of it is seen and no label touches it; only then."""
    numbers = topmost(layout)
    labels: tuple[Label, ...] = ()
    if place is not None and np.unique(numbers[place[1] : place[1] + 14, place[0] : place[0] + 10]).size == 1:
        labels = (Label(TEXT, *place, DOT, 100),)
        numbers[labels[0].rect.slices] = -2
    expected = tuple(
        Region(patch.name, patch.rect, patch.code, patch.purpose)
        for index, patch in enumerate(layout.patches)
        if patch.purpose is not None and (numbers == index).sum() == patch.rect.area
    )
    assert expected == layout_claims(SIGNALS["sdr"], replace(layout, labels=labels)).regions


@STEADY
@given(rects(), rects())
def test_overlap_is_a_shared_pixel(one: Rect, other: Rect) -> None:
    """Two rectangles overlap where numpy finds a pixel of both, whichever comes first."""
    first, second = (np.zeros((HEIGHT, WIDTH), dtype=np.bool_) for _ in range(2))
    first[one.slices], second[other.slices] = True, True

    expected = bool((first & second).any())
    assert [expected] * 2 == [overlap(one, other), overlap(other, one)]


# By hand: a patch on even positions covers whole chroma samples, half as many each way.
@pytest.mark.parametrize(("kind", "each"), [("sdr", 2), ("pq", 2), ("444", 1), ("rgb", 1)])
def test_a_patch_is_exact_in_every_plane(kind: str, each: int) -> None:
    """At 4:2:0 too every sample of a patch has its code, and every sample beside it the background's."""
    planes = writable_planes(SIGNALS[kind], (16, 90, 91))
    fill(planes, Rect(6, 4, 10, 8), (200, 40, 240))

    assert [(HEIGHT, WIDTH), *[(HEIGHT // each, WIDTH // each)] * 2] == [plane.shape for plane in planes]
    for plane, ground, code, size in zip(planes, (16, 90, 91), (200, 40, 240), (1, each, each), strict=True):
        expected = np.full(plane.shape, ground)
        expected[4 // size : 12 // size, 6 // size : 16 // size] = code
        np.testing.assert_array_equal(expected, plane)


def test_later_patches_lie_on_top() -> None:
    """The order of patches is the order of painting; a patch that is hidden is neither seen nor claimed."""
    rect = Rect(4, 4, 8, 8)
    layout = Layout(background=BLACK, patches=(Patch("under", rect, RED), Patch("over", rect, GREY)))
    claims = layout_claims(SIGNALS["sdr"], layout)

    assert {BLACK: WIDTH * HEIGHT - 64, GREY: 64} == claims.areas
    assert ["over"] == [region.name for region in claims.regions]


def test_a_label_across_an_edge_is_named() -> None:
    """The words name the patch, for whoever writes a family."""
    layout = Layout(background=BLACK, patches=(Patch("card", Rect(8, 8, 20, 20), GREY),))
    assert GREY == colour_under(layout, Rect(8, 8, 20, 20))
    assert BLACK == colour_under(layout, Rect(28, 8, 10, 14))

    with pytest.raises(ValueError, match=r"^Rect\(x=6, .*\) lies across an edge of card$"):
        colour_under(layout, Rect(6, 8, 10, 14))


def test_a_label_keeps_the_colour_it_lies_on() -> None:
    """At Y'CbCr a label changes luma alone, in R'G'B' all three: counted so as well."""
    layout = Layout(background=RED, patches=(), labels=(Label(TEXT, 2, 2, DOT, 180),))
    lit = 4 * 11  # dots of a seven, by hand: five in the top row and one in each of the six below
    for kind, code in (("sdr", (180, 102, 240)), ("rgb", (180, 180, 180))):
        assert {RED: WIDTH * HEIGHT - lit, code: lit} == layout_claims(SIGNALS[kind], layout).areas


@dataclass(frozen=True, kw_only=True)
class Card(PatchFamily):
    """A family of one patch."""

    def layout(self, signal: SignalFormat) -> Layout:  # noqa: ARG002
        """The patch."""
        return Layout(
            background=BLACK,
            patches=(Patch("card", Rect(0, 0, 4, 4), GREY, Purpose.LOOK),),
            notes={"cards": 1.0},
            hazards=frozenset({Hazard.STRIPES}),
        )


def test_a_family_is_drawn_and_claimed_from_one_layout() -> None:
    """Frame, regions, areas, notes and hazards all come from `layout`."""
    expected = Claims(
        regions=(Region("card", Rect(0, 0, 4, 4), GREY, Purpose.LOOK),),
        areas={BLACK: WIDTH * HEIGHT - 16, GREY: 16},
        notes={"cards": 1.0},
        hazards=frozenset({Hazard.STRIPES}),
    )
    assert expected == Card().claims(SIGNALS["sdr"])
    source = Card().draw(SIGNALS["sdr"])
    assert 1 == source.unrepeated(100)
    assert expected.areas == triples(source.frame(0))
