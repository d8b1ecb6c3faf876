"""Metadata that is declared on purpose: what it is, and what cannot be declared."""

import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.light import ContentLight, Declaration, HdrMetadata, mastering_display
from knownlight.signal.primaries import BT2020, P3_D65

PQ = parse_signal_format("1080p24-pq")


def test_it_is_what_was_asked_for() -> None:
    """A peak in 0.0001 cd/m² (SMPTE ST 2086), levels in whole cd/m² (CTA-861.3), or nothing at all."""
    asked = Declaration(mastering_peak=4000, max_cll=400, max_fall=100)
    assert HdrMetadata(
        mastering=mastering_display(BT2020, 4000), light=ContentLight(max_cll=400, max_fall=100)
    ) == asked.metadata(PQ)
    assert 40_000_000 == mastering_display(BT2020, 4000).max_luminance
    assert HdrMetadata() == Declaration().metadata(PQ)
    p3 = parse_signal_format("1080p24-pq", content_primaries="p3-d65")
    unknown = Declaration(mastering_peak=1000, max_cll=0, max_fall=0).metadata(p3)
    assert (
        HdrMetadata(mastering=mastering_display(P3_D65, 1000), light=ContentLight(max_cll=0, max_fall=0))
        == unknown
    )


@pytest.mark.parametrize(
    ("asked", "signal", "words"),
    [
        (Declaration(), "1080p24-hlg", "hlg files carry no static metadata; use a pq signal"),
        (Declaration(), "1080p24-sdr", "sdr files carry no static metadata; use a pq signal"),
        (Declaration(max_cll=5), "1080p24-pq", "max_cll and max_fall belong together"),
        (Declaration(mastering_peak=1000, max_cll=0, max_fall=5), "1080p24-pq", "give 0 for both"),
        (Declaration(mastering_peak=1000), "1080p24-pq", "mastering needs max_cll and max_fall too"),
        (Declaration(max_cll=0, max_fall=0), "1080p24-pq", "levels of 0 need mastering too"),
        (Declaration(mastering_peak=0, max_cll=1, max_fall=1), "1080p24-pq", "mastering=0 is out of range"),
        (Declaration(max_cll=10001, max_fall=1), "1080p24-pq", "max_cll=10001 is out of range; use 0"),
    ],
)  # fmt: skip
def test_what_no_file_can_declare_is_refused(asked: Declaration, signal: str, words: str) -> None:
    """Signals without such metadata, halves of it, and figures out of range, each with what to do."""
    with pytest.raises(BadInput, match=f"declare: .*{words}"):
        asked.check(parse_signal_format(signal))


@pytest.mark.parametrize(
    "asked",
    [
        Declaration(),
        Declaration(max_cll=1, max_fall=10000),
        Declaration(mastering_peak=10000, max_cll=0, max_fall=0),
        Declaration(mastering_peak=1, max_cll=400, max_fall=400),
    ],
)
def test_what_files_can_declare_is_taken(asked: Declaration) -> None:
    """Nothing, levels alone, and a display with levels, known or not."""
    asked.check(PQ)
    assert (asked.mastering_peak is None) == (asked.metadata(PQ).mastering is None)
