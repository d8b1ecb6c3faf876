"""What other readers cannot say: the table against files whose every field is known, both ways."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata
from knownlight.readback.files import Container, container_of
from knownlight.readback.stated import PROGRESSIVE, Stated
from knownlight.verify.blind_spots import BLIND_SPOTS, BlindSpot, differences
from knownlight.verify.declared import flat
from knownlight.verify.other_readers import READERS, StatementReader
from tests.knownlight.conftest import HEIGHT, P3_1000, PICTURES, WIDTH

STATEMENTS = {reader.name: reader for reader in READERS if isinstance(reader, StatementReader)}
CONTAINERS = {
    ".mp4": Container.MP4,
    ".mkv": Container.MATROSKA,
    ".webm": Container.MATROSKA,
    ".ts": Container.TRANSPORT_STREAM,
}
# H.273 Tables 2, 3 and 4: BT.2020 is 9 and 9, PQ 16, HLG 18, BT.709 1.
TRANSFERS = {
    "pq": Stated(
        width=WIDTH, height=HEIGHT, rate=Fraction(60_000, 1_001), depth=10, frames=PICTURES, hdr=P3_1000,
        colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
    ),
    "hlg": Stated(
        width=WIDTH, height=HEIGHT, rate=Fraction(50), depth=10, frames=PICTURES,
        colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=0, chroma_location=2),
    ),
    "sdr": Stated(
        width=WIDTH, height=HEIGHT, rate=Fraction(25), depth=8, frames=PICTURES,
        colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0),
    ),
}  # fmt: skip
TRANSFERS["full"] = replace(TRANSFERS["sdr"], colour=replace(TRANSFERS["sdr"].colour, full_range=1))
TRANSFERS["wide"] = replace(TRANSFERS["sdr"], pixel_aspect=Fraction(32, 27))
# Levels as the encoders were told or choose for this size: 2 (H.265 Table A.8), 1.2 (H.264 Table A-1),
# 2.0 (AV1's lowest), Main (ISO/IEC 13818-2 Table 8-12). Sample entries and codec ids by the containers'
# registries, stream types by H.222.0 Table 2-34.
KINDS = {
    "hevc-pq.mp4": {"tag": "hvc1", "profile": "Main 10", "level": "2", "tier": "Main"},
    "hevc-pq.mkv": {"tag": "V_MPEGH/ISO/HEVC", "profile": "Main 10", "level": "2", "tier": "Main"},
    "hevc-pq.ts": {"tag": "36", "profile": "Main 10", "level": "2", "tier": "Main"},
    "hevc-hlg.mkv": {"tag": "V_MPEGH/ISO/HEVC", "profile": "Main 10", "level": "2", "tier": "Main"},
    "hevc-sdr.ts": {"tag": "36", "profile": "Main", "level": "2", "tier": "Main"},
    "avc-sdr.mp4": {"tag": "avc1", "profile": "High", "level": "1.2"},
    "avc-full.mp4": {"tag": "avc1", "profile": "High", "level": "1.2"},
    "avc-sdr.mkv": {"tag": "V_MPEG4/ISO/AVC", "profile": "High", "level": "1.2"},
    "avc-sdr.ts": {"tag": "27", "profile": "High", "level": "1.2"},
    "av1-pq.mp4": {"tag": "av01", "profile": "Main", "level": "2.0", "tier": "Main"},
    "av1-pq.mkv": {"tag": "V_AV1", "profile": "Main", "level": "2.0", "tier": "Main"},
    "vp9-pq.webm": {"tag": "V_VP9", "profile": "2"},
    "vp9-sdr.webm": {"tag": "V_VP9", "profile": "0"},
    "vp9-wide.webm": {"tag": "V_VP9", "profile": "0"},
    "av1-wide.mp4": {"tag": "av01", "profile": "Main", "level": "2.0", "tier": "Main"},
    "mpeg2-sdr.ts": {"tag": "2", "profile": "Main", "level": "Main"},
}


def truth(kind: str) -> Stated:
    """Everything that a clip was made with."""
    codec, transfer = kind.partition(".")[0].split("-")
    more: dict[str, Any] = {"codec": codec, "scan": PROGRESSIVE, **KINDS[kind]}
    more["pixel_aspect"] = TRANSFERS[transfer].pixel_aspect or Fraction(1)
    if (codec, transfer) == ("hevc", "hlg"):
        more["preferred_transfer"] = 18  # x265 adds the message that prefers HLG by itself
    return replace(TRANSFERS[transfer], **more)


def usable(name: str) -> StatementReader:
    """The reader; skips where it is absent."""
    reader = STATEMENTS[name]
    if reader.tool.absence:
        pytest.skip(reader.tool.absence)
    return reader


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", STATEMENTS)
def test_a_true_file_passes(name: str, kind: str, kind_of_clip: Callable[[str], Path], stop: Stop) -> None:
    """No reader differs from what a file was made with, outside its blind spots."""
    reader, path = usable(name), kind_of_clip(kind)
    stated = reader.read(path, stop)
    assert [] == differences(name, stated, reader.as_told(truth(kind)), container_of(path))


@pytest.mark.parametrize("name", STATEMENTS)
def test_no_blind_spot_is_in_vain(name: str, kind_of_clip: Callable[[str], Path], stop: Stop) -> None:
    """Every field of every row is one that the reader does not state rightly of some file of that row.

    Of a row that blurs, some field.
    """
    reader = usable(name)
    spots = [spot for spot in BLIND_SPOTS if spot.reader == name]
    vain = {_entry(spot, field) for spot in spots for field in spot.fields}
    for kind in KINDS:
        wanted, container = reader.as_told(truth(kind)), CONTAINERS[Path(kind).suffix]
        read = dict(flat(reader.read(kind_of_clip(kind), stop)))
        wrong = [each for each, value in flat(wanted) if value is not None and read.get(each) != value]
        vain -= {
            _entry(spot, field)
            for spot in spots
            for field in spot.fields
            for each in wrong
            if replace(spot, fields=(field,)).covers(name, str(wanted.codec), container, each)
        }
    assert set() == vain


def _entry(spot: BlindSpot, field: str) -> tuple[str, str]:
    """What must be needed: a field that is hidden; of fields that are blurred alike, any."""
    return spot.reason, field if spot.within is None else "any"


def test_every_row_names_a_reader_and_gives_its_reason() -> None:
    """The table speaks of readers that there are, of fields that there are, in words."""
    names = {name for name, _ in flat(truth("hevc-pq.mp4"))}
    standard = {*(container.value for container in Container), "bitstream", "MediaInfo"}
    for spot in BLIND_SPOTS:
        assert spot.reader in {*STATEMENTS, *standard}
        assert spot.reason
        for field in spot.fields:
            assert any(name == field or name.startswith(f"{field}.") for name in names)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"width": WIDTH + 2}, f"gstreamer: width is {WIDTH}, it must be {WIDTH + 2}"),
        ({"level": "2.1"}, "gstreamer: level is 2, it must be 2.1"),
        ({"hdr": HdrMetadata()}, "gstreamer: hdr.light.max_cll is 1000, nothing must be said"),
        (
            {"hdr": replace(P3_1000, light=ContentLight(max_cll=1_001, max_fall=400))},
            "gstreamer: hdr.light.max_cll is 1000, it must be 1001",
        ),
    ],
)
def test_what_differs_is_told(change: dict[str, object], words: str) -> None:
    """A field, its value and what it must be; metadata that nobody wants is told as well."""
    wanted = replace(truth("hevc-pq.mp4"), **change)  # type: ignore[arg-type]
    assert words in differences("gstreamer", truth("hevc-pq.mp4"), wanted, Container.MP4)


def test_what_is_missing_is_told() -> None:
    """A field that is not stated and no blind spot; one that nothing is wanted of is not looked at."""
    wanted = truth("hevc-pq.mp4")
    stated = replace(wanted, rate=None, hdr=replace(P3_1000, light=None))
    assert [
        "gstreamer: rate is not stated, it must be 60000/1001",
        "gstreamer: hdr.light.max_cll is not stated, it must be 1000",
        "gstreamer: hdr.light.max_fall is not stated, it must be 400",
    ] == differences("gstreamer", stated, wanted, Container.MP4)
    assert [] == differences("gstreamer", wanted, replace(wanted, rate=None), Container.MP4)


@pytest.mark.parametrize(("by", "told"), [(1, 0), (2, 1)])
def test_a_blurred_field_is_held_to_its_blur(by: int, told: int) -> None:
    """One unit of 0.00002 may be cut from Matroska's chromaticities, two may not; in MP4 none may."""
    wanted = truth("hevc-pq.mkv")
    assert P3_1000.mastering is not None
    white = replace(P3_1000.mastering, white=(15_635 - by, 16_450))
    stated = replace(wanted, hdr=replace(P3_1000, mastering=white))
    assert told == len(differences("gstreamer", stated, wanted, Container.MATROSKA))
    assert 1 == len(differences("gstreamer", stated, wanted, Container.MP4))


@pytest.mark.parametrize("kind", KINDS)
def test_containers_are_known_by_their_first_bytes(kind: str, kind_of_clip: Callable[[str], Path]) -> None:
    """Not by their names."""
    assert CONTAINERS[Path(kind).suffix] is container_of(kind_of_clip(kind))
