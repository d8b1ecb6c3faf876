"""Path card: what its codes show in each format, decoded by colour-science, against one list of targets.

The reference displays are BT.1886 at 100 cd/m² (BT.2035), PQ (ST 2084) and HLG at 1000 cd/m² (BT.2100); the
targets are ours. Bounds are the light and chromaticity of the neighbouring codes, one step each way.
"""

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.canvas import label_dot
from patterns.registry import build

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

Floats = NDArray[np.float64]

ROUNDING = 1e-12  # of float64: the primaries themselves are the ends of what SDR can show
GREYS = [0, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100]  # cd/m²
# By hand: 50 cd/m² times the luminance row of BT.709, 0.2126, 0.7152, 0.0722 (BT.709-6 item 3.2); x, y of the
# primaries are BT.709-6 item 1.3, of their sums below from colour-science.
COLOURS = {
    "red": 10.63,
    "green": 35.76,
    "blue": 3.61,
    "yellow": 46.39,
    "cyan": 39.37,
    "magenta": 14.24,
    "white": 50,
}
ADDED = {"red": [1, 0, 0], "green": [0, 1, 0], "blue": [0, 0, 1], "yellow": [1, 1, 0], "cyan": [0, 1, 1],
         "magenta": [1, 0, 1], "white": [1, 1, 1]}  # fmt: skip


@dataclass(frozen=True)
class Display:
    """How colour-science decodes a signal: its primaries, bits, signal to light, and its weights' name."""

    space: str
    bits: int
    light: Callable[[Floats], Floats]
    weights: str = ""

    def xyz(self, codes: NDArray[np.int64]) -> Floats:
        """X, Y, Z in cd/m² of Y'CbCr codes, (n, 3)."""
        rgb = colour.YCbCr_to_RGB(
            codes,
            K=colour.WEIGHTS_YCBCR[self.weights or self.space],
            in_bits=self.bits,
            in_legal=True,
            in_int=True,
            out_legal=False,
            out_int=False,
        )
        matrix = colour.RGB_COLOURSPACES[self.space].matrix_RGB_to_XYZ
        return np.asarray(self.light(np.maximum(rgb, 0.0)) @ matrix.T)


def bt1886(signal: Floats) -> Floats:
    """SDR light."""
    return np.asarray(colour.models.eotf_BT1886(signal, L_B=0, L_W=100))


def hlg(signal: Floats) -> Floats:
    """HLG light."""
    return np.asarray(colour.models.eotf_BT2100_HLG(signal, L_B=0, L_W=1000))


def pq(signal: Floats) -> Floats:
    """PQ light."""
    return np.asarray(colour.models.eotf_ST2084(signal))


FORMATS = {
    "sdr-8": (parse_signal_format("720p60-sdr"), Display("ITU-R BT.709", 8, bt1886)),
    "sdr-10": (parse_signal_format("720p60-sdr", depth=10), Display("ITU-R BT.709", 10, bt1886)),
    "pq-10": (parse_signal_format("720p60-pq"), Display("ITU-R BT.2020", 10, pq)),
    "hlg-10": (parse_signal_format("720p60-hlg"), Display("ITU-R BT.2020", 10, hlg)),
    "hlg-12": (parse_signal_format("720p60-hlg", depth=12), Display("ITU-R BT.2020", 12, hlg)),
}
EVERY = pytest.mark.parametrize("kind", FORMATS)


def measured(signal: SignalFormat) -> dict[str, CodeTriple]:
    """Codes of the regions that a meter reads, by name."""
    regions = build("path-card", {}).claims(signal).regions
    return {region.name: region.code for region in regions if region.purpose is Purpose.MEASURE}


def neighbours(code: CodeTriple, steps: tuple[int, int, int]) -> NDArray[np.int64]:
    """A triple and all those that lie within some steps of it, one row each."""
    ways = product(*(range(-step, step + 1) for step in steps))
    return np.array([np.add(code, way) for way in ways])


@EVERY
def test_greys_show_their_targets(kind: str) -> None:
    """Every grey's target lies between the light of the codes below and above its own; black is black."""
    signal, display = FORMATS[kind]
    codes = measured(signal)
    targets = {f"grey-{target:g}": target for target in GREYS}
    targets |= {
        f"highlight-{target}": target for target in (100, 200, 400, 600, 1000)[: 1 if "sdr" in kind else 5]
    }
    assert set(targets) == {name for name in codes if name.startswith(("grey", "highlight"))}
    for name, target in targets.items():
        light = display.xyz(neighbours(codes[name], (1, 0, 0)))[:, 1]
        if target == 0:
            assert 0.0 == light[1]
        else:
            assert light[0] < target < light[2], name


@EVERY
def test_colours_show_their_targets(kind: str) -> None:
    """Luminance, x and y of every colour's target lie within those of the codes one step around its own."""
    signal, display = FORMATS[kind]
    codes, bt709 = measured(signal), colour.RGB_COLOURSPACES["ITU-R BT.709"].matrix_RGB_to_XYZ
    targets = {name: (*colour.XYZ_to_xy(bt709 @ ADDED[name]), level) for name, level in COLOURS.items()}
    targets["skin"] = (0.375, 0.350, 25.0)
    assert set(targets) == {name for name in codes if not name.startswith(("grey", "highlight"))}
    for name, target in targets.items():
        xyz = display.xyz(neighbours(codes[name], (1, 1, 1)))
        shown = np.column_stack([colour.XYZ_to_xy(xyz), xyz[:, 1]])
        assert (shown.min(axis=0) - ROUNDING < target).all(), (name, target)
        assert (target < shown.max(axis=0) + ROUNDING).all(), (name, target)


# Luminance of the corners: 50 cd/m² times the luminance rows of vectors/chromaticity.toml.
@pytest.mark.parametrize(
    ("name", "space", "red", "green", "blue"),
    [
        ("576p50-sdr", "ITU-R BT.470 - 625", 11.100, 35.333, 3.567),
        ("480p59.94-sdr", "SMPTE C", 10.619, 35.053, 4.328),
    ],
)
def test_standard_definition_shows_its_own_corners(
    name: str, space: str, red: float, green: float, blue: float
) -> None:
    """BT.601's corners, which lie inside or beside those of BT.709: within the codes one step around."""
    codes, display = measured(parse_signal_format(name)), Display(space, 8, bt1886, "ITU-R BT.601")
    corners = colour.RGB_COLOURSPACES[space].primaries
    for hue, xy, level in zip(("red", "green", "blue"), corners, (red, green, blue), strict=True):
        xyz = display.xyz(neighbours(codes[hue], (1, 1, 1)))
        shown = np.column_stack([colour.XYZ_to_xy(xyz), xyz[:, 1]])
        assert (shown.min(axis=0) - ROUNDING < (*xy, level)).all(), hue
        assert ((*xy, level) < shown.max(axis=0) + ROUNDING).all(), hue


@pytest.mark.parametrize("name", ["576i25-sdr", "480i29.97-sdr", "720p60-sdr"])
def test_texts_stay_in_their_cells(name: str) -> None:
    """Between the texts of two neighbours of the longest row there are columns that no text lights.

    MAGENTA 14.2 is 71 dots wide, 12 letters of 6 less one; a cell of eight in 720 pixels less margins is 85.
    """
    signal = parse_signal_format(name)
    regions = {region.name: region.rect for region in build("path-card", {}).claims(signal).regions}
    luma = build("path-card", {}).draw(signal).frame(0).planes[0]
    below = regions["magenta"].bottom
    written = np.flatnonzero((luma[below : regions["white-for-200"].y] != luma[below, 4]).any(axis=0))
    inside = written[(written > 1) & (written < signal.width - 2)]  # between the lines of the frame
    middles = [regions[hue].x + regions[hue].width // 2 for hue in (*COLOURS, "skin")]
    between = [inside[(left < inside) & (inside < right)] for left, right in pairwise(sorted(middles))]
    assert all(2 * label_dot(signal) < np.diff(columns).max() for columns in between)


def test_every_format_measures_the_same_patches() -> None:
    """The names that a meter reads are one list; SDR leaves out the highlights above its white."""
    names = {kind: list(measured(signal)) for kind, (signal, _) in FORMATS.items()}
    assert names["pq-10"] == names["hlg-10"] == names["hlg-12"]
    beyond = {"highlight-200", "highlight-400", "highlight-600", "highlight-1000"}
    expected = [name for name in names["pq-10"] if name not in beyond]
    assert [expected, expected] == [names["sdr-8"], names["sdr-10"]]


@pytest.mark.parametrize(("kind", "white"), [("sdr-8", 235), ("sdr-10", 940)])
def test_what_sdr_does_not_hold_is_its_white(kind: str, white: int) -> None:
    """Highlights above SDR's white are white (BT.709-6 item 4.6), called so, and not there to be measured."""
    regions = build("path-card", {}).claims(FORMATS[kind][0]).regions
    found = {
        region.name: (region.code[0], region.purpose) for region in regions if "white-for" in region.name
    }
    names = [f"white-for-{target}" for target in (200, 400, 600, 1000)]
    assert dict.fromkeys(names, (white, Purpose.LOOK)) == found


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_the_frame_is_the_edge(height: int) -> None:
    """A line of two pixels runs round the picture at every size, and the patches lie inside and apart."""
    signal = parse_signal_format(f"{height}p60-sdr")
    regions = build("path-card", {}).claims(signal).regions
    plane = build("path-card", {}).draw(signal).frame(0).planes[0]
    line = plane[0, 0]
    assert 20.0 == pytest.approx(signal.encoding.grey_luminance(int(line)), rel=0.02)  # a code is 2 % there
    ring = np.ones(plane.shape, dtype=np.bool_)
    ring[2:-2, 2:-2] = False
    assert [line] == np.unique(plane[ring]).tolist()
    covered = np.zeros(plane.shape, dtype=np.int64)
    for region in regions:
        covered[region.rect.slices] += 1
    assert 1 == covered.max()
    assert [1] == np.unique(covered[ring]).tolist()
    assert [0] == np.unique(covered[2:4, 2:-2]).tolist()
