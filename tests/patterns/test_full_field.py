"""Full fields: one code from edge to edge."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True)
SMALL = replace(parse_signal_format("720p60-pq"), width=64, height=36)


# 8-bit codes: H.273 clause 8.3 (vectors/code_levels.toml). PQ and HLG codes: ST 2084 and BT.2100-2 Table 5 by
# colour-science (vectors/pq.toml, hlg.toml): 100 cd/m² is 509, HLG's 203 cd/m² is 721. Neutral: Table 9.
@pytest.mark.parametrize(
    ("text", "keys", "codes"),
    [
        ("720p24-sdr", {}, (235, 128, 128)),
        ("720p24-sdr", {"signal_percent": 50}, (126, 128, 128)),
        ("720p24-sdr", {"luminance": 100}, (235, 128, 128)),
        ("720p24-sdr", {"code": 254}, (254, 128, 128)),
        ("720p60-pq", {"luminance": 100}, (509, 512, 512)),
        ("720p60-pq", {"luminance": 0}, (64, 512, 512)),
        ("720p50-hlg", {"luminance": 203}, (721, 512, 512)),
        ("720p50-hlg", {"signal_percent": -2}, (46, 512, 512)),
    ],
)
def test_every_sample_is_the_level(text: str, keys: dict[str, float], codes: tuple[int, int, int]) -> None:
    """Every sample of all three planes is the level's code, and the one claim says so."""
    signal = parse_signal_format(text)
    pattern = build("full-field", keys)
    planes = pattern.draw(signal).frame(0).planes
    assert [[code] for code in codes] == [np.unique(plane).tolist() for plane in planes]
    claims = pattern.claims(signal)
    assert {codes: 1280 * 720} == claims.areas
    (region,) = claims.regions
    assert codes == region.code
    whole = (0, 0, 1280, 720)
    assert whole == (region.rect.x, region.rect.y, region.rect.width, region.rect.height)


@STEADY
@given(st.integers(4, 1019))
def test_any_code(code: int) -> None:
    """Any code of the video data range is drawn and claimed as it is."""
    pattern = build("full-field", {"code": code})
    assert [code] == np.unique(pattern.draw(SMALL).frame(0).planes[0]).tolist()
    assert {(code, 512, 512): 64 * 36} == pattern.claims(SMALL).areas
