"""What a file must say of itself, and every field that says otherwise."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback.bitstream import read_both_copies
from knownlight.readback.files import Container, read_video_track
from knownlight.readback.mediainfo import read_mediainfo
from knownlight.readback.stated import Stated
from knownlight.verify.blind_spots import differences, is_blind
from knownlight.verify.declared import CODECS, expected, flat


def obeyed(path: Path, stop: Stop) -> Stated:
    """Headers that stand with the first picture."""
    return read_both_copies(path, stop)[1]


if TYPE_CHECKING:
    from tests.conftest import MakeClip

PQ, SDR = parse_signal_format("2160p23.976-pq"), parse_signal_format("1080p60-sdr")
HDR = HdrMetadata(
    mastering=MasteringDisplay(
        red=(35_400, 14_600), green=(8_500, 39_850), blue=(6_550, 2_300), white=(15_635, 16_450),
        max_luminance=10_000_000, min_luminance=1,
    ),
    light=ContentLight(max_cll=1_005, max_fall=101),
)  # fmt: skip
NONE = HdrMetadata()
CONTAINERS = {
    "mp4": Container.MP4,
    "mkv": Container.MATROSKA,
    "webm": Container.MATROSKA,
    "ts": Container.TRANSPORT_STREAM,
}
# MediaInfo counts the pictures of a stream by their times, and is one off at times.
COUNTED_ROUGHLY = {("MediaInfo", Container.TRANSPORT_STREAM): {"frames"}}


def container_of(delivery: str) -> Container:
    """What a delivery's name ends in."""
    return CONTAINERS[delivery.partition("-")[2]]


def wanted_of(delivery: str) -> Stated:
    """What a file of a delivery must say: of PQ where it can hold that."""
    if CODECS[delivery].name == "mpeg2":
        return expected(parse_signal_format("720p60-sdr"), delivery, 240, NONE)
    if CODECS[delivery].name == "avc":
        return expected(SDR, delivery, 240, NONE)
    return expected(PQ, delivery, 240, HDR)


READERS = [
    (delivery, reader)
    for delivery in CODECS
    for reader in (container_of(delivery).value, "bitstream", "MediaInfo")
]
PLACES = (Container.MP4.value, "bitstream", "MediaInfo")


def leaves(wanted: Stated) -> list[str]:
    """Names of every field that a file must state."""
    return [name for name, value in flat(wanted) if value is not None]


def other(value: Any) -> Any:
    """A value of the same kind that is not the same."""
    if isinstance(value, tuple):
        return (value[0] + 1, value[1])
    if isinstance(value, Fraction):
        return value + 1
    return f"{value}x" if isinstance(value, str) else value + 1


def with_field(stated: Any, name: str, value: Any) -> Any:
    """A copy with one field, by its dotted name, set to a value."""
    first, _, rest = name.partition(".")
    return replace(stated, **{first: with_field(getattr(stated, first), rest, value) if rest else value})


def field(stated: Any, name: str) -> Any:
    """A field by its dotted name; None where what it belongs to is not there."""
    for part in name.split("."):
        stated = None if stated is None else getattr(stated, part)
    return stated


def every_field() -> Iterator[tuple[str, str, str]]:
    """Delivery, reader and name of every field that the reader can tell of it."""
    for delivery, reader in READERS:
        for name in leaves(wanted_of(delivery)):
            if not is_blind(reader, CODECS[delivery].name, container_of(delivery), name):
                yield delivery, reader, name


@pytest.mark.parametrize(
    ("signal", "delivery", "wanted"),
    [
        (
            PQ,
            "hevc-mp4",
            Stated(
                codec="hevc", tag="hvc1", profile="Main 10", level="5", tier="Main", width=3840, height=2160,
                rate=Fraction(24_000, 1_001), depth=10, frames=240, hdr=HDR,
                scan="progressive", pixel_aspect=Fraction(1),
                colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
            ),
        ),
        (
            SDR,
            "avc-mp4",
            Stated(
                codec="avc", tag="avc1", profile="Main", level="4.2", width=1920, height=1080,
                rate=Fraction(60), depth=8, frames=240, scan="progressive", pixel_aspect=Fraction(1),
                colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0),
            ),
        ),
        (
            parse_signal_format("720p50-hlg", code_range="full"),
            "hevc-mp4",
            Stated(
                codec="hevc", tag="hvc1", profile="Main 10", level="4", tier="Main", width=1280, height=720,
                rate=Fraction(50), depth=10, frames=240, scan="progressive", pixel_aspect=Fraction(1),
                preferred_transfer=18,
                colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=1, chroma_location=2),
            ),
        ),
    ],
    ids=["pq", "sdr", "hlg-full-range"],
)  # fmt: skip
def test_what_a_file_must_say(signal: SignalFormat, delivery: str, wanted: Stated) -> None:
    """Integers of H.273 Tables 2 to 4; levels of H.265 Table A.8 and H.264 Table A-1.

    Chroma lies left (0) in BT.709 and top left (2) in BT.2100, as H.265 Annex E numbers them.
    """
    assert wanted == expected(signal, delivery, 240, wanted.hdr)


@pytest.mark.parametrize(("depth", "profile"), [(8, "Main"), (10, "Main 10")])
def test_the_hevc_profile_follows_the_depth(depth: int, profile: str) -> None:
    """H.265 A.3: Main has 8 bits, Main 10 up to ten."""
    signal = parse_signal_format("720p24-sdr", depth=depth)
    assert profile == expected(signal, "hevc-mp4", 1, HdrMetadata()).profile


@pytest.mark.parametrize(("delivery", "reader"), READERS)
def test_the_right_words_are_no_difference(delivery: str, reader: str) -> None:
    """A reader that says everything rightly has no problem."""
    wanted = wanted_of(delivery)
    assert [] == differences(reader, wanted, wanted, container_of(delivery))


@pytest.mark.parametrize(("delivery", "reader", "name"), list(every_field()))
def test_every_field_counts_wherever_it_can_be_said(delivery: str, reader: str, name: str) -> None:
    """Another value, and none, are each told with reader, field and both values."""
    wanted, container = wanted_of(delivery), container_of(delivery)
    value = field(wanted, name)
    wrong = other(value)
    assert [f"{reader}: {name} is {wrong}, it must be {value}"] == (
        differences(reader, with_field(wanted, name, wrong), wanted, container)
    )
    assert [f"{reader}: {name} is not stated, it must be {value}"] == (
        differences(reader, with_field(wanted, name, None), wanted, container)
    )


def test_a_preferred_transfer_that_nobody_wants_is_told() -> None:
    """A message that prefers HLG would turn a PQ stream into HLG."""
    stated = replace(wanted_of("hevc-ts"), preferred_transfer=18)
    assert ["bitstream: preferred_transfer is 18, nothing must be said"] == (
        differences("bitstream", stated, wanted_of("hevc-ts"), Container.TRANSPORT_STREAM)
    )


@pytest.mark.parametrize("place", PLACES)
def test_light_that_must_not_be_declared_is_told(place: str) -> None:
    """SDR files carry no light metadata; each figure that is there is told."""
    wanted = expected(parse_signal_format("720p24-sdr"), "hevc-mp4", 24, HdrMetadata())
    stated = replace(wanted, hdr=HdrMetadata(light=ContentLight(max_cll=1_000, max_fall=400)))
    assert [
        f"{place}: hdr.light.max_cll is 1000, nothing must be said",
        f"{place}: hdr.light.max_fall is 400, nothing must be said",
    ] == differences(place, stated, wanted, Container.MP4)


@pytest.mark.parametrize("place", PLACES)
def test_light_that_is_missing_is_told(place: str) -> None:
    """Each figure of a PQ file that has none is told, of the mastering display too."""
    wanted = wanted_of("hevc-mp4")
    bare = replace(wanted, hdr=HdrMetadata())
    names = [name for name in leaves(wanted) if name.startswith("hdr.")]
    assert 8 == len(names)
    assert [
        f"{place}: {name} is not stated, it must be {field(wanted, name)}" for name in names
    ] == differences(place, bare, wanted, Container.MP4)


@pytest.mark.parametrize("delivery", CODECS)
def test_blind_spots_are_blind_and_nothing_else_is(
    delivery: str, shared_clip: "MakeClip", stop: Stop
) -> None:
    """In a real file each reader is silent on exactly the fields that are passed over for it."""
    signal = "720p24-sdr" if CODECS[delivery].name in ("avc", "mpeg2") else "720p24-pq"
    clip = shared_clip("ramp", signal, 30, delivery)
    wanted = expected(clip.intent.signal, delivery, 30, clip.intent.hdr)
    track, container = read_video_track(clip.path)
    assert container_of(delivery) is container
    read = {
        container.value: track.stated,
        "bitstream": obeyed(clip.path, stop),
        "MediaInfo": read_mediainfo(clip.path),
    }
    for reader, stated in read.items():
        blind = {name for name in leaves(wanted) if is_blind(reader, str(wanted.codec), container, name)}
        silent = {name for name in leaves(wanted) if field(stated, name) is None}
        assert (reader, blind - COUNTED_ROUGHLY.get((reader, container), set())) == (reader, silent)


def test_hlg_in_a_transport_stream_is_declared_as_broadcasts_do() -> None:
    """ETSI TS 101 154, from memory: the VUI says BT.2020 (14), a message prefers HLG (18)."""
    stated = expected(parse_signal_format("1080p50-hlg"), "hevc-ts", 50, NONE)
    assert (14, 18) == (stated.colour.transfer, stated.preferred_transfer)
