"""Every family in fields and in standard definition: what is claimed is what is drawn.

As in test_claims_hold.py, claims come from scalar arithmetic and frames from array code; the source of these
checks is the docstrings of knownlight.frame.claims, knownlight.frame.fields and of the families.
"""

from collections import Counter
from functools import lru_cache

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims, Pattern
from knownlight.frame.fields import Woven, shown_in
from knownlight.frame.format import Scan, SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Cycle, FrameSource, Levels, Sequence
from patterns.registry import FAMILIES, build

SIGNALS = {
    name: parse_signal_format(name)
    for name in ("1080i25-sdr", "576i25-sdr", "480i29.97-sdr", "576p50-sdr", "480p59.94-sdr")
}
# HDR only, each with a test of its own; the message names the signals to use.
REFUSED = {"bars-bt2111", "gamut-nest"}
# What moves in the clip's first second; everything else stands, or is held picture by picture.
MOVING = {
    "cadence", "fade", "fog", "grey-to-grey", "lip-sync", "moving-edge", "moving-window", "pan", "scene",
    "swinging-bar", "zone-walk",
    "coarse-fog", "credits", "dark-beside-busy", "dark-fade", "grainy-stars", "soft-light", "vignette",
}  # fmt: skip
# Those that cannot count their pixels in progressive signals either.
CODES_CHANGE = {
    "fade", "cadence", "grey-to-grey", "fog", "lip-sync", "scene", "picture",
    "coarse-fog", "credits", "dark-beside-busy", "dark-fade", "grainy-stars", "soft-light", "vignette",
}  # fmt: skip
NARROW = {"ramp", "gradient", "gradient-bands"}  # greys whose runs of one code start at any pixel
LATE = 1009  # a prime: in no period's first round
CASES = [(family, name) for family in FAMILIES if family not in REFUSED for name in SIGNALS]
EVERY = pytest.mark.parametrize(("family", "name"), CASES)


@lru_cache(maxsize=1)
def made(family: str, name: str) -> tuple[Pattern, SignalFormat, FrameSource, Claims]:
    """A family as a signal shows it: the pattern, the signal, its frames and its claims."""
    signal = SIGNALS[name]
    pattern = shown_in(build(family, {}), signal)
    return pattern, signal, pattern.draw(signal), pattern.claims(signal)


def looked_at(source: FrameSource, claims: Claims) -> list[tuple[Frame, Claims]]:
    """Frames with what is claimed of them: each picture of a sequence, else early and late."""
    if isinstance(source, Sequence):
        return [(source.picture(number), each) for number, each in enumerate(claims.pictures)]
    return [(source.frame(index), claims) for index in (0, 1, LATE)]


@EVERY
def test_what_moves_is_woven(family: str, name: str) -> None:
    """Of interlaced signals, those families and no others; frames are of the asked format, whole and cut."""
    pattern, signal, source, _ = made(family, name)
    assert (family in MOVING and signal.scan is Scan.INTERLACED) == isinstance(pattern, Woven)
    frame = source.frame(0)
    assert signal == frame.signal
    rows, columns = signal.height, signal.width
    assert [(rows, columns)] + 2 * [(rows // 2, columns // 2)] == [plane.shape for plane in frame.planes]


@EVERY
def test_regions_hold_their_codes(family: str, name: str) -> None:
    """Regions lie inside the picture on even places and hold their codes in all planes of all fields."""
    _, signal, source, claims = made(family, name)
    for frame, each in looked_at(source, claims):
        assert len(each.regions) == len({region.name for region in each.regions})
        for region in each.regions:
            rect = region.rect
            assert 0 <= rect.x < rect.right <= signal.width, region.name
            assert 0 <= rect.y < rect.bottom <= signal.height, region.name
            if family not in NARROW:
                assert {0} == {v % 2 for v in (rect.x, rect.y, rect.width, rect.height)}, region.name
            for index, plane in enumerate(frame.planes):
                step = 2 if index else 1
                rows = slice(rect.y // step, -(-rect.bottom // step))
                columns = slice(rect.x // step, -(-rect.right // step))
                assert [region.code[index]] == np.unique(plane[rows, columns]).tolist(), region.name


@EVERY
def test_areas_are_the_pixels(family: str, name: str) -> None:
    """Claimed areas are the histograms of the planes; where there are none, luma stays between two codes.

    There are none of codes that change, and none of anything that moves between fields.
    """
    pattern, signal, source, claims = made(family, name)
    uncounted = family in CODES_CHANGE or isinstance(pattern, Woven)
    for frame, each in looked_at(source, claims):
        assert uncounted == (each.areas is None)
        if each.areas is None:
            assert each.notes["lowest_code"] <= frame.planes[0].min()
            assert each.notes["highest_code"] >= frame.planes[0].max()
            continue
        assert signal.width * signal.height == sum(each.areas.values())
        for index, plane in enumerate(frame.planes):
            codes, counts = np.unique(plane, return_counts=True)
            pixels = (counts * (4 if index else 1)).tolist()
            claimed: Counter[int] = Counter()
            for triple, share in each.areas.items():
                claimed[triple[index]] += share
            assert dict(zip(codes.tolist(), pixels, strict=True)) == dict(claimed)


@pytest.mark.parametrize("name", [name for name in SIGNALS if SIGNALS[name].scan is Scan.INTERLACED])
@pytest.mark.parametrize("family", sorted(MOVING))
def test_fields_are_pictures_of_the_field_rate(family: str, name: str) -> None:
    """Even rows of frame i are those of picture 2i of the progressive format, odd rows those of 2i + 1.

    A round of frames has every field of it once, or twice where their number is odd; then it begins again.
    """
    _, signal, source, _ = made(family, name)
    pictures = build(family, {}).draw(signal.fields)
    assert isinstance(source, Cycle)
    assert isinstance(pictures, Cycle)
    assert Levels.CHANGING is source.levels
    assert 0 == 2 * source.period % pictures.period
    assert source.period in (pictures.period, pictures.period // 2)
    for index in (0, 1, source.period - 1, source.period, LATE):
        for row in (0, 1):
            picture = pictures.frame((2 * index + row) % pictures.period)
            for plane, drawn in zip(source.frame(index).planes, picture.planes, strict=True):
                np.testing.assert_array_equal(drawn[row::2], plane[row::2])


@pytest.mark.parametrize("name", SIGNALS)
@pytest.mark.parametrize("family", sorted(REFUSED))
def test_what_is_refused_is_refused_with_a_remedy(family: str, name: str) -> None:
    """Before anything is drawn."""
    with pytest.raises(BadInput, match=f"^{family}: .*use "):
        shown_in(build(family, {}), SIGNALS[name]).claims(SIGNALS[name])
