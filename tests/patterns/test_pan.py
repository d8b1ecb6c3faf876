"""Pan: exact motion by whole pixels. Layout and speeds are common practice, no source."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.claims import Hazard
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.glyphs import text_mask
from knownlight.frame.rates import RATES
from knownlight.frame.sources import Cycle, Levels
from patterns.registry import build

STEADY = settings(deadline=None, derandomize=True)
SDR = parse_signal_format("720p24-sdr")
SMALL = replace(parse_signal_format("720p60-pq"), width=320, height=180)
CONTENTS = ["bars", "lines", "text", "texture"]
SHORTEST, LONGEST = 9, 300  # frames of a period: 12 to 240, a quarter more or less where a whole tile is near


def source(signal: SignalFormat = SDR, **keys: str | float) -> Cycle:
    """The frames of a pan."""
    frames = build("pan", keys).draw(signal)
    assert isinstance(frames, Cycle)
    return frames


@pytest.mark.parametrize("content", CONTENTS)
@pytest.mark.parametrize("speed", [1, 7, 8, 64])
def test_each_frame_is_the_one_before_moved_left(content: str, speed: int) -> None:
    """Frame i + 1 is frame i moved left by the speed, exactly, over the end of the period too."""
    frames = source(content=content, pixels_per_frame=speed)
    for index in (0, 1, frames.period - 2, frames.period - 1):
        before, after = (frames.frame(at).planes[0] for at in (index, index + 1))
        np.testing.assert_array_equal(before[:, speed:], after[:, :-speed])


# By hand: a pair of lines is 8 pixels at 1080 rows, 16 at 2160, and 64 pixels are twelve pairs at 720; lines
# that move by a whole number of pairs are seen to stand still.
@pytest.mark.parametrize("content", CONTENTS)
@pytest.mark.parametrize(("height", "speed"), [(1080, 8), (720, 64), (2160, 16)])
def test_what_moves_is_seen_to_move(content: str, height: int, speed: int) -> None:
    """Two neighbouring frames are never the same picture."""
    frames = source(parse_signal_format(f"{height}p24-sdr"), content=content, pixels_per_frame=speed)
    assert (frames.frame(0).planes[0] != frames.frame(1).planes[0]).any()


@pytest.mark.parametrize("content", CONTENTS)
def test_the_period_closes(content: str) -> None:
    """After a period the content has moved by one tile: the frame that follows the last is the first."""
    frames = source(content=content)
    np.testing.assert_array_equal(frames.draw(frames.period).planes[0], frames.frame(0).planes[0])
    others = [frames.frame(index).planes[0] for index in range(1, frames.period)]
    assert len(others) >= SHORTEST - 1
    if content in ("text", "texture"):  # bars and lines look the same again at each pair
        assert all((frames.frame(0).planes[0] != other).any() for other in others)


@pytest.mark.parametrize("rate", RATES)
def test_every_rate(rate: str) -> None:
    """A pan runs at every frame rate there is, by the same pixels a frame."""
    signal = replace(parse_signal_format(f"720p{rate}-sdr"), width=320, height=180)
    frames = source(signal, pixels_per_frame=5)
    assert SHORTEST <= frames.period <= LONGEST
    before, after = (frames.frame(index).planes[0] for index in (frames.period - 1, frames.period))
    np.testing.assert_array_equal(before[:, 5:], after[:, :-5])
    assert signal.rate == frames.frame(0).signal.rate


# By hand: 640 / 24 = 26.67, 1280 / 24 = 53.3, 1280 * 4 / 24 = 213.3 and 3840 / 4 / 60 = 16.
@pytest.mark.parametrize("content", CONTENTS)
@pytest.mark.parametrize(
    ("written", "widths", "speed"),
    [("720p24-sdr", 0.5, 27), ("720p24-sdr", 1.0, 53), ("720p24-sdr", 4.0, 213), ("2160p60-pq", 0.25, 16)],
)
def test_a_speed_in_widths(content: str, written: str, widths: float, speed: int) -> None:
    """Widths a second go before pixels_per_frame and are the nearest whole ones; notes say what they are."""
    signal = parse_signal_format(written)
    keys: dict[str, str | float] = {"content": content, "widths_per_second": widths, "pixels_per_frame": 3}
    frames, notes = source(signal, **keys), build("pan", keys).claims(signal).notes
    for index in (0, frames.period - 1):
        before, after = (frames.frame(at).planes[0] for at in (index, index + 1))
        np.testing.assert_array_equal(before[:, speed:], after[:, :-speed])
        assert (before != after).any()
    expected = [speed, float(speed * signal.rate / signal.width)]
    assert expected == [notes["pixels_per_frame"], notes["widths_per_second"]]


@pytest.mark.parametrize("content", CONTENTS)
def test_the_fastest_pan_still_comes_round(content: str) -> None:
    """Four widths a second at the widest picture and lowest rate are held to 256 pixels, and close."""
    signal = replace(parse_signal_format("4320p24-sdr"), height=72)
    frames = source(signal, content=content, widths_per_second=4.0)
    np.testing.assert_array_equal(frames.draw(frames.period).planes[0], frames.frame(0).planes[0])
    assert 256 == build("pan", {"widths_per_second": 4.0}).claims(signal).notes["pixels_per_frame"]


@STEADY
@given(
    st.sampled_from(CONTENTS),
    st.integers(1, 64),
    st.integers(4, 1019),
    st.integers(4, 1019),
    st.integers(0, 5000),
)
def test_claims_are_the_pixels(content: str, speed: int, lit: int, dark: int, index: int) -> None:
    """Whatever moves, how fast and in what codes: claimed areas are the pixels of any frame."""
    keys = {"content": content, "pixels_per_frame": speed, "code": lit, "background_code": dark}
    pattern = build("pan", keys)
    frames, claims = pattern.draw(SMALL), pattern.claims(SMALL)
    assert isinstance(frames, Cycle)
    assert SHORTEST <= frames.period <= LONGEST
    assert not claims.regions
    codes, counts = np.unique(frames.frame(index).planes[0], return_counts=True)
    assert min(lit, dark) <= codes[0]
    assert codes[-1] <= max(lit, dark)
    whole = SMALL.width % (frames.period * speed) == 0
    assert (frames.levels is Levels.MOVED) == whole
    assert (claims.areas is not None) == (whole and content != "texture")
    if claims.areas is not None:
        expected = {triple[0]: pixels for triple, pixels in claims.areas.items()}
        assert expected == dict(zip(codes.tolist(), counts.tolist(), strict=True))
    else:
        assert [min(lit, dark), max(lit, dark)] == [claims.notes["lowest_code"], claims.notes["highest_code"]]


# By hand: a ninth of 720 rows is a pair of bars of 80 pixels, so 16 pairs across, each half lit; 50 and 10 %
# of SDR are codes 126 and 38 (vectors/code_levels.toml).
def test_bars() -> None:
    """Bars are 40 pixels of light and 40 of dark, by turns, from top to bottom."""
    plane = source().frame(0).planes[0]
    expected = np.tile(np.repeat([126, 38], 40), 16)
    np.testing.assert_array_equal(np.broadcast_to(expected, plane.shape), plane)


# By hand: 256 pixels of tile over 720 / 135 pixels a pair is 48 pairs, so 96 edges on even pixels.
def test_lines() -> None:
    """Slow line pairs are as fine as even pixels allow: stripes of 2 or 4 pixels, 240 pairs across."""
    row = source(content="lines", pixels_per_frame=1).frame(0).planes[0][0]
    edges = np.nonzero(np.diff(row))[0] + 1
    assert 2 * 240 - 1 == len(edges)
    assert {2, 4} == set(np.diff(edges).tolist())
    assert [38, 126] == np.unique(row).tolist()


# By hand: 8 pixels a frame and four frames a pair are pairs of 32 pixels, 40 of them in 1280.
def test_fast_lines_are_wider() -> None:
    """Lines never move by more than a quarter of a pair a frame, or they would seem to stand or go back."""
    row = source(content="lines").frame(0).planes[0][0]
    edges = np.nonzero(np.diff(row))[0] + 1
    assert {16} == set(np.diff(edges).tolist())
    assert 2 * 40 - 1 == len(edges)


# The alphabet is knownlight.frame.glyphs; 2 pixels a dot and 28 rows a line at 720 rows, by hand.
def test_text_can_be_read() -> None:
    """Text is the alphabet's own dots, lit over dark, a line and a line's height by turns."""
    plane = source(content="text").frame(0).planes[0]
    mask = text_mask("EVERY PIXEL OF THIS LINE", 2)
    rows, columns = mask.shape
    for line in range(720 // 28):
        top = 28 * line
        np.testing.assert_array_equal(np.where(mask, 126, 38), plane[top : top + rows, :columns])
        assert [38] == np.unique(plane[top + 14 : top + 28]).tolist()


# By hand: six levels from 38 to 126, 38 + 88 n / 5 cut off.
def test_texture_has_few_levels() -> None:
    """Texture has six levels from dark to lit, and every one of them is somewhere."""
    expected = [38, 55, 73, 90, 108, 126]
    assert expected == np.unique(source(content="texture").frame(0).planes[0]).tolist()


# ITU-R BT.1702 (second-hand): more than five pairs of stripes over a quarter of a moving picture.
@pytest.mark.parametrize(("content", "stripes"), [("bars", True), ("lines", True), ("text", False)])
def test_moving_stripes_are_a_hazard(content: str, stripes: bool) -> None:  # noqa: FBT001 - a table's column
    """Bars and lines are stripes that may do harm; text is not."""
    hazards = build("pan", {"content": content}).claims(SDR).hazards
    assert (frozenset({Hazard.STRIPES}) if stripes else frozenset()) == hazards
