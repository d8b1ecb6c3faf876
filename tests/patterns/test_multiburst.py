"""Multiburst: frequencies by numpy's transform, codes by numpy's cosine (layout: no source)."""

import numpy as np
import pytest

from knownlight.errors import BadInput
from patterns.multiburst import CYCLES
from patterns.registry import build
from patterns.tiled import TiledLayout
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels, peak_cycles

SDR = SIGNALS["sdr-8"]
HALF = 0.5 + 1e-6  # a code is the nearest one; the rest is float64


def layout_in(height: int) -> TiledLayout:
    """The layout in SDR at a size."""
    layout = build("multiburst", {}).layout(SDR.resized(height))  # type: ignore[attr-defined]
    assert isinstance(layout, TiledLayout)
    return layout


@pytest.mark.parametrize("height", [720, 1080, 2160])
def test_frequencies_are_the_stated_ones(height: int) -> None:
    """Bursts go from coarse to fine; the strongest frequency of each is one cycle in its stated pixels."""
    plane = build("multiburst", {}).draw(SDR.resized(height)).frame(0).planes[0]
    fields = layout_in(height).fields
    across = [peak_cycles(plane[field.rect.slices][0]) for field in fields[0::2]]
    down = [peak_cycles(plane[field.rect.slices][:, 0]) for field in fields[1::2]]
    assert [1.0 / cycle for cycle in CYCLES] == across == down
    assert [str(cycle) for cycle in CYCLES] == [label.text for label in layout_in(height).labels]


@pytest.mark.parametrize("kind", SIGNALS)
def test_codes_are_a_cosines(kind: str) -> None:
    """Every burst starts at its top; each code is the nearest to numpy's cosine between both levels."""
    signal = SIGNALS[kind]
    pattern = build("multiburst", {})
    plane = pattern.draw(signal).frame(0).planes[0]
    codes = {region.name: region.code[0] for region in pattern.claims(signal).regions}
    high, low = codes["light"], codes["dark"]
    for index, field in enumerate(layout_in(720).fields):
        cycle, part = CYCLES[index // 2], plane[field.rect.slices]
        assert (part == (part[:1] if index % 2 == 0 else part[:, :1])).all()
        row = (part[-1] if index % 2 == 0 else part[:, -1]).astype(np.float64)
        wave = np.cos(2.0 * np.pi * np.arange(row.size) / cycle)
        assert np.abs(row - (high + low) / 2.0 - (high - low) / 2.0 * wave).max() <= HALF
        assert high == row[0]
        assert 0 == row.size % cycle


def test_the_finest_burst_is_at_both_extremes() -> None:
    """At two pixels a cycle there is one sample at the top and one at the bottom (H.273: 235, 16)."""
    plane = build("multiburst", {}).draw(SDR).frame(0).planes[0]
    across, down = (plane[field.rect.slices] for field in layout_in(720).fields[-2:])
    assert [235, 16] * (across.shape[1] // 2) == across[0].tolist()
    assert [235, 16] * (down.shape[0] // 2) == down[:, 0].tolist()


def test_notes_say_cycles_a_width() -> None:
    """1280 columns hold 640 cycles of two pixels, 1920 hold 60 of 32."""
    assert 640.0 == layout_in(720).notes["cycles_a_width_at_2_pixels"]
    assert 60.0 == layout_in(1080).notes["cycles_a_width_at_32_pixels"]


@pytest.mark.parametrize("kind", SIGNALS)
def test_claims_are_the_pixels(kind: str) -> None:
    """Areas are what is drawn, between other levels too."""
    pattern = build("multiburst", {"luminance": 40, "dark_luminance": 5})
    assert_areas_are_pixels(pattern.draw(SIGNALS[kind]).frame(0), pattern.claims(SIGNALS[kind]))


def test_levels_the_wrong_way_round_are_refused() -> None:
    """A top that is not above the bottom is refused, with what to do."""
    with pytest.raises(
        BadInput, match="the highest code is 100, the lowest 100; use a higher level or a lower dark one"
    ):
        build("multiburst", {"code": 100, "dark_code": 100}).claims(SDR)
