"""Line pairs: widths by numpy's transform, light by BT.1886 and SMPTE ST 2084 (layout: no source)."""

from itertools import combinations

import numpy as np
import pytest

from knownlight.frame.format import parse_signal_format
from patterns.line_pairs import WIDTHS
from patterns.patches import overlap
from patterns.registry import build
from patterns.tiled import TiledLayout
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels, peak_cycles

SDR = SIGNALS["sdr-8"]


def layout_in(height: int) -> TiledLayout:
    """The layout in SDR at a size."""
    layout = build("line-pairs", {}).layout(SDR.resized(height))  # type: ignore[attr-defined]
    assert isinstance(layout, TiledLayout)
    return layout


# A square wave is strongest at its own frequency: one cycle in two line widths.
def test_frequencies_are_the_stated_ones() -> None:
    """Each row of fields, from 1 to 8 pixels a line; slanting lines have the frequency across and down."""
    plane = build("line-pairs", {}).draw(SDR).frame(0).planes[0]
    fields = layout_in(720).fields
    for index, field in enumerate(fields):
        part, stated = plane[field.rect.slices], 1.0 / (2 * WIDTHS[index % len(WIDTHS)])
        found = [peak_cycles(part[0]), peak_cycles(part[:, 0])]
        expected = ([stated, 0.0], [0.0, stated], [stated, stated])[index // len(WIDTHS)]
        assert expected == found


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_every_field_is_half_light(height: int) -> None:
    """Half the pixels of every field are light at every size, so that from afar all are equal."""
    signal = SDR.resized(height)
    plane = build("line-pairs", {}).draw(signal).frame(0).planes[0]
    for field in layout_in(height).fields:
        part = plane[field.rect.slices]
        assert part.size == 2 * np.count_nonzero(part == 235)
        assert part.size > 0


# BT.1886 with black 0: half of 100 cd/m² is 0.5^(1/2.4) = 0.74915 of signal, 16 + 219 x 0.74915 = 180.06.
# PQ (ST 2084) of 50 cd/m² is 0.4403 of signal, 64 + 876 x 0.4403 = 449.7.
@pytest.mark.parametrize(("written", "expected"), [("720p24-sdr", 180), ("720p60-pq", 450)])
def test_the_half_light_patch_is_half_the_light(written: str, expected: int) -> None:
    """Its light is the mean of the lines', not the mean of their codes."""
    claims = build("line-pairs", {}).claims(parse_signal_format(written))
    codes = {region.name: region.code[0] for region in claims.regions}
    assert expected == codes["half-light"]


def test_words_say_the_widths() -> None:
    """Each field has its width below it, near its middle."""
    layout = layout_in(1080)
    assert [str(width) for width in WIDTHS] * 3 == [label.text for label in layout.labels]
    for field, label in zip(layout.fields, layout.labels, strict=True):
        assert field.rect.bottom <= label.y
        assert field.rect.x < label.x < field.rect.right


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_parts_are_apart(height: int) -> None:
    """Fields, patches and words do not overlap and lie on even positions inside the picture."""
    layout, signal = layout_in(height), SDR.resized(height)
    rects = [*(field.rect for field in layout.fields), *(patch.rect for patch in layout.patches)]
    assert {0} == {number % 2 for rect in rects for number in (rect.x, rect.y, rect.width, rect.height)}
    everything = [*rects, *(label.rect for label in layout.labels)]
    assert not any(overlap(one, other) for one, other in combinations(everything, 2))
    assert all(rect.right <= signal.width and rect.bottom <= signal.height for rect in everything)


@pytest.mark.parametrize("kind", SIGNALS)
def test_claims_are_the_pixels(kind: str) -> None:
    """Between any two levels, whichever is the lighter, areas are what is drawn."""
    pattern = build("line-pairs", {"luminance": 5, "dark_luminance": 40})
    assert_areas_are_pixels(pattern.draw(SIGNALS[kind]).frame(0), pattern.claims(SIGNALS[kind]))
