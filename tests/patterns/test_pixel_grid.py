"""Single-pixel detail: pitch by numpy's transform, share of lit pixels, no colour (layout: no source)."""

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Hazard
from patterns.registry import build
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels, peak_cycles

SDR = SIGNALS["sdr-8"]
KINDS = ("lines-across", "lines-down", "checks", "dots")


# A pulse in every `pitch` samples has its energy at multiples of 1 / pitch cycles a sample, and nowhere else.
@pytest.mark.parametrize("pitch", [2, 4, 5, 8, 16])
@pytest.mark.parametrize(("kind", "axis"), [("lines-across", 0), ("lines-down", 1), ("dots", 0), ("dots", 1)])
def test_the_pitch_is_the_stated_one(kind: str, axis: int, pitch: int) -> None:
    """Along the axis all energy lies at multiples of one cycle in a pitch."""
    plane = build("pixel-grid", {"content": kind, "pitch": pitch}).draw(SDR).frame(0).planes[0]
    line = np.moveaxis(plane, axis, 0)[:, 0].astype(np.float64)
    strength = np.abs(np.fft.rfft(line - line.mean()))
    loud = np.flatnonzero(strength > 1e-6 * strength.max())
    assert [line.size * k // pitch for k in range(1, pitch // 2 + 1)] == loud.tolist()


def test_checks_of_two_pixels_are_a_chequer() -> None:
    """At the finest pitch every pixel differs from its four neighbours: Nyquist in both directions."""
    plane = build("pixel-grid", {"content": "checks"}).draw(SDR).frame(0).planes[0]
    assert 0.5 == peak_cycles(plane[0]) == peak_cycles(plane[:, 0])
    np.testing.assert_array_equal(np.indices(plane.shape).sum(axis=0) % 2 == 0, plane == 235)


@pytest.mark.parametrize(
    ("kind", "lit"), [("lines-across", 25.0), ("lines-down", 25.0), ("checks", 12.5), ("dots", 6.25)]
)
def test_lit_share(kind: str, lit: float) -> None:
    """Of sixteen pixels at a pitch of four: four of lines, two of checks, one of dots."""
    pattern = build("pixel-grid", {"content": kind, "pitch": 4})
    plane = pattern.draw(SDR).frame(0).planes[0]
    assert lit == 100.0 * np.count_nonzero(plane == 235) / plane.size
    assert lit == pattern.claims(SDR).notes["lit_percent"]


@pytest.mark.parametrize("kind", SIGNALS)
@pytest.mark.parametrize("content", [*KINDS, "fields"])
@pytest.mark.parametrize("pitch", [2, 3, 7, 32])
def test_claims_are_the_pixels(content: str, pitch: int, kind: str) -> None:
    """Areas are what is drawn, at pitches that divide the picture and at others; nothing has colour."""
    pattern, signal = build("pixel-grid", {"content": content, "pitch": pitch}), SIGNALS[kind]
    frame = pattern.draw(signal).frame(0)
    assert frame.is_grey
    assert_areas_are_pixels(frame, pattern.claims(signal))


def test_fields_show_each_kind_once() -> None:
    """Four quarters hold what the whole picture would, each from its own corner on."""
    pattern = build("pixel-grid", {"content": "fields", "pitch": 3})
    layout = pattern.layout(SDR)  # type: ignore[attr-defined]
    plane = pattern.draw(SDR).frame(0).planes[0]
    for kind, field in zip(KINDS, layout.fields, strict=True):
        rect = field.rect
        whole = build("pixel-grid", {"content": kind, "pitch": 3}).draw(SDR).frame(0).planes[0]
        np.testing.assert_array_equal(whole[: rect.height, : rect.width], plane[rect.slices])
    assert ["LINES ACROSS 3", "LINES DOWN 3", "CHECKS 3", "DOTS 3"] == [each.text for each in layout.labels]


@pytest.mark.parametrize(
    ("content", "expected"), [("lines-across", 1), ("lines-down", 1), ("checks", 0), ("dots", 0)]
)
def test_lines_over_the_picture_are_a_hazard(content: str, expected: int) -> None:
    """ITU-R BT.1702 (known second-hand) is about stripes; checks and dots are none."""
    hazards = build("pixel-grid", {"content": content}).claims(SDR).hazards
    assert [Hazard.STRIPES] * expected == list(hazards)


def test_a_level_that_the_signal_lacks_is_refused() -> None:
    """SDR has no 1000 cd/m²."""
    with pytest.raises(BadInput, match=r"pixel-grid: luminance=1000: .* this sdr signal can say"):
        build("pixel-grid", {"luminance": 1000}).claims(SDR)
