"""4:2:0 chroma: by hand, and against the zscale filter of ffmpeg (zimg) with its bilinear kernel.

zimg's bilinear kernel stretched to half size is the same triangle. It rounds after each direction, we round
once; where no rounding happens (codes that are multiples of 64 in 16 bits) the two are equal to the bit.
"""

import subprocess
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight import ffmpeg
from knownlight.frame.subsample import subsample_420, upsample_420
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.h273 import ChromaSampleLocation

STEADY = settings(deadline=None, derandomize=True)
ZSCALE_DOUBLE_ROUNDING = 1  # code, measured 1 in a fifth of samples: zimg rounds twice, once a direction
SITED_WRONG = 100  # codes, measured 8230: what a wrong siting costs on noise of 16 bits
WIDTH, HEIGHT = 64, 48
LOCATIONS = pytest.mark.parametrize(
    ("location", "name"), [(ChromaSampleLocation.LEFT, "left"), (ChromaSampleLocation.TOP_LEFT, "topleft")]
)
OTHER = {
    ChromaSampleLocation.LEFT: ChromaSampleLocation.TOP_LEFT,
    ChromaSampleLocation.TOP_LEFT: ChromaSampleLocation.LEFT,
}


def zscale(planes: list[PlaneArray], given_format: str, wanted_format: str, options: str) -> list[PlaneArray]:
    """One picture through ffmpeg's zscale; the planes that come out, luma and two of chroma."""
    command = [ffmpeg.binary(), "-v", "error", "-f", "rawvideo", "-pix_fmt", given_format]
    command += [
        "-s",
        f"{WIDTH}x{HEIGHT}",
        "-i",
        "pipe:0",
        "-vf",
        f"zscale=filter=bilinear:dither=none:{options}",
    ]
    command += ["-f", "rawvideo", "-pix_fmt", wanted_format, "pipe:1"]
    data = b"".join(plane.tobytes() for plane in planes)
    finished = subprocess.run(command, input=data, capture_output=True, check=False)
    assert not finished.returncode, finished.stderr
    assert not finished.stderr
    samples = np.frombuffer(finished.stdout, dtype=planes[0].dtype)
    halves = 2 if wanted_format.startswith("yuv420") else 1
    rows, columns = HEIGHT // halves, WIDTH // halves
    chroma = samples[WIDTH * HEIGHT :].reshape(2, rows, columns)
    return [samples[: WIDTH * HEIGHT].reshape(HEIGHT, WIDTH), chroma[0], chroma[1]]


def noise(largest: int, step: int, kind: Any, rows: int = HEIGHT, columns: int = WIDTH) -> PlaneArray:
    """Codes of even probability."""
    codes = step * np.random.default_rng(420).integers(0, largest // step + 1, (rows, columns))
    plane: PlaneArray = codes.astype(kind)
    return plane


def error(expected: PlaneArray, actual: PlaneArray) -> int:
    """Largest difference in codes."""
    return int(np.abs(expected.astype(np.int64) - actual.astype(np.int64)).max())


@LOCATIONS
def test_subsampling_is_zimgs_to_the_bit_where_nothing_is_rounded(
    location: ChromaSampleLocation, name: str
) -> None:
    """On multiples of 64 every sample, edges included, is zimg's; with the other siting it is not."""
    plane = noise(65535, 64, np.uint16)
    _, expected, second = zscale([plane] * 3, "yuv444p16le", "yuv420p16le", f"chromal={name}")
    np.testing.assert_array_equal(expected, subsample_420(plane, location))
    np.testing.assert_array_equal(expected, second)
    assert error(expected, subsample_420(plane, OTHER[location])) > SITED_WRONG


@LOCATIONS
@pytest.mark.parametrize(
    ("depth", "full", "half"),
    [(8, "yuv444p", "yuv420p"), (10, "yuv444p10le", "yuv420p10le"), (12, "yuv444p12le", "yuv420p12le")],
)
def test_subsampling_is_zimgs_within_its_double_rounding(
    location: ChromaSampleLocation, name: str, depth: int, full: str, half: str
) -> None:
    """On noise of every code the two differ by no more than zimg's own second rounding."""
    plane = noise((1 << depth) - 1, 1, np.uint8 if depth == 8 else np.uint16)
    _, expected, _ = zscale([plane] * 3, full, half, f"chromal={name}")
    assert error(expected, subsample_420(plane, location)) <= ZSCALE_DOUBLE_ROUNDING


@LOCATIONS
def test_upsampling_is_zimgs_to_the_bit_where_nothing_is_rounded(
    location: ChromaSampleLocation, name: str
) -> None:
    """On multiples of 64 the interpolation is zimg's, edges included; with the other siting it is not."""
    luma = noise(65535, 64, np.uint16)
    plane = noise(65535, 64, np.uint16, HEIGHT // 2, WIDTH // 2)
    _, expected, _ = zscale([luma, plane, plane], "yuv420p16le", "yuv444p16le", f"chromalin={name}")
    np.testing.assert_array_equal(expected, upsample_420(plane, location))
    assert error(expected, upsample_420(plane, OTHER[location])) > SITED_WRONG


# By hand: a single lit sample of 160 at row 2, column 2 among zeros. Across, [1 2 1] / 4 about columns 0, 2
# and 4 gives 1/2 at chroma column 1. Down, on the sample, gives 1/2 at chroma row 1; midway, [1 3 3 1] / 8
# about rows (0, 1), (2, 3) and (4, 5) gives 3/8 at row 1 and 1/8 at row 0.
@pytest.mark.parametrize(
    ("location", "expected"),
    [
        (ChromaSampleLocation.TOP_LEFT, [[0, 0, 0], [0, 40, 0], [0, 0, 0]]),
        (ChromaSampleLocation.LEFT, [[0, 10, 0], [0, 30, 0], [0, 0, 0]]),
    ],
)
def test_one_lit_sample(location: ChromaSampleLocation, expected: list[list[int]]) -> None:
    """A single lit sample spreads by the weights of the siting."""
    plane = np.zeros((6, 6), dtype=np.uint8)
    plane[2, 2] = 160
    np.testing.assert_array_equal(expected, subsample_420(plane, location))


# By hand: between chroma samples 0 and 80 the top-left siting has 0 40 80 80; midway, rows sit a quarter away
# from their sample: 0, 20, 60, 80.
@pytest.mark.parametrize(
    ("location", "expected"),
    [(ChromaSampleLocation.TOP_LEFT, [0, 40, 80, 80]), (ChromaSampleLocation.LEFT, [0, 20, 60, 80])],
)
def test_interpolation_between_two_rows(location: ChromaSampleLocation, expected: list[int]) -> None:
    """Rows between two chroma rows lie on a straight line between their sites; edges are repeated."""
    plane = np.array([[0, 0], [80, 80]], dtype=np.uint8)
    for column in upsample_420(plane, location).T:
        np.testing.assert_array_equal(expected, column)


# By hand: the mean of rows 0 and 1 of codes 0 and 1 is 1/2, and 1/2 is rounded to 1 (H.273's Round).
def test_halves_are_rounded_up() -> None:
    """A half code becomes the upper code."""
    plane = np.array([[0, 0], [1, 1]], dtype=np.uint8)
    np.testing.assert_array_equal([[1]], subsample_420(plane, ChromaSampleLocation.LEFT))


@STEADY
@given(
    code=st.integers(0, 4095),
    rows=st.integers(1, 6),
    columns=st.integers(1, 6),
    location=st.sampled_from(list(OTHER)),
)
def test_flat_stays_flat(code: int, rows: int, columns: int, location: ChromaSampleLocation) -> None:
    """A flat plane keeps its code and its type in both directions."""
    plane = np.full((2 * rows, 2 * columns), code, dtype=np.uint16)
    half = subsample_420(plane, location)
    np.testing.assert_array_equal(np.full((rows, columns), code), half)
    np.testing.assert_array_equal(plane, upsample_420(half, location))
    assert plane.dtype == half.dtype == upsample_420(half, location).dtype


@STEADY
@given(st.integers(0, 2**32 - 1), st.sampled_from(list(OTHER)))
def test_no_code_leaves_the_span_of_the_picture(seed: int, location: ChromaSampleLocation) -> None:
    """Weights are positive: filtering makes no code brighter or darker than all that were there."""
    plane: PlaneArray = np.random.default_rng(seed).integers(16, 241, (8, 8)).astype(np.uint8)
    for made in (subsample_420(plane, location), upsample_420(plane, location)):
        assert plane.min() <= made.min() <= made.max() <= plane.max()


@LOCATIONS
def test_even_edges_leave_no_mixed_interior(location: ChromaSampleLocation, name: str) -> None:
    """An edge on an even column mixes at most the one chroma column beside it."""
    plane = np.zeros((8, 16), dtype=np.uint8)
    plane[:, 8:] = 200
    half = subsample_420(plane, location)
    np.testing.assert_array_equal([0, 0, 0, 0, 150, 200, 200, 200], half[0], err_msg=name)
