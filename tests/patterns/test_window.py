"""Windows: sizes of vectors/windows.toml (common practice, no source), levels, and surrounds that fill up."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import frame_light
from patterns.registry import build
from tests.patterns.pixels import assert_regions_cover

VECTORS = tomllib.loads((Path(__file__).parents[1] / "vectors" / "windows.toml").read_text("utf-8"))
STEADY = settings(deadline=None, derandomize=True)
SDR = parse_signal_format("720p24-sdr")
PQ = parse_signal_format("720p60-pq")
HLG = parse_signal_format("720p50-hlg")
PQ_FULL = parse_signal_format("720p60-pq", code_range="full")
SMALL = replace(PQ, width=320, height=180)
POSITIONS = ["centre", "top-left", "top-right", "bottom-left", "bottom-right"]


def luma(signal: SignalFormat, **keys: str | float) -> Any:
    """The luma plane of a window."""
    return build("window", keys).draw(signal).frame(0).planes[0]


def lit(plane: Any, code: int) -> tuple[int, int, int, int]:
    """Left, top, width and height of what holds a code; every pixel of that rectangle must hold it."""
    rows, columns = np.nonzero((plane == code).any(axis=1))[0], np.nonzero((plane == code).any(axis=0))[0]
    left, top, right, bottom = int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1
    assert (plane[top:bottom, left:right] == code).all()
    return left, top, right - left, bottom - top


@pytest.mark.parametrize("height", [1080, 2160])
@pytest.mark.parametrize("row", VECTORS["window"], ids=lambda row: f"{row['percent']}%")
def test_sizes(row: dict[str, Any], height: int) -> None:
    """Windows of the usual areas are drawn and claimed in the printed sizes, on even pixels, centred."""
    signal = parse_signal_format(f"{height}p24-sdr")
    left, top, width, rows = lit(luma(signal, area_percent=row["percent"]), 235)
    assert row[f"at_{height}"] == [width, rows]
    assert (0, 0) == (left % 2, top % 2)
    assert 0 <= signal.width - width - 2 * left <= 2
    assert 0 <= height - rows - 2 * top <= 2
    claims = build("window", {"area_percent": row["percent"]}).claims(signal)
    rect = claims.regions[0].rect
    assert (left, top, width, rows) == (rect.x, rect.y, rect.width, rect.height)
    assert 100.0 * width * rows / (signal.width * height) == claims.notes["area_percent"]


# SMPTE ST 2084 by colour-science, in vectors/pq.toml: 1000 cd/m² is code 723 of 10 bits narrow, 769 of full.
@pytest.mark.parametrize(("code_range", "code", "black"), [("narrow", 723, 64), ("full", 769, 0)])
def test_a_thousand_candelas(code_range: str, code: int, black: int) -> None:
    """luminance=1000 in 2160p60-pq is code 723 (full range: 769) on black, 1214 by 684 pixels of it."""
    signal = parse_signal_format("2160p60-pq", code_range=code_range)
    codes, counts = np.unique(luma(signal, luminance=1000), return_counts=True)
    assert [black, code] == codes.tolist()
    assert [3840 * 2160 - 1214 * 684, 1214 * 684] == counts.tolist()


def test_whole_picture() -> None:
    """100 % is the whole picture, and there is no surround to claim."""
    assert (0, 0, 1280, 720) == lit(luma(SDR, area_percent=100), 235)
    claims = build("window", {"area_percent": 100}).claims(SDR)
    assert ["window"] == [region.name for region in claims.regions]
    assert {(235, 128, 128): 1280 * 720} == claims.areas


# By hand: the even size nearest 1280 and 720 times the root of a tenth (404.8, 227.7) is 404 by 228.
@pytest.mark.parametrize(
    ("position", "left", "top"),
    [
        ("centre", 438, 246),
        ("top-left", 0, 0),
        ("top-right", 876, 0),
        ("bottom-left", 0, 492),
        ("bottom-right", 876, 492),
    ],
)
def test_positions(position: str, left: int, top: int) -> None:
    """A window lies in the middle or touches the corner that is named."""
    assert (left, top, 404, 228) == lit(luma(SDR, position=position), 235)


def test_the_window_is_measured_and_the_surround_looked_at() -> None:
    """Only the window is a place to measure."""
    regions = build("window", {}).claims(SDR).regions
    assert [Purpose.MEASURE] + [Purpose.LOOK] * 4 == [region.purpose for region in regions]


@STEADY
@given(st.floats(0.01, 100.0), st.integers(4, 1019), st.integers(4, 1019), st.sampled_from(POSITIONS))
def test_claims_are_the_pixels(area: float, code: int, surround: int, position: str) -> None:
    """Whatever the parameters, regions hold their codes, cover the picture once, and areas are the pixels."""
    keys: dict[str, str | float] = {
        "area_percent": area,
        "code": code,
        "surround_code": surround,
        "position": position,
    }
    plane = luma(SMALL, **keys)
    claims = build("window", keys).claims(SMALL)
    assert_regions_cover(plane, claims)


def neighbours(signal: SignalFormat, plane: Any, corner: int) -> list[tuple[float, float]]:
    """FALL (cd/m²) and APL (%) of a picture with its surround one code lower, as it is, and one higher."""
    figures = []
    for step in (-1, 0, 1):
        moved = build("window", {"code": int(plane.max()), "surround_code": corner + step}).draw(signal)
        _, fall, apl = frame_light(moved.frame(0))
        figures.append((fall, apl))
    return figures


# A 10 % window holds about a tenth of its own level, so every asked average here is above what it gives.
@pytest.mark.parametrize("signal", [SDR, PQ, HLG, PQ_FULL], ids=lambda signal: signal.name)
@pytest.mark.parametrize("fall", [10.5, 12.0, 20.0, 45.0, 60.0])
def test_surround_fills_up_to_fall(signal: SignalFormat, fall: float) -> None:
    """surround_fall gives that frame average within one code of the surround."""
    plane = luma(signal, luminance=100, surround_fall=fall)
    (below, _), (here, _), (above, _) = neighbours(signal, plane, int(plane[0, 0]))
    assert below < fall < above
    assert abs(here - fall) < min(fall - below, above - fall)


@pytest.mark.parametrize("signal", [SDR, PQ, HLG, PQ_FULL], ids=lambda signal: signal.name)
@pytest.mark.parametrize("apl", [8.0, 10.0, 25.0, 49.0])
def test_surround_fills_up_to_apl(signal: SignalFormat, apl: float) -> None:
    """surround_apl_percent gives that mean signal within half a code of the surround (signal is linear)."""
    plane = luma(signal, signal_percent=70, surround_apl_percent=apl)
    (_, below), (_, here), (_, above) = neighbours(signal, plane, int(plane[0, 0]))
    assert below < apl < above
    assert abs(here - apl) < (above - below) / 4


# By hand: 404 by 228 of 1280 by 720 is 9.9948 % of the area. SDR: (25 - 9.9948) / 0.900052 = 16.6715 %, code
# 16 + 36.51 = 53. Of 1004.19 cd/m² (code 723) FALL is 100.367; (150 - 100.367) / 0.900052 = 55.1446 cd/m²,
# PQ signal 0.449632, code 64 + 393.88 = 458 (colour-science).
def test_fills_by_hand() -> None:
    """A surround that fills up to 25 % of signal, and one that fills up to 150 cd/m²."""
    expected = [53, 458]
    assert expected == [
        luma(SDR, surround_apl_percent=25)[0, 0],
        luma(PQ, luminance=1000, surround_fall=150)[0, 0],
    ]


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            {"luminance": 1000, "surround_fall": 50},
            "window: surround_fall=50 is below what the window alone gives (100.4); "
            "ask for more, or for a smaller or dimmer window",
        ),
        (
            {"signal_percent": 100, "surround_apl_percent": 5},
            "window: surround_apl_percent=5 is below what the window alone gives (9.995); "
            "ask for more, or for a smaller or dimmer window",
        ),
        (
            {"area_percent": 100, "surround_fall": 50},
            "window: area_percent=100 leaves no surround to fill; leave out surround_fall",
        ),
        (
            {"area_percent": 100, "surround_apl_percent": 50},
            "window: area_percent=100 leaves no surround to fill; leave out surround_apl_percent",
        ),
    ],
)
def test_averages_that_no_surround_gives(keys: dict[str, float], said: str) -> None:
    """An average below the window's own share, or no surround at all: key, figure and remedy."""
    with pytest.raises(BadInput) as caught:
        build("window", keys).claims(PQ)
    assert said == str(caught.value)


@pytest.mark.parametrize(
    ("keys", "asked"),
    [
        ({"luminance": 1000, "surround_fall": 10000}, "surround_fall=10000"),
        ({"signal_percent": 50, "surround_apl_percent": 100}, "surround_apl_percent=100"),
    ],
)
def test_averages_that_are_too_high(keys: dict[str, float], asked: str) -> None:
    """An average above what the brightest surround gives is refused by the key that was given."""
    with pytest.raises(BadInput) as caught:
        build("window", keys).claims(PQ)
    assert asked in str(caught.value)
