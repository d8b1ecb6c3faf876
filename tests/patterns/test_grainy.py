"""Content under grain: what all families of it promise. No source but the docstrings of patterns.grainy."""

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Area
from knownlight.frame.fields import shown_in
from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.sources import Cycle, Run, Still
from patterns.grainy import Grainy
from patterns.registry import FAMILIES, build

SDR = parse_signal_format("720p24-sdr")
GRAINY = [name for name, family in FAMILIES.items() if issubclass(family, Grainy)]
HALVES = {"dark-beside-busy"}
ENDLESS = [name for name in GRAINY if name != "dark-fade"]  # a fade has an end
EACH = pytest.mark.parametrize("name", GRAINY)


def test_the_chapter_stands_on_one_base() -> None:
    """Everything of the chapter but the card of steps."""
    expected = {
        "fog", "coarse-fog", "dark-beside-busy", "dark-fade", "vignette", "soft-light", "grainy-stars",
        "credits",
    }  # fmt: skip
    assert expected == set(GRAINY)


@EACH
def test_faults_are_measured_over_the_whole_picture(name: str) -> None:
    """In one area or in two that share nothing and leave nothing out, the same in an interlaced signal."""
    for signal in (SDR, parse_signal_format("576i25-sdr"), parse_signal_format("2160p60-pq")):
        areas = shown_in(build(name, {}), signal).claims(signal).areas_of_faults
        whole = Rect(0, 0, signal.width, signal.height)
        if name in HALVES:
            assert ["dark half", "busy half"] == [area.name for area in areas]
            left, right = (area.rect for area in areas)
            assert (left.right, signal.width) == (right.x, right.right)
            assert {(0, signal.height)} == {(rect.y, rect.bottom) for rect in (left, right)}
        else:
            assert (Area("picture", whole),) == areas


@EACH
@pytest.mark.parametrize("size", ["8", "64"])
def test_blocks_are_baked_into_what_is_shown(name: str, size: str) -> None:
    """At full depth each block is the mean of the codes that the picture has without blocks, halves up."""
    side = int(size)
    plain = build(name, {}).draw(SDR).frame(5).planes[0].astype(np.int64)
    baked = build(name, {"block_percent": 100, "block_size": size}).draw(SDR).frame(5).planes[0]
    for top in range(0, 720, side):
        for left in range(0, 1280, 320):  # every fifth block of 64, every fortieth of 8
            block = plain[top : top + side, left : left + side]
            mean = (2 * int(block.sum()) + block.size) // (2 * block.size)
            assert [mean] == np.unique(baked[top : top + side, left : left + side]).tolist()


def test_baked_blocks_of_an_interlaced_frame_are_whole_in_each_field() -> None:
    """A block of a woven frame has one code in its even rows and one in its odd rows, at the place it has."""
    signal = parse_signal_format("576i25-sdr")
    pattern = shown_in(build("fog", {"block_percent": 100, "block_size": "16", "drift": 8}), signal)
    plane = pattern.draw(signal).frame(3).planes[0]
    blocks = plane.reshape(36, 16, 45, 16)
    for first in (0, 1):
        rows = blocks[:, first::2]
        assert (rows == rows[:, :1, :, :1]).all()
    assert (blocks[:, 0] != blocks[:, 1]).any()  # the two fields are of two moments


@pytest.mark.parametrize("name", ENDLESS)
def test_without_repetition_no_grain_comes_back(name: str) -> None:
    """With repeat_seconds=0 a clip is a run of pictures that differ."""
    keys = {"repeat_seconds": 0, "grain_percent": 0.3}
    source = build(name, keys).draw(SDR)
    assert isinstance(source, Run)
    assert 12 == len({source.frame(index).planes[0].tobytes() for index in range(95, 107)})


@EACH
def test_a_clip_repeats_after_its_seconds(name: str) -> None:
    """Three seconds of 24 are 72 pictures."""
    source = build(name, {"repeat_seconds": 3}).draw(SDR)
    assert isinstance(source, Cycle)
    assert 72 == source.period


@EACH
def test_strength_and_softness_of_the_grain_count(name: str) -> None:
    """More grain, softer grain, grain that remembers and another seed are each another picture."""
    drawn = {
        build(name, {"grain_percent": 0.4, **keys}).draw(SDR).frame(3).planes[0].tobytes()
        for keys in ({}, {"grain_percent": 0.5}, {"grain_size": 2}, {"correlation": 0.5}, {"seed": 2})
    }
    assert 5 == len(drawn)


# By hand: 0.5 and 1 % of 219 codes are 1.095 and 2.19.
@pytest.mark.parametrize("size", [1.0, 4.0])
def test_grain_is_as_soft_and_strong_as_asked(size: float) -> None:
    """On a flat ground: the deviation of the codes, and the correlation of what is near.

    A Gaussian of deviation s, over white noise, leaves the correlation exp(-d² / 4 s²) at the distance d;
    here s is in pixels at 1080 rows, so that it is doubled at 2160. Rounding adds 1/12 code² to the variance.
    """
    for height, scale in ((1080, 1.0), (2160, 2.0)):
        signal = parse_signal_format(f"{height}p24-sdr")
        keys = {"fog_percent": 0, "grain_percent": 2, "grain_size": size, "mean_signal_percent": 30}
        codes = build("fog", keys).draw(signal).frame(0).planes[0].astype(np.float64)
        codes -= codes.mean()
        np.testing.assert_allclose((2 * 2.19) ** 2 + 1 / 12, codes.var(), rtol=0.005)  # measured 0.0014
        distance = int(2 * size * scale)
        found = (codes[:, distance:] * codes[:, :-distance]).mean() / codes.var()
        np.testing.assert_allclose(np.exp(-1.0), found, atol=0.04)  # measured 0.024


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("vignette", {"dither": "still"}),
        ("vignette", {"dither": "none"}),
        ("grainy-stars", {"grain_percent": 0}),
    ],
)
def test_what_stands_still_is_drawn_once(name: str, keys: dict[str, object]) -> None:
    """A vignette of still dither and stars without grain are pictures; with grain they are clips."""
    assert isinstance(build(name, keys).draw(SDR), Still)
    assert isinstance(build(name, {**keys, "grain_percent": 0.2}).draw(SDR), Cycle)


@pytest.mark.parametrize(
    ("name", "keys", "said"),
    [
        ("vignette", {"corner_code": 1}, "codes would reach 0 to 47, outside 1 to 254"),
        ("dark-fade", {"low_code": 5}, "codes would reach -5 to 52, outside 1 to 254"),
        ("soft-light", {"field_code": 4}, "codes would reach -2 to 46, outside 1 to 254"),
        ("grainy-stars", {"star_code": 250}, "codes would reach 19 to 256, outside 1 to 254"),
        ("credits", {"grain_percent": 2}, "codes would reach -2 to 161, outside 1 to 254"),
        ("dark-beside-busy", {"busy_percent": 20}, "codes would reach -6 to 226, outside 1 to 254"),
        ("coarse-fog", {"mean_code": 20}, "codes would reach 0 to 40, outside 1 to 254"),
    ],
)
def test_what_leaves_the_codes_is_refused(name: str, keys: dict[str, object], said: str) -> None:
    """With how far it would go and what to use instead, before anything is drawn."""
    pattern = build(name, keys)
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput) as caught:
            refused(SDR)
        assert str(caught.value) == f"{name}: {said}; use {type(pattern).remedy}"  # type: ignore[attr-defined]
