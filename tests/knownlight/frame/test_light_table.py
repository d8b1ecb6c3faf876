"""Light of photographs by table: as by formula, pixel by pixel (CTA-861.3 as H.264 D.2.31 restates it)."""

from dataclasses import replace

import numpy as np
import pytest

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import frame_light
from knownlight.frame.light_table import LightTable
from knownlight.frame.planes import Frame, plane_shapes, sample_type
from knownlight.frame.subsample import upsample_420
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.encoding import rgb_light

MEAN = 1e-6  # relative; measured 2e-7: single precision, and straight lines between 131 072 entries
DARK = 1e-6  # cd/m²: where the mean itself is a few hundredths
SIGNALS = [
    parse_signal_format("720p60-pq"),
    parse_signal_format("720p60-sdr"),
    parse_signal_format("720p60-sdr", depth=10, code_range="full"),
]


def random_plane(signal: SignalFormat, index: int, low: float, high: float) -> PlaneArray:
    """Codes between two shares of all there are."""
    most = signal.quantisation.largest + 1
    generator = np.random.default_rng(index)
    codes = generator.integers(int(most * low), int(most * high), plane_shapes(signal)[index])
    plane: PlaneArray = codes.astype(sample_type(signal.depth))
    return plane


@pytest.mark.parametrize("signal", SIGNALS, ids=["pq", "sdr-8", "sdr-10-full"])
@pytest.mark.parametrize("span", [(0.0, 1.0), (0.0, 0.1), (0.45, 0.55)], ids=["all", "dark", "calm"])
def test_a_table_gives_the_light_of_the_formula(signal: SignalFormat, span: tuple[float, float]) -> None:
    """Random codes of a range: the largest to the last digit, the mean to a millionth."""
    form = replace(signal, width=96, height=100)
    spread = (span[1] - span[0]) / 2.0
    luma = random_plane(form, 0, *span)
    blue, red = (random_plane(form, index, 0.5 - spread, 0.5 + spread) for index in (1, 2))
    whole = [luma, upsample_420(blue, form.siting), upsample_420(red, form.siting)]
    light = rgb_light(form.transfer, form.encoding.signal_rgb(np.stack(whole, axis=-1))).max(axis=-1)

    found = LightTable.of(form.encoding).largest_and_mean(whole[0], whole[1], whole[2])
    assert light.max() == pytest.approx(found[0], rel=1e-12)
    assert light.mean() == pytest.approx(found[1], rel=MEAN, abs=DARK)
    measured = frame_light(Frame(form, (luma, blue, red)))
    assert found == measured[:2]
    apl = 100.0 * form.quantisation.luma_signal(luma).mean()
    assert apl == pytest.approx(measured[2], rel=1e-12)
