"""Test colour samples and skin tones: CIE 13.3 by colour-science, and the light of their codes."""

import warnings

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.colour_samples import SAMPLES
from patterns.registry import build
from tests.patterns.outside_light import TRANSFERS, fine_signal, uv_of, uv_of_xy, xyz_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour
    from colour.quality.datasets.tcs import SDS_TCS_CIE1995

# What half a code of 12 bits in each of R', G' and B' comes to, at the most of all samples.
SAMPLE_UV = 3e-4  # measured 2.1e-4, of PQ
SAMPLE_LIGHT = 2e-3  # relative, measured 1.4e-3, of PQ
TONE_UV = 7e-4  # measured 5.9e-4: of HLG at half a cd/m²


def test_samples_are_those_of_the_reflectances() -> None:
    """x, y and Y of CIE 13.3's samples under D65, CIE 1931 observer, 380 to 780 nm by 5: to the last figure.

    Reflectances, observer and illuminant are those of colour-science.
    """
    shape = colour.SpectralShape(380, 780, 5)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values
    expected = []
    for number, reflectance in enumerate(SDS_TCS_CIE1995.values(), start=1):
        xyz = 100.0 * (light * reflectance.copy().align(shape).values) @ observer / (light @ observer[:, 1])
        x, y = colour.XYZ_to_xy(xyz)
        expected.append((number, f"{x:.5f}", f"{y:.5f}", f"{xyz[1]:.3f}"))
    assert expected == [
        (number, f"{x:.5f}", f"{y:.5f}", f"{share:.3f}") for number, _, x, y, share in SAMPLES
    ]


@pytest.mark.parametrize("transfer", TRANSFERS)
def test_codes_have_the_light_of_the_samples(transfer: str) -> None:
    """Decoded by colour-science, each patch has its u', v' and its share of 100 cd/m²; white is 100 cd/m²."""
    signal = fine_signal(transfer)
    found = {region.name: region.code for region in build("colour-samples", {}).claims(signal).regions}
    for number, name, x, y, share in SAMPLES:
        if (number, transfer) == (12, "sdr"):
            continue
        code = found[f"sample-{number:02d}-{name}"]
        np.testing.assert_allclose(uv_of_xy((x, y)), uv_of(signal, code), rtol=0.0, atol=SAMPLE_UV)
        np.testing.assert_allclose(share, xyz_of(signal, code)[1], rtol=SAMPLE_LIGHT)
    np.testing.assert_allclose(100.0, xyz_of(signal, found["white"])[1], rtol=SAMPLE_LIGHT)


@pytest.mark.parametrize(
    ("written", "primaries", "expected"),
    [
        ("720p60-sdr", None, 1.0),
        ("720p60-pq", None, 0.0),
        ("720p60-pq", "p3-d65", 1.0),
        ("720p60-hlg", None, 0.0),
    ],
)
def test_strong_blue_needs_wide_primaries(written: str, primaries: str | None, expected: float) -> None:
    """Sample 12 lies outside BT.709 and P3-D65 by colour-science's matrices, and its place is left empty."""
    signal = parse_signal_format(written, content_primaries=primaries)
    claims = build("colour-samples", {}).claims(signal)
    space = {"sdr": "ITU-R BT.709", "pq": "ITU-R BT.2020", "hlg": "ITU-R BT.2020"}[signal.transfer.value]
    chosen = colour.RGB_COLOURSPACES["P3-D65" if primaries else space]
    matrix = np.linalg.inv(colour.normalised_primary_matrix(chosen.primaries, chosen.whitepoint))
    outside = [n for n, _, x, y, _ in SAMPLES if (matrix @ colour.xy_to_XYZ(np.array([x, y]))).min() < 0.0]

    assert expected == claims.notes["samples_left_out"]
    assert [12] * int(expected) == outside
    assert bool(outside) != any(region.name.startswith("sample-12") for region in claims.regions)


def test_white_level_is_taken_in_every_unit() -> None:
    """75 % of HLG is code 721 at 10 bits (BT.2100) and gives that card; half the white, half the light."""
    ten, signal = parse_signal_format("1080p50-hlg"), fine_signal("pq")
    by_percent, by_code = (
        build("colour-samples", keys).claims(ten).regions
        for keys in ({"white_signal_percent": 75.0}, {"white_code": 721})
    )
    assert by_percent == by_code
    assert (721, 512, 512) == by_code[-1].code
    whole, half = (
        xyz_of(signal, build("colour-samples", {"white_luminance": white}).claims(signal).regions[0].code)[1]
        for white in (200.0, 100.0)
    )
    np.testing.assert_allclose(2.0, whole / half, rtol=2.0 * SAMPLE_LIGHT)


@pytest.mark.parametrize("family", ["colour-samples", "skin-tones"])
def test_more_light_than_there_is_is_refused(family: str) -> None:
    """SDR holds 100 cd/m² of white and a little more; the message names the key."""
    signal = parse_signal_format("1080p50-sdr")
    with pytest.raises(BadInput, match=f"{family}: white_luminance=200: .* use 0 to 122"):
        build(family, {"white_luminance": 200.0}).claims(signal)


@pytest.mark.parametrize("transfer", TRANSFERS)
@pytest.mark.parametrize("colourfulness", [0.0, 100.0, 150.0])
def test_tones_keep_their_chromaticity(transfer: str, colourfulness: float) -> None:
    """From light to dark every tone has one u', v', so much of the way from D65 to sample 13."""
    signal = fine_signal(transfer)
    keys = {"steps": 12, "darkest_percent": 0.5, "colourfulness_percent": colourfulness}
    white, sample = uv_of_xy((0.3127, 0.3290)), uv_of_xy(SAMPLES[12][2:4])
    expected = white + (sample - white) * colourfulness / 100.0
    for region in build("skin-tones", keys).claims(signal).regions:
        np.testing.assert_allclose(expected, uv_of(signal, region.code), rtol=0.0, atol=TONE_UV)


@pytest.mark.parametrize("transfer", TRANSFERS)
def test_tones_are_of_equal_ratio(transfer: str) -> None:
    """The lightest is sample 13 itself, the darkest 4 % of white; equal ratios between (our own choice)."""
    signal = fine_signal(transfer)
    light = [xyz_of(signal, r.code)[1] for r in build("skin-tones", {}).claims(signal).regions]
    np.testing.assert_allclose(np.geomspace(57.109, 4.0, 6), light, rtol=SAMPLE_LIGHT)
