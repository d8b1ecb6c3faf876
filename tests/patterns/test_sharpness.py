"""Sharpness: contrasts in signal (H.273 clause 8.3), lines alone on their grey (layout: no source)."""

from itertools import combinations

import numpy as np
import pytest

from knownlight.errors import BadInput
from patterns.patches import overlap
from patterns.registry import build
from patterns.sharpness import WIDTHS
from patterns.tiled import TiledLayout
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels

SDR = SIGNALS["sdr-8"]


def layout_in(height: int) -> TiledLayout:
    """The layout in SDR at a size."""
    layout = build("sharpness", {}).layout(SDR.resized(height))  # type: ignore[attr-defined]
    assert isinstance(layout, TiledLayout)
    return layout


# 50 % of narrow 8 bits is 125.5, which goes to 126: 50.228 % of signal. 5 % more or less is 10.95 codes, 25 %
# are 54.75: 136.95, 115.05, 180.75 and 71.25. At 10 bits 502 and 43.8 or 219 codes of 876.
@pytest.mark.parametrize(
    ("kind", "expected"), [("sdr-8", [137, 115, 181, 71]), ("pq-10", [546, 458, 721, 283])]
)
def test_contrasts_are_shares_of_signal(kind: str, expected: list[int]) -> None:
    """Boxes and lines of a row have one code, so much above or below the grey."""
    pattern, signal = build("sharpness", {}), SIGNALS[kind]
    regions = pattern.claims(signal).regions
    assert ["box+5%", "box-5%", "box+25%", "box-25%"] == [region.name for region in regions]
    assert expected == [region.code[0] for region in regions]
    plane = pattern.draw(signal).frame(0).planes[0]
    back = signal.quantisation.luma_code(0.5)
    for row, code in enumerate(expected):
        for field in layout_in(720).fields[7 * row : 7 * row + 7]:
            assert sorted([code, int(back)]) == np.unique(plane[field.rect.slices]).tolist()


def test_lines_are_as_thin_as_stated_and_alone() -> None:
    """Each field has lines of its width with at least eight times as much grey between them."""
    plane = build("sharpness", {}).draw(SDR).frame(0).planes[0]
    for index, field in enumerate(layout_in(720).fields):
        place = index % 7
        part = plane[field.rect.slices] != 126
        line = part[0] if place != 3 and place // 3 != 1 else part[:, 0]
        changes = np.flatnonzero(np.diff(line.astype(np.int8)))
        starts, ends = changes[::2], changes[1::2]
        if line[0]:
            starts, ends = changes[1::2], changes[2::2]
        width = WIDTHS[place % 3] if place < 6 else 2
        widths = ends[: len(starts)] - starts[: len(ends)]
        assert {width} == set(widths.tolist())
        assert np.diff(starts).min() - width >= 7 * width


def test_boxes_have_nothing_around_them() -> None:
    """A pixel outside each box there is grey and a pixel inside there is not: the edge is one step."""
    pattern = build("sharpness", {})
    plane = pattern.draw(SDR).frame(0).planes[0]
    for region in pattern.claims(SDR).regions:
        rect = region.rect
        outside = plane[rect.y - 1 : rect.bottom + 1, rect.x - 1 : rect.right + 1].copy()
        assert [region.code[0]] == np.unique(plane[rect.slices]).tolist()
        outside[1:-1, 1:-1] = 126
        assert [126] == np.unique(outside).tolist()


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_parts_are_apart(height: int) -> None:
    """Fields, boxes and words do not overlap and lie inside the picture."""
    layout, signal = layout_in(height), SDR.resized(height)
    everything = [
        *(field.rect for field in layout.fields),
        *(patch.rect for patch in layout.patches),
        *(label.rect for label in layout.labels),
    ]
    assert not any(overlap(one, other) for one, other in combinations(everything, 2))
    assert all(rect.right <= signal.width and rect.bottom <= signal.height for rect in everything)


@pytest.mark.parametrize("kind", SIGNALS)
def test_claims_are_the_pixels(kind: str) -> None:
    """Areas are what is drawn, on another grey and with other contrasts too."""
    keys = {"background_luminance": 20, "low_percent": 1.5, "high_percent": 10}
    pattern, signal = build("sharpness", keys), SIGNALS[kind]
    assert_areas_are_pixels(pattern.draw(signal).frame(0), pattern.claims(signal))


@pytest.mark.parametrize(("percent", "said"), [(80, r"\+25 % .* is 105 %"), (20, r"-25 % .* is -5.0\d+ %")])
def test_contrast_that_the_signal_lacks_is_refused(percent: float, said: str) -> None:
    """A grey too near to black or white for the high contrast is refused with what to do."""
    with pytest.raises(
        BadInput, match=said + " of signal; use less contrast, or a background_signal_percent"
    ):
        build("sharpness", {"background_signal_percent": percent}).claims(SIGNALS["pq-10"])
