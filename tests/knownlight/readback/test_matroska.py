"""Matroska and WebM files that our encoder did not make, against MediaInfo, ffmpeg and mkvmerge."""

import json
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback.matroska import read_matroska
from knownlight.readback.mediainfo import read_mediainfo
from knownlight.readback.packets import packet_hashes
from knownlight.readback.stated import Stated

if TYPE_CHECKING:
    from tests.knownlight.readback.conftest import Packet

MKVMERGE, MKVPROPEDIT = "mkvmerge", "mkvpropedit"
HDR = HdrMetadata(
    mastering=MasteringDisplay(
        red=(34_000, 16_000), green=(13_250, 34_500), blue=(7_500, 3_000), white=(15_635, 16_450),
        max_luminance=10_000_000, min_luminance=50,
    ),
    light=ContentLight(max_cll=1_000, max_fall=400),
)  # fmt: skip
# What ffmpeg was asked for. H.273: BT.2020 is 9 and 9, PQ 16, HLG 18, BT.709 1; chroma on the left 0, on the
# top left sample 2. Levels as MediaInfo reads them, too, but for AV1, whose lowest is 2.0.
MADE = {
    "hevc-pq.mkv": Stated(
        codec="hevc", tag="V_MPEGH/ISO/HEVC", profile="Main 10", level="2", tier="Main", width=320,
        height=178, rate=Fraction(24_000, 1_001), depth=10, frames=20,
        colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
        hdr=HDR,
    ),
    "hevc-hlg-sound.mkv": Stated(
        codec="hevc", tag="V_MPEGH/ISO/HEVC", profile="Main 10", level="2", tier="Main", width=320,
        height=178, rate=Fraction(60_000, 1_001), depth=10, frames=20,
        colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=1, chroma_location=2),
    ),
    "avc-sdr.mkv": Stated(
        codec="avc", tag="V_MPEG4/ISO/AVC", profile="High", level="1.3", width=322, height=178,
        rate=Fraction(25), frames=20,
        colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0),
    ),
    "av1-pq.mkv": Stated(
        codec="av1", tag="V_AV1", profile="Main", level="2.0", tier="Main", width=320, height=178,
        rate=Fraction(50), depth=10, frames=20,
        colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
        hdr=HDR,
    ),
    "vp9-sdr-sound.webm": Stated(
        codec="vp9", tag="V_VP9", width=322, height=178, rate=Fraction(30_000, 1_001), frames=20,
        colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0),
    ),
    "vp9-hlg.webm": Stated(
        codec="vp9", tag="V_VP9", width=320, height=178, rate=Fraction(24), frames=20,
        colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=0, chroma_location=2),
    ),
}  # fmt: skip
SOUND = {"hevc-hlg-sound.mkv", "vp9-sdr-sound.webm"}
INDEX_FIRST = {"hevc-hlg-sound.mkv", "avc-sdr.mkv", "vp9-hlg.webm"}


@pytest.fixture(scope="session")
def remuxed(tmp_path_factory: pytest.TempPathFactory, made: Callable[[str], Path]) -> Callable[[str], Path]:
    """A file written anew by mkvmerge, which shares no code with ffmpeg, with block groups only."""
    program = shutil.which(MKVMERGE)
    if program is None:
        pytest.skip(f"{MKVMERGE} is absent; Debian's mkvtoolnix has it")
    folder = tmp_path_factory.mktemp("remuxed")

    def make(name: str) -> Path:
        path = folder / name
        words = [program, "-q", "--engage", "no_simpleblocks", "-o", str(path), str(made(name))]
        subprocess.run(words, check=True)
        return path

    return make


@pytest.mark.parametrize("name", MADE)
def test_the_headers_say_what_the_file_was_made_with(name: str, made: Callable[[str], Path]) -> None:
    """Every field, and nothing that was not asked for."""
    assert MADE[name] == read_matroska(made(name)).stated


@pytest.mark.parametrize("name", MADE)
def test_the_headers_say_what_mediainfo_says(name: str, made: Callable[[str], Path]) -> None:
    """Field by field; MediaInfo looks into the stream as well, and words no location of AVC, AV1 and VP9."""
    path = made(name)
    read, other = read_matroska(path).stated, read_mediainfo(path)
    if other.codec != "hevc":
        read = replace(read, colour=replace(read.colour, chroma_location=None))
        for fact in ("profile", "level", "tier", "depth"):  # AVC, AV1 and VP9: one of the two finds it
            if None in (getattr(read, fact), getattr(other, fact)):
                unknown: dict[str, Any] = {fact: None}
                read, other = replace(read, **unknown), replace(other, **unknown)
    assert replace(other, scan=None, pixel_aspect=None) == read


@pytest.mark.parametrize("name", MADE)
def test_pictures_and_timing_are_those_that_ffmpeg_lists(
    *,
    name: str,
    made: Callable[[str], Path],
    listed: "Callable[[Path], tuple[Fraction, list[Packet]]]",
    copied_hashes: Callable[[Path], list[bytes]],
) -> None:
    """Sizes, places to start decoding, bytes, the first time, and times that are steady."""
    path = made(name)
    track = read_matroska(path)
    packets = listed(path)[1]
    assert [(p.size, p.is_key) for p in packets] == [(s.size, s.is_sync) for s in track.samples]
    assert copied_hashes(path) == packet_hashes(path, track.samples)
    assert packets[0].dts == track.starts_at
    assert track.steady


@pytest.mark.parametrize("name", MADE)
def test_sound_size_and_the_place_of_the_index(name: str, made: Callable[[str], Path]) -> None:
    """As the files were made: with sound or none, Cues before or behind, pixels shown one to one."""
    track = read_matroska(made(name))
    assert (name in SOUND, name in INDEX_FIRST) == (track.sound, track.index_first)
    assert (MADE[name].width, MADE[name].height) == track.shown


@pytest.mark.parametrize("name", ["hevc-pq.mkv", "hevc-hlg-sound.mkv", "av1-pq.mkv"])
def test_another_writer_is_read_alike(
    *,
    name: str,
    remuxed: Callable[[str], Path],
    listed: "Callable[[Path], tuple[Fraction, list[Packet]]]",
    copied_hashes: Callable[[Path], list[bytes]],
) -> None:
    """Blocks in groups with references instead of flags, voids, laced sound: the same facts and pictures."""
    path = remuxed(name)
    track = read_matroska(path)
    assert MADE[name] == track.stated
    assert [(p.size, p.is_key) for p in listed(path)[1]] == [(s.size, s.is_sync) for s in track.samples]
    assert copied_hashes(path) == packet_hashes(path, track.samples)
    assert track.steady
    assert (name in SOUND) == track.sound


def test_mkvmerge_says_the_same(made: Callable[[str], Path]) -> None:
    """Its own names of the elements: colour, mastering display in parts of one, siting across and down."""
    program = shutil.which(MKVMERGE)
    if program is None:
        pytest.skip(f"{MKVMERGE} is absent; Debian's mkvtoolnix has it")
    listed = subprocess.run([program, "-J", made("hevc-pq.mkv")], capture_output=True, check=True)
    (track,) = json.loads(listed.stdout)["tracks"]
    said = track["properties"]
    stated = read_matroska(made("hevc-pq.mkv")).stated
    colour, mastering, light = stated.colour, stated.hdr.mastering, stated.hdr.light
    assert mastering is not None
    assert light is not None
    assert (said["codec_id"], said["pixel_dimensions"]) == (stated.tag, f"{stated.width}x{stated.height}")
    assert stated.rate is not None
    assert said["default_duration"] == int(1_000_000_000 / stated.rate)
    assert (9, 16, 9, 1, "1,1") == (
        said["color_primaries"], said["color_transfer_characteristics"], said["color_matrix_coefficients"],
        said["color_range"], said["chroma_siting"],
    )  # fmt: skip
    assert (9, 16, 9, 0, 2) == (
        colour.primaries, colour.transfer, colour.matrix, colour.full_range, colour.chroma_location,
    )  # fmt: skip
    points = [*mastering.red, *mastering.green, *mastering.blue]
    assert said["chromaticity_coordinates"] == ",".join(f"{point / 50_000:g}" for point in points)
    assert said["white_color_coordinates"] == ",".join(f"{point / 50_000:g}" for point in mastering.white)
    assert said["max_luminance"] == mastering.max_luminance / 10_000
    assert said["min_luminance"] == mastering.min_luminance / 10_000
    assert (said["max_content_light"], said["max_frame_light"]) == (light.max_cll, light.max_fall)


def test_the_shape_of_pixels_is_read_as_a_size(run_ffmpeg: Callable[..., bytes], tmp_path: Path) -> None:
    """720 x 576 at 64/45 is shown at 1024 x 576 (ffmpeg stores the ratio 16:9)."""
    path = tmp_path / "wide.mkv"
    source = ("-f", "lavfi", "-i", "testsrc2=s=720x576:r=25", "-frames:v", "2")
    run_ffmpeg(*source, "-vf", "format=yuv420p,setsar=64/45", "-c:v", "libx264", "-bf", "0", path)
    assert (1024.0, 576.0) == read_matroska(path).shown


@pytest.mark.parametrize("change", ["pixel-crop-top=8", "stereo-mode=1", "projection-pose-roll=90"])
def test_a_picture_that_is_cut_turned_or_split_is_not_upright(
    change: str, made: Callable[[str], Path], tmp_path: Path
) -> None:
    """Elements that a player obeys, as mkvpropedit writes them; a plain file has none of them."""
    program = shutil.which(MKVPROPEDIT)
    if program is None:
        pytest.skip(f"{MKVPROPEDIT} is absent; Debian's mkvtoolnix has it")
    path = tmp_path / "changed.mkv"
    shutil.copy(made("hevc-pq.mkv"), path)
    assert read_matroska(path).upright
    subprocess.run([program, "-q", path, "--edit", "track:v1", "--set", change], check=True)
    assert not read_matroska(path).upright


@pytest.mark.parametrize(
    ("change", "start"), [("N*40+5*eq(N\\,3)", 0), ("N*40+80", 80)], ids=["one late", "all late"]
)
def test_times_that_are_not_steady_or_do_not_start_at_once(
    change: str, start: int, made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """Times in milliseconds as ffmpeg was told to write them: one is late by five, or all by two pictures."""
    path = tmp_path / "moved.mkv"
    run_ffmpeg("-i", made("avc-sdr.mkv"), "-c", "copy", "-bsf:v", f"setts=ts={change}", path)
    track = read_matroska(path)
    assert (start, start > 0) == (track.starts_at, track.steady)


def test_checksums_are_stepped_over(
    made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """Elements that say nothing of the clip (CRC-32, RFC 8794) change nothing."""
    path = tmp_path / "crc.mkv"
    run_ffmpeg("-i", made("hevc-pq.mkv"), "-c", "copy", "-write_crc32", "1", path)
    assert MADE["hevc-pq.mkv"] == read_matroska(path).stated


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ("-map 0 -map 0 -c copy", "2 video tracks instead of one"),
        ("-f lavfi -t 0.2 -i anullsrc -map 1 -c:a flac", "0 video tracks instead of one"),
    ],
)
def test_a_file_must_have_one_video_track(
    options: str, message: str, made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """None and two are refused."""
    path = tmp_path / "tracks.mkv"
    run_ffmpeg("-i", made("avc-sdr.mkv"), *options.split(), path)
    with pytest.raises(UnreadableFile) as caught:
        read_matroska(path)
    assert f"{path}: {message}" == str(caught.value)


def test_a_file_that_was_streamed_is_refused(
    made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """Its segment has no size (RFC 8794 clause 6.2): it cannot be told from one that is cut short."""
    path = tmp_path / "live.mkv"
    run_ffmpeg("-i", made("avc-sdr.mkv"), "-c", "copy", "-live", "1", path)
    with pytest.raises(UnreadableFile, match=f"^{path}: element 18538067 runs past its place"):
        read_matroska(path)


@pytest.mark.parametrize("name", ["avc-sdr.mkv", "hevc-pq.mkv"])
@pytest.mark.parametrize("lost", [1, 100, 3_000])
def test_a_truncated_file_is_refused(
    name: str, lost: int, made: Callable[[str], Path], tmp_path: Path
) -> None:
    """With the index first or last: what is missing at the end is missed, by name."""
    data = made(name).read_bytes()
    path = tmp_path / "cut.mkv"
    path.write_bytes(data[:-lost])
    with pytest.raises(UnreadableFile, match=f"^{path}: .*the file is cut short or damaged"):
        read_matroska(path)


def test_no_damage_of_a_header_byte_escapes_as_another_error(
    made: Callable[[str], Path], tmp_path: Path
) -> None:
    """Every byte of information, tracks and a cluster's head set to 255 or its lowest bit flipped.

    It is read, or refused by name.
    """
    data = made("av1-pq.mkv").read_bytes()
    info, tags, cluster = map(data.rindex, (b"\x15\x49\xa9\x66", b"\x12\x54\xc3\x67", b"\x1f\x43\xb6\x75"))
    path = tmp_path / "damaged.mkv"
    refused = 0
    for place in (*range(info, tags), *range(cluster, cluster + 40)):
        value = data[place]
        for wrong in {255, value ^ 1} - {value}:
            path.write_bytes(data[:place] + bytes([wrong]) + data[place + 1 :])
            try:
                read_matroska(path)
            except UnreadableFile as error:
                assert str(error).startswith(f"{path}: ")  # noqa: PT017 - reading on is right for most bytes
                refused += 1
    assert refused > 100


def test_a_track_element_that_runs_past_its_place_is_refused(
    made: Callable[[str], Path], tmp_path: Path
) -> None:
    """The colour of a track with a size larger than what is left of the track."""
    data = bytearray(made("vp9-hlg.webm").read_bytes())
    place = data.index(b"\x55\xb0") + 2
    assert data[place] & 0x80
    data[place] = 0xFE  # 126 bytes, in the one-byte form
    path = tmp_path / "damaged.webm"
    path.write_bytes(data)
    with pytest.raises(UnreadableFile, match=f"^{path}: .*the file is damaged$"):
        read_matroska(path)


def test_a_changed_element_is_read(made: Callable[[str], Path], tmp_path: Path) -> None:
    """MaxCLL (55BC, two bytes) of 1001 instead of 1000; nothing else differs."""
    data = made("hevc-pq.mkv").read_bytes()
    old, new = b"\x55\xbc\x82\x03\xe8", b"\x55\xbc\x82\x03\xe9"
    assert 1 == data.count(old)
    path = tmp_path / "changed.mkv"
    path.write_bytes(data.replace(old, new))
    expected = replace(MADE["hevc-pq.mkv"], hdr=replace(HDR, light=ContentLight(max_cll=1_001, max_fall=400)))
    assert expected == read_matroska(path).stated
