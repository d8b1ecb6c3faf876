"""What a browser makes of levels, read from a picture of its page; without a graphics processor."""

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from tests.players.chromium import Chromium
from tests.players.samples import Sample
from tests.players.told import Asked, Player

STEPS = 11  # of the pattern: 0 to 100 % of signal, evenly
ROUNDED = 1  # codes of eight bits: the file's, the browser's and the picture's rounding


def levels(player_named: Callable[[str], Player], file: Asked) -> list[int]:
    """The codes in the middle of each step, as shown."""
    browser = player_named("Chromium")
    assert isinstance(browser, Chromium)
    assert browser.play(file).opened
    page = np.asarray(Image.open(io.BytesIO(browser.shown())).convert("L"))
    row = page[page.shape[0] // 4]
    return [int(row[int((step + 0.5) / STEPS * len(row))]) for step in range(STEPS)]


@pytest.mark.parametrize("signal", ["720p50-sdr", "720p23.976-pq", "720p59.94-hlg"])
def test_a_clip_is_shown_by_its_codes(
    signal: str, player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """Black is 0 and white 255 with even steps between, of PQ and HLG too: it does not tone-map clips."""
    shown = levels(player_named, asked(Sample("av1-mp4", signal, "grey-steps")))
    assert np.abs(np.array(shown) - np.linspace(0, 255, STEPS)).max() <= ROUNDED


def test_an_sdr_still_is_shown_by_its_light(
    player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """Light by BT.1886 with black 0, then the code that sRGB (IEC 61966-2-1) has for it."""
    light = np.linspace(0, 1, STEPS) ** 2.4
    expected = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    shown = levels(player_named, asked(Sample("png", "720p50-sdr", "grey-steps")))
    assert np.abs(np.array(shown) - expected).max() <= ROUNDED


@pytest.mark.parametrize("signal", ["720p23.976-pq", "720p59.94-hlg"])
def test_an_hdr_still_is_tone_mapped(
    signal: str, player_named: Callable[[str], Player], asked: Callable[[Sample], Asked]
) -> None:
    """Each step is lighter than the one before, the dark ones darker than their codes, the top white."""
    shown = levels(player_named, asked(Sample("png", signal, "grey-steps")))
    assert shown == sorted(set(shown))
    assert (0, 255) == (shown[0], shown[-1])
    assert all(level < 255 * step / (STEPS - 1) - ROUNDED for step, level in enumerate(shown[1:5], start=1))
