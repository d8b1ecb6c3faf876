"""Near-black steps: every code once (codes: H.273 clause 8.3, code_levels.toml; layout: no source)."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True)
PQ = parse_signal_format("720p60-pq")
HLG_12_FULL = parse_signal_format("720p50-hlg", depth=12, code_range="full")


# 4 % and 12 % of the vectors and by hand: 99 and 64 + 105.12 = 169 at 10 bits, 25 and 16 + 26.28 = 42 at 8,
# 396 and 256 + 420.48 = 676 at 12, 41 and 122.76 = 123 at 10 bits full.
@pytest.mark.parametrize(
    ("depth", "code_range", "black", "limit", "label"),
    [(8, "narrow", 16, 25, 42), (10, "narrow", 64, 99, 169), (12, "narrow", 256, 396, 676),
     (10, "full", 0, 41, 123)],
)  # fmt: skip
def test_every_code_once(depth: int, code_range: str, black: int, limit: int, label: int) -> None:
    """Every code of the depth from black to 4 % has one patch, in reading order, and is nowhere else."""
    signal = parse_signal_format("720p24-sdr", depth=depth, code_range=code_range)
    pattern = build("near-black", {})
    regions = pattern.claims(signal).regions
    expected = list(range(black, limit + 1))
    assert expected == [region.code[0] for region in regions]
    assert [f"code-{code}" for code in expected] == [region.name for region in regions]
    for before, after in pairwise(region.rect for region in regions):
        assert after.y > before.y or (after.y == before.y and after.x >= before.x + before.width)
    plane = pattern.draw(signal).frame(0).planes[0]
    codes, counts = np.unique(plane, return_counts=True)
    assert [*expected, label] == codes.tolist()
    drawn = dict(zip(codes.tolist(), counts.tolist(), strict=True))
    for region in regions[1:]:
        assert region.rect.width * region.rect.height == drawn[region.code[0]]


# The alphabet of knownlight.frame.glyphs, counted by hand: 6 has 15 dots and 4 has 14, each 2 by 2 pixels at
# 720 rows.
def test_a_patch_has_its_label_below() -> None:
    """The room below the first patch holds its label and nothing else."""
    signal = parse_signal_format("720p24-sdr", depth=10)
    pattern = build("near-black", {})
    plane = pattern.draw(signal).frame(0).planes[0]
    first, second = pattern.claims(signal).regions[:2]
    below = plane[first.rect.y + first.rect.height : first.rect.y + 2 * first.rect.height]
    cell = below[: first.rect.height // 2, : second.rect.x]
    codes, counts = np.unique(cell, return_counts=True)
    assert [64, 169] == codes.tolist()
    assert (15 + 14) * 4 == counts[1]


def test_labels_hide() -> None:
    """Labels at 0 % are as black as what they lie on."""
    plane = build("near-black", {"label_signal_percent": 0}).draw(PQ).frame(0).planes[0]
    assert list(range(64, 100)) == np.unique(plane).tolist()


@pytest.mark.parametrize(
    ("limit", "said"),
    [
        (
            64,
            "near-black: the limit is code 64 and black is 64; 1 patches do not fit: use a limit of code 65",
        ),
        (4, "near-black: the limit is code 4 and black is 64; 0 patches do not fit: use a limit of code 65"),
        (
            224,
            "near-black: the limit is code 224 and black is 64; 161 patches do not fit: "
            "use a limit of code 65 to 223",
        ),
    ],
)
def test_limits_that_do_not_fit(limit: int, said: str) -> None:
    """A limit at or below black, or too far above it, is refused with the limits that fit."""
    pattern = build("near-black", {"limit_code": limit})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput) as caught:
            refused(PQ)
        assert str(caught.value).startswith(said)


# 4 % of 4095 is code 164 (vectors/code_levels.toml), and 0 to 164 are 165 patches.
def test_the_default_does_not_fit_twelve_bits_at_full_range() -> None:
    """At 12 bits full range the default limit is refused, and the limit that the message names is drawn."""
    with pytest.raises(BadInput, match="165 patches do not fit: use a limit of code 1 to 159"):
        build("near-black", {}).claims(HLG_12_FULL)
    regions = build("near-black", {"limit_code": 159}).claims(HLG_12_FULL).regions
    assert list(range(160)) == [region.code[0] for region in regions]


@STEADY
@given(st.integers(65, 223), st.integers(4, 1019))
def test_claims_are_the_pixels(limit: int, label: int) -> None:
    """Patches are even, apart from each other, and hold their codes; areas are the pixels."""
    pattern = build("near-black", {"limit_code": limit, "label_code": label})
    plane = pattern.draw(PQ).frame(0).planes[0]
    claims = pattern.claims(PQ)
    assert list(range(64, limit + 1)) == [region.code[0] for region in claims.regions]
    covered = np.zeros(plane.shape, dtype=np.uint8)
    for region in claims.regions:
        rect = region.rect
        assert not any(number % 2 for number in (rect.x, rect.y, rect.width, rect.height))
        place = slice(rect.y, rect.y + rect.height), slice(rect.x, rect.x + rect.width)
        covered[place] += 1
        assert [region.code[0]] == np.unique(plane[place]).tolist()
    assert 1 == covered.max()
    assert set(np.unique(plane[covered == 0]).tolist()) <= {64, label}
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
