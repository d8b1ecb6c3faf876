"""The register of deliveries: each is named, refuses, and proves itself on a real clip."""

from typing import TYPE_CHECKING

import pytest

from knownlight.encode.deliveries import DEFAULT, DELIVERIES, check_carries, delivery_named
from knownlight.errors import BadInput, CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.format import parse_signal_format
from knownlight.verify.declared import CODECS
from knownlight.verify.proof import prove

if TYPE_CHECKING:
    from tests.conftest import MakeClip


SUFFIXES = {
    "hevc-mp4": ".mp4", "hevc-mkv": ".mkv", "hevc-ts": ".ts", "avc-mp4": ".mp4", "avc-ts": ".ts",
    "av1-mp4": ".mp4", "av1-mkv": ".mkv", "vp9-webm": ".webm", "mpeg2-ts": ".ts",
}  # fmt: skip


def test_the_names_there_are() -> None:
    """The command line's words with their file endings, and which of them is the default."""
    assert SUFFIXES == {name: delivery.suffix for name, delivery in DELIVERIES.items()}
    assert DEFAULT == "hevc-mp4"


@pytest.mark.parametrize("name", DELIVERIES)
def test_a_delivery_is_found_by_its_own_name(name: str) -> None:
    """The register's key is the delivery's own name."""
    assert name == delivery_named(name).name


def test_an_unknown_name_is_refused() -> None:
    """The refusal names those there are."""
    with pytest.raises(BadInput) as caught:
        delivery_named("hevc-mov")
    assert f"delivery 'hevc-mov' is not known; use one of {', '.join(SUFFIXES)}" == str(caught.value)


@pytest.mark.parametrize(
    ("name", "signal", "problem", "remedy"),
    [
        ("hevc-mkv", "1080i25-sdr", "no interlaced pictures", "--delivery avc-ts or 1080p25-sdr"),
        ("avc-ts", "2160p60-pq", "sdr only, not pq", "--delivery hevc-ts or 2160p60-sdr"),
        ("mpeg2-ts", "2160p24-sdr", "highest level", "--delivery hevc-ts or 1080p24-sdr"),
        ("mpeg2-ts", "1080p60-sdr", "highest level", "--delivery hevc-ts or 720p60-sdr"),
        ("mpeg2-ts", "720p24-hlg", "sdr only, not hlg", "--delivery hevc-ts or 720p24-sdr"),
        ("av1-mkv", "1080i29.97-sdr", "no interlaced pictures", "--delivery avc-ts or 1080p29.97-sdr"),
    ],
)
def test_what_a_delivery_cannot_hold_is_refused_with_the_nearest_that_works(
    name: str, signal: str, problem: str, remedy: str
) -> None:
    """Another delivery of the same coder or container first, then another signal; both then work."""
    with pytest.raises(CannotCarry) as caught:
        check_carries(name, parse_signal_format(signal))
    words = str(caught.value)
    assert words.startswith(f"{name} ")
    assert problem in words
    assert words.endswith(f"; use {remedy}")
    delivery, other = remedy.removeprefix("--delivery ").split(" or ")
    check_carries(delivery, parse_signal_format(signal))
    check_carries(name, parse_signal_format(other))


@pytest.mark.parametrize("name", DELIVERIES)
def test_every_delivery_proves_itself(name: str, shared_clip: "MakeClip", stop: Stop) -> None:
    """A clip of each passes the whole proof, so that no delivery can be registered without one."""
    assert name in CODECS
    clip = shared_clip("ramp", "720p24-sdr", 30, name)
    proof = prove(clip.path, clip.intent, stop)
    assert () == proof.problems
    assert (clip.encoded.group, 30 - clip.encoded.group) == (proof.decoded_frames, proof.repeated_frames)


@pytest.mark.parametrize("name", DELIVERIES)
def test_a_clip_of_one_picture_proves_itself(name: str, make_clip: "MakeClip", stop: Stop) -> None:
    """The shortest clip there is: one picture, one group, in the usual profile."""
    clip = make_clip("ramp", "720p24-sdr", 1, name)
    assert 1 == clip.encoded.group
    assert () == prove(clip.path, clip.intent, stop).problems
