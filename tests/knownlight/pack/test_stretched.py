"""The stretched picture: dark codes spread to be seen, and words that say so."""

import numpy as np
import pytest

from knownlight.frame.format import parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import text_mask
from knownlight.frame.planes import grey_frame, sample_type
from knownlight.pack.stretched import stretched

WHOLE = Rect(0, 0, 1280, 720)


@pytest.mark.parametrize(("depth", "scale"), [(8, 1), (10, 4)])
def test_codes_are_spread_from_black_to_the_brightest(depth: int, scale: int) -> None:
    """Black is 0, the brightest of the dark codes 255, even steps between; a bright speck is white."""
    signal = parse_signal_format("720p24-sdr", depth=depth)
    luma = np.full((720, 1280), 16 * scale, sample_type(depth))
    luma[:300, :640] = 26 * scale
    luma[:300, 640:] = 36 * scale
    luma[0, :40] = 235 * scale
    found = stretched(grey_frame(signal, luma), 3, WHOLE)
    assert (3, 16 * scale, 36 * scale) == (found.picture, found.lowest, found.highest)
    assert (127, 255, 0) == (found.pixels[200, 100], found.pixels[200, 900], found.pixels[400, 100])
    assert {255} == set(found.pixels[0, :40].tolist())


def test_the_label_says_what_it_is() -> None:
    """In letters of the alphabet of labels, as large as the width allows."""
    signal = parse_signal_format("720p24-sdr")
    found = stretched(grey_frame(signal, np.full((720, 1280), 20, np.uint8)), 0, WHOLE)
    words = "CODES 20 TO 28 STRETCHED, FOR ORIENTATION ONLY - NOT FOR MEASURING"
    mask = text_mask(words, 2)
    rows, columns = mask.shape
    strip = found.pixels[720 - rows - 4 : 720 - 4, (1280 - columns) // 2 :][:, :columns] == 255
    assert np.array_equal(mask, strip)


def test_a_flat_dark_picture_is_stretched_by_no_more_than_eight_codes() -> None:
    """Else single codes of noise would look like structure; its lowest code is where the picture begins."""
    signal = parse_signal_format("720p24-sdr")
    found = stretched(grey_frame(signal, np.full((720, 1280), 20, np.uint8)), 0, WHOLE)
    assert (20, 28) == (found.lowest, found.highest)
    assert {0} == set(np.unique(found.pixels[:600]).tolist())


def test_the_judged_part_sets_the_range() -> None:
    """Of a dark half beside a bright one, the dark half is spread; the bright one is white."""
    signal = parse_signal_format("720p24-sdr")
    luma = np.full((720, 1280), 20, np.uint8)
    luma[:, 320:640] = 40
    luma[:, 640:] = 180
    found = stretched(grey_frame(signal, luma), 0, Rect(0, 0, 640, 720))
    assert (20, 40) == (found.lowest, found.highest)
    assert [0, 255, 255] == [int(found.pixels[300, column]) for column in (100, 400, 1000)]
