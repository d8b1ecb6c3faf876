"""Sequences: pictures in order, each held for whole frames; times of common practice, no source."""

from fractions import Fraction

import pytest

from knownlight.frame.claims import Hazard
from knownlight.frame.format import parse_signal_format
from knownlight.frame.sources import Hold, Sequence
from patterns.registry import build

FILM = parse_signal_format("1080p23.976-pq")
AREAS = (1, 2, 3, 4, 5, 8, 10, 18, 25, 35, 50, 75, 100)


def rounds(name: str, **keys: object) -> Sequence:
    source = build(name, keys).draw(FILM)
    assert isinstance(source, Sequence)
    return source


def test_loading_sequence_rests_before_each_window() -> None:
    """Thirteen windows of rising area, a rest of the same picture before each (areas: common practice)."""
    source = rounds("loading-sequence")
    claims = build("loading-sequence", {}).claims(FILM)

    assert [0, 1, 0, 2, 0, 3] == [hold.picture for hold in source.holds[:6]]
    assert 2 * len(AREAS) == len(source.holds)
    pixels = [claims.pictures[number + 1].areas[(940, 512, 512)] for number in range(len(AREAS))]  # type: ignore[index]
    shares = [100.0 * count / (FILM.width * FILM.height) for count in pixels]
    assert [pytest.approx(area, rel=0.01) for area in AREAS] == shares  # even sizes move a share by 1 %


def test_times_are_the_nearest_whole_frames() -> None:
    """Ten seconds of 23.976 are 240 frames (239.76), five are 120 (119.88); the round states its length."""
    source = rounds("loading-sequence", areas="short")

    assert {120, 240} == {hold.frames for hold in source.holds}
    pattern = build("loading-sequence", {"areas": "short"})
    assert Fraction(6 * 360 * 1001, 24000) == pattern.natural_seconds(FILM)
    assert float(Fraction(6 * 360 * 1001, 24000)) == pattern.claims(FILM).notes["round_seconds"]


def test_grey_sequence_is_even_in_signal() -> None:
    """Five greys of 10 bits from 0 to 100 % are codes 64, 283, 502, 721, 940 (BT.2100 Table 9)."""
    claims = build("grey-sequence", {"count": 5}).claims(FILM)

    assert [64, 283, 502, 721, 940] == [each.regions[0].code[0] for each in claims.pictures]
    assert [f"grey-0{number}" for number in (1, 2, 3, 4, 5)] == [
        each.regions[0].name for each in claims.pictures
    ]


def test_a_rest_is_one_picture_however_often_it_comes() -> None:
    """Equal pictures are drawn and claimed once."""
    source = rounds("loading-sequence", areas="short")

    assert 7 == len({hold.picture for hold in source.holds})
    assert 7 == len(build("loading-sequence", {"areas": "short"}).claims(FILM).pictures)


def test_flash_is_told_and_rests_first() -> None:
    """Two seconds after ten of black (common practice, no source), with the caution for flashes."""
    pattern = build("flash", {})
    source = rounds("flash")

    assert (Hold(0, 240), Hold(1, 48)) == source.holds
    assert frozenset({Hazard.FLASHING}) == pattern.claims(FILM).hazards
    assert [64, 940] == [each.regions[0].code[0] for each in pattern.claims(FILM).pictures]


@pytest.mark.parametrize("frames", [1, 240, 241, 288, 600, 1000])
def test_plan_fills_the_clip(frames: int) -> None:
    """The plan of a clip adds up to its frames and shows at every frame the picture that frame() shows."""
    source = rounds("flash")
    plan = source.plan(frames)

    assert frames == sum(hold.frames for hold in plan)
    shown = [hold.picture for hold in plan for _ in range(hold.frames)]
    assert [0 if index % 288 < 240 else 1 for index in range(frames)] == shown
    for index in {0, min(239, frames - 1), frames - 1}:
        assert source.frame(index) is source.picture(shown[index])
