"""Highlight steps: rows by ST 2084 as colour-science has it and by H.273 clause 8.3; layout: no source."""

import warnings
from itertools import groupby, pairwise

import numpy as np
import pytest

from knownlight.frame.claims import Purpose, Region
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.registry import build

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models


def rows(signal: SignalFormat, **keys: int) -> dict[str, list[Region]]:
    """Regions of each row by its name."""
    regions = build("highlight-steps", keys).claims(signal).regions
    return {name: list(row) for name, row in groupby(regions, key=lambda each: each.name.split("-code")[0])}


@pytest.mark.parametrize(
    ("depth", "code_range", "black", "white", "step"),
    [(10, "narrow", 64, 940, 4), (12, "narrow", 256, 3760, 16), (10, "full", 0, 1023, 4)],
)
def test_pq_rows_are_at_their_luminance(
    depth: int, code_range: str, black: int, white: int, step: int
) -> None:
    """The measured middle of each row is the nearest code to 600 ... 10 000 cd/m², with five steps each way.

    Codes: the inverse EOTF of colour-science. Above white PQ means nothing, so the last row has none there.
    """
    found = rows(parse_signal_format("720p60-pq", depth=depth, code_range=code_range))
    levels = [600, 1000, 2000, 4000, 10000]
    assert [f"row-{level}" for level in levels] == list(found)
    for level, row in zip(levels, found.values(), strict=True):
        signal = float(colour.models.eotf_inverse_ST2084(level))
        middle = int(np.floor(black + (white - black) * signal + 0.5))
        assert [middle] == [region.code[0] for region in row if region.purpose is Purpose.MEASURE]
        expected = [middle + step * place for place in range(-5, 6) if middle + step * place <= white]
        assert expected == [region.code[0] for region in row]
        assert (6 if level == 10000 else 11) == len(row)


# 90, 100 and 105 % as vectors/code_levels.toml has them.
@pytest.mark.parametrize(
    ("written", "code_range", "depth", "middles"),
    [
        ("720p24-sdr", "narrow", 8, [213, 235, 246]),
        ("720p24-sdr", "narrow", 10, [852, 940, 984]),
        ("720p50-hlg", "narrow", 10, [852, 940, 984]),
        ("720p50-hlg", "narrow", 12, [3410, 3760, 3935]),
        ("720p24-sdr", "full", 8, [230, 255]),
        ("720p50-hlg", "full", 12, [3686, 4095]),
    ],
)
def test_other_signals_have_rows_around_white(
    written: str, code_range: str, depth: int, middles: list[int]
) -> None:
    """SDR and HLG have rows at 90 % and 100 % and, at narrow range, in super-white."""
    found = rows(parse_signal_format(written, code_range=code_range, depth=depth))
    assert middles == [
        region.code[0] for row in found.values() for region in row if region.purpose is Purpose.MEASURE
    ]
    assert [f"row-{percent}" for percent in (90, 100, 105)][: len(middles)] == list(found)


def test_no_code_passes_the_highest() -> None:
    """A wide step ends where the codes do: 246 and one step of 8 is 254 of 8 bits."""
    found = rows(parse_signal_format("720p24-sdr"), step=8)
    assert [206, 214, 222, 230, 238, 246, 254] == [region.code[0] for region in found["row-105"]]


@pytest.mark.parametrize("written", ["720p60-pq", "1080p24-sdr", "2160p50-hlg"])
def test_every_patch_lies_on_its_row(written: str) -> None:
    """Above and below each patch is its row's level; patches of a row are apart and of one height."""
    signal = parse_signal_format(written)
    plane = build("highlight-steps", {}).draw(signal).frame(0).planes[0]
    for row in rows(signal).values():
        middle = next(region.code[0] for region in row if region.purpose is Purpose.MEASURE)
        assert 1 == len({(region.rect.y, region.rect.height) for region in row})
        for region in row:
            rect = region.rect
            above, below = plane[rect.y - 1, rect.x : rect.right], plane[rect.bottom, rect.x : rect.right]
            assert [middle] == np.unique([above, below]).tolist()
        assert all(left.rect.right < right.rect.x for left, right in pairwise(row))
