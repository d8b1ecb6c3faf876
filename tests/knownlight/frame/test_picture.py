"""A picture on its way into codes: places and sizes by hand, codes against colour-science.

Siting is checked by hand at one edge and against the subsampler, which has outside tests of its own.
"""

import warnings
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.picture import Fit, placed, planes_of_light, scaled_size
from knownlight.frame.subsample import subsample_420
from knownlight.signal.arrays import FloatArray
from knownlight.signal.encoding import Transfer
from knownlight.signal.primaries import BT709, BT2020, P3_D65, Primaries

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

STEADY = settings(deadline=None, derandomize=True)
SPACES = {"bt709": "ITU-R BT.709", "p3-d65": "P3-D65", "bt2020": "ITU-R BT.2020"}
COLOURS = [(90.0, 20.0, 10.0), (15.0, 70.0, 30.0), (12.0, 18.0, 95.0), (40.0, 40.0, 40.0), (60.0, 55.0, 20.0)]


def form(written: str, *, columns: int = 8, rows: int = 4, **options: Any) -> SignalFormat:
    """A signal format of a few pixels."""
    return replace(parse_signal_format(written, **options), width=columns, height=rows)


def flat(light: tuple[float, float, float], signal: SignalFormat) -> FloatArray:
    """A picture of one linear colour."""
    return np.broadcast_to(np.array(light), (signal.height, signal.width, 3))


def marked(rows: int, columns: int) -> FloatArray:
    """A picture whose every pixel is its own: 100 times the row, plus the column, plus 1."""
    grid = 100.0 * np.arange(rows)[:, None] + np.arange(columns)[None, :] + 1.0
    return np.repeat(grid[..., None], 3, axis=-1)


def matrix_of(primaries: Primaries) -> FloatArray:
    """The normalised primary matrix, by colour-science."""
    space = colour.RGB_COLOURSPACES[SPACES[primaries.name]]
    return np.asarray(colour.normalised_primary_matrix(space.primaries, space.whitepoint))


def outside_signal(signal: SignalFormat, linear: FloatArray) -> FloatArray:
    """R', G', B' of linear light in cd/m² on the reference display, by colour-science."""
    with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
        if signal.transfer is Transfer.SDR:
            value = colour.models.eotf_inverse_BT1886(linear, L_B=0.0, L_W=100.0)
        elif signal.transfer is Transfer.PQ:
            value = colour.models.eotf_inverse_ST2084(linear)
        else:
            value = colour.models.eotf_inverse_BT2100_HLG(linear, L_B=0.0, L_W=1000.0, gamma=1.2)
    return np.asarray(value, dtype=np.float64)


# By hand: 2 rows in 6 leave 2 above and 2 below; 6 columns in 4 lose 1 on each side.
def test_a_picture_is_placed_in_the_middle() -> None:
    """What is smaller lies in black, what is larger is cut on both sides alike."""
    found = placed(marked(2, 6), 6, 4)

    expected = np.zeros((6, 4))
    expected[2:4] = [[2.0, 3.0, 4.0, 5.0], [102.0, 103.0, 104.0, 105.0]]
    for index in range(3):
        np.testing.assert_array_equal(expected, found[..., index])


def test_a_picture_of_the_same_size_stays() -> None:
    """Nothing is cut or added where it fits, and the picture itself is left alone."""
    picture = marked(4, 6)
    found = placed(picture, 4, 6)
    found[0, 0, 0] = -1.0

    np.testing.assert_array_equal(marked(4, 6), picture)
    np.testing.assert_array_equal(picture.ravel()[1:], found.ravel()[1:])


@STEADY
@given(st.integers(1, 9), st.integers(1, 9), st.integers(1, 9), st.integers(1, 9))
def test_placing_keeps_all_that_there_is_room_for(height: int, width: int, rows: int, columns: int) -> None:
    """Of every size in every other: as many pixels as fit in both, in their order, the rest black."""
    found = placed(marked(height, width), rows, columns)[..., 0]
    lit = np.argwhere(found > 0.0)

    assert (rows, columns) == found.shape
    assert min(height, rows) * min(width, columns) == len(lit)
    top, left = lit.min(axis=0)
    y, x = divmod(int(found[top, left]) - 1, 100)
    assert (max(0, height - rows) // 2, max(0, width - columns) // 2) == (y, x)
    for row, column in lit:
        assert 100 * (y + row - top) + (x + column - left) + 1 == found[row, column]
    assert abs((rows - min(height, rows)) - 2 * int(top)) <= 1
    assert abs((columns - min(width, columns)) - 2 * int(left)) <= 1


# By hand, a frame of 16:9: 4:3 fills its height inside and its width outside, 2.35:1 the other way round.
@pytest.mark.parametrize(
    ("shape", "fit", "expected"),
    [
        ((600, 800), Fit.INSIDE, (720, 960)),
        ((600, 800), Fit.FILL, (960, 1280)),
        ((200, 470), Fit.INSIDE, (545, 1280)),
        ((200, 470), Fit.FILL, (720, 1692)),
        ((1080, 1920), Fit.INSIDE, (720, 1280)),
        ((1080, 1920), Fit.FILL, (720, 1280)),
        ((33, 77), Fit.PIXELS, (33, 77)),
        ((5000, 2), Fit.INSIDE, (720, 1)),
    ],
)
def test_sizes_of_a_fit(shape: tuple[int, int], fit: Fit, expected: tuple[int, int]) -> None:
    """Inside shows all of it, fill leaves no black, pixels does not scale; halves of a pixel go up."""
    assert expected == scaled_size(shape, 720, 1280, fit)


@STEADY
@given(
    st.tuples(st.integers(1, 5000), st.integers(1, 5000)), st.integers(1, 4320), st.integers(1, 7680)
)  # fmt: skip
def test_a_fit_keeps_the_shape(shape: tuple[int, int], rows: int, columns: int) -> None:
    """One side is the frame's, the other within half a pixel of the shape, and one pixel at least."""
    inside, fill = (scaled_size(shape, rows, columns, fit) for fit in (Fit.INSIDE, Fit.FILL))

    assert inside[0] <= rows
    assert inside[1] <= columns
    assert fill[0] >= rows
    assert fill[1] >= columns
    for height, width in (inside, fill):
        assert height == rows or width == columns
        by_height = abs(width * shape[0] - height * shape[1]) * 2 <= shape[0] or width == 1
        by_width = abs(width * shape[0] - height * shape[1]) * 2 <= shape[1] or height == 1
        assert by_height or by_width


@pytest.mark.parametrize("written", ["720p50-sdr", "720p50-pq", "720p50-hlg"])
@pytest.mark.parametrize("primaries", [BT709, P3_D65, BT2020], ids=lambda primaries: primaries.name)
@pytest.mark.parametrize("light", COLOURS, ids=str)
def test_codes_have_the_light_by_colour_science(
    written: str, primaries: Primaries, light: tuple[float, float, float]
) -> None:
    """R'G'B' of 12 bits are what colour-science's matrices and inverse EOTFs make of the linear picture."""
    signal = form(written, depth=12, components="rgb")
    container = matrix_of(signal.container_primaries)
    linear = np.maximum(np.linalg.inv(container) @ matrix_of(primaries) @ np.array(light), 0.0)
    value = np.minimum(outside_signal(signal, linear), 1.0)
    expected = [[int(256 + 3504 * float(component) + 0.5)] for component in value]  # H.273 clause 8.3

    planes = planes_of_light(flat(light, signal), primaries, signal)
    assert expected == [np.unique(plane).tolist() for plane in planes]


# By hand, BT.1886 and H.273: 25 cd/m² of 100 is signal 0.25^(1/2.4) = 0.56123, so luma 16 + 219 * 0.56123 =
# 138.9; of ST 2084, 203 cd/m² is code 573 (BT.2408, second-hand); HLG 203 cd/m² is code 721 (the same).
@pytest.mark.parametrize(
    ("written", "light", "expected"),
    [
        ("720p50-sdr", 0.0, (16, 128, 128)),
        ("720p50-sdr", 25.0, (139, 128, 128)),
        ("720p50-sdr", 100.0, (235, 128, 128)),
        ("720p50-pq", 203.0, (573, 512, 512)),
        ("720p50-hlg", 203.15, (721, 512, 512)),
    ],
)
def test_greys_by_hand(written: str, light: float, expected: tuple[int, int, int]) -> None:
    """Greys have the codes of the standards, whatever primaries they were given in; planes are halved."""
    signal = form(written)
    for primaries in (BT709, P3_D65, BT2020):
        planes = planes_of_light(flat((light, light, light), signal), primaries, signal)
        assert list(expected) == [int(plane[0, 0]) for plane in planes]
        assert [(4, 8), (2, 4), (2, 4)] == [plane.shape for plane in planes]
        assert {np.dtype(np.uint8 if signal.depth == 8 else np.uint16)} == {plane.dtype for plane in planes}


@pytest.mark.parametrize(("written", "white"), [("720p50-sdr", 235), ("720p50-pq", 940), ("720p50-hlg", 940)])
def test_what_is_too_bright_is_white(written: str, white: int) -> None:
    """Light far above the signal's white has the code of white, and light below 0 that of black."""
    signal = form(written, components="rgb")
    bright = planes_of_light(flat((1e6, 1e6, 1e6), signal), BT2020, signal)
    dark = planes_of_light(flat((-5.0, -5.0, -5.0), signal), BT2020, signal)

    assert [white] * 3 == [int(plane[0, 0]) for plane in bright]
    assert [signal.quantisation.black] * 3 == [int(plane[0, 0]) for plane in dark]


def test_what_lies_outside_the_primaries_is_clipped() -> None:
    """BT.2020 green in SDR: by colour-science red and blue of it are below 0 in BT.709, and become 0."""
    signal = form("720p50-sdr", components="rgb")
    red, green, blue = np.linalg.inv(matrix_of(BT709)) @ matrix_of(BT2020) @ np.array([0.0, 60.0, 0.0])
    assert red < 0.0
    assert blue < 0.0

    codes = [int(plane[0, 0]) for plane in planes_of_light(flat((0.0, 60.0, 0.0), signal), BT2020, signal)]
    expected = 16 + 219 * float(colour.models.eotf_inverse_BT1886(np.array(green), L_B=0.0, L_W=100.0))
    assert [16, int(expected + 0.5), 16] == codes


# Red and blue of BT.709 at 75 and 100 %: bar codes of vectors/bars.toml; light of 75 % by BT.1886.
@pytest.mark.parametrize(
    ("light", "expected"),
    [
        ((100.0, 0.0, 0.0), (63, 102, 240)),
        ((0.0, 0.0, 100.0), (32, 240, 118)),
        ((100.0 * 0.75**2.4, 0.0, 0.0), (51, 109, 212)),
    ],
)
def test_bars_have_their_codes(light: tuple[float, float, float], expected: tuple[int, int, int]) -> None:
    """A flat colour bar of SDR has the Y, Cb, Cr of the standards, subsampled or not."""
    for components in ("4:2:0", "4:4:4"):
        signal = form("720p50-sdr", components=components)
        planes = planes_of_light(flat(light, signal), BT709, signal)
        assert [[code] for code in expected] == [np.unique(plane).tolist() for plane in planes]


# By hand: the left half is red, Cr 240, the right half black, Cr 128. Chroma on the left (BT.709) weighs
# columns by [1 2 1] / 4 about even ones: the one right of the edge, 4, has 240 / 4 + 128 * 3 / 4 = 156.
def test_chroma_is_filtered_at_an_edge() -> None:
    """A chroma sample beside an edge mixes both sides by the weights of its siting; others are pure."""
    signal = form("720p50-sdr")
    light = np.zeros((4, 8, 3))
    light[:, :4, 0] = 100.0
    cr = planes_of_light(light, BT709, signal)[2]

    np.testing.assert_array_equal(np.broadcast_to([240, 240, 156, 128], (2, 4)), cr)


@pytest.mark.parametrize("written", ["720p50-sdr", "720p50-pq", "720p50-hlg"])
def test_subsampling_is_that_of_the_siting(written: str) -> None:
    """4:2:0 planes are the 4:4:4 ones, luma as it is and chroma subsampled as the signal sites it."""
    light = 90.0 * np.random.default_rng(420).random((8, 12, 3))
    whole = form(written, columns=12, rows=8, components="4:4:4")
    half = form(written, columns=12, rows=8)
    full_planes, planes = (planes_of_light(light, BT2020, signal) for signal in (whole, half))

    np.testing.assert_array_equal(full_planes[0], planes[0])
    for full_plane, plane in zip(full_planes[1:], planes[1:], strict=True):
        np.testing.assert_array_equal(subsample_420(full_plane, half.siting), plane)


def test_rgb_is_stored_in_that_order() -> None:
    """R'G'B' planes are red, green and blue, at full size."""
    signal = form("720p50-sdr", components="rgb")
    planes = planes_of_light(flat((100.0, 25.0, 0.0), signal), BT709, signal)

    assert [235, 139, 16] == [int(plane[0, 0]) for plane in planes]
    assert {(4, 8)} == {plane.shape for plane in planes}
