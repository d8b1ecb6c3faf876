"""Claims: light levels from areas by scalar sums (CTA-861.3), by hand where a hand can do it."""

from dataclasses import replace
from types import MappingProxyType

import pytest

from knownlight.frame.claims import (
    Claims,
    CodeTriple,
    LightLevels,
    Purpose,
    Region,
    content_light,
    luma_signal,
)
from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.signal.encoding import Encoding

PQ = parse_signal_format("2160p60-pq").encoding
PQ_RGB = parse_signal_format("2160p60-pq", components="rgb").encoding
SDR = parse_signal_format("1080p60-sdr").encoding
SDR_WHITE, SDR_BLACK = (235, 128, 128), (16, 128, 128)
PQ_WHITE, PQ_BLACK = (723, 512, 512), (64, 512, 512)
BY_HAND = 1e-9  # relative: the digits written below
SUMS = 1e-15  # relative, measured 0


def test_no_areas_no_light() -> None:
    """A pattern that cannot count its pixels claims no light."""
    assert Claims().light(SDR) is None


# 10 % window of white on black: APL 10 % and linear 10 % in SDR; of 1000 cd/m² in PQ, code 723 is 1004.19
# cd/m² and (723 - 64) / 876 = 75.228 % of signal, so FALL 100.42 and APL 7.52 %. By hand from ST 2084.
@pytest.mark.parametrize(
    ("encoding", "white", "black", "expected"),
    [
        (SDR, SDR_WHITE, SDR_BLACK, LightLevels(100.0, 10.0, 10.0, 10.0)),
        (PQ, PQ_WHITE, PQ_BLACK, LightLevels(1004.1919039801, 100.41919039801, 100.41919039801, 7.52283105)),
    ],
)
def test_window_of_a_tenth(
    encoding: Encoding, white: CodeTriple, black: CodeTriple, expected: LightLevels
) -> None:
    """MaxCLL, MaxFALL, FALL and APL of a window of a tenth on black are four different figures."""
    levels = Claims(areas={white: 100, black: 900}).light(encoding)
    assert levels is not None
    figures = ("max_cll", "max_fall", "fall", "apl_percent")
    assert [pytest.approx(getattr(expected, name), rel=BY_HAND) for name in figures] == [
        getattr(levels, name) for name in figures
    ]


def test_a_colour_of_no_pixels_does_not_count() -> None:
    """MaxCLL looks only at colours that some pixel has."""
    levels = Claims(areas={SDR_WHITE: 0, (126, 128, 128): 10}).light(SDR)
    assert levels is not None
    assert levels.max_cll == SDR.grey_luminance(126)


# H.264 clause D.2.31 note 2: a full-screen pure blue of PQ 0.75 counts as the grey of that level, 983 cd/m²,
# though its luminance is 58. Code 721 is 0.75 exactly, (721 - 64) / 876.
def test_content_light_is_the_largest_component() -> None:
    """A saturated colour counts as a grey of its largest component, not as its own luminance."""
    blue = (64, 64, 721)
    assert pytest.approx(983.378, rel=0.0, abs=0.0005) == content_light(PQ_RGB, blue)
    luminance = float(PQ_RGB.xyz(blue)[1])
    assert pytest.approx(58.0, rel=0.0, abs=0.5) == luminance


# KR of BT.2020 is 0.2627; luma of an R'G'B' colour is the weighted sum of its signals.
def test_luma_of_rgb_and_of_ycbcr() -> None:
    """Luma is read from Y', and is the weighted sum of R', G', B'."""
    assert pytest.approx(0.2627, rel=SUMS) == luma_signal(PQ_RGB, (940, 64, 64))
    assert pytest.approx((400 - 64) / 876, rel=SUMS) == luma_signal(PQ, (400, 600, 300))


def test_regions_are_for_measuring_unless_said() -> None:
    """A region is a place to measure; notes are empty and cannot be written to."""
    assert Purpose.MEASURE is Region("window", Rect(0, 0, 2, 2), SDR_WHITE).purpose
    assert isinstance(Claims().notes, MappingProxyType)
    assert not Claims().notes


def test_claims_follow_the_encoding() -> None:
    """The same codes are other light in another encoding: HLG's code 721 is 203 cd/m² (BT.2408 Table 1)."""
    signal = replace(parse_signal_format("2160p60-hlg"), width=16, height=16)
    levels = Claims(areas={(721, 512, 512): 256}).light(signal.encoding)
    assert levels is not None
    assert pytest.approx(203.0, abs=0.5) == levels.max_cll
