"""Colour gradients: ends and course by BT.709-6 and BT.2020-2, by hand and in float64 (layout: no source)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat
from patterns.colours import HUES
from patterns.registry import build
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels

STEADY = settings(deadline=None, derandomize=True, max_examples=40)
SDR, PQ, SDR_444 = SIGNALS["sdr-8"], SIGNALS["pq-10"], SIGNALS["sdr-8-444"]
ONE = 1.0 + 1e-9  # codes: both ends are rounded, and so is what lies between them


def line_of(signal: SignalFormat, keys: dict[str, object]) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    """The triples of a horizontal gradient, one for every two pixels."""
    planes = build("colour-gradient", keys).draw(signal).frame(0).planes
    lines = [plane[0, :: 2 * plane.shape[1] // signal.width] for plane in planes]
    return np.stack(lines, axis=-1).astype(np.int64)


# 50 % of 8 bits is code 126, 0.50228 of signal. With KR 0.2126 and KB 0.0722 red has Y' 0.10678, Cb -0.05755,
# Cr 0.25114: 39.4, 115.1, 184.3. Blue has Y' 0.03626, Cb 0.25114, Cr -0.02303: 23.9, 184.3, 122.8.
def test_ends_are_the_stated_colours() -> None:
    """The first and the last position have the codes of both hues."""
    line = line_of(SDR, {})
    assert [39, 115, 184] == line[0].tolist()
    assert [24, 184, 123] == line[-1].tolist()


# Codes of R', G', B' on the way from (1, 1, 0) to (0, 0, 1) at 100 %, through the matrix of BT.709-6: Y' with
# 219 codes, Cb = (B' - Y') / 1.8556 and Cr = (R' - Y') / 1.5748 with 224.
def test_the_way_is_straight_in_signal() -> None:
    """Every position is within a code of the straight line in R'G'B'."""
    keys = {"first_colour": "yellow", "last_colour": "blue"}
    levels = {"first_signal_percent": 100, "last_signal_percent": 100}
    line = line_of(SDR_444, {**keys, **levels})
    blue = np.linspace(0.0, 1.0, len(line))
    red = green = 1.0 - blue
    luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    exact = np.stack(
        [
            16 + 219 * luma,
            128 + 224 * (blue - luma) / 1.8556,
            128 + 224 * (red - luma) / 1.5748,
        ],
        axis=-1,
    )
    assert np.abs(line - exact).max() <= ONE


@pytest.mark.parametrize("kind", SIGNALS)
def test_two_pixels_share_a_position(kind: str) -> None:
    """In every format columns change in pairs, so that a chroma sample belongs to one position."""
    signal = SIGNALS[kind]
    for plane in build("colour-gradient", {}).draw(signal).frame(0).planes:
        each = signal.width // plane.shape[1]
        row = plane[0].repeat(each)
        np.testing.assert_array_equal(row[::2], row[1::2])
        assert (plane == plane[0]).all()


@pytest.mark.parametrize("bits", [8, 7, 6])
def test_fewer_bits_are_codes_with_bits_cut_off(bits: int) -> None:
    """Each of the three codes is the one of ten bits without its lowest bits (BT.2100-2 Table 9)."""
    step = 1 << (10 - bits)
    np.testing.assert_array_equal(line_of(PQ, {}) // step * step, line_of(PQ, {"bits": bits}))


def test_a_vertical_gradient_is_the_horizontal_one_turned() -> None:
    """It runs from top to bottom between the same ends, the same across."""
    planes = build("colour-gradient", {"direction": "vertical"}).draw(PQ).frame(0).planes
    line = line_of(PQ, {})
    for plane, first, last in zip(planes, line[0], line[-1], strict=True):
        assert (plane == plane[:, :1]).all()
        assert [first, last] == plane[[0, -1], 0].tolist()
        assert 1 == len({*np.sign(np.diff(plane[:, 0].astype(np.int64))).tolist()} - {0})


@STEADY
@given(
    st.fixed_dictionaries(
        {
            "first_colour": st.sampled_from([*HUES]),
            "last_colour": st.sampled_from([*HUES]),
            "direction": st.sampled_from(["horizontal", "vertical"]),
            "bits": st.sampled_from([0, 6, 8]),
            "first_signal_percent": st.integers(5, 95),
        }
    ),
    st.sampled_from([*SIGNALS]),
)
def test_claims_are_the_pixels(keys: dict[str, object], kind: str) -> None:
    """Areas and places are what is drawn between any two hues, equal ones too."""
    pattern, signal = build("colour-gradient", keys), SIGNALS[kind]
    frame, claims = pattern.draw(signal).frame(0), pattern.claims(signal)
    assert_areas_are_pixels(frame, claims)
    for region in claims.regions:
        rect = region.rect
        assert {0} == {number % 2 for number in (rect.x, rect.y, rect.width, rect.height)}
        for plane, code in zip(frame.planes, region.code, strict=True):
            each = signal.width // plane.shape[1]
            part = plane[rect.y // each : rect.bottom // each, rect.x // each : rect.right // each]
            assert [code] == np.unique(part).tolist()


@pytest.mark.parametrize("bits", [5, 10])
def test_bits_that_there_are_not_are_refused(bits: int) -> None:
    """Eight bits are not cut to ten, and fewer than six are no gradient."""
    with pytest.raises(BadInput, match=f"bits={bits} of a 8-bit signal; use 6 to 8, or 0"):
        build("colour-gradient", {"bits": bits}).claims(SDR)


def test_a_hue_outside_the_signal_is_refused() -> None:
    """SDR has no red of BT.2020."""
    with pytest.raises(BadInput, match=r"colour-gradient: .*lies outside bt709"):
        build("colour-gradient", {"gamut": "bt2020"}).claims(SDR)
