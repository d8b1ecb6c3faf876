"""Hues on a ring: equal angles and distances in u', v', one luminance, nothing that meets, refusals."""

import math
import re
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from patterns.hue_ring import HueRing
from patterns.registry import build
from tests.patterns.outside_light import TRANSFERS, fine_signal, uv_of, uv_of_xy, xyz_of

RING_UV = 5e-4  # half a code of 12 bits in each part: measured 3.9e-4, of PQ at 20 cd/m²
RING_LIGHT = 2e-3  # relative, measured 1.4e-3, of PQ
D65 = (0.3127, 0.3290)


@pytest.mark.parametrize("transfer", TRANSFERS)
@pytest.mark.parametrize(("hues", "radius"), [(3, 0.03), (12, 0.04), (24, 0.06)])
def test_hues_stand_at_equal_angles(transfer: str, hues: int, radius: float) -> None:
    """By colour-science: u', v' of hue n lies the radius from D65, at 360 n / N degrees; the white at D65."""
    signal = fine_signal(transfer)
    regions = build("hue-ring", {"hues": hues, "radius": radius}).claims(signal).regions
    white, ring = regions[0], regions[1:]
    assert hues == len(ring)
    np.testing.assert_allclose(uv_of_xy(D65), uv_of(signal, white.code), rtol=0.0, atol=1e-9)
    for number, region in enumerate(ring):
        turn = 2.0 * math.pi * number / hues
        expected = uv_of_xy(D65) + radius * np.array([math.cos(turn), math.sin(turn)])
        np.testing.assert_allclose(expected, uv_of(signal, region.code), rtol=0.0, atol=RING_UV)


@pytest.mark.parametrize("transfer", TRANSFERS)
def test_all_have_one_luminance(transfer: str) -> None:
    """By colour-science: every patch and the white have the luminance asked for."""
    signal = fine_signal(transfer)
    regions = build("hue-ring", {"luminance": 20.0}).claims(signal).regions
    light = [xyz_of(signal, region.code)[1] for region in regions]
    np.testing.assert_allclose([20.0] * 13, light, rtol=RING_LIGHT)


@given(hues=st.integers(3, 24), height=st.sampled_from([720, 1080, 2160, 4320]))
def test_nothing_meets(hues: int, height: int) -> None:
    """However many there are, patches and labels lie inside the picture and apart (our own layout)."""
    signal = parse_signal_format(f"{height}p60-sdr")
    layout = HueRing(hues=hues).layout(signal)
    rects = [*(patch.rect for patch in layout.patches), *(label.rect for label in layout.labels)]
    assert 2 * hues + 1 == len(rects)
    for rect in rects:
        assert 0 <= rect.x < rect.right <= signal.width
        assert 0 <= rect.y < rect.bottom <= signal.height
    assert not [pair for pair in combinations(rects, 2) if meet(*pair)]


def meet(one: Rect, other: Rect) -> bool:
    """Whether two rectangles share a pixel."""
    across = range(max(one.x, other.x), min(one.right, other.right))
    down = range(max(one.y, other.y), min(one.bottom, other.bottom))
    return bool(across) and bool(down)


@pytest.mark.parametrize(
    ("written", "primaries", "luminance"),
    [("1080p50-sdr", None, 20.0), ("1080p50-sdr", None, 60.0), ("1080p50-pq", None, 20.0),
     ("1080p50-pq", "p3-d65", 20.0), ("1080p50-hlg", None, 300.0)],
)  # fmt: skip
def test_the_largest_radius_said_is_the_largest(
    written: str, primaries: str | None, luminance: float
) -> None:
    """What the refusal tells to use is taken, and a ten-thousandth more is refused with the same words."""
    signal = parse_signal_format(written, content_primaries=primaries)
    with pytest.raises(BadInput, match=r"hue-ring: radius=0\.5 at .* use .* or less") as caught:
        build("hue-ring", {"radius": 0.5, "luminance": luminance}).claims(signal)
    said = re.search(r"use ([\d.]+) or less", str(caught.value))
    assert said is not None
    largest = float(said[1])
    build("hue-ring", {"radius": largest, "luminance": luminance}).claims(signal)
    with pytest.raises(BadInput, match=f"use {largest:g} or less"):
        build("hue-ring", {"radius": largest + 1e-4, "luminance": luminance}).claims(signal)


def test_widest_ring_is_the_triangles() -> None:
    """The widest ring reaches the nearest side of the primaries' triangle in u', v', by plane geometry.

    Many hues reach almost as far as a whole circle; a side may be passed by 0.5 % of the largest part, which
    adds a little.
    """
    corners = {
        "bt709": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060)),
        "p3-d65": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
        "bt2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
    }
    for name, triangle in corners.items():
        points = [uv_of_xy(corner) for corner in triangle]
        distances = []
        for start, end in zip(points, points[1:] + points[:1], strict=True):
            (along_u, along_v), (from_u, from_v) = end - start, uv_of_xy(D65) - start
            distances.append(abs(along_u * from_v - along_v * from_u) / math.hypot(along_u, along_v))
        written = "1080p50-sdr" if name == "bt709" else "1080p50-pq"
        signal = parse_signal_format(written, content_primaries=name)
        with pytest.raises(BadInput, match="or less") as caught:
            build("hue-ring", {"radius": 0.5, "hues": 24, "luminance": 2.0}).claims(signal)
        said = re.search(r"use ([\d.]+) or less", str(caught.value))
        assert said is not None
        assert min(distances) <= float(said[1]) <= 1.02 * min(distances), name


def test_light_that_no_hue_has_is_refused() -> None:
    """White above 100 % has a code in SDR, colours have none: no radius fits, and the message says so."""
    signal = parse_signal_format("1080p50-sdr")
    with pytest.raises(BadInput, match="as is any other; ask for less luminance"):
        build("hue-ring", {"luminance": 110.0}).claims(signal)
