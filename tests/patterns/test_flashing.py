"""Which changes count as flashes: ITU-R BT.1702-3, known second-hand."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from knownlight.frame.format import parse_signal_format
from patterns.flashing import is_flash

PQ = parse_signal_format("720p60-pq", depth=12)
SDR = parse_signal_format("720p60-sdr", depth=12)
EDGE = 1e-6  # contrast: nearer to a seventeenth than this, float64 decides


# By hand: 20 cd/m² below 160, an eighth of the darker above; SDR at a peak of 200 cd/m² shows twice what this
# project's reference display does.
@pytest.mark.parametrize(
    ("darker", "lighter", "pq", "sdr"),
    [(0, 9, False, False), (0, 11, False, True), (0, 19, False, True), (0, 21, True, True),
     (75, 84, False, False), (75, 86, False, True)],
)  # fmt: skip
def test_changes_of_20_count(darker: float, lighter: float, pq: bool, sdr: bool) -> None:  # noqa: FBT001 - a table
    """A change of 20 cd/m² or more counts in both orders, SDR reckoned at 200 cd/m²."""
    for signal, expected in ((PQ, pq), (SDR, sdr)):
        first, second = (signal.encoding.grey_code_from_luminance(level) for level in (darker, lighter))
        assert [expected] * 2 == [is_flash(signal, first, second), is_flash(signal, second, first)]


@given(st.integers(2300, 3700), st.integers(2300, 3700))
def test_bright_changes_count_by_contrast(first: int, second: int) -> None:
    """With the darker at 160 cd/m² or more, a Michelson contrast of 1/17 or more counts."""
    low, high = (PQ.encoding.grey_luminance(code) for code in sorted((first, second)))
    contrast = (high - low) / (high + low)
    assume(low >= 160 and abs(contrast - 1 / 17) > EDGE)
    assert (contrast >= 1 / 17) == is_flash(PQ, first, second)
