"""Near-white steps: codes of H.273 clause 8.3 (vectors/code_levels.toml); the layout has no source."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True, max_examples=30)
PQ = parse_signal_format("720p60-pq")


# White and the last allowed code as the vectors have them; a code of 8 bits is 4 of 10 bits and 16 of 12.
# Steps are counted from white, so the ends are the last ones between 90 % (vectors) and the highest code.
@pytest.mark.parametrize(
    ("depth", "code_range", "expected", "white", "highest"),
    [(8, "narrow", range(213, 255), 235, 254), (10, "narrow", range(852, 1017, 4), 940, 1019),
     (12, "narrow", range(3424, 4065, 16), 3760, 4079), (8, "full", range(230, 256), 255, 255),
     (10, "full", range(923, 1024, 4), 1023, 1023)],
)  # fmt: skip
def test_steps_meet_white_and_end_at_the_highest(
    depth: int, code_range: str, expected: range, white: int, highest: int
) -> None:
    """Patches rise by whole steps through white to the highest code, and each lies on that highest code."""
    signal = parse_signal_format("720p24-sdr", depth=depth, code_range=code_range)
    pattern = build("near-white", {})
    claims = pattern.claims(signal)
    codes = [region.code[0] for region in claims.regions]
    assert list(expected) == codes
    assert white in codes
    assert {"white_code": white, "around_code": highest} == dict(claims.notes)
    plane = pattern.draw(signal).frame(0).planes[0]
    for region in claims.regions:
        rect = region.rect
        rim = [
            plane[rect.y - 1, rect.x], plane[rect.bottom, rect.x],
            plane[rect.y, rect.x - 1], plane[rect.y, rect.right],
        ]  # fmt: skip
        assert [highest] * 4 == rim


def test_every_code_may_be_shown() -> None:
    """A step of one shows each code from the limit to the highest once."""
    regions = build("near-white", {"limit_code": 920, "step": 1}).claims(PQ).regions
    assert list(range(920, 1020)) == [region.code[0] for region in regions]


def test_labels_hide() -> None:
    """Labels at 0 % are as black as what they lie on."""
    plane = build("near-white", {"label_signal_percent": 0}).draw(PQ).frame(0).planes[0]
    assert [64, *range(852, 1020, 4), 1019] == np.unique(plane).tolist()


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"limit_code": 1016}, "a limit of code 1016 gives 1 patches by steps of 4; use a limit of code 380"),
        ({"limit_code": 1019}, "a limit of code 1019 gives 0 patches by steps of 4; use a limit of code 380"),
        (
            {"limit_code": 859, "step": 1},
            "a limit of code 859 gives 161 patches by steps of 1; use a limit of code 860 to 1018, or",
        ),
    ],
)
def test_limits_that_do_not_fit(keys: dict[str, int], said: str) -> None:
    """A limit too near to the highest code or too far from it is refused with the limits that fit."""
    with pytest.raises(BadInput) as caught:
        build("near-white", keys).claims(PQ)
    assert str(caught.value).startswith(f"near-white: {said}")


@STEADY
@given(st.integers(860, 1010), st.integers(1, 8), st.integers(4, 1019))
def test_claims_are_the_pixels(limit: int, step: int, label: int) -> None:
    """Patches are even and apart, hold their codes, and the areas are the pixels."""
    pattern = build("near-white", {"limit_code": limit, "step": step, "label_code": label})
    plane = pattern.draw(PQ).frame(0).planes[0]
    claims = pattern.claims(PQ)
    covered = np.zeros(plane.shape, dtype=np.uint8)
    for region in claims.regions:
        rect = region.rect
        assert not any(number % 2 for number in (rect.x, rect.y, rect.width, rect.height))
        covered[rect.slices] += 1
        assert [region.code[0]] == np.unique(plane[rect.slices]).tolist()
    assert 1 == covered.max()
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
