"""Block steps: codes against colour-science (BT.1886, ST 2084, BT.2100), blocks on a coder's grid.

H.264, H.265 and H.262 code blocks of 8 by 8 pixels and multiples from the top left corner (from memory).
"""

from itertools import pairwise

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose, Region
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.registry import build
from tests.patterns.outside_light import xyz_of

SDR = parse_signal_format("1080p24-sdr")
SIGNALS = {
    name: parse_signal_format(name)
    for name in ("1080p24-sdr", "2160p60-pq", "1080p50-hlg", "576i25-sdr", "720p60-pq")
}


def regions(signal: SignalFormat, **keys: object) -> dict[str, Region]:
    """Claimed regions by name."""
    return {region.name: region for region in build("block-steps", keys).claims(signal).regions}


@pytest.mark.parametrize("name", ["1080p24-sdr", "2160p60-pq", "1080p50-hlg"])
def test_levels_are_the_nearest_codes(name: str) -> None:
    """The first row has the code nearest in signal to 0.1 cd/m², the last that of 10; others lie evenly."""
    signal = SIGNALS[name]
    grounds = [regions(signal)[f"row-{row}-ground"].code for row in range(1, 6)]
    for code, luminance in ((grounds[0], 0.1), (grounds[-1], 10.0)):
        below, above = ((code[0] + step, *code[1:]) for step in (-1, 1))
        assert xyz_of(signal, below)[1] < luminance < xyz_of(signal, above)[1]
        away = abs(xyz_of(signal, code)[1] - luminance)
        assert away <= min(abs(xyz_of(signal, each)[1] - luminance) for each in (below, above))
    gaps = [after[0] - before[0] for before, after in pairwise(grounds)]
    assert max(gaps) - min(gaps) <= 1


@pytest.mark.parametrize("name", SIGNALS)
@pytest.mark.parametrize("size", [8, 16])
def test_blocks_are_steps_apart_on_the_grid(name: str, size: int) -> None:
    """Two by two blocks of each field: apart by the step, around the ground, at multiples of their side."""
    signal, keys = SIGNALS[name], {"block_size": str(size)}
    claimed = regions(signal, **keys)
    plane = build("block-steps", keys).draw(signal).frame(0).planes[0]
    for row in range(1, 6):
        ground = claimed[f"row-{row}-ground"]
        assert Purpose.MEASURE is ground.purpose
        assert [ground.code[0]] == np.unique(plane[ground.rect.slices]).tolist()
        for step in range(1, 7):
            low, high = (claimed[f"row-{row}-step-{step}-{which}"] for which in ("low", "high"))
            assert step == high.code[0] - low.code[0]
            assert step // 2 == ground.code[0] - low.code[0]
            rect = low.rect
            assert (0, 0) == (rect.x % size, rect.y % size)
            assert (rect.x + size, rect.y, size, size) == (
                high.rect.x, high.rect.y, high.rect.width, high.rect.height,
            )  # fmt: skip
            four = plane[rect.y : rect.y + 2 * size, rect.x : rect.x + 2 * size].reshape(2, size, 2, size)
            assert (four == four[:, :1, :, :1]).all()
            one, other = low.code[0], high.code[0]
            assert [[one, other], [other, one]] == four[:, 0, :, 0].tolist()


def test_only_blocks_and_words_differ_from_the_ground() -> None:
    """In each row: its ground, codes up to three away, words 15 % above; at its end the ground alone."""
    plane = build("block-steps", {}).draw(SDR).frame(0).planes[0]
    for row, ground in enumerate(regions(SDR)[f"row-{row}-ground"].code[0] for row in range(1, 6)):
        codes = np.unique(plane[216 * row : 216 * (row + 1)]).tolist()
        assert [*range(ground - 3, ground + 4), ground + 33] == codes  # 15 % of 219 codes are 32.9
        assert [ground] == np.unique(plane[216 * (row + 1) - 12 : 216 * (row + 1)]).tolist()


def test_words_hide() -> None:
    """At 0 % they are the ground."""
    plane = build("block-steps", {"label_percent": 0, "levels": 1, "steps": 1}).draw(SDR).frame(0).planes[0]
    assert 2 == np.unique(plane).size


def test_large_blocks_and_many_steps() -> None:
    """Twelve steps at two levels in blocks of 64 pixels fit 2160 lines; each has its two claimed blocks."""
    claimed = regions(parse_signal_format("2160p24-pq"), block_size="64", levels=2, steps=12)
    assert 2 * (1 + 2 * 12) == len(claimed)
    assert {64} == {region.rect.width for name, region in claimed.items() if "step" in name}


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            {"block_size": "64"},
            "blocks of 64 pixels do not fit 8 times 12 fields; "
            "use smaller blocks, fewer levels or fewer steps",
        ),
        (
            {"first_code": 4},
            "12 steps around codes 4 to 100 pass 1 or 254; use levels further inside or fewer steps",
        ),
    ],
)
def test_what_does_not_fit_is_refused(keys: dict[str, object], said: str) -> None:
    """Blocks too large for their fields, and steps that leave the codes there are."""
    pattern = build("block-steps", {"levels": 8, "steps": 12, **keys})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput) as caught:
            refused(SDR)
        assert f"block-steps: {said}" == str(caught.value)
