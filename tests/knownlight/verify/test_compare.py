"""Pictures held against pictures: one changed sample is found, with its place and both values."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from knownlight.frame.claims import Claims, LightLevels, Region
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame, Planes
from knownlight.verify.compare import Comparison, compare, describe_difference

SDR = replace(parse_signal_format("720p24-sdr"), width=64, height=36)
PQ = replace(parse_signal_format("720p24-pq"), width=64, height=36)
GREY = {SDR: 126, PQ: 509}
PIXELS = 64 * 36
SUM_ERROR = 1e-12  # relative; a sum of 2 304 float64 terms against one product


def flat(signal: SignalFormat) -> Frame:
    """A plain grey picture."""
    kind = np.uint8 if signal.depth == 8 else np.uint16
    shapes = ((36, 64), (18, 32), (18, 32))
    codes = (GREY[signal], signal.quantisation.neutral, signal.quantisation.neutral)
    luma, first, second = (np.full(shape, code, kind) for shape, code in zip(shapes, codes, strict=True))
    return Frame(signal, (luma, first, second))


def changed(frame: Frame, plane: int, x: int, y: int, by: int) -> Planes:
    """The planes of a frame with one sample moved by some codes."""
    luma, first, second = (each.copy() for each in frame.planes)
    target = (luma, first, second)[plane]
    target[y, x] = int(target[y, x]) + by
    return luma, first, second


def held(frame: Frame) -> Iterator[Frame]:
    """One picture for ever."""
    while True:
        yield frame


def compared(signal: SignalFormat, decoded: list[Planes], claims: Claims | None = None) -> Comparison:
    """A comparison with a held grey."""
    return compare(decoded, held(flat(signal)), signal, claims or Claims())


@pytest.mark.parametrize("signal", [SDR, PQ], ids=["8 bits", "10 bits"])
def test_equal_pictures_have_no_difference(signal: SignalFormat) -> None:
    """Three equal pictures: no error, no words, and the light of a plain grey."""
    light = signal.encoding.grey_luminance(GREY[signal])
    result = compared(signal, [flat(signal).planes] * 3)
    assert (3, 0, 0, "", "") == (
        result.pictures,
        result.largest_error,
        result.largest_region_error,
        result.first_difference,
        result.area_problem,
    )
    assert light == result.light.max_cll


@pytest.mark.parametrize("signal", [SDR, PQ], ids=["8 bits", "10 bits"])
@pytest.mark.parametrize(
    ("plane", "name", "x", "y", "samples"),
    [(0, "Y", 0, 0, "2,304"), (0, "Y", 63, 35, "2,304"), (1, "Cb", 31, 17, "576"), (2, "Cr", 5, 9, "576")],
)
@pytest.mark.parametrize("by", [1, -1, 7])
def test_one_changed_sample_is_found(
    *, signal: SignalFormat, plane: int, name: str, x: int, y: int, samples: str, by: int
) -> None:
    """Plane, place, both values and the count are told; a difference downwards counts like one upwards."""
    frame = flat(signal)
    wanted = (GREY[signal], signal.quantisation.neutral, signal.quantisation.neutral)[plane]
    result = compared(signal, [frame.planes, changed(frame, plane, x, y, by), frame.planes])
    message = (
        f"frame 1: {name} plane differs at x={x} y={y}: expected {wanted}, got {wanted + by} "
        f"(1 of {samples} samples)"
    )
    assert message == result.first_difference
    assert abs(by) == result.largest_error


def test_the_largest_codes_do_not_wrap_around() -> None:
    """0 against 255 is 255 codes, not one: eight-bit arithmetic would say -1."""
    frame = flat(SDR)
    result = compared(SDR, [changed(frame, 0, 3, 4, -GREY[SDR])])
    assert GREY[SDR] == result.largest_error
    result = compared(SDR, [changed(frame, 0, 3, 4, 255 - GREY[SDR])])
    assert 255 - GREY[SDR] == result.largest_error


def test_the_first_difference_is_told_and_the_largest_counted() -> None:
    """A small error in an early picture is the one in words; a larger one later is the one in figures."""
    frame = flat(SDR)
    result = compared(SDR, [changed(frame, 0, 1, 0, 2), changed(frame, 0, 2, 0, -9)])
    assert result.first_difference.startswith("frame 0: Y plane differs at x=1 y=0: expected 126, got 128")
    assert 9 == result.largest_error


def test_a_difference_after_many_held_pictures_is_found() -> None:
    """Pictures that are the same object as the one before are still compared."""
    frame = flat(SDR)
    result = compared(SDR, [frame.planes] * 50 + [changed(frame, 2, 0, 0, 1)])
    assert (
        result.first_difference
    ) == "frame 50: Cr plane differs at x=0 y=0: expected 128, got 129 (1 of 576 samples)"


def test_the_message_counts_every_differing_sample() -> None:
    """A whole plane that differs is counted with thousands set apart."""
    frame = flat(SDR)
    luma = frame.planes[0] + 1
    assert (
        describe_difference((luma, *frame.planes[1:]), frame)
    ) == "Y plane differs at x=0 y=0: expected 126, got 127 (2,304 of 2,304 samples)"


def test_equal_planes_are_described_as_such() -> None:
    """There is a word for no difference."""
    frame = flat(SDR)
    assert "no difference" == describe_difference(frame.planes, frame)


@pytest.mark.parametrize(("plane", "by"), [(0, 3), (0, -3), (1, 3), (2, -3)])
def test_a_sample_off_inside_a_claimed_region_is_counted(plane: int, by: int) -> None:
    """Every sample of a region counts, in luma and in both chroma planes, upwards and downwards."""
    claims = Claims(regions=(Region("patch", Rect(8, 4, 16, 8), SDR.encoding.grey(GREY[SDR])),))
    scale = 1 if plane == 0 else 2
    inside = changed(flat(SDR), plane, 23 // scale, 11 // scale, by)
    assert 3 == compared(SDR, [inside], claims).largest_region_error
    outside = changed(flat(SDR), plane, 24 // scale, 11 // scale, by)
    assert 0 == compared(SDR, [outside], claims).largest_region_error


@pytest.mark.parametrize(
    ("x", "y", "rect", "expected"),
    [
        (1, 18, Rect(0, 0, 64, 36), 0),  # a block of a coder is 16 pixels: left of where the region counts
        (15, 18, Rect(0, 0, 64, 36), 0),
        (16, 18, Rect(0, 0, 64, 36), 5),
        (47, 19, Rect(0, 0, 64, 36), 5),
        (48, 18, Rect(0, 0, 64, 36), 0),
        (30, 15, Rect(0, 0, 64, 36), 0),
        (1, 1, Rect(0, 0, 32, 36), 5),  # 32 pixels leave no inside: the whole of it counts
    ],
)
def test_errors_of_blocks_across_an_edge_do_not_count_for_a_region(
    x: int, y: int, rect: Rect, expected: int
) -> None:
    """Of a picture that is not exact a region counts a block inside its edges, where there is room.

    The whole picture's error counts everywhere.
    """
    grey = flat(SDR)
    claims = Claims(regions=(Region("part", rect, (126, 128, 128)),))
    result = compared(SDR, [changed(grey, 0, x, y, 5)], claims)
    assert (5, expected) == (result.largest_error, result.largest_region_error)


def test_a_wrong_claim_counts_up_to_the_edge_of_exact_pixels() -> None:
    """Where the pixels are those that were drawn, all of a region must hold its code."""
    luma, first, second = (plane.copy() for plane in flat(SDR).planes)
    luma[0, 0] = 127
    drawn = Frame(SDR, (luma, first, second))
    claims = Claims(regions=(Region("whole", Rect(0, 0, 64, 36), (126, 128, 128)),))
    assert 1 == compare([drawn.planes], held(drawn), SDR, claims).largest_region_error


def test_a_wrong_claim_is_found_on_right_pixels() -> None:
    """Pixels equal to the drawing do not excuse a region claimed with another code."""
    claims = Claims(regions=(Region("patch", Rect(8, 4, 16, 8), SDR.encoding.grey(GREY[SDR] - 4)),))
    result = compared(SDR, [flat(SDR).planes], claims)
    assert (0, 4) == (result.largest_error, result.largest_region_error)


@pytest.mark.parametrize(
    ("areas", "problem"),
    [
        ({126: PIXELS}, ""),
        ({126: PIXELS - 4, 127: 4}, "Y code 126 has 2,304 pixels, 2,300 are claimed"),
        ({125: 4, 126: PIXELS}, "Y code 125 has 0 pixels, 4 are claimed"),
    ],
)
def test_claimed_areas_are_counted(areas: dict[int, int], problem: str) -> None:
    """The pixels of each code in the decoded picture are those claimed, or the first wrong code is told."""
    claims = Claims(areas={SDR.encoding.grey(code): pixels for code, pixels in areas.items()})
    assert problem == compared(SDR, [flat(SDR).planes], claims).area_problem


def test_light_is_that_of_the_decoded_pixels() -> None:
    """One brighter pixel in one of two pictures moves MaxCLL and MaxFALL, and FALL by half as much."""
    frame = flat(PQ)
    grey, bright = PQ.encoding.grey_luminance(509), PQ.encoding.grey_luminance(723)
    result = compared(PQ, [frame.planes, changed(frame, 0, 0, 0, 723 - 509)])
    raised = ((PIXELS - 1) * grey + bright) / PIXELS
    assert bright == result.light.max_cll
    assert raised == pytest.approx(result.light.max_fall, rel=SUM_ERROR)
    assert (grey + raised) / 2 == pytest.approx(result.light.fall, rel=SUM_ERROR)


def test_no_pictures_are_no_comparison() -> None:
    """Nothing decoded is counted as no pictures, not as equal ones."""
    result = compared(SDR, [])
    assert (0, LightLevels(0.0, 0.0, 0.0, 0.0)) == (result.pictures, result.light)


@pytest.mark.parametrize(
    ("by", "expected"),
    [({}, (126, 128, 128)), ({0: 1}, (127, 128, 128)), ({1: -1, 2: 1}, (126, 127, 129))],
    ids=["as drawn", "a neighbouring code", "two of them"],
)
def test_a_region_is_read_as_the_one_code_that_it_holds(
    by: dict[int, int], expected: tuple[int, int, int]
) -> None:
    """A coder that moved the whole of a region by a code has made it another colour, which is told."""
    claims = Claims(regions=(Region("patch", Rect(0, 0, 64, 36), SDR.encoding.grey(GREY[SDR])),))
    luma, first, second = (
        np.full_like(plane, int(plane[0, 0]) + by.get(index, 0))
        for index, plane in enumerate(flat(SDR).planes)
    )
    assert {"patch": expected} == compared(SDR, [(luma, first, second)], claims).codes


def test_a_region_of_several_codes_has_none() -> None:
    """One sample inside its edges, or one picture, of another code is enough."""
    claims = Claims(regions=(Region("patch", Rect(0, 0, 64, 36), SDR.encoding.grey(GREY[SDR])),))
    sample = changed(flat(SDR), 0, 32, 18, 1)
    later = (flat(SDR).planes[0] + 1, *flat(SDR).planes[1:])
    assert {"patch": None} == compared(SDR, [sample], claims).codes
    assert {"patch": None} == compared(SDR, [flat(SDR).planes, later], claims).codes
