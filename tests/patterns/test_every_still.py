"""Every family as a picture file, in the two formats that ask the most of a proof.

OpenEXR holds light, from which the proof must find each code again; JPEG is the one format that errs. The
others hold the codes themselves, whatever is drawn. The source of these checks is the proof itself, which is
tested against readers that are not ours in tests/knownlight.
"""

from pathlib import Path

import pytest

from knownlight.encode.stills.jpeg import ERROR_LIMIT
from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.verify.still import prove_still
from patterns.registry import FAMILIES, build
from tests.knownlight.still_files import signal_of, write

# What a family refuses, each with a test of its own: codes outside full range, and kinds of signal.
REFUSED = {
    (family, kind)
    for family in ("fog", "coarse-fog", "dark-beside-busy", "dark-fade", "pluge")
    for kind in ("pq", "srgb")
} | {
    ("bars-rp219", "pq"),
    ("bars-rp219", "srgb"),
    ("bars-bt2111", "srgb"),
    ("gamut-nest", "srgb"),
    ("self-test", "srgb"),
}
KINDS = {"pq": "exr", "srgb": "jpg"}
CASES = [(family, kind) for family in FAMILIES for kind in KINDS if (family, kind) not in REFUSED]


@pytest.mark.parametrize(("family", "kind"), CASES)
def test_a_family_is_made_and_proven(family: str, kind: str, tmp_path: Path, stop: Stop) -> None:
    """A still of the defaults holds, decoded, what was drawn and claimed."""
    intent = write(KINDS[kind], signal_of(kind), tmp_path / "a", pattern=build(family, {}))
    proof = prove_still(tmp_path / "a", intent, stop)

    assert () == proof.problems
    assert proof.largest_error <= (ERROR_LIMIT if kind == "srgb" else 0)


@pytest.mark.parametrize(("family", "kind"), sorted(REFUSED))
def test_what_is_refused_is_refused_with_a_remedy(family: str, kind: str) -> None:
    """In words, before anything is written."""
    with pytest.raises(BadInput, match=f"^{family}: .*use "):
        build(family, {}).claims(signal_of(kind))
