"""MP4 boxes of files that our encoder did not make, against MediaInfo and ffmpeg; and damaged ones."""

import struct
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pymediainfo import MediaInfo

from knownlight.errors import UnreadableFile
from knownlight.readback.boxes import read_mp4
from knownlight.readback.mediainfo import read_mediainfo
from knownlight.readback.stated import level_text

if TYPE_CHECKING:
    from tests.knownlight.readback.conftest import Packet

CLIPS = ("hevc-hlg-full", "hevc-pq-metadata", "hevc-sdr", "avc-sdr-sound")
MDAT_HEADER = struct.pack(">I4s", 8, b"mdat")


def headers_only(path: Path) -> bytes:
    """The boxes of a file without its pictures: enough to read every header."""
    data = path.read_bytes()
    kept, position = b"", 0
    while position < len(data):
        size, kind = struct.unpack_from(">I4s", data, position)
        kept += MDAT_HEADER if kind == b"mdat" else data[position : position + size]
        position += size
    return kept


def without_box(data: bytes, kind: bytes) -> bytes:
    """The same boxes with the first of a kind renamed to `free`, which readers skip (ISO/IEC 14496-12)."""
    assert kind in data
    return data.replace(kind, b"free", 1)


@pytest.mark.parametrize("name", CLIPS)
def test_the_headers_say_what_mediainfo_says(name: str, independent_clip: Callable[[str], Path]) -> None:
    """Codec, tag, profile, level, tier, size, rate, depth, count, colour and light, field by field.

    MP4 has no place for the chroma location, and the AVC record none for the depth of Main and High.
    MediaInfo takes the scan of AVC from the stream.
    """
    path = independent_clip(name)
    other = read_mediainfo(path)
    expected = replace(
        other,
        colour=replace(other.colour, chroma_location=None),
        depth=None if other.codec == "avc" else other.depth,
        scan=None if other.codec == "avc" else other.scan,
    )
    assert expected == read_mp4(path).stated


@pytest.mark.parametrize("name", CLIPS)
def test_samples_and_timing_are_those_that_ffmpeg_lists(
    name: str,
    independent_clip: Callable[[str], Path],
    listed: "Callable[[Path], tuple[Fraction, list[Packet]]]",
) -> None:
    """Sizes, places to start decoding, the rate and the edit before the first picture.

    ffmpeg applies the edit to its times: the first packet lies as far below zero as the edit skips.
    """
    path = independent_clip(name)
    track = read_mp4(path)
    unit, packets = listed(path)
    assert [(p.size, p.is_key) for p in packets] == [(s.size, s.is_sync) for s in track.samples]
    assert 1 / (packets[0].duration * unit) == track.stated.rate
    assert -packets[0].dts == track.starts_at
    assert track.steady


@pytest.mark.parametrize(
    ("name", "sound", "index_first"),
    [("avc-sdr-sound", True, False), ("hevc-pq-metadata", False, True), ("hevc-sdr", False, False)],
)
def test_sound_and_the_place_of_the_index(
    *, name: str, sound: bool, index_first: bool, independent_clip: Callable[[str], Path]
) -> None:
    """Whether there is a sound track, and whether the index lies first, as the files were made."""
    track = read_mp4(independent_clip(name))
    assert (sound, index_first) == (track.sound, track.index_first)


def test_pictures_that_last_unequally_are_not_steady(
    run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """A clip with one picture dropped has a gap; MediaInfo calls its rate variable."""
    path = tmp_path / "gap.mp4"
    source = ("-f", "lavfi", "-i", "testsrc2=s=320x176:r=25", "-vf", "select=not(eq(n\\,3)),format=yuv420p")
    run_ffmpeg(*source, "-frames:v", "8", "-fps_mode", "passthrough", "-c:v", "libx264", "-bf", "0", path)
    assert "VFR" == MediaInfo.parse(str(path)).video_tracks[0].frame_rate_mode
    assert not read_mp4(path).steady


def test_a_file_without_a_sync_table_may_be_entered_anywhere(
    independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """ISO/IEC 14496-12: where `stss` is absent, every sample is a sync sample."""
    path = tmp_path / "no-stss.mp4"
    path.write_bytes(without_box(headers_only(independent_clip("hevc-sdr")), b"stss"))
    assert {True} == {sample.is_sync for sample in read_mp4(path).samples}


def test_colour_that_is_not_stated_is_nothing(
    independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """Without `colr`, `mdcv` and `clli`, no colour and no light level is made up."""
    data = headers_only(independent_clip("hevc-pq-metadata"))
    for kind in (b"colr", b"mdcv", b"clli"):
        data = without_box(data, kind)
    path = tmp_path / "silent.mp4"
    path.write_bytes(data)
    stated = read_mp4(path).stated
    full = read_mp4(independent_clip("hevc-pq-metadata")).stated
    assert replace(full, colour=type(full.colour)(), hdr=type(full.hdr)()) == stated


def test_a_box_with_a_long_size_is_stepped_over(
    independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """Media data of more than 4 GiB has a 64-bit size (ISO/IEC 14496-12 clause 4.2)."""
    original = independent_clip("hevc-sdr")
    path = tmp_path / "long.mp4"
    path.write_bytes(headers_only(original).replace(MDAT_HEADER, struct.pack(">I4sQ", 1, b"mdat", 16)))
    assert read_mp4(original).stated == read_mp4(path).stated


@pytest.mark.parametrize("kind", [b"moov", b"mdhd", b"hdlr", b"stts", b"stsd", b"stsz", b"stco", b"stsc"])
def test_a_missing_box_is_told_by_name(
    kind: bytes, independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """Each box that reading needs is missed, and the message names file and box."""
    path = tmp_path / "damaged.mp4"
    path.write_bytes(without_box(headers_only(independent_clip("hevc-sdr")), kind))
    with pytest.raises(UnreadableFile, match=f"^{path}: .*{kind.decode()}"):
        read_mp4(path)


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("sound-only", "0 video tracks instead of one"),
        ("two-pictures-tracks", "2 video tracks instead of one"),
    ],
)
def test_a_file_must_have_one_video_track(
    name: str, message: str, independent_clip: Callable[[str], Path]
) -> None:
    """None and two are refused."""
    path = independent_clip(name)
    with pytest.raises(UnreadableFile) as caught:
        read_mp4(path)
    assert f"{path}: {message}" == str(caught.value)


@pytest.mark.parametrize("name", ["hevc-pq-metadata", "hevc-sdr"])
@pytest.mark.parametrize("kept", [0.0, 0.01, 0.3, 0.999])
def test_a_truncated_file_is_found(
    kept: float, name: str, independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """With the index last it is missing; with the index first, what is missing is only found by its samples.

    The reader must not take the cut file for a whole one: either it refuses, or a sample lies past the end.
    """
    data = independent_clip(name).read_bytes()
    path = tmp_path / "cut.mp4"
    path.write_bytes(data[: int(kept * len(data))])
    try:
        track = read_mp4(path)
    except UnreadableFile as error:
        assert str(error).startswith(f"{path}: ")  # noqa: PT017 - either outcome is right, each is checked
    else:
        last = max(sample.offset + sample.size for sample in track.samples)
        assert last > path.stat().st_size


def test_no_damage_of_a_byte_escapes_as_another_error(
    independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """Every header byte in turn set to 255 or its lowest bit flipped: read, or refused by name."""
    data = headers_only(independent_clip("avc-sdr-sound"))
    path = tmp_path / "damaged.mp4"
    refused = 0
    for place, value in enumerate(data):
        for wrong in {255, value ^ 1} - {value}:
            path.write_bytes(data[:place] + bytes([wrong]) + data[place + 1 :])
            try:
                read_mp4(path)
            except UnreadableFile as error:
                assert str(path) in str(error)  # noqa: PT017 - reading on is right for most bytes
                refused += 1
    assert refused > 100


def test_a_sample_description_without_an_entry_is_damage(
    independent_clip: Callable[[str], Path], tmp_path: Path
) -> None:
    """An `stsd` that ends before its first entry is refused like any other damage."""
    data = bytearray(headers_only(independent_clip("hevc-sdr")))
    start = data.index(b"stsd") - 4
    (size,) = struct.unpack_from(">I", data, start)
    struct.pack_into(">I", data, start, 16)
    struct.pack_into(">I4s", data, start + 16, size - 16, b"free")
    path = tmp_path / "damaged.mp4"
    path.write_bytes(data)
    with pytest.raises(UnreadableFile, match=f"^{path}: "):
        read_mp4(path)


def test_a_file_that_is_no_mp4_is_refused(tmp_path: Path) -> None:
    """Words instead of boxes, and nothing at all."""
    path = tmp_path / "words.mp4"
    path.write_text("words, not boxes")
    with pytest.raises(UnreadableFile, match=f"^{path}: box b's, n' runs past the end; .* or no MP4$"):
        read_mp4(path)
    path.write_bytes(b"")
    with pytest.raises(UnreadableFile, match=f"^{path}: no moov box; the file is cut short or no MP4$"):
        read_mp4(path)


@pytest.mark.parametrize(
    ("number", "units", "expected"),
    [(93, 30, "3.1"), (120, 30, "4"), (153, 30, "5.1"), (186, 30, "6.2"), (31, 10, "3.1"), (40, 10, "4")],
)
def test_a_level_is_written_as_the_standards_write_it(number: int, units: int, expected: str) -> None:
    """general_level_idc is thirty times the level (H.265 A.4), level_idc ten times (H.264 A.3)."""
    assert expected == level_text(number, units)
