"""The meter, on pictures whose figures follow from the definitions by hand."""

import math
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Area
from knownlight.frame.format import Scan, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import sample_type
from knownlight.signal.arrays import PlaneArray
from knownlight.stress.figures import GridFigures
from knownlight.stress.meter import Meter, relative_light
from tests.knownlight.stress.conftest import fog
from tests.knownlight.stress.pictures import baked, measured, staircase

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

EXACT = 1e-12  # relative: sums of whole numbers, then a few operations in double precision
SINGLE = 1e-5  # relative: light is summed in single precision
PRINTED = 0.005  # dB: ffmpeg prints two decimals
OURS = 0.15  # relative: the table below is of pictures of another size, with softer grain


def grid(picture: PlaneArray, period: int, area: Rect | None = None) -> GridFigures:
    """Figures of one picture and one period."""
    found = measured([picture], area=area)[0].grid(period)
    assert found is not None
    return found


@pytest.mark.parametrize("step", [1, 2, 3])
@pytest.mark.parametrize("period", [8, 16, 32, 64])
def test_a_staircase_has_all_its_steps_on_the_grid(period: int, step: int) -> None:
    """On its lines a step, elsewhere none: (step + 0.05) / 0.05, by hand."""
    found = grid(staircase(period, step, rows=256, columns=256), period)

    assert (step + 0.05) / 0.05 == pytest.approx(found.ratio, rel=EXACT)
    assert step == found.step


@pytest.mark.parametrize("area", [Rect(13, 21, 203, 131), Rect(8, 0, 64, 64), Rect(7, 7, 33, 32)])
def test_the_grid_is_the_pictures_not_the_areas(area: Rect) -> None:
    """Whatever place an area has, the lines of the grid are counted from the picture's corner."""
    found = measured([staircase(8, 2)], area=area)[0]

    grid8 = found.grid(8)
    assert grid8 is not None
    assert (2.05 / 0.05) == pytest.approx(grid8.ratio, rel=EXACT)
    assert 1.0 == found.flat8


def test_half_the_lines_of_a_finer_grid_are_lines_of_a_coarser_one() -> None:
    """Of 320 by 256 pixels in blocks of 16, 15 of 31 and 19 of 39 lines of a grid of 8 are steps; by hand."""
    line = (2 * 15 / 31 + 2 * 19 / 39) / 2

    assert (line + 0.05) / 0.05 == pytest.approx(grid(staircase(16, 2), 8).ratio, rel=EXACT)


def test_a_ramp_has_no_grid() -> None:
    """One code a pixel everywhere: the ratio is 1, and no block is flat."""
    ramp = np.add.outer(np.arange(80), np.arange(100)).astype(np.uint8) + 16

    found = measured([ramp])[0]
    assert [1.0] * 4 == [each.ratio for each in found.grids]
    assert (0.0, 0.0) == (found.flat8, found.flat16)


def test_a_flat_picture_has_a_ratio_of_one_and_is_flat() -> None:
    """0.05 over 0.05: nothing is divided by nothing."""
    found = measured([np.full((80, 100), 20, np.uint8)])[0]

    assert [(8, 1.0, 0.0, 0.0), (16, 1.0, 0.0, 0.0), (32, 1.0, 0.0, 0.0), (64, 1.0, 0.0, 0.0)] == [
        (each.period, each.ratio, each.step, each.light_step_percent) for each in found.grids
    ]
    assert (1.0, 1.0, 1) == (found.flat8, found.flat16, found.codes_in_use)


def test_a_grid_without_room_is_left_out() -> None:
    """An area of 40 pixels has no whole grid of 64."""
    assert [8, 16, 32] == [each.period for each in measured([np.zeros((40, 40), np.uint8)])[0].grids]


def test_codes_of_more_bits_are_measured_as_codes_of_eight() -> None:
    """Steps of 4 and 16 at 10 and 12 bits are a step of 1 at 8."""
    for depth, scale in ((10, 4), (12, 16)):
        picture = staircase(8, scale)
        found = measured([picture, picture + 2 * scale], depth=depth)[0]
        grid8 = found.grid(8)
        assert grid8 is not None
        assert 1.05 / 0.05 == pytest.approx(grid8.ratio, rel=EXACT)
        assert (1.0, 2.0) == (grid8.step, found.largest_jump)


def test_light_is_that_of_bt1886() -> None:
    """Columns of two codes each 8 pixels: half their difference in light over their mean; colour-science."""
    picture = np.tile(np.repeat(np.array([24, 30], np.uint8), 8), (64, 20))
    dark, light = (float(colour.models.eotf_BT1886((code - 16) / 219, L_B=0, L_W=1)) for code in (24, 30))
    # no steps between rows: averaged over the two directions, half
    expected = 100.0 * ((light - dark) / 2.0) / ((dark + light) / 2.0)

    assert expected == pytest.approx(grid(picture, 8).light_step_percent, rel=SINGLE)


def test_light_of_an_hdr_signal_is_its_own() -> None:
    """ST 2084 of colour-science, relative to its 10000 cd/m²; 10-bit narrow range."""
    table = relative_light(parse_signal_format("2160p24-pq").encoding)

    expected = colour.models.eotf_ST2084((np.arange(64, 941) - 64) / 876) / 10000.0
    np.testing.assert_allclose(table[64:941], expected, rtol=1e-9, atol=1e-12)


def test_baked_blocks_have_the_ratios_measured_before() -> None:
    """Fog with a share of its blocks' means: our own earlier measurements, of pictures of 960x540."""
    picture = fog(1, size=720)[0]

    found = [grid(baked(picture, share), 8).ratio for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
    assert [1.0, 1.4, 3.5, 7.8, 25.6] == pytest.approx(found, rel=OURS)


def test_flat_blocks_are_whole_ones_of_the_grid() -> None:
    """Of 4 by 4 blocks of 8, three are of one code; a flat patch that lies across four blocks is none."""
    picture = np.indices((32, 32)).sum(axis=0).astype(np.uint8)
    for row, column in ((0, 0), (8, 16), (24, 24)):
        picture[row : row + 8, column : column + 8] = 9
    picture[12:20, 4:12] = 9

    found = measured([picture])[0]
    assert (3 / 16, 0.0) == (found.flat8, found.flat16)
    picture[16:32, 16:32] = 7
    assert 1 / 4 == measured([picture])[0].flat16


def test_a_flat_block_deep_in_a_tall_picture_is_counted() -> None:
    """Work goes in stripes; a block across their edges counts once: 1 of 25 x 4, and 4 of 50 x 8."""
    picture = (np.indices((400, 64)).sum(axis=0) % 251).astype(np.uint8)
    picture[112:128, 16:32] = 3

    found = measured([picture])[0]
    assert (4 / 400, 1 / 100) == (found.flat8, found.flat16)


def test_fields_are_measured_each_by_itself() -> None:
    """The top field has steps of 1 each 8 of its rows, the bottom one of 2; woven, rows differ by more."""
    frame = np.zeros((128, 160), np.uint8)
    frame[0::2], frame[1::2] = staircase(8, 1, 64, 160), staircase(8, 2, 64, 160, first=90)

    top, bottom = measured([frame], scan=Scan.INTERLACED)
    assert ("picture, top field", "picture, bottom field") == (top.area, bottom.area)
    assert [1.05 / 0.05, 2.05 / 0.05] == [
        pytest.approx(each.ratio, rel=EXACT)
        for figures in (top, bottom)
        for each in figures.grids
        if each.period == 8
    ]


@pytest.mark.parametrize("y", [0, 1, 18, 35])
def test_an_areas_fields_keep_the_grid_of_field_rows(y: int) -> None:
    """Whether the area begins with a row of the top or of the bottom field."""
    frame = np.zeros((256, 160), np.uint8)
    frame[0::2], frame[1::2] = staircase(8, 1, 128, 160), staircase(8, 2, 128, 160)

    found = measured([frame], scan=Scan.INTERLACED, area=Rect(5, y, 101, 131))
    assert [21.0, 41.0] == pytest.approx([figures.grids[0].ratio for figures in found], rel=EXACT)


def test_jumps_are_seen_between_all_pictures_not_only_measured_ones() -> None:
    """Means 20, 20, 23, 23.5, 21: the largest change is 3, between pictures that are not measured fully."""
    flats = [np.full((40, 40), code, np.uint8) for code in (20, 20, 23, 23, 21)]
    flats[3][:20] = 24

    found = measured(flats, every=4)[0]
    assert (3.0, 2) == (found.largest_jump, found.pictures)
    assert 0.0 == measured(flats[:1])[0].largest_jump


def test_jumps_of_interlaced_pictures_are_between_fields_of_the_same_parity() -> None:
    """A top field that stays and a bottom one that goes from 30 to 34."""
    frames = [np.full((64, 40), 20, np.uint8) for _ in range(2)]
    frames[0][1::2], frames[1][1::2] = 30, 34

    assert [0.0, 4.0] == [each.largest_jump for each in measured(frames, scan=Scan.INTERLACED)]


def test_codes_in_use_are_counted_over_the_measured_pictures() -> None:
    """Two pictures with codes 16 to 19 and 18 to 25, one between them that is not looked at."""
    pictures = [np.tile(np.array(codes, np.uint8), (40, 10)) for codes in ([16, 17, 18, 19], [90] * 4)]
    pictures.append(np.tile(np.arange(18, 26, dtype=np.uint8), (40, 5)))

    assert 10 == measured(pictures, every=2)[0].codes_in_use


@pytest.mark.parametrize(("depth", "form"), [(8, "gray"), (10, "gray10le")])
def test_psnr_is_that_of_ffmpeg(
    depth: int, form: str, run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """Noise of a few codes against the plain picture, by ffmpeg's psnr filter."""
    kind = sample_type(depth)
    drawn: PlaneArray = (fog(1)[0].astype(np.int64) << (depth - 8)).astype(kind)
    coded: PlaneArray = (drawn + np.random.default_rng(5).integers(0, 4, drawn.shape)).astype(kind)
    for name, plane in (("drawn", drawn), ("coded", coded)):
        (tmp_path / name).write_bytes(plane.tobytes())
    raw = ("-f", "rawvideo", "-s", "720x480", "-pix_fmt", form, "-i")
    stats = tmp_path / "stats"
    run_ffmpeg(
        *raw,
        tmp_path / "coded",
        *raw,
        tmp_path / "drawn",
        "-lavfi",
        f"psnr=stats_file={stats}",
        "-f",
        "null",
        "-",
    )
    expected = float(stats.read_text("utf-8").split("psnr_y:")[1].split()[0])

    found = measured([coded], [drawn], depth=depth)[0]
    assert found.psnr == pytest.approx(expected, abs=PRINTED)
    assert 3 == found.largest_error


def test_what_equals_the_drawn_has_no_error_and_no_psnr() -> None:
    """Infinite is no number for a table."""
    picture = staircase(8, 1)
    found = measured([picture], [picture])[0]

    assert (None, 0, 0.0, 1.0) == (found.psnr, found.largest_error, found.drawn_jump, found.drawn_flat8)


def test_without_the_drawn_nothing_is_said_of_it() -> None:
    """Not known is not 0."""
    found = measured([staircase(8, 1)])[0]

    assert (None,) * 4 == (found.psnr, found.largest_error, found.drawn_jump, found.drawn_flat8)


def test_the_drawn_has_figures_of_its_own() -> None:
    """Drawn codes 20 then 22, a picture each; coded 20 then 27, the second with one pixel at 30."""
    drawn = [np.full((40, 40), code, np.uint8) for code in (20, 22)]
    coded = [drawn[0], np.full((40, 40), 27, np.uint8)]
    coded[1][0, 0] = 30

    found = measured(coded, drawn)[0]
    assert (2.0, 8, 1.0) == (found.drawn_jump, found.largest_error, found.drawn_flat8)
    squares = (1599 * 25 + 64) / 3200
    assert 10 * math.log10(255**2 / squares) == pytest.approx(found.psnr, rel=EXACT)


@pytest.mark.parametrize(("scan", "least"), [(Scan.PROGRESSIVE, "32x32"), (Scan.INTERLACED, "32x64")])
def test_an_area_that_is_too_small_is_refused(scan: Scan, least: str) -> None:
    """Named, with what is needed."""
    light = np.zeros(256)
    with pytest.raises(BadInput, match=f"dark half is 30x200, too small to measure; use {least}"):
        Meter([Area("dark half", Rect(0, 0, 30, 200))], depth=8, light=light, scan=scan)


def test_no_picture_has_no_figures() -> None:
    """One line, not a division by nothing."""
    meter = Meter([Area("all", Rect(0, 0, 64, 64))], depth=8, light=np.zeros(256), scan=Scan.PROGRESSIVE)
    with pytest.raises(BadInput, match="all: there is no picture"):
        _ = meter.figures
