"""Light levels: claimed against measured, declared against measured."""

from dataclasses import replace

import pytest

from knownlight.frame.claims import Claims, LightLevels
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.light import ContentLight
from knownlight.verify.light import claimed_problems, declared_problems

PQ = parse_signal_format("720p24-pq")
PIXELS = 1280 * 720
CLOSE, APART = 1e-10, 1e-8  # relative; the check's own bound, 1e-9, lies between


def pq_luminance(code: int) -> float:
    """cd/m² of a 10-bit narrow-range grey: SMPTE ST 2084 and BT.2100-2 Table 9, written out once more."""
    m1, m2 = 2610 / 16384, 2523 / 4096 * 128
    c1, c2, c3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
    power = ((code - 64) / 876) ** (1 / m2)
    return float(10_000 * (max(power - c1, 0.0) / (c2 - c3 * power)) ** (1 / m1))


# A tenth of the picture at code 723 (1000 cd/m² by BT.2408), the rest black.
HALF = Claims(areas={(723, 512, 512): PIXELS // 10, (64, 512, 512): PIXELS - PIXELS // 10})
MEASURED = LightLevels(
    max_cll=pq_luminance(723),
    max_fall=pq_luminance(723) / 10,
    fall=pq_luminance(723) / 10,
    apl_percent=100 * (723 - 64) / 876 / 10,
)


def test_true_claims_have_no_problem() -> None:
    """Areas times the luminance of ST 2084 are what the pixels hold."""
    assert [] == claimed_problems(HALF, PQ, MEASURED)


@pytest.mark.parametrize(
    ("name", "word"),
    [("max_cll", "MaxCLL"), ("max_fall", "MaxFALL"), ("fall", "FALL"), ("apl_percent", "APL")],
)
def test_each_figure_counts(name: str, word: str) -> None:
    """A figure beyond the bound of float arithmetic is told with both values; one within it is not."""
    value = getattr(MEASURED, name)
    wrong = value * (1 + APART)
    problems = claimed_problems(HALF, PQ, replace(MEASURED, **{name: wrong}))
    assert [f"light: {word} is claimed as {value:.9g}, the decoded pixels have {wrong:.9g}"] == problems
    assert [] == claimed_problems(HALF, PQ, replace(MEASURED, **{name: value * (1 + CLOSE)}))


def test_a_pattern_that_claims_no_areas_claims_no_light() -> None:
    """There is nothing to hold the pixels against."""
    assert [] == claimed_problems(Claims(), PQ, MEASURED)


def test_levels_rounded_up_are_declared_rightly() -> None:
    """Code 723 is 1003.1 cd/m² or so: whole cd/m², rounded up, as an upper bound must be (CTA-861.3)."""
    assert 1000 < MEASURED.max_cll < 1010
    up = ContentLight(max_cll=int(MEASURED.max_cll) + 1, max_fall=int(MEASURED.max_fall) + 1)
    assert [] == declared_problems(up, PQ, MEASURED, 0)


@pytest.mark.parametrize("by", [-1, 1])
def test_exact_clips_must_declare_exactly(by: int) -> None:
    """One cd/m² less is no bound, one more is no truth: each is told with what the pixels ask for."""
    cll, fall = int(MEASURED.max_cll) + 1, int(MEASURED.max_fall) + 1
    wrong = ContentLight(max_cll=cll + by, max_fall=fall + by)
    assert [
        f"light: MaxCLL is declared as {cll + by}, the decoded pixels ask for {cll}",
        f"light: MaxFALL is declared as {fall + by}, the decoded pixels ask for {fall}",
    ] == declared_problems(wrong, PQ, MEASURED, 0)


@pytest.mark.parametrize(("limit", "low", "high"), [(4, 719, 727), (32, 691, 755)])
def test_bounded_clips_may_declare_as_much_as_their_error_allows(limit: int, low: int, high: int) -> None:
    """Pixels that may lie some codes off leave the declared level that many codes, as a grey, either way."""
    lowest, highest = int(pq_luminance(low)) + 1, int(pq_luminance(high)) + 1
    fall = int(MEASURED.max_fall) + 1
    for stated, right in ((lowest, True), (highest, True), (lowest - 1, False), (highest + 1, False)):
        problems = declared_problems(ContentLight(max_cll=stated, max_fall=fall), PQ, MEASURED, limit)
        wanted = f"light: MaxCLL is declared as {stated}, the decoded pixels ask for {lowest} to {highest}"
        assert ([] if right else [wanted]) == problems


def test_the_peak_of_pq_is_not_passed() -> None:
    """At 10 000 cd/m² an error upwards has nowhere to go: code 940 stays the highest."""
    peak = LightLevels(max_cll=10_000.0, max_fall=10_000.0, fall=10_000.0, apl_percent=100.0)
    lowest = int(pq_luminance(940 - 4)) + 1
    assert [f"light: MaxCLL is declared as 10001, the decoded pixels ask for {lowest} to 10000"] == (
        declared_problems(ContentLight(max_cll=10_001, max_fall=10_000), PQ, peak, 4)
    )


def test_a_file_that_declares_nothing_declares_nothing_wrong() -> None:
    """SDR and HLG files have no figures to check here."""
    assert [] == declared_problems(None, PQ, MEASURED, 0)
