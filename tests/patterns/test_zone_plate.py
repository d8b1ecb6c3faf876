"""Zone plate: its phase by numpy in float64, its frequencies by numpy's transform (layout: no source)."""

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from knownlight.frame.geometry import Rect
from patterns.registry import build
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels

SDR = SIGNALS["sdr-8"]
HALF = 0.5 + 1e-4  # a code is the nearest one; the rest is float64 in the phase of some hundred cycles
WINDOW = 32  # pixels that a local frequency is looked at in


def plane_and_middle(height: int, keys: dict[str, float]) -> tuple[NDArray[np.integer], NDArray[np.float64]]:
    """The luma plane, and every pixel's distance from the picture's middle."""
    signal = SDR.resized(height)
    plane = build("zone-plate", keys).draw(signal).frame(0).planes[0]
    rows, columns = (np.arange(length) - (length - 1) / 2.0 for length in plane.shape)
    return plane, np.hypot(rows[:, np.newaxis], columns)


# A cosine of phase 2 pi r² / (diameter x finest) has the frequency 2 r / (diameter x finest): none in the
# middle, one cycle in `finest` pixels at r = diameter / 2.
@pytest.mark.parametrize("finest", [2, 3, 16])
@pytest.mark.parametrize(
    ("height", "percent", "diameter"), [(720, 50.0, 360), (720, 25.0, 180), (1080, 33.0, 356)]
)
def test_the_plate_is_a_cosine_of_the_squared_distance(
    finest: int, height: int, percent: float, diameter: int
) -> None:
    """Each code is the nearest to numpy's cosine inside the rim, and the middle of both levels outside it."""
    plane, distance = plane_and_middle(height, {"finest_pixels": finest, "diameter_percent": percent})
    wave = (235 + 16) / 2.0 + (235 - 16) / 2.0 * np.cos(2.0 * np.pi * distance**2 / (diameter * finest))
    inside = distance <= diameter / 2.0
    assert np.abs(plane - wave)[inside].max() <= HALF
    ring = ~inside & (distance < 0.5 * height)
    assert [126] == np.unique(plane[ring]).tolist()


@pytest.mark.parametrize("finest", [2, 4])
def test_frequency_grows_evenly_to_the_stated_finest(finest: int) -> None:
    """In a short window the strongest frequency is that of its middle, and at the rim the finest."""
    plane, _ = plane_and_middle(1080, {"finest_pixels": finest, "diameter_percent": 100.0})
    row = plane[plane.shape[0] // 2]
    for share in (0.25, 0.5, 0.75, 0.97):
        start = row.size // 2 + int(share * 540) - WINDOW // 2
        part = row[start : start + WINDOW].astype(np.float64)
        strength = np.abs(np.fft.rfft((part - part.mean()) * np.hanning(WINDOW)))
        assert abs(np.argmax(strength) / WINDOW - share / finest) <= 1.0 / WINDOW


def test_no_direction_is_unlike_another() -> None:
    """The plate is its own mirror image and its own quarter turn."""
    plane, _ = plane_and_middle(720, {})
    disc = plane[180:540, 460:820]
    for other in (disc[::-1], disc[:, ::-1], disc.T):
        np.testing.assert_array_equal(disc, other)


@pytest.mark.parametrize("kind", SIGNALS)
@pytest.mark.parametrize(("finest", "percent"), [(2, 100.0), (5, 10.0), (16, 61.3)])
def test_claims_are_the_pixels(finest: int, percent: float, kind: str) -> None:
    """Areas are what is drawn, at other sizes and levels too, and nothing has colour."""
    signal = SIGNALS[kind]
    keys = {"finest_pixels": finest, "diameter_percent": percent, "luminance": 60, "dark_luminance": 3}
    pattern = build("zone-plate", keys)
    frame = pattern.draw(signal).frame(0)
    assert frame.is_grey
    assert_areas_are_pixels(frame, pattern.claims(signal))


@pytest.mark.parametrize("height", [720, 1080, 2160])
def test_patches_lie_beside_the_largest_plate(height: int) -> None:
    """Highest, lowest and middle code have even corners of an eighth of the picture, clear of the disc."""
    signal = SDR.resized(height)
    regions = {region.name: region for region in build("zone-plate", {}).claims(signal).regions}
    assert {"highest": 235, "lowest": 16, "middle": 126} == {n: r.code[0] for n, r in regions.items()}
    for region in regions.values():
        rect: Rect = region.rect
        assert {0} == {number % 2 for number in (rect.x, rect.y, rect.width, rect.height)}
        assert rect.right <= (signal.width - height) // 2 or rect.x >= (signal.width + height) // 2


# ITU-R BT.1702, known second-hand: regular patterns over more than 40 % of a screen on which nothing moves.
@pytest.mark.parametrize(("percent", "expected"), [(50.0, 0), (100.0, 1)])
def test_a_large_plate_is_a_hazard(percent: float, expected: int) -> None:
    """A disc as high as the picture covers 44 % of it; one of half the height 11 %."""
    hazards = build("zone-plate", {"diameter_percent": percent}).claims(SDR).hazards
    assert [Hazard.STRIPES] * expected == list(hazards)


def test_levels_the_wrong_way_round_are_refused() -> None:
    """A top that is not above the bottom is refused by the picture and by its claims."""
    pattern = build("zone-plate", {"code": 50, "dark_code": 60})
    for refused in (pattern.draw, pattern.claims):
        with pytest.raises(BadInput, match="zone-plate: the highest code is 50, the lowest 60"):
            refused(SDR)
