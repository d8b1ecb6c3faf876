"""Gradients in bands: course by numpy in float64, bits by BT.2100-2 Table 9 (layout: no source)."""

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from patterns.patches import Layout, overlap
from patterns.registry import build
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels

PQ = SIGNALS["pq-10"]
DIRECTIONS = ("horizontal", "vertical", "diagonal", "radial")
HALF = 0.5 + 1e-9  # codes: to the nearest; the rest is float64
RING = 1.0  # pixels: a radius is cut to steps of half a pixel, and the middle, half a pixel away, counts as 0


def layout_in(signal: SignalFormat, direction: str) -> Layout:
    """The flat layout."""
    layout = build("gradient-bands", {"direction": direction}).layout(signal)  # type: ignore[attr-defined]
    assert isinstance(layout, Layout)
    return layout


def bands(signal: SignalFormat, keys: dict[str, object]) -> list[NDArray[np.integer]]:
    """The luma of every band, from most bits to fewest."""
    plane = build("gradient-bands", keys).draw(signal).frame(0).planes[0]
    rects: list[Rect] = [patch.rect for patch in layout_in(signal, str(keys["direction"])).patches]
    return [plane[rect.slices] for rect in rects]


def share(direction: str, rows: int, columns: int) -> NDArray[np.float64]:
    """How far along the gradient each pixel is, 0 to 1."""
    y, x = np.indices((rows, columns)).astype(np.float64)
    if direction == "radial":
        middle_y, middle_x = (rows - 1) / 2.0, (columns - 1) / 2.0
        distance = np.hypot(y - middle_y, x - middle_x)
        return np.asarray(distance / distance.max())
    along = {"horizontal": x, "vertical": y, "diagonal": x + y}[direction]
    return np.asarray(along / along.max())


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_the_first_band_is_straight(direction: str) -> None:
    """At the signal's own bits each code is the nearest one on the way from 64 to 940, or a ring from it."""
    part = bands(PQ, {"direction": direction})[0]
    exact = 64.0 + 876.0 * share(direction, *part.shape)
    ring = RING * 876.0 / np.hypot(*part.shape) * 2.0 if direction == "radial" else 0.0
    assert np.abs(part - exact).max() <= HALF + ring
    assert (64, 940) == (part.min(), part.max())


# BT.2100-2 Table 9: narrow range of n bits is that of 8 bits times 2^(n - 8): fewer bits are codes that are
# multiples of a power of 2.
@pytest.mark.parametrize("direction", DIRECTIONS)
def test_bands_have_fewer_and_fewer_bits(direction: str) -> None:
    """The same gradient at 10, 8, 7 and 6 bits: codes of a band are the finer band's with bits cut off."""
    signal = PQ.resized(1080)
    found = bands(signal, {"direction": direction})
    assert ["10 BIT", "8 BIT", "7 BIT", "6 BIT"] == [
        label.text for label in layout_in(signal, direction).labels
    ]
    for part, step in zip(found, (1, 4, 8, 16), strict=True):
        codes = np.unique(part)
        assert (codes % step == 0).all()
        assert len(range(64 // step, 940 // step + 1)) >= codes.size > 876 // step // 2
        if part.shape == found[0].shape:
            np.testing.assert_array_equal(found[0] // step * step, part)


@pytest.mark.parametrize(("kind", "expected"), [("sdr-8", 3), ("hlg-10", 4), ("hlg-12-full-rgb", 5)])
def test_a_signal_shows_the_bits_that_it_has(kind: str, expected: int) -> None:
    """Eight bits have three bands, ten have four, twelve have five."""
    assert expected == len(layout_in(SIGNALS[kind], "radial").patches)


@pytest.mark.parametrize("kind", SIGNALS)
@pytest.mark.parametrize("direction", DIRECTIONS)
def test_claims_are_the_pixels(direction: str, kind: str) -> None:
    """Areas and places are what is drawn, upwards and downwards between other levels too."""
    keys = {"direction": direction, "first_signal_percent": 61.5, "last_signal_percent": 3}
    pattern, signal = build("gradient-bands", keys), SIGNALS[kind]
    frame, claims = pattern.draw(signal).frame(0), pattern.claims(signal)
    assert_areas_are_pixels(frame, claims)
    assert bool(claims.regions) == (direction in ("horizontal", "vertical"))
    for region in claims.regions:
        assert [region.code[0]] == np.unique(frame.planes[0][region.rect.slices]).tolist()


@pytest.mark.parametrize("kind", SIGNALS)
@pytest.mark.parametrize("direction", DIRECTIONS)
def test_hues_are_straight_in_the_signal(direction: str, kind: str) -> None:
    """Between two hues each of the three codes runs as a grey's would; blocks of two pixels have one colour.

    At every bit depth the lowest bits are cut off, in colour difference too; areas are the pixels.
    """
    signal = SIGNALS[kind]
    keys = {
        "direction": direction,
        "first_colour": "red",
        "last_colour": "cyan",
        "first_signal_percent": 40,
        "last_signal_percent": 60,
    }
    pattern = build("gradient-bands", keys)
    frame, claims = pattern.draw(signal).frame(0), pattern.claims(signal)
    assert_areas_are_pixels(frame, claims)
    for rect in (patch.rect for patch in layout_in(signal, direction).patches):
        luma = frame.planes[0][rect.slices]
        np.testing.assert_array_equal(luma[0::2, 0::2], luma[1::2, 1::2])
    band = layout_in(signal, direction).patches[0].rect
    if not claims.regions:  # only straight ones claim their ends
        return
    ends = zip(claims.regions[0].code, claims.regions[2].code, strict=True)
    for plane, (first, last) in zip(frame.planes, ends, strict=True):
        each = signal.height // plane.shape[0]
        part = plane[band.y // each : band.bottom // each, band.x // each : band.right // each]
        part = part[:: 2 // each, :: 2 // each]
        assert np.abs(part - (first + (last - first) * share(direction, *part.shape))).max() <= HALF


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("height", [720, 1080, 2160])
def test_parts_are_apart(height: int, direction: str) -> None:
    """Bands and words do not overlap; with the strips for the words they fill the picture."""
    signal = PQ.resized(height)
    layout = layout_in(signal, direction)
    everything = [*(patch.rect for patch in layout.patches), *(label.rect for label in layout.labels)]
    assert not any(overlap(one, other) for one, other in combinations(everything, 2))
    filled = sum(patch.rect.area for patch in layout.patches) / (signal.width * height)
    assert 0.85 < filled < 1.0
