"""What a drawn picture holds, counted by numpy alone: outside truth for claims of single pictures."""

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from knownlight.frame.claims import Claims
from knownlight.frame.format import parse_signal_format
from knownlight.frame.planes import Frame
from knownlight.signal.arrays import PlaneArray

# Every plane layout, depth, range and transfer at least once.
SIGNALS = {
    "sdr-8": parse_signal_format("720p24-sdr"),
    "pq-10": parse_signal_format("720p60-pq"),
    "hlg-10": parse_signal_format("720p50-hlg"),
    "sdr-8-444": parse_signal_format("720p24-sdr", components="4:4:4"),
    "hlg-12-full-rgb": parse_signal_format("720p50-hlg", depth=12, code_range="full", components="rgb"),
}


def assert_areas_are_pixels(frame: Frame, claims: Claims) -> None:
    """Claimed areas are the pixels of every plane; a chroma sample of 4:2:0 stands for four."""
    assert claims.areas is not None
    for index, plane in enumerate(frame.planes):
        codes, counts = np.unique(plane, return_counts=True)
        each = frame.planes[0].size // plane.size
        drawn = dict(zip(codes.tolist(), (each * counts).tolist(), strict=True))
        claimed: Counter[int] = Counter()
        for triple, pixels in claims.areas.items():
            claimed[triple[index]] += pixels
        assert drawn == dict(claimed)


def peak_cycles(samples: NDArray[np.integer]) -> float:
    """Cycles a pixel of the strongest part of a row or column that is not its mean."""
    strength = np.abs(np.fft.rfft(samples - samples.mean()))
    return float(np.argmax(strength)) / samples.size


def assert_regions_cover(plane: PlaneArray, claims: Claims) -> None:
    """Regions lie on even positions, hold their code and cover the picture once; areas are the pixels."""
    covered = np.zeros(plane.shape, dtype=np.uint8)
    for region in claims.regions:
        rect = region.rect
        assert not any(number % 2 for number in (rect.x, rect.y, rect.width, rect.height))
        place = slice(rect.y, rect.y + rect.height), slice(rect.x, rect.x + rect.width)
        covered[place] += 1
        assert [region.code[0]] == np.unique(plane[place]).tolist()
    assert (covered == 1).all()
    codes, counts = np.unique(plane, return_counts=True)
    assert claims.areas is not None
    expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
    assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
