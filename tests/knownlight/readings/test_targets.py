"""Targets: colour-science's transfer functions and matrices as outside truth, and printed values.

colour-science has only note 5f's logarithmic form of the system gamma; displays outside 400 to 2000 cd/m² are
checked by their gammas as printed in vectors/hlg.toml.
"""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.readings.display import DEFAULTS, Display
from knownlight.readings.targets import Basis, target_of
from knownlight.signal.encoding import Transfer

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour
    import colour.models

HLG = tomllib.loads((Path(__file__).parents[2] / "vectors" / "hlg.toml").read_text("utf-8"))
LIGHT = 1e-6  # relative: colour-science's luminance row of the primaries, against a matrix of full precision
COORDINATE = 1e-6  # of x and y, measured 2e-7 by the same cause
SPACES = {
    "1080p50-sdr": "ITU-R BT.709", "576i25-sdr": "ITU-R BT.470 - 625",
    "2160p60-pq": "ITU-R BT.2020", "2160p50-hlg": "ITU-R BT.2020",
}  # fmt: skip
LUMA = {
    "1080p50-sdr": "ITU-R BT.709", "576i25-sdr": "ITU-R BT.601",
    "2160p60-pq": "ITU-R BT.2020", "2160p50-hlg": "ITU-R BT.2020",
}  # fmt: skip
CODES = [(235, 128, 128), (126, 128, 128), (80, 110, 180), (32, 240, 118), (40, 130, 126), (16, 128, 128)]
DISPLAYS = {
    "1080p50-sdr": [(100.0, 0.0), (250.0, 0.05)],
    "576i25-sdr": [(120.0, 0.1)],
    "2160p60-pq": [(10000.0, 0.0), (800.0, 0.005)],
    "2160p50-hlg": [(1000.0, 0.0), (600.0, 0.01), (1500.0, 0.0005)],
}


def outside(signal: SignalFormat, code: Any, peak: float, black: float) -> Any:
    """X, Y, Z of a code by colour-science alone."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        rgb = colour.YCbCr_to_RGB(
            np.asarray(code),
            K=colour.WEIGHTS_YCBCR[LUMA[signal.name]],
            in_bits=signal.depth,
            in_legal=True,
            in_int=True,
            out_legal=False,
        )
        if signal.transfer is Transfer.PQ:
            light = colour.models.eotf_ST2084(np.clip(rgb, 0.0, 1.0))
        elif signal.transfer is Transfer.HLG:
            light = colour.models.eotf_BT2100_HLG(rgb, L_B=black, L_W=peak)
        else:
            light = colour.models.eotf_BT1886(rgb, L_B=black, L_W=peak)
        space = colour.RGB_COLOURSPACES[SPACES[signal.name]]
        matrix = colour.normalised_primary_matrix(space.primaries, np.array([0.3127, 0.3290]))
    return matrix @ light


@pytest.mark.parametrize("code", CODES, ids=str)
@pytest.mark.parametrize(
    ("written", "peak", "black"), [(name, *display) for name in DISPLAYS for display in DISPLAYS[name]]
)
def test_targets_are_those_of_colour_science(
    written: str, peak: float, black: float, code: tuple[int, int, int]
) -> None:
    """Luminance and x, y of greys, of colours and of dark codes, from the integers, for each kind."""
    signal = parse_signal_format(written)
    scale = 1 << (signal.depth - 8)
    stored = (scale * code[0], scale * code[1], scale * code[2])
    target = target_of(stored, signal.encoding, Display(kind=signal.transfer, peak=peak, black=black))

    xyz = outside(signal, stored, peak, black)
    assert pytest.approx(xyz[1], rel=LIGHT, abs=1e-12) == target.luminance
    if xyz.sum() < 1e-9:
        assert target.xy is None
    else:
        assert pytest.approx(tuple(xyz[:2] / xyz.sum()), abs=COORDINATE) == target.xy


def test_black_and_white_of_an_sdr_display_are_what_was_measured() -> None:
    """BT.1886 Annex 1: L is the white's at V = 1 and the black's at V = 0, both with D65's x, y."""
    encoding = parse_signal_format("1080p50-sdr").encoding
    display = Display(kind=Transfer.SDR, peak=212.5, black=0.043)
    for code, luminance in ((235, 212.5), (16, 0.043)):
        target = target_of((code, 128, 128), encoding, display)
        assert pytest.approx(luminance, rel=1e-12) == target.luminance
        assert pytest.approx((0.3127, 0.3290), abs=1e-12) == target.xy
        assert Basis.BT1886 is target.basis


@pytest.mark.parametrize("row", HLG["display"], ids=lambda row: str(row["peak"]))
def test_hlg_takes_the_system_gamma_of_the_peak(row: dict[str, Any]) -> None:
    """The printed light of 10-bit codes 721 (75 %) and 1019, within and outside 400 to 2000 cd/m²."""
    encoding = parse_signal_format("2160p50-hlg").encoding
    display = Display(kind=Transfer.HLG, peak=float(row["peak"]))
    for code, text in ((721, row["at_75"]), (1019, row["at_code_1019"])):
        target = target_of((code, 512, 512), encoding, display)
        digits = len(text.partition(".")[2])
        assert pytest.approx(float(text), abs=0.5 * 10.0**-digits) == target.luminance
        assert Basis.HLG is target.basis


def test_hlg_black_is_lifted_to_the_display_s() -> None:
    """BT.2100 Table 5: signal 0 is the display's black; below it, BT.2100-3 note 5h, it gets darker."""
    encoding = parse_signal_format("2160p50-hlg").encoding
    display = Display(kind=Transfer.HLG, peak=1000.0, black=0.005)
    assert pytest.approx(0.005, rel=1e-9) == target_of((64, 512, 512), encoding, display).luminance
    assert 0.005 > target_of((60, 512, 512), encoding, display).luminance


@pytest.mark.parametrize(
    ("code", "peak", "basis"),
    [
        ((723, 512, 512), 10000.0, Basis.PQ),
        ((723, 512, 512), 1004.0, Basis.ABOVE_PEAK),
        ((723, 512, 512), 1005.0, Basis.PQ),
        ((940, 512, 512), 10000.0, Basis.PQ),
        ((64, 512, 512), 100.0, Basis.PQ),
    ],
)
def test_pq_is_absolute_and_says_what_the_display_cannot_show(
    code: tuple[int, int, int], peak: float, basis: Basis
) -> None:
    """Code 723 is 1004.2 cd/m² (ST 2084 by colour-science) whatever the peak; the basis tells a lower one."""
    encoding = parse_signal_format("2160p60-pq").encoding
    target = target_of(code, encoding, Display(kind=Transfer.PQ, peak=peak))
    luminance = float(colour.models.eotf_ST2084((code[0] - 64) / 876))
    assert pytest.approx(luminance, rel=1e-9, abs=1e-12) == target.luminance
    assert basis is target.basis


def test_a_colour_passes_the_peak_by_its_largest_component() -> None:
    """Blue of a grey's 1000 cd/m² has a luminance of 59 (BT.2020's 0.0593) and needs a peak of 1000."""
    encoding = parse_signal_format("2160p60-pq", components="rgb", depth=10).encoding
    display = Display(kind=Transfer.PQ, peak=600.0)
    target = target_of((64, 64, 723), encoding, display)
    assert 60.0 > target.luminance > 59.0
    assert Basis.ABOVE_PEAK is target.basis


def test_srgb_pictures_have_the_white_and_black_of_the_sdr_display() -> None:
    """Code 128 of 255 is 0.21586 of the way from black to white (IEC 61966-2-1, vectors/srgb.toml)."""
    encoding = parse_signal_format("1080p60-srgb", components="rgb").encoding
    target = target_of((128, 128, 128), encoding, Display(kind=Transfer.SDR, peak=200.0, black=0.1))
    assert pytest.approx(0.1 + 199.9 * 0.21586, rel=1e-4) == target.luminance
    assert Basis.SRGB is target.basis


def test_a_display_of_another_kind_is_refused() -> None:
    """An SDR display's white says nothing of PQ codes."""
    encoding = parse_signal_format("2160p60-pq").encoding
    with pytest.raises(BadInput, match="a display of sdr says nothing of pq signals"):
        target_of((723, 512, 512), encoding, DEFAULTS[Transfer.SDR])
