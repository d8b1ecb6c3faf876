"""The register of deliveries: each is named, refuses, and proves itself on a real clip."""

from typing import TYPE_CHECKING

import pytest

from knownlight.encode.deliveries import DEFAULT, DELIVERIES, delivery_named
from knownlight.errors import BadInput, CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.format import parse_signal_format
from knownlight.verify.declared import CODECS
from knownlight.verify.proof import prove

if TYPE_CHECKING:
    from tests.conftest import MakeClip


def test_the_names_there_are() -> None:
    """The command line's words, and which of them is the default."""
    assert ["hevc-mp4", "avc-mp4"] == list(DELIVERIES)
    assert DEFAULT == "hevc-mp4"


@pytest.mark.parametrize("name", DELIVERIES)
def test_a_delivery_is_found_by_its_own_name(name: str) -> None:
    """The register's key is the delivery's own name, its suffix a file ending."""
    delivery = delivery_named(name)
    assert name == delivery.name
    assert ".mp4" == delivery.suffix


def test_an_unknown_name_is_refused() -> None:
    """The refusal names those there are."""
    with pytest.raises(BadInput) as caught:
        delivery_named("hevc-mkv")
    assert "delivery 'hevc-mkv' is not known; use one of hevc-mp4, avc-mp4" == str(caught.value)


@pytest.mark.parametrize("name", DELIVERIES)
def test_every_delivery_refuses_interlaced_pictures(name: str) -> None:
    """None of them has fields."""
    with pytest.raises(CannotCarry, match=f"^{name} carries no interlaced pictures; use 1080p25-sdr$"):
        delivery_named(name).refuse(parse_signal_format("1080i25-sdr"))


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
