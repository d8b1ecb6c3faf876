"""OpenEXR stills: the light of the codes, as the standards' own formulas in another library have it."""

import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.knownlight.still_files import codes_of, said_by, signal_of, write

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

PACKAGE = "openexr"
# Relative: a float of 32 bits has 24 bits of precision, and constants of colour-science are rounded.
NEAR = 1e-5
BLACK = 1e-6  # cd/m²
BT709 = "red   (0.64 0.33)", "green (0.3 0.6)", "blue  (0.15 0.06)", "white (0.3127 0.329)"
BT2020 = "red   (0.708 0.292)", "green (0.17 0.797)", "blue  (0.131 0.046)", "white (0.3127 0.329)"


def _light(transfer: str, signal: NDArray[np.float64]) -> NDArray[np.float64]:
    """cd/m² by colour-science: BT.1886 and sRGB at 100 cd/m², ST 2084, BT.2100 HLG at 1000 cd/m²."""
    if transfer == "sdr":
        return np.asarray(colour.models.eotf_BT1886(signal, L_B=0, L_W=100.0))
    if transfer == "srgb":
        return np.asarray(100.0 * colour.models.eotf_sRGB(signal))
    if transfer == "pq":
        return np.asarray(colour.models.eotf_ST2084(signal))
    return np.asarray(colour.models.eotf_BT2100_HLG(signal, L_B=0, L_W=1000.0))


@pytest.mark.parametrize(
    ("transfer", "depth"), [("sdr", 8), ("srgb", 8), ("pq", 10), ("pq", 12), ("hlg", 10)]
)
def test_samples_are_light(
    transfer: str, depth: int, tmp_path: Path, run_ffmpeg: Callable[..., bytes]
) -> None:
    """Each sample, read by ffmpeg's own decoder, is the light of its code by colour-science."""
    signal = signal_of(transfer, depth)
    write("exr", signal, tmp_path / "a.exr")
    raw = run_ffmpeg("-i", tmp_path / "a.exr", "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "pipe:1")
    planes = np.frombuffer(raw, "<f4").reshape(3, 720, 1280)[[2, 0, 1]]

    wanted = _light(transfer, codes_of(signal) / ((1 << depth) - 1))
    np.testing.assert_allclose(np.moveaxis(planes, 0, -1), wanted, rtol=NEAR, atol=BLACK)


@pytest.mark.parametrize(("transfer", "points"), [("srgb", BT709), ("pq", BT2020)])
def test_attributes(transfer: str, points: tuple[str, ...], tmp_path: Path) -> None:
    """Debian's exrheader: 32-bit floats, chromaticities of the container, white luminance of one unit."""
    write("exr", signal_of(transfer), tmp_path / "a.exr")
    words = said_by("exrheader", tmp_path / "a.exr", package=PACKAGE)

    for line in ("R, 32-bit floating-point, sampling 1 1", *points, "whiteLuminance (type float): 1\n"):
        assert line in words
    assert "Linear light in cd/m2 of R'G'B' codes" in words
