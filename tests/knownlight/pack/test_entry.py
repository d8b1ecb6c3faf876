"""A manifest entry's claims: what the file holds, where that is not what was drawn."""

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from knownlight.encode.delivery import Encoded, Exactness
from knownlight.frame.claims import CodeTriple, LightLevels
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.light import HdrMetadata
from knownlight.pack.entry import clip_entry
from knownlight.pack.job import Job
from knownlight.pack.manifest_entries import ClaimEntry
from knownlight.verify.proof import Proof
from patterns.registry import build

if TYPE_CHECKING:
    from pathlib import Path

SDR = parse_signal_format("720p24-sdr")
_ENCODED = Encoded(
    exactness=Exactness.BOUNDED, error_limit=2, group=1, level="3.1", peak_rate=1, largest_picture=1
)


def claim(tmp_path: "Path", codes: dict[tuple[int | None, str], CodeTriple | None]) -> ClaimEntry:
    """The claim of a window whose proof read some codes."""
    pattern = build("window", {"code": 180})
    path = tmp_path / "w.mp4"
    path.write_bytes(b"clip")
    job = Job(id="w", file="w.mp4", pattern=pattern, signal=SDR, delivery="avc-mp4", seconds=Fraction(1))
    proof = Proof(
        problems=(),
        decoded_frames=1,
        repeated_frames=0,
        largest_error=1,
        largest_region_error=1,
        light=LightLevels(0.0, 0.0, 0.0, 0.0),
        readers=(),
        codes=codes,
    )
    source = pattern.draw(SDR)
    claims = clip_entry(job, path, _ENCODED, HdrMetadata(), proof, sha256="", source=source).claims
    return next(each for each in claims if each.name == "window")


# BT.1886 at 100 cd/m² and black 0, by hand: ((code - 16) / 219) ** 2.4 * 100.
@pytest.mark.parametrize(("code", "luminance"), [(180, 49.953), (181, 50.687)])
def test_the_code_that_was_read_is_claimed_with_its_own_light(
    code: int, luminance: float, tmp_path: "Path"
) -> None:
    """A coder that turned a window into the next code has made a file of that code: it is the target."""
    entry = claim(tmp_path, {(None, "window"): (code, 128, 128)})
    assert ((code, 128, 128), True) == (entry.code, entry.measure)
    assert luminance == pytest.approx(entry.luminance, abs=5e-4)  # half a unit of the last printed digit


def test_a_region_without_a_code_of_its_own_is_not_for_measuring(tmp_path: "Path") -> None:
    """What was drawn is told, but nobody is sent there with a meter."""
    entry = claim(tmp_path, {(None, "window"): None})
    assert ((180, 128, 128), False) == (entry.code, entry.measure)
