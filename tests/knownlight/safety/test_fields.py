"""Pictures whose fields flash, by the light of rows that are drawn here."""

import numpy as np
import pytest

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, grey_frame
from knownlight.frame.sources import Cycle, FrameSource, Hold, Levels, Sequence, Still
from knownlight.safety.fields import flashes_between_fields
from patterns.registry import build

FIELDS, WHOLE = parse_signal_format("480i29.97-sdr"), parse_signal_format("480p29.97-sdr")


def rows(even: int, odd: int, share: float = 1.0, signal: SignalFormat = FIELDS) -> Frame:
    """Even and odd rows of two codes over a share of the width, and plain grey beside."""
    luma = np.full((480, 720), 126, np.uint8)
    wide = int(720 * share)
    luma[0::2, :wide], luma[1::2, :wide] = even, odd
    return grey_frame(signal, luma)


# BT.1886 by hand, white 200 cd/m²: code c is ((c - 16) / 219)^2.4 * 200, so 99 is 19.49, 100 is 20.06, 214 is
# 157.0 and 233 is 195.6. An eighth of 195.6 is 24.5, more than the 4.4 to white; of 157.0 it is 19.6.
@pytest.mark.parametrize(
    ("even", "odd", "share", "flashes"),
    [
        (235, 16, 1.0, True),
        (16, 235, 1.0, True),
        (16, 100, 1.0, True),
        (16, 99, 1.0, False),
        (126, 126, 1.0, False),
        (214, 235, 1.0, True),
        (233, 235, 1.0, False),
        (235, 16, 0.3, True),
        (235, 16, 0.2, False),
    ],
)
def test_a_still_flashes_where_its_fields_differ(*, even: int, odd: int, share: float, flashes: bool) -> None:
    """BT.1702-3, known second-hand: 20 cd/m² or an eighth, over more than a quarter of the picture."""
    assert flashes is flashes_between_fields(Still(rows(even, odd, share)), FIELDS, 0)


def test_whole_frames_do_not() -> None:
    """The same rows in a progressive signal are shown together."""
    assert not flashes_between_fields(Still(rows(235, 16, signal=WHOLE)), WHOLE, 0)


def test_any_picture_of_a_sequence_counts() -> None:
    """The second of two flashes."""
    pictures = (rows(126, 126), rows(235, 16))
    source: FrameSource = Sequence(pictures.__getitem__, (Hold(0, 5), Hold(1, 5)))
    assert flashes_between_fields(source, FIELDS, 2)
    assert not flashes_between_fields(source, FIELDS, 1)


def test_what_moves_is_left_to_its_pattern() -> None:
    """Its fields are pictures of their own, which differ because they move."""
    source = Cycle(2, lambda _index: rows(235, 16), Levels.MOVED)
    assert not flashes_between_fields(source, FIELDS, 0)


@pytest.mark.parametrize(
    ("family", "keys", "flashes"),
    [
        ("pixel-grid", {"content": "lines-across"}, True),
        ("pixel-grid", {"content": "lines-down"}, False),
        ("pixel-grid", {"content": "checks"}, False),
        ("window", {}, False),
    ],
)
def test_patterns(*, family: str, keys: dict[str, str], flashes: bool) -> None:
    """Level lines of one row flash; upright ones are in both fields, and of checks each field has as many."""
    signal = parse_signal_format("1080i25-sdr")
    assert flashes is flashes_between_fields(build(family, keys).draw(signal), signal, 0)
