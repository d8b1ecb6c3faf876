"""Light on an ordinary screen: colour-science's sRGB, and what the curve promises."""

import warnings

import numpy as np
import pytest

from knownlight.sheet.tone_map import bt709_light, srgb_picture
from knownlight.signal.encoding import Transfer

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models


def picture_of(*levels: float) -> list[int]:
    """Samples of greys of these levels, side by side."""
    light = np.repeat(np.array([levels], dtype=np.float64)[..., None], 3, axis=-1)
    return [int(sample) for sample in srgb_picture(light)[0, :, 0]]


def test_light_up_to_diffuse_white_is_shown_as_it_is() -> None:
    """SRGB codes of colour-science's encoding (IEC 61966-2-1)."""
    levels = (0.0, 0.001, 0.05, 0.18, 0.5, 1.0)
    expected = [
        int(np.floor(255.0 * float(colour.models.eotf_inverse_sRGB(level)) + 0.5)) for level in levels
    ]
    assert expected == picture_of(*levels)


def test_the_brightest_light_is_white_and_order_stays() -> None:
    """However bright; diffuse white is then about half of it: Reinhard's curve at 1 is (1 + 1 / b²) / 2."""
    shown = picture_of(0.0, 0.01, 0.1, 1.0, 10.0, 50.0)
    assert (0, 255) == (shown[0], shown[-1])
    assert sorted(set(shown)) == shown
    half = float(colour.models.eotf_inverse_sRGB((1.0 + 1.0 / 50.0**2) / 2.0))
    assert int(np.floor(255.0 * half + 0.5)) == shown[3]


def test_dark_pictures_are_made_lighter() -> None:
    """Their brightest becomes a fifth of white; black stays black."""
    fifth = int(np.floor(255.0 * float(colour.models.eotf_inverse_sRGB(0.2)) + 0.5))
    assert [0, fifth] == picture_of(0.0, 0.0001)
    assert [0, 0] == picture_of(0.0, 0.0)


def test_white_is_that_of_the_signal() -> None:
    """100 cd/m² of D65 in SDR, 203 in HDR (BT.2408) are 1; what lies outside BT.709 is cut at 0."""
    white = np.array([[0.3127 / 0.3290, 1.0, 0.3583 / 0.3290]])
    assert pytest.approx(1.0, abs=1e-9) == bt709_light(100.0 * white, Transfer.SDR)[0, 0]
    assert pytest.approx(1.0, abs=1e-9) == bt709_light(203.0 * white, Transfer.PQ)[0, 1]
    green = np.array([[0.170 / 0.797, 1.0, 0.033 / 0.797]])  # of BT.2020
    red, _, blue = bt709_light(green, Transfer.PQ)[0]
    assert (0.0, 0.0) == (red, blue)
