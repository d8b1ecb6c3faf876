"""The light of codes by colour-science alone: outside truth for families of colours."""

import warnings

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components, Transfer

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

TRANSFERS = ("sdr", "pq", "hlg")


def fine_signal(transfer: str) -> SignalFormat:
    """R'G'B' of 12 bits: the finest codes there are, so that bounds are tight."""
    return parse_signal_format(f"1080p50-{transfer}", depth=12, components="rgb")


def xyz_of(signal: SignalFormat, code: CodeTriple) -> NDArray[np.float64]:
    """CIE X, Y, Z in cd/m² on the reference display: BT.1886 of 100 cd/m², PQ, HLG of 1000 cd/m²."""
    is_sdr = signal.transfer is Transfer.SDR
    name = "ITU-R BT.709" if is_sdr else "ITU-R BT.2020"
    narrow = signal.code_range is CodeRange.NARROW
    if signal.components is Components.RGB:
        low, high = colour.CV_range(signal.depth, narrow, True)  # noqa: FBT003
        rgb = (np.array(code) - low) / (high - low)
    else:
        rgb = colour.YCbCr_to_RGB(
            np.array(code),
            K=colour.WEIGHTS_YCBCR[name],
            in_bits=signal.depth,
            in_legal=narrow,
            in_int=True,
            out_legal=False,
            out_int=False,
        )
    rgb = np.maximum(rgb, 0.0)
    if is_sdr:
        light = colour.models.eotf_BT1886(rgb, L_B=0.0, L_W=100.0)
    elif signal.transfer is Transfer.PQ:
        light = colour.models.eotf_ST2084(rgb)
    else:
        with np.errstate(invalid="ignore", over="ignore"):
            light = colour.models.eotf_BT2100_HLG(rgb, L_B=0.0, L_W=1000.0, gamma=1.2)
    space = colour.RGB_COLOURSPACES[name]
    matrix = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    return np.asarray(matrix @ light, dtype=np.float64)


def uv_of(signal: SignalFormat, code: CodeTriple) -> NDArray[np.float64]:
    """CIE 1976 u', v'."""
    return uv_of_xy(colour.XYZ_to_xy(xyz_of(signal, code)))


def uv_of_xy(xy: object) -> NDArray[np.float64]:
    """CIE 1976 u', v' of CIE 1931 x, y."""
    return np.asarray(colour.xy_to_Luv_uv(np.array(xy)), dtype=np.float64)


HUES: dict[str, tuple[int, int, int]] = {
    "red": (1, 0, 0),
    "yellow": (1, 1, 0),
    "green": (0, 1, 0),
    "cyan": (0, 1, 1),
    "blue": (0, 0, 1),
    "magenta": (1, 0, 1),
}
_SPACES = {"bt709": "ITU-R BT.709", "p3-d65": "P3-D65", "bt2020": "ITU-R BT.2020"}


def corner_xyz(gamut: str, hue: str) -> NDArray[np.float64]:
    """X, Y, Z of a corner of some primaries, where white has a Y of 1."""
    space = colour.RGB_COLOURSPACES[_SPACES[gamut]]
    matrix = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    return np.asarray(matrix @ np.array(HUES[hue]), dtype=np.float64)


def xy_of_xyz(xyz: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE 1931 x, y."""
    return np.asarray(colour.XYZ_to_xy(xyz), dtype=np.float64)
