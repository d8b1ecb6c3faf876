"""Fog: our own measurements of what provokes blocking; no published source.

What was asked for is in stress.md's terms: a mean code, a standard deviation of fog and of grain in % of the
steps from black to white, a power spectrum of 1/f³. Those figures are checked on the drawn codes.
"""

import hashlib
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.rates import RATES
from knownlight.frame.sources import Cycle, FrameSource, Run
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True, max_examples=20)
SDR = parse_signal_format("720p24-sdr")
PQ = parse_signal_format("720p60-pq")
SMALL = replace(SDR, width=320, height=180)
MEAN_CODES = 0.1  # at 8 bits; measured 0.059 over six seeds
STRENGTH = 0.02  # relative; measured 0.0127 over six seeds, two frames, 8 and 10 bits
SLOPE = 0.2  # of -3; measured -2.88 to -3.14 over eight seeds
ROUNDING = 1.0 / 12.0  # variance in codes² that rounding to whole codes adds; common practice, no source


def source(signal: SignalFormat = SMALL, **keys: float) -> FrameSource:
    """The frames of a fog."""
    return build("fog", keys).draw(signal)


def luma(frames: FrameSource, index: int) -> Any:
    """The luma plane of a frame, as numbers to reckon with."""
    return frames.frame(index).planes[0].astype(np.int64)


def digest(plane: Any) -> str:
    """SHA-256 of a plane as rows of little-endian samples."""
    return hashlib.sha256(np.ascontiguousarray(plane).astype("<u2").tobytes()).hexdigest()


def steps(frames: FrameSource, first: int, reach: int) -> list[tuple[int, int]]:
    """Every (down, right) of up to `reach` pixels that turns a frame of fog into the next one."""
    before, after = luma(frames, first), luma(frames, first + 1)
    return [
        (down, right)
        for down in range(-reach, reach + 1)
        for right in range(-reach, reach + 1)
        if (np.roll(before, (down, right), axis=(0, 1)) == after).all()
    ]


# Measured once and stored. numpy promises the raw words of Philox and nothing of what is made of them; these
# pin the Fourier shaping, the scaling, the rounding and the places as well, so that a clip drawn again with
# another numpy or on another machine is the same clip. A changed digest means other pictures, not worse ones.
@pytest.mark.parametrize(
    ("keys", "index", "expected"),
    [
        ({"grain_percent": 0}, 0, "493cdcffcc737087c75b6fceb222c2be7f2a6ba8ecc9238c4d293b35dd8c9742"),
        ({"fog_percent": 0}, 0, "8dbf64fd2f14d9b498571adaa688c521ca49876f03ab95ed34ec31221cfa2c04"),
        ({"fog_percent": 0}, 1, "2ca42a60966a692ff20b6cfa2e977debb7167f22b2f1e5daeb92bfdfeba4aca6"),
    ],
)
def test_pictures_are_pinned(keys: dict[str, float], index: int, expected: str) -> None:
    """Fog alone, and grain alone in two frames, are the pictures of every earlier version (720p60-pq)."""
    assert expected == digest(source(PQ, **keys).frame(index).planes[0])


def test_a_seed_is_a_fog() -> None:
    """The same seed draws the same frames in any order; another seed draws others."""
    first, again, other = source(seed=7), source(seed=7), source(seed=8)
    late = luma(again, 50)
    np.testing.assert_array_equal(luma(first, 0), luma(again, 0))
    np.testing.assert_array_equal(luma(first, 50), late)
    for keys in ({}, {"fog_percent": 0}, {"grain_percent": 0}):
        one, two = (luma(source(SMALL, seed=seed, **keys), 0) for seed in (7, 8))
        assert (one != two).mean() > 0.3
    assert (luma(first, 0) != luma(other, 0)).any()


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize(("fog", "grain"), [(1.37, 0.68), (1.37, 0.0), (0.0, 0.68)])
def test_mean_and_strength(seed: int, fog: float, grain: float) -> None:
    """The codes have the asked mean, and the standard deviation that fog and grain make together."""
    frames = source(SDR, seed=seed, fog_percent=fog, grain_percent=grain)
    asked = np.sqrt((2.19 * fog) ** 2 + (2.19 * grain) ** 2 + ROUNDING)  # 219 codes from black to white
    for index in (0, 40):
        codes = luma(frames, index)
        np.testing.assert_allclose(28.0, codes.mean(), atol=MEAN_CODES, rtol=0.0)
        np.testing.assert_allclose(asked, codes.std(), rtol=STRENGTH)


# By hand: 5.5 % is 16 + 12.045 = 28; four deviations of 2.05 % of 219 codes are 17.96, and one for rounding.
def test_range_in_figures() -> None:
    """The claimed range of the default is code 10 to 46 at 8 bits."""
    expected = {"lowest_code": 10, "highest_code": 46}
    assert expected == dict(build("fog", {}).claims(SDR).notes)


@STEADY
@given(
    mean=st.floats(45.0, 55.0),
    fog=st.floats(0.0, 5.0),
    grain=st.floats(0.0, 5.0),
    seed=st.integers(0, 65535),
    index=st.integers(0, 200),
    depth=st.sampled_from([8, 10]),
)
def test_codes_stay_in_the_claimed_range(
    *, mean: float, fog: float, grain: float, seed: int, index: int, depth: int
) -> None:
    """Whatever the strengths, no code of any frame leaves the claimed range."""
    signal = replace(SMALL, depth=depth)
    pattern = build(
        "fog", {"mean_signal_percent": mean, "fog_percent": fog, "grain_percent": grain, "seed": seed}
    )
    notes, codes = pattern.claims(signal).notes, luma(pattern.draw(signal), index)
    assert notes["lowest_code"] <= codes.min()
    assert codes.max() <= notes["highest_code"]


def test_bright_fog_at_twelve_bits() -> None:
    """Fog around 60 % at 12 bits stays in its claimed range too: codes near 2358 leave no room in 16 bits."""
    signal = replace(parse_signal_format("720p24-hlg", depth=12), width=320, height=180)
    pattern = build("fog", {"mean_signal_percent": 60})
    notes, codes = pattern.claims(signal).notes, luma(pattern.draw(signal), 0)
    assert notes["lowest_code"] <= codes.min()
    assert codes.max() <= notes["highest_code"]


def test_fog_that_has_no_room_is_refused() -> None:
    """Fog that would pass the codes there are is refused with its reach and the remedy."""
    full = parse_signal_format("720p60-pq", code_range="full")
    with pytest.raises(BadInput) as caught:
        build("fog", {}).claims(full)
    expected = (
        "fog: codes would reach -28 to 140, outside 0 to 1023; use a higher mean or weaker fog and grain"
    )
    assert expected == str(caught.value)
    assert build("fog", {"mean_signal_percent": 12}).claims(full).notes["lowest_code"] > 0


# Power of the drawn codes by a Fourier transform of the whole picture, averaged over rings of frequency from
# 1/250 to 1/25 of a cycle a pixel: above the lowest few periods and below the grid that the fog is made on.
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_spectrum_falls_with_the_third_power(seed: int) -> None:
    """Power falls with the third power of frequency, alike in both directions."""
    codes = luma(source(PQ, seed=seed, mean_signal_percent=50, fog_percent=10, grain_percent=0), 0)
    power = np.abs(np.fft.fft2(codes - codes.mean())) ** 2
    radial = np.hypot(np.fft.fftfreq(720)[:, np.newaxis], np.fft.fftfreq(1280)[np.newaxis])
    edges = np.geomspace(0.004, 0.04, 13)
    rings = [power[(radial >= low) & (radial < high)].mean() for low, high in pairwise(edges)]
    slope = np.polyfit(np.log(np.sqrt(edges[1:] * edges[:-1])), np.log(rings), 1)[0]
    np.testing.assert_allclose(-3.0, slope, atol=SLOPE, rtol=0.0)


# Power over the same rings as above, below and above a wave of 10 % of 720 rows: 72 pixels, 0.0139 cycles.
def test_waves_longer_than_the_fog_are_no_stronger() -> None:
    """Above the longest wave power falls with the third power of frequency, below it it is even."""
    keys = {"mean_signal_percent": 50, "fog_percent": 10, "grain_percent": 0, "fog_size": 10}
    fogs = [luma(source(PQ, **keys, seed=seed), 0) for seed in (1, 2, 3, 4)]  # few waves are so long
    power = np.mean([np.abs(np.fft.fft2(codes - codes.mean())) ** 2 for codes in fogs], axis=0)
    radial = np.hypot(np.fft.fftfreq(720)[:, np.newaxis], np.fft.fftfreq(1280)[np.newaxis])
    for edges, expected in ((np.geomspace(0.002, 0.0139, 7), 0.0), (np.geomspace(0.0139, 0.04, 7), -3.0)):
        rings = [power[(radial >= low) & (radial < high)].mean() for low, high in pairwise(edges)]
        slope = np.polyfit(np.log(np.sqrt(edges[1:] * edges[:-1])), np.log(rings), 1)[0]
        np.testing.assert_allclose(expected, slope, atol=SLOPE, rtol=0.0)
    for codes in fogs:
        np.testing.assert_allclose(87.6, codes.std(), rtol=STRENGTH)  # 10 % of 876 codes: as strong as ever


# By hand: of 8 bits the codes of 7 and 6 are the even ones and every fourth; of 10 bits every 4th, 8th, 16th.
@pytest.mark.parametrize(("depth", "bits", "step"), [
    (8, "8", 1), (8, "7", 2), (8, "6", 4), (10, "8", 4), (10, "7", 8), (10, "6", 16), (12, "6", 64),
])  # fmt: skip
def test_coarse_fog_has_few_codes(depth: int, bits: str, step: int) -> None:
    """Without grain its codes are the multiples of the step that are nearest to those of fine fog."""
    signal = replace(SDR, depth=depth)
    coarse = luma(build("coarse-fog", {"bits": bits, "grain_percent": 0}).draw(signal), 3)
    fine = luma(build("fog", {"grain_percent": 0}).draw(signal), 3)
    assert {0} == set(np.unique(coarse % step).tolist())
    assert set(range(coarse.min(), coarse.max() + 1, step)) == set(np.unique(coarse).tolist())
    assert np.abs(coarse - fine).max() <= (step + 1) // 2


def test_grain_on_coarse_fog_is_fine() -> None:
    """Grain comes after the cut: with it all codes of the signal are there."""
    codes = np.unique(luma(build("coarse-fog", {"bits": "6"}).draw(SDR), 0))
    assert list(range(codes.min(), codes.max() + 1)) == codes.tolist()


def test_fog_drifts_and_grain_does_not_stay() -> None:
    """Fog moves by the drift, stands still without one, and grain is another in every frame."""
    assert [(0, -3)] == steps(source(grain_percent=0, drift=3), 0, 4)
    assert [(0, 0)] == steps(source(grain_percent=0, drift=0), 0, 2)
    grain = source(fog_percent=0)
    assert len({digest(luma(grain, index)) for index in range(24)}) == 24


def test_a_run_never_repeats() -> None:
    """With repeat_seconds=0 every frame differs from all before, and fog drifts on to the left."""
    frames = source(repeat_seconds=0)
    assert isinstance(frames, Run)
    assert 500 == frames.unrepeated(500)
    assert len({digest(luma(frames, index)) for index in range(120)}) == 120
    # 320 pixels of 2 a frame come round at frame 160
    still = source(repeat_seconds=0, grain_percent=0)
    looked_at = (0, 1000, *range(155, 165))
    assert [[(0, -2)]] * len(looked_at) == [steps(still, index, 2) for index in looked_at]


@pytest.mark.parametrize("rate", RATES)
def test_a_clip_repeats_after_its_seconds(rate: str) -> None:
    """The default period is the whole number of frames nearest to four seconds, at every rate."""
    frames = source(replace(parse_signal_format(f"720p{rate}-sdr"), width=64, height=32))
    assert isinstance(frames, Cycle)
    assert abs(frames.period - 4 * float(RATES[rate])) <= 0.5


# (rate, seconds): 96 and 48 frames have four equal sides; 75, 97, 10 and 5 have not.
@pytest.mark.parametrize("drift", [1, 2])
@pytest.mark.parametrize(
    ("rate", "seconds", "period"),
    [("24", 4.0, 96), ("24", 2.0, 48), ("25", 3.0, 75), ("24", 4.04, 97), ("25", 0.4, 10), ("25", 0.2, 5)],
)
def test_the_square_path_never_jumps(rate: str, seconds: float, period: int, drift: int) -> None:
    """From each frame to the next, and from the last to the first, fog moves by no more than the drift."""
    signal = replace(parse_signal_format(f"720p{rate}-sdr"), width=320, height=180)
    frames = source(signal, repeat_seconds=seconds, grain_percent=0, drift=drift)
    assert isinstance(frames, Cycle)
    assert period == frames.period
    moves = [steps(frames, index, drift) for index in range(period)]
    assert [] == [index for index, found in enumerate(moves) if len(found) != 1]
    assert [0, 0] == np.sum([found[0] for found in moves], axis=0).tolist()


def test_a_long_period_has_room() -> None:
    """The longest period and the fastest drift are drawn from end to end, far past the picture's own size."""
    frames = source(repeat_seconds=60, grain_percent=0, drift=16)
    assert isinstance(frames, Cycle)
    for index in range(0, frames.period, 90):
        assert (180, 320) == luma(frames, index).shape
