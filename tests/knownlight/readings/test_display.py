"""The display that targets are for."""

import math

import pytest

from knownlight.errors import BadInput
from knownlight.readings.display import DEFAULTS, Display, display_of, kind_named
from knownlight.signal.encoding import Transfer


def test_reference_displays() -> None:
    """White of BT.2035 clause 3.2 for SDR, the nominal peak of BT.2100 for HLG, all of ST 2084 for PQ."""
    expected = {Transfer.SDR: (100.0, 0.0), Transfer.HLG: (1000.0, 0.0), Transfer.PQ: (10000.0, 0.0)}
    assert expected == {kind: (display.peak, display.black) for kind, display in DEFAULTS.items()}


@pytest.mark.parametrize(
    ("peak", "black", "words"),
    [
        (0.0, 0.0, "peak 0 cd/m² is none of a display; use 10 to 10000"),
        (20000.0, 0.0, "peak 20000 cd/m² is none of a display"),
        (math.nan, 0.0, "peak nan cd/m² is none of a display"),
        (100.0, 100.0, "black 100 cd/m² is not from 0 to below the peak of 100"),
        (100.0, -0.1, "black -0.1 cd/m² is not from 0"),
        (100.0, math.nan, "black nan cd/m² is not from 0"),
    ],
)
def test_what_is_no_display_is_refused(peak: float, black: float, words: str) -> None:
    """The message has the key, the value and what to use."""
    with pytest.raises(BadInput, match="^" + words.replace("(", r"\(")):
        Display(kind=Transfer.SDR, peak=peak, black=black)


@pytest.mark.parametrize("word", ["srgb", "SDR", ""])
def test_a_kind_that_there_is_not_is_refused(word: str) -> None:
    """The word srgb is a kind of signal, but no display of a reviewer is one."""
    with pytest.raises(BadInput, match="use one of sdr, hlg, pq"):
        kind_named(word)


def test_a_signal_is_shown_on_the_display_of_its_kind() -> None:
    """One that was measured comes before the reference one; sRGB pictures are shown as SDR is."""
    measured = Display(kind=Transfer.SDR, peak=250.0, black=0.05)
    assert measured == display_of(Transfer.SDR, (measured,))
    assert measured == display_of(Transfer.SRGB, (measured,))
    assert DEFAULTS[Transfer.PQ] == display_of(Transfer.PQ, (measured,))
