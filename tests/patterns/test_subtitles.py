"""Subtitles: default level by BT.2408 (known second-hand); text and places are ours, no source."""

import numpy as np
import pytest

from knownlight.frame.format import parse_signal_format
from patterns.registry import build

GLYPH_SIDES = 6  # dots: the first and last glyph may leave theirs empty


# 58 % of PQ is 573 - 1 = 572 of 10 bits: 64 + 508.08; ST 2084 (vectors/pq.toml) has 203 cd/m² at code 573.
def test_the_default_is_the_level_of_graphics() -> None:
    """PQ text is one code from the 203 cd/m² of BT.2408."""
    signal = parse_signal_format("1080p60-pq")
    plane = build("subtitles", {}).draw(signal).frame(0).planes[0]
    assert [64, 572] == np.unique(plane).tolist()


@pytest.mark.parametrize("written", ["720p24-sdr", "1080p60-pq", "2160p50-hlg"])
@pytest.mark.parametrize("lines", [1, 2])
def test_text_stands_near_the_bottom(written: str, lines: int) -> None:
    """The text is in the lower quarter, in the middle from side to side, and ends at nine tenths."""
    signal = parse_signal_format(written)
    plane = build("subtitles", {"lines": lines}).draw(signal).frame(0).planes[0]
    rows, columns = np.nonzero(plane != signal.quantisation.black)
    assert signal.height * 3 / 4 < rows.min()
    assert signal.height * 9 // 10 - 1 == rows.max()
    assert signal.width / 10 < columns.min()
    dot = signal.height // 150
    assert abs(columns.min() + columns.max() + 1 - signal.width) <= GLYPH_SIDES * dot
    used = np.unique(rows)
    runs = np.split(used, np.nonzero(np.diff(used) > 1)[0] + 1)
    assert [7 * dot] * lines == [len(run) for run in runs]


@pytest.mark.parametrize("written", ["720p24-sdr", "1080p60-pq", "4320p50-hlg"])
@pytest.mark.parametrize("lines", [1, 2])
def test_dark_places_are_near_the_text_and_free_of_it(written: str, lines: int) -> None:
    """Four places lie within a tenth of the height of the text, one each side, and none holds any of it."""
    signal = parse_signal_format(written)
    pattern = build("subtitles", {"lines": lines, "background_signal_percent": 5})
    plane = pattern.draw(signal).frame(0).planes[0]
    dark = {region.name: region.rect for region in pattern.claims(signal).regions}
    assert {"above", "left", "right", "below", "middle", "corner"} == set(dark)
    background = int(plane[0, 0])
    rows, columns = np.nonzero(plane != background)
    near = signal.height / 10
    for rect in dark.values():
        assert [background] == np.unique(plane[rect.slices]).tolist()
        assert not any(number % 2 for number in (rect.x, rect.y, rect.width, rect.height))
    gaps = {
        "above": rows.min() - dark["above"].bottom,
        "below": dark["below"].y - rows.max(),
        "left": columns.min() - dark["left"].right,
        "right": dark["right"].x - columns.max(),
    }
    assert all(0 < gap < near for gap in gaps.values()), gaps
    assert dark["below"].bottom <= signal.height
