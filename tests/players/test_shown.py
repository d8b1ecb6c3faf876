"""What a browser makes of levels, read from a picture of its page; without a graphics processor."""

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from tests.players.chromium import Chromium
from tests.players.samples import Sample
from tests.players.told import Asked, Player

PQ, HLG = "720p23.976-pq", "720p59.94-hlg"
STEPS = 11  # of the pattern: 0 to 100 % of signal, evenly
ROUNDED = 1  # codes of eight bits: the file's, the browser's and the picture's rounding


def levels(player_named: Callable[[str], Player], file: Asked) -> list[int]:
    """The codes in the middle of each step, as shown."""
    browser = player_named("Chromium")
    assert isinstance(browser, Chromium)
    assert browser.play(file).opened
    page = np.asarray(Image.open(io.BytesIO(browser.shown())).convert("RGB")).astype(np.int64)
    row = page[page.shape[0] // 4]
    assert np.ptp(row, axis=1).max() <= ROUNDED, "grey is shown as grey"
    return [int(row[int((step + 0.5) / STEPS * len(row)), 1]) for step in range(STEPS)]


@pytest.mark.parametrize("signal", ["720p50-sdr", PQ, HLG])
def test_a_clip_is_shown_by_its_codes(
    signal: str, player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """Black is 0 and white 255 with even steps between, of PQ and HLG too: it does not tone-map clips."""
    shown = levels(player_named, asked(Sample("av1-mp4", signal, "grey-steps")))
    assert np.abs(np.array(shown) - np.linspace(0, 255, STEPS)).max() <= ROUNDED


@pytest.mark.parametrize("still", ["png", "jpg"])
def test_an_sdr_still_is_shown_by_its_light(
    still: str, player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """Light by BT.1886 with black 0, then the code that sRGB (IEC 61966-2-1) has for it."""
    light = np.linspace(0, 1, STEPS) ** 2.4
    expected = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    shown = levels(player_named, asked(Sample(still, "720p50-sdr", "grey-steps")))
    assert np.abs(np.array(shown) - expected).max() <= ROUNDED


@pytest.mark.parametrize(
    ("still", "signal"),
    [
        *((still, "720p50-srgb") for still in ("png", "avif", "jxl", "jpg")),
        *((still, "720p50-sdr") for still in ("avif", "jxl")),
    ],
)
def test_an_srgb_still_is_shown_by_its_codes(
    still: str, signal: str, player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """And so is one whose curve of BT.709 it takes for that of sRGB."""
    shown = levels(player_named, asked(Sample(still, signal, "grey-steps")))
    assert np.abs(np.array(shown) - np.linspace(0, 255, STEPS)).max() <= ROUNDED


@pytest.mark.parametrize(
    ("still", "signal"),
    [("png", PQ), ("avif", PQ), ("png", HLG), ("avif", HLG), ("jxl", HLG)],
)
def test_an_hdr_still_is_tone_mapped(
    still: str, signal: str, player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """Each step is lighter than the one before, the dark ones darker than their codes, the top white."""
    shown = levels(player_named, asked(Sample(still, signal, "grey-steps")))
    assert shown == sorted(set(shown))
    assert (0, 255) == (shown[0], shown[-1])
    assert all(level < 255 * step / (STEPS - 1) - ROUNDED for step, level in enumerate(shown[1:5], start=1))


def test_a_pq_still_without_light_levels_is_clipped(
    player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """JPEG XL has no place for them: the two steps below 10,000 cd/m² are as white as it."""
    shown = levels(player_named, asked(Sample("jxl", PQ, "grey-steps")))
    assert [255, 255, 255] == shown[-3:]
    assert shown[:-2] == sorted(set(shown[:-2]))
