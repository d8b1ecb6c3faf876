"""Every family on its whole way: drawn, encoded, decoded and proven in every kind of signal, at every size.

A new family cannot come untested: the registry names the cases. The source of these checks is the proof
itself, which is tested against decoders and readers that are not ours in tests/knownlight.
"""

import pytest

from knownlight.encode.delivery import Exactness
from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.frame.format import parse_signal_format
from knownlight.frame.sizes import SIZES
from knownlight.verify.proof import prove
from patterns.registry import FAMILIES, build
from tests.conftest import MakeClip

KINDS = ("sdr", "pq", "hlg")
# What a family refuses in a kind of signal, each with a test of its own.
REFUSED = {("bars-bt2111", "sdr"), ("gamut-nest", "sdr"), ("bars-rp219", "pq"), ("bars-rp219", "hlg")}
# Lossless pictures of these would pass what the level allows.
_NOISE = (
    "fog", "coarse-fog", "dark-beside-busy", "dark-fade", "grainy-stars", "soft-light", "vignette",
)  # fmt: skip
BOUNDED = {(family, kind) for family in _NOISE for kind in KINDS}
# Runs of one code in a ramp of greys may start at any pixel: they have no colour to share.
NARROW = {"ramp", "gradient", "gradient-bands"}
FRAMES = 30
CASES = [(family, kind) for family in FAMILIES for kind in KINDS if (family, kind) not in REFUSED]


@pytest.mark.parametrize(("family", "kind"), CASES)
def test_a_family_is_made_and_proven(make_clip: MakeClip, stop: Stop, family: str, kind: str) -> None:
    """A clip of the defaults holds, decoded, what was drawn and claimed; it is exact, or said not to be."""
    clip = make_clip(family, f"720p60-{kind}", FRAMES)
    proof = prove(clip.path, clip.intent, stop)

    assert () == proof.problems
    assert FRAMES == proof.decoded_frames + proof.repeated_frames
    bounded = (family, kind) in BOUNDED
    assert (Exactness.BOUNDED if bounded else Exactness.EXACT) is clip.encoded.exactness
    assert bounded or 0 == proof.largest_error == proof.largest_region_error


@pytest.mark.parametrize(("family", "kind"), sorted(REFUSED))
def test_what_is_refused_is_refused_with_a_remedy(family: str, kind: str) -> None:
    """A family that a kind of signal cannot hold says so in words, before anything is drawn."""
    with pytest.raises(BadInput, match=f"^{family}: .*use "):
        build(family, {}).claims(parse_signal_format(f"720p60-{kind}"))


@pytest.mark.parametrize("height", [height for height in SIZES if height >= 720])  # 60 frames a second
@pytest.mark.parametrize(("family", "kind"), CASES)
def test_claims_hold_together_at_every_size(family: str, kind: str, height: int) -> None:
    """Regions lie inside the picture on even positions; areas add up to it; at 4320 lines as at 720."""
    signal = parse_signal_format(f"{height}p60-{kind}")
    claims = build(family, {}).claims(signal)
    for each in (claims, *claims.pictures):
        for region in each.regions:
            rect = region.rect
            if family not in NARROW:
                assert {0} == {value % 2 for value in (rect.x, rect.y, rect.width, rect.height)}, region.name
            assert 0 <= rect.x < rect.right <= signal.width, region.name
            assert 0 <= rect.y < rect.bottom <= signal.height, region.name
        if each.areas is not None:
            assert signal.width * signal.height == sum(each.areas.values())
            assert min(each.areas.values()) > 0
