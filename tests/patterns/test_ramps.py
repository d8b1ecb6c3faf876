"""Ramps and gradients: codes of H.273 clause 8.3; fewer bits as BT.2100-2 Table 9 scales narrow range."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True)
SDR = parse_signal_format("720p24-sdr")
PQ = parse_signal_format("720p60-pq")
SMALL = replace(PQ, width=320, height=180)
KINDS: dict[str, tuple[SignalFormat, list[int], int, int]] = {  # signal, bits of its bands, black, white
    "8": (SDR, [8, 7, 6], 16, 235),
    "10": (PQ, [10, 8, 7, 6], 64, 940),
    "12": (parse_signal_format("720p50-hlg", depth=12), [12, 10, 8, 7, 6], 256, 3760),
    "10-full": (parse_signal_format("720p60-pq", code_range="full"), [10, 8, 7, 6], 0, 1023),
}


def bands(kind: str) -> list[tuple[int, Any]]:
    """Bits and codes along each band of a ramp; every row of a band must be the same."""
    signal, shown, *_ = KINDS[kind]
    plane = build("ramp", {}).draw(signal).frame(0).planes[0]
    found = []
    for index, bits in enumerate(shown):
        top, bottom = (2 * (signal.height * edge // (2 * len(shown))) for edge in (index, index + 1))
        assert (plane[top:bottom] == plane[top]).all()
        found.append((bits, plane[top].astype(np.int64)))
    return found


def assert_claims_hold(claims: Claims, plane: Any) -> None:
    """Regions hold their code and lie in the picture; areas are the histogram."""
    for region in claims.regions:
        rect = region.rect
        assert rect.x + rect.width <= plane.shape[1]
        assert rect.y + rect.height <= plane.shape[0]
        held = plane[rect.y : rect.y + rect.height, rect.x : rect.x + rect.width]
        assert [region.code[0]] == np.unique(held).tolist()
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))


@pytest.mark.parametrize("kind", KINDS)
def test_bands_of_fewer_bits_lack_the_lowest(kind: str) -> None:
    """A band of b bits holds only multiples of 2^(depth - b): the codes of the first band, cut off."""
    signal = KINDS[kind][0]
    (_, whole), *fewer = bands(kind)
    assert len(fewer) >= 2
    for bits, codes in fewer:
        step = 2 ** (signal.depth - bits)
        assert 0 == (codes % step).max()
        assert 0 <= (whole - codes).min()
        assert step - 1 == (whole - codes).max()


@pytest.mark.parametrize("kind", KINDS)
def test_black_stays_exact(kind: str) -> None:
    """Every band starts at black: narrow black is 16 times a power of two, which no cut changes (Table 9)."""
    black = KINDS[kind][2]
    assert {black} == {int(codes[0]) for _, codes in bands(kind)}


@pytest.mark.parametrize("kind", KINDS)
def test_first_band_is_straight(kind: str) -> None:
    """The band at the signal's own depth never falls and lies within half a code of the straight line."""
    signal, _, black, white = KINDS[kind]
    _, codes = bands(kind)[0]
    assert [black, white] == [codes[0], codes[-1]]
    assert (np.diff(codes) >= 0).all()
    intervals = signal.width - 1
    straight = black * intervals + (white - black) * np.arange(signal.width)  # times the intervals: integers
    assert (2 * np.abs(codes * intervals - straight) <= intervals).all()


# A code needs a pixel: 220 and 877 codes fit 1280 pixels, 3505 fit 3840.
@pytest.mark.parametrize(
    ("text", "depth", "black", "white"),
    [("720p24-sdr", 8, 16, 235), ("720p60-pq", 10, 64, 940), ("2160p24-hlg", 12, 256, 3760)],
)
def test_every_code_is_there(text: str, depth: int, black: int, white: int) -> None:
    """Where the picture is wide enough, the first band holds every code from black to white."""
    signal = parse_signal_format(text, depth=depth)
    first_row = build("ramp", {}).draw(signal).frame(0).planes[0][0]
    assert list(range(black, white + 1)) == np.unique(first_row).tolist()


def test_five_places_of_each_band_are_claimed() -> None:
    """Each band has five claimed places, from its first pixel to its last, each a whole run of one code."""
    plane = build("ramp", {}).draw(PQ).frame(0).planes[0]
    claims = build("ramp", {}).claims(PQ)
    expected = [f"{bits}-bit-{place}" for bits in (10, 8, 7, 6) for place in range(1, 6)]
    assert expected == [region.name for region in claims.regions]
    for region in claims.regions:
        row, right = plane[region.rect.y], region.rect.x + region.rect.width
        before, after = row[region.rect.x - 1 : region.rect.x], row[right : right + 1]
        assert region.code[0] not in [*before.tolist(), *after.tolist()]
        assert (region.rect.x == 0) == (region.name[-1] == "1")
        assert (right == PQ.width) == (region.name[-1] == "5")


@STEADY
@given(st.integers(4, 1019), st.integers(4, 1019))
def test_ramp_claims_are_the_pixels(first: int, last: int) -> None:
    """Whatever the ends, rising, falling or flat, regions and areas are the pixels."""
    pattern = build("ramp", {"first_code": first, "last_code": last})
    plane = pattern.draw(SMALL).frame(0).planes[0]
    assert [first, last] == [plane[0, 0], plane[0, -1]]
    assert_claims_hold(pattern.claims(SMALL), plane)


@STEADY
@given(
    st.integers(4, 1019),
    st.integers(4, 1019),
    st.sampled_from(["horizontal", "vertical"]),
    st.sampled_from([0, 6, 7, 8, 9, 10]),
)
def test_gradient_claims_are_the_pixels(first: int, last: int, direction: str, bits: int) -> None:
    """A gradient is the rounded straight line the way it says, its lowest bits cut off, and claims so."""
    keys = {"first_code": first, "last_code": last, "direction": direction, "bits": bits}
    pattern = build("gradient", keys)
    plane = pattern.draw(SMALL).frame(0).planes[0]
    along = plane[0] if direction == "horizontal" else plane[:, 0]
    assert (plane == (along if direction == "horizontal" else along[:, np.newaxis])).all()
    step = 1 if bits == 0 else 2 ** (10 - bits)
    straight = [first + Fraction((last - first) * place, len(along) - 1) for place in range(len(along))]
    expected = [int(value + Fraction(1, 2)) // step * step for value in straight]
    assert expected == along.tolist()
    assert_claims_hold(pattern.claims(SMALL), plane)


# By hand: 64 to 940 down 720 rows; row 359 is 64 + 876 * 359 / 719 = 501.39, row 360 is 502.61.
def test_gradient_by_hand() -> None:
    """A vertical gradient has one code a row, black at the top and white at the bottom."""
    plane = build("gradient", {"direction": "vertical"}).draw(PQ).frame(0).planes[0]
    expected = [64, 501, 503, 940]
    assert [[code] for code in expected] == [np.unique(plane[row]).tolist() for row in (0, 359, 360, 719)]


@pytest.mark.parametrize(
    ("signal", "bits", "said"),
    [
        (SDR, 10, "gradient: bits=10 of a 8-bit signal; use 6 to 8, or 0"),
        (PQ, 12, "gradient: bits=12 of a 10-bit signal; use 6 to 10, or 0"),
        (PQ, 5, "gradient: bits=5 of a 10-bit signal; use 6 to 10, or 0"),
    ],
)
def test_bits_that_a_signal_has_not(signal: SignalFormat, bits: int, said: str) -> None:
    """More bits than the signal has, or fewer than any ramp shows, are refused with what it can show."""
    pattern = build("gradient", {"bits": bits})
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput) as caught:
            refused(signal)
        assert said == str(caught.value)
