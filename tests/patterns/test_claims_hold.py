"""Every family in every kind of signal: what is claimed is what is drawn.

Claims come from scalar arithmetic, frames from array code; only the pixels decide. Regions and areas are our
own promise, so the source of these checks is the docstrings of knownlight.frame.claims and of the families.
"""

from collections import Counter
from collections.abc import Callable
from functools import lru_cache

import numpy as np
import pytest

from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import frame_light
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Cycle, FrameSource, Levels, Sequence, Still
from knownlight.signal.encoding import Components
from patterns.family import Family
from patterns.registry import FAMILIES, build

SIGNALS: dict[str, SignalFormat] = {
    "sdr-8": parse_signal_format("720p24-sdr"),
    "pq-10": parse_signal_format("720p60-pq"),
    "hlg-10": parse_signal_format("720p50-hlg"),
    "sdr-10": parse_signal_format("720p60-sdr", depth=10),
    "pq-10-full": parse_signal_format("720p60-pq", code_range="full"),
    "pq-10-rgb": parse_signal_format("720p60-pq", components="rgb"),
    "sdr-8-444": parse_signal_format("720p25-sdr", components="4:4:4"),
    "hlg-12-full": parse_signal_format("720p30-hlg", depth=12, code_range="full"),
}
# Defaults that a signal has no room for, with what the families' own messages tell to use instead: 4 % of
# 4095 is more patches than near-black has, and dark fog and fades would pass below code 0 of full range.
OTHERWISE: dict[tuple[str, str], dict[str, float]] = {
    ("near-black", "hlg-12-full"): {"limit_signal_percent": 3.0},
    **{
        (family, kind): {key: value}
        for family, key, value in (
            ("fog", "mean_signal_percent", 12.0),
            ("coarse-fog", "mean_signal_percent", 12.0),
            ("dark-beside-busy", "mean_signal_percent", 12.0),
            ("dark-fade", "low_signal_percent", 6.0),
        )
        for kind in ("pq-10-full", "hlg-12-full")
    },
}
# What a family refuses, each with a test of its own: full range has no codes below black, bars are of the
# signals that their documents are for, and SDR has no colours beyond BT.709.
_HDR = ("pq-10", "hlg-10", "pq-10-full", "pq-10-rgb", "hlg-12-full")
_SDR = ("sdr-8", "sdr-10", "sdr-8-444")
REFUSED = {
    ("pluge", "pq-10-full"),
    ("pluge", "hlg-12-full"),
    *(("bars-rp219", kind) for kind in _HDR),
    *(("gamut-nest", kind) for kind in _SDR),
    *(("bars-bt2111", kind) for kind in (*_SDR, "hlg-12-full")),
}
PAIRS = [(family, kind) for family in FAMILIES for kind in SIGNALS if (family, kind) not in REFUSED]
# Families without a place that holds one colour in every frame.
GRAINY = {
    "fog", "coarse-fog", "credits", "dark-beside-busy", "dark-fade", "grainy-stars", "soft-light", "vignette",
}  # fmt: skip
NOTHING_STANDS_STILL = {"pixel-grid", "zone-walk", "fade", "moving-edge", "pan", "picture"} | GRAINY
# Families that cannot count their pixels: codes change, or are the user's.
CODES_CHANGE = {"fade", "cadence", "lip-sync", "grey-to-grey", "scene", "picture"} | GRAINY
LATE = 1009  # a prime: in no period's first round, and at no round number of frames
FRAMES = (0, 1, LATE)
SUMS = 1e-9  # relative; measured 8.9e-16: the same light summed by code and by area


@lru_cache(maxsize=1)
def made(family: str, kind: str) -> tuple[Family, SignalFormat, FrameSource, Claims]:
    """A family in a signal: the pattern, the signal, its frames and its claims."""
    signal = SIGNALS[kind]
    pattern = build(family, OTHERWISE.get((family, kind), {}))
    return pattern, signal, pattern.draw(signal), pattern.claims(signal)


def shown(source: FrameSource, claims: Claims) -> list[tuple[Frame, Claims]]:
    """The frames to look at with what is claimed of them: each picture of a sequence, else early and late."""
    if isinstance(source, Sequence):
        assert len(claims.pictures) == len({hold.picture for hold in source.holds})
        return [(source.picture(number), each) for number, each in enumerate(claims.pictures)]
    return [(source.frame(index), claims) for index in FRAMES]


def both(check: Callable[[str, str], None]) -> Callable[[str, str], None]:
    """Run a check for every family in every signal that it does not refuse."""
    return pytest.mark.parametrize(("family", "kind"), PAIRS)(check)


def part_of(plane_index: int, frame: Frame) -> int:
    """How many luma pixels a sample of a plane stands for, in each direction: 2 for chroma of 4:2:0."""
    return 2 if frame.planes[plane_index].shape[0] * 2 == frame.signal.height else 1


@both
def test_regions_hold_their_codes(family: str, kind: str) -> None:
    """Each claimed region lies in the picture and holds its three codes in the first and in late frames.

    A 4:2:0 chroma sample is looked at where it covers any pixel of the region.
    """
    _, signal, source, claims = made(family, kind)
    said = [region for _, each in shown(source, claims) for region in each.regions]
    assert (family in NOTHING_STANDS_STILL) == (not said)
    for frame, each_claims in shown(source, claims):
        assert len(each_claims.regions) == len({region.name for region in each_claims.regions})
        for region in each_claims.regions:
            rect = region.rect
            assert min(rect.width, rect.height) > 0
            assert min(rect.x, rect.y) >= 0
            assert rect.x + rect.width <= signal.width
            assert rect.y + rect.height <= signal.height
            for plane_index, plane in enumerate(frame.planes):
                each = part_of(plane_index, frame)
                rows = slice(rect.y // each, -(-(rect.y + rect.height) // each))
                columns = slice(rect.x // each, -(-(rect.x + rect.width) // each))
                expected = [region.code[plane_index]]
                assert expected == np.unique(plane[rows, columns]).tolist(), region.name


@both
def test_areas_are_the_pixels(family: str, kind: str) -> None:
    """Claimed areas are the histogram of every plane of any frame, and add up to the picture.

    A chroma sample of 4:2:0 stands for four pixels.
    """
    _, signal, source, claims = made(family, kind)
    assert (family in CODES_CHANGE) == any(each.areas is None for _, each in shown(source, claims))
    for frame, each_claims in shown(source, claims):
        if each_claims.areas is None:
            assert each_claims.notes["lowest_code"] <= frame.planes[0].min()
            assert each_claims.notes["highest_code"] >= frame.planes[0].max()
            continue
        assert signal.width * signal.height == sum(each_claims.areas.values())
        for plane_index, plane in enumerate(frame.planes):
            codes, counts = np.unique(plane, return_counts=True)
            drawn = dict(
                zip(codes.tolist(), (counts * part_of(plane_index, frame) ** 2).tolist(), strict=True)
            )
            claimed: Counter[int] = Counter()
            for triple, pixels in each_claims.areas.items():
                claimed[triple[plane_index]] += pixels
            assert dict(claimed) == drawn


@both
def test_light_of_claims_is_light_of_pixels(family: str, kind: str) -> None:
    """Light levels from claimed areas are those measured from a late frame (CTA-861.3: MaxCLL, FALL, APL).

    None are claimed where codes change, or where colours share chroma samples: interpolated chroma decides.
    """
    _, signal, source, claims = made(family, kind)
    for frame, each in shown(source, claims):
        claimed = each.light(signal.encoding)
        largest, mean, apl = frame_light(frame)
        if claimed is None and each.areas is None:
            assert (
                not frame.is_grey
                or signal.encoding.grey_luminance(int(each.notes["highest_code"])) >= largest
            )
        elif claimed is None:
            assert not frame.is_grey
            assert signal.components is Components.YCBCR_420
        else:
            expected = [claimed.max_cll, claimed.max_fall, claimed.fall, claimed.apl_percent]
            np.testing.assert_allclose(expected, [largest, mean, mean, apl], rtol=SUMS, atol=SUMS)


@both
def test_parameters_build_the_same_pattern(family: str, kind: str) -> None:
    """A pattern's parameters, as numbers or written as text, build an equal pattern (our own promise)."""
    pattern, *_ = made(family, kind)
    assert pattern == build(family, pattern.parameters())
    assert pattern == build(family, {key: str(value) for key, value in pattern.parameters().items()})


@both
def test_planes_are_read_only_samples(family: str, kind: str) -> None:
    """Planes are read-only, whole or half size, 8-bit samples at 8 bits and 16-bit ones above."""
    _, signal, source, _ = made(family, kind)
    chroma = (720, 1280) if kind in ("pq-10-rgb", "sdr-8-444") else (360, 640)
    for index in FRAMES:
        planes = source.frame(index).planes
        assert [(720, 1280), chroma, chroma] == [plane.shape for plane in planes]
        expected = "uint8" if kind.startswith("sdr-8") else "uint16"
        assert {expected} == {str(plane.dtype) for plane in planes}
        assert not any(plane.flags.writeable for plane in planes)
        assert signal == source.frame(index).signal


@both
def test_frames_of_a_period_come_back(family: str, kind: str) -> None:
    """A held picture is one frame; a cycle is its period long and its frames come back in order."""
    _, _, source, _ = made(family, kind)
    if isinstance(source, Still):
        assert 1 == source.unrepeated(LATE)
        assert source.frame(0) is source.frame(LATE)
        return
    assert isinstance(source, Cycle | Sequence)
    assert source.period == source.unrepeated(100 * LATE)
    assert 1 == source.unrepeated(1)
    for index in (0, 1):
        np.testing.assert_array_equal(
            source.frame(index).planes[0], source.frame(source.period + index).planes[0]
        )
    first = source.frame(0).planes
    assert any(
        not np.array_equal(plane, other)
        for index in range(source.period)
        for plane, other in zip(first, source.frame(index).planes, strict=True)
    )


@both
def test_moved_sources_hold_the_same_codes(family: str, kind: str) -> None:
    """Where a source says MOVED, every frame holds the same codes as the first; where not, some do not."""
    _, _, source, _ = made(family, kind)
    period = source.unrepeated(100 * LATE)
    places = sorted({0, 1 % period, 7 % period, 12 % period, *range(0, period, max(1, period // 24))})
    counts = [np.bincount(source.frame(index).planes[0].ravel(), minlength=4096) for index in places]
    assert (source.levels is Levels.MOVED) == all((counts[0] == later).all() for later in counts)
