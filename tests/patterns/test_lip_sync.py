"""Lip sync: frames by hand from the rates, flash, bar and scale from the drawn pixels; the layout is ours."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims
from knownlight.frame.fields import shown_in
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.rates import RATES
from knownlight.frame.sound import Beeps
from knownlight.frame.sources import Cycle
from patterns.lip_sync import LipSync
from patterns.registry import build

SDR = parse_signal_format("720p60-sdr")
# BT.1886 at 100 cd/m², by hand: 10 and 40 cd/m² are 16 + 219 * 0.1^(1/2.4) and 16 + 219 * 0.4^(1/2.4).
LIT, BACKGROUND, LABEL, BLACK = 235, 100, 165, 16
FEW = settings(max_examples=40, deadline=None, derandomize=True)


def made(signal: SignalFormat = SDR, **keys: float) -> tuple[Cycle, Claims]:
    """The frames and the claims."""
    pattern = build("lip-sync", keys)
    source = pattern.draw(signal)
    assert isinstance(source, Cycle)
    return source, pattern.claims(signal)


def beep_of(claims: Claims, signal: SignalFormat = SDR) -> int:
    """The frame at which the first beep begins; one begins in each period."""
    assert claims.beeps is not None
    assert claims.beeps.every * signal.rate == claims.notes["period_frames"]
    frame = claims.beeps.first * signal.rate
    assert 1 == frame.denominator
    return int(frame)


def luma(source: Cycle, index: int) -> NDArray[np.int64]:
    """The luma codes of a frame."""
    return source.frame(index).planes[0].astype(np.int64)


def columns_of(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First column and the one past the last of each run in a row."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int64), [0]])))
    return [(int(first), int(past)) for first, past in zip(edges[::2], edges[1::2], strict=True)]


def track_row(plane: NDArray[np.int64]) -> int:
    """The lowest row of the black track."""
    return int(np.nonzero(plane == BLACK)[0].max())


def bar(plane: NDArray[np.int64]) -> tuple[int, int]:
    """The columns of the bar."""
    (found,) = columns_of(plane[track_row(plane)] == LIT)
    return found


@pytest.mark.parametrize(
    ("rate", "seconds", "period"),
    [("23.976", 1, 24), ("25", 1, 25), ("29.97", 1, 30), ("50", 1.5, 75), ("59.94", 1, 60), ("60", 2, 120),
     ("144", 1, 144)],
)  # fmt: skip
def test_a_period_is_whole_frames(rate: str, seconds: float, period: int) -> None:
    """From beep to beep it is the nearest whole number of frames, and the beep is half a period into it."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    source, claims = made(signal, seconds=seconds)
    assert (period, period // 2) == (source.period, beep_of(claims, signal))
    exact = Fraction(period) / RATES[rate]
    assert [float(exact), float(Fraction(period // 2) / RATES[rate])] == [
        claims.notes["period_seconds"],
        claims.notes["beep_seconds"],
    ]


@pytest.mark.parametrize(("rate", "frames"), [("24", 1), ("60", 2), ("60", 6), ("120", 3)])
def test_the_patch_is_lit_from_the_beep_on(rate: str, frames: int) -> None:
    """The middle of the patch is lit at the beep and for so many frames; else it is the background."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    source, claims = made(signal, flash_frames=frames)
    beep = beep_of(claims, signal)
    found = [luma(source, index)[216, 640] for index in range(source.period)]
    expected = [LIT if beep <= index < beep + frames else BACKGROUND for index in range(source.period)]
    assert expected == found


def test_in_fields_the_beep_begins_with_its_own() -> None:
    """At 50 fields a second it is half a second into the clip: with the second field of the frame 12.

    The flash is two fields long: then the odd rows of the patch are lit, and in the next frame the even ones.
    """
    signal = parse_signal_format("576i25-sdr")
    shown = shown_in(build("lip-sync", {}), signal)
    assert Beeps(first=Fraction(1, 2), every=Fraction(1)) == shown.claims(signal).beeps
    rows = [shown.draw(signal).frame(index).planes[0][180:182, 360].tolist() for index in (11, 12, 13, 14)]
    assert [[BACKGROUND] * 2, [BACKGROUND, LIT], [LIT, BACKGROUND], [BACKGROUND] * 2] == rows


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("height", [720, 4320])
def test_the_flash_is_no_hazard(rate: str, height: int) -> None:
    """What changes with the flash is under a quarter of the picture, inside its margins, and comes rarely.

    BT.1702-3 (known second-hand): three flashes a second over a quarter of the screen.
    """
    signal = parse_signal_format(f"{height}p{rate}-sdr")
    source, claims = made(signal)
    beep = beep_of(claims, signal)
    rows, columns = np.nonzero(luma(source, beep) != luma(source, beep - 1))
    assert 0.05 < len(rows) / (signal.width * signal.height) < 0.25
    assert signal.height // 20 < rows.min() < rows.max() < signal.height * 19 // 20
    assert signal.width // 20 < columns.min() < columns.max() < signal.width * 19 // 20
    assert signal.rate / source.period <= Fraction(101, 100)
    assert frozenset() == claims.hazards


@pytest.mark.parametrize("rate", ["23.976", "50", "60", "144"])
def test_the_bar_is_on_the_mark_at_the_beep(rate: str) -> None:
    """The bar moves by the same whole pixels from frame to frame; at the beep it fills the mark's columns."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    source, claims = made(signal)
    beep = beep_of(claims, signal)
    places = [bar(luma(source, index)) for index in range(source.period)]
    assert {claims.notes["bar_pixels_per_frame"]} == set(np.diff([left for left, _ in places]).tolist())
    plane = luma(source, beep)
    above = int(np.nonzero(plane == BLACK)[0].min()) - 1
    assert [places[beep]] == columns_of(plane[above] == LABEL)
    assert 1280 == sum(places[beep])  # in the middle


# 100 ms is a tenth of the rate in frames: whole at these rates.
@pytest.mark.parametrize(("rate", "frames"), [("30", 3), ("50", 5), ("60", 6), ("100", 10), ("120", 12)])
def test_the_scale_is_in_milliseconds(rate: str, frames: int) -> None:
    """At every 100 ms before and after the beep the bar stands over one of the long ticks."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    source, claims = made(signal)
    beep = beep_of(claims, signal)
    first = luma(source, 0)
    long_ticks = columns_of(first[track_row(first) + 18] == LABEL)  # short ones are 12 rows high
    at = [bar(luma(source, beep + frames * number)) for number in range(-5, 5)]
    assert at == long_ticks
    short_ticks = columns_of(first[track_row(first) + 1] == LABEL)
    centres = np.array([left + past for left, past in short_ticks]) / 2
    expected = 640 + 0.02 * claims.notes["bar_pixels_per_frame"] * int(rate) * np.arange(
        -25, len(centres) - 25
    )
    assert np.abs(centres - expected).max() <= 1  # pixel: ticks lie on even columns


@pytest.mark.parametrize("rate", ["23.976", "29.97", "59.94", "119.88"])
def test_the_scale_holds_at_fractional_rates(rate: str) -> None:
    """The tick of +100 ms is a tenth of a second of the exact rate away from the mark."""
    signal = parse_signal_format(f"720p{rate}-sdr")
    source, claims = made(signal)
    first = luma(source, 0)
    left, _ = columns_of(first[track_row(first) + 18] == LABEL)[-4]  # of 0, 100, 200, 300, 400 the second
    expected = float(claims.notes["bar_pixels_per_frame"] * RATES[rate] / 10)
    assert expected == pytest.approx(left - bar(luma(source, beep_of(claims, signal)))[0], abs=1)


@FEW
@given(
    rate=st.sampled_from(list(RATES)),
    seconds=st.integers(10, 20).map(lambda tenths: tenths / 10),
    height=st.sampled_from([720, 1080, 2160, 4320]),
)
def test_numbers_do_not_touch(rate: str, seconds: float, height: int) -> None:
    """At every rate, period and size numbers and words stay apart from each other and inside the picture."""
    assert_apart(parse_signal_format(f"{height}p{rate}-pq"), seconds)


@pytest.mark.parametrize("name", ["576p25-sdr", "576p50-sdr", "480p29.97-sdr", "480p59.94-sdr"])
@pytest.mark.parametrize("seconds", [1.0, 1.5, 2.0])
def test_numbers_do_not_touch_in_standard_definition(name: str, seconds: float) -> None:
    """Neither in pictures of 720 pixels, which interlaced ones are drawn like."""
    assert_apart(parse_signal_format(name), seconds)


def assert_apart(signal: SignalFormat, seconds: float) -> None:
    """Labels lie apart from each other and inside the picture."""
    labels = LipSync(seconds=seconds).still(signal).labels
    boxes = [label.rect for label in labels]
    for index, box in enumerate(boxes):
        assert signal.width // 20 <= box.x
        assert box.right <= signal.width * 19 // 20
        for other in boxes[index + 1 :]:
            apart = box.right < other.x or other.right < box.x or box.bottom < other.y or other.bottom < box.y
            assert apart, (labels[index], other)


@pytest.mark.parametrize("keys", [{"code": 100, "background_code": 100}, {"code": 16}])
def test_what_cannot_be_seen_is_refused(keys: dict[str, int]) -> None:
    """A patch as dark as the background, or a bar as dark as its track, is refused in words."""
    pattern = build("lip-sync", keys)
    for refused in (pattern.claims, pattern.draw):
        with pytest.raises(BadInput, match=r"^lip-sync: patch and bar of code .* use another level"):
            refused(SDR)
