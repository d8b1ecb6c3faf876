"""Frames: shapes, sample types, and planes that nobody can change."""

from dataclasses import replace

import numpy as np
import pytest

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, grey_frame, neutral_chroma, plane_shapes, sample_type

SMALL = replace(parse_signal_format("720p60-sdr"), width=16, height=8)


def small(components: str, depth: int = 10) -> SignalFormat:
    """A PQ format of 16 by 8 pixels."""
    return replace(parse_signal_format("720p60-pq", depth=depth, components=components), width=16, height=8)


@pytest.mark.parametrize(("depth", "expected"), [(8, np.uint8), (10, np.uint16), (12, np.uint16)])
def test_sample_type(depth: int, expected: type[np.uint8] | type[np.uint16]) -> None:
    """8 bits are kept in bytes, more in two."""
    assert expected is sample_type(depth)


# 4:2:0 halves both directions, H.264 Table 6-1.
@pytest.mark.parametrize(
    ("components", "expected"),
    [
        ("4:2:0", ((8, 16), (4, 8), (4, 8))),
        ("4:4:4", ((8, 16), (8, 16), (8, 16))),
        ("rgb", ((8, 16), (8, 16), (8, 16))),
    ],
)
def test_plane_shapes(components: str, expected: tuple[tuple[int, int], ...]) -> None:
    """4:2:0 chroma has half the rows and half the columns; the others have all."""
    assert expected == plane_shapes(small(components))


@pytest.mark.parametrize(
    ("components", "codes"), [("4:2:0", (509, 512, 512)), ("4:4:4", (509, 512, 512)), ("rgb", (509,) * 3)]
)
def test_grey_frame(components: str, codes: tuple[int, int, int]) -> None:
    """A grey has neutral chroma (512 at 10 bits, H.273), or its own code in all three of R'G'B'."""
    signal = small(components)
    frame = grey_frame(signal, np.full((8, 16), 509, dtype=np.uint16))
    assert plane_shapes(signal) == tuple(plane.shape for plane in frame.planes)
    for code, plane in zip(codes, frame.planes, strict=True):
        np.testing.assert_array_equal(np.full_like(plane, code), plane)


@pytest.mark.parametrize(("depth", "expected"), [(8, 128), (10, 512), (12, 2048)])
def test_neutral_chroma(depth: int, expected: int) -> None:
    """Chroma without colour is 2^(n - 1) everywhere (H.273 clause 8.3), one array for both planes."""
    first, second = neutral_chroma(small("4:2:0", depth))
    assert first is second
    np.testing.assert_array_equal(np.full((4, 8), expected), first)
    assert np.dtype(sample_type(depth)) == first.dtype


def test_planes_cannot_be_changed() -> None:
    """Writing to a frame's plane fails: several frames may share it."""
    frame = grey_frame(SMALL, np.zeros((8, 16), dtype=np.uint8))
    for plane in frame.planes:
        with pytest.raises(ValueError, match="read-only"):
            plane[0, 0] = 1


def test_planes_that_do_not_fit_are_refused() -> None:
    """A plane of another type or shape is named with what the format needs."""
    luma = np.zeros((8, 16), dtype=np.uint8)
    with pytest.raises(ValueError, match=r"plane is uint16\(8, 16\), the format needs uint8\(8, 16\)"):
        grey_frame(SMALL, luma.astype(np.uint16))
    with pytest.raises(ValueError, match=r"plane is uint8\(8, 16\), the format needs uint8\(4, 8\)"):
        Frame(SMALL, (luma, luma, luma))


def test_counts_of_codes() -> None:
    """Every sample is counted once, in the last stripe of rows too."""
    signal = parse_signal_format("720p60-pq")
    plane = np.random.default_rng(3).integers(0, 1024, (720, 1280)).astype(np.uint16)
    counts = grey_frame(signal, plane).luma_counts
    values, expected = np.unique(plane, return_counts=True)
    np.testing.assert_array_equal(expected, counts[values])
    assert plane.size == counts.sum()
    shape = (1024,)
    assert shape == counts.shape


@pytest.mark.parametrize("hidden", [0, 1])
def test_counts_of_a_few_codes(hidden: int) -> None:
    """Pictures of few codes are counted exactly, also where a sparse look misses a code of one pixel."""
    signal = parse_signal_format("720p60-pq")
    plane = np.full((720, 1280), 64, np.uint16)
    plane[:, 640:] = 723
    plane[7, 11] += hidden
    counts = grey_frame(signal, plane).luma_counts
    expected = {64: 720 * 640 - hidden, 65: hidden, 723: 720 * 640}
    assert expected == {code: counts[code] for code in expected}
    assert plane.size == counts.sum()
