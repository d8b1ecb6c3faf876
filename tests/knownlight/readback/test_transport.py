"""Transport streams that our encoder did not make, against ffmpeg's own packets; and damaged ones."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pymediainfo import MediaInfo

from knownlight.errors import UnreadableFile
from knownlight.readback.packets import packet_hashes
from knownlight.readback.stated import Stated
from knownlight.readback.transport import PACKET, read_transport

if TYPE_CHECKING:
    from tests.knownlight.readback.conftest import Packet

# Codec, stream type (H.222.0 Table 2-34), rate as asked for, sound.
MADE = {
    "hevc-hlg.ts": ("hevc", "36", Fraction(60_000, 1_001), False),
    "avc-ac3.ts": ("avc", "27", Fraction(24_000, 1_001), True),
    "avc-ac3-atsc.ts": ("avc", "27", Fraction(30), True),
    "avc-aac.ts": ("avc", "27", Fraction(25), True),
    "avc-wrap.ts": ("avc", "27", Fraction(50), False),
    "mpeg2-mp2.ts": ("mpeg2", "2", Fraction(25), True),
}
PAYLOAD_STARTS = 0x40
VIDEO, TABLE = 0x100, 0x1000  # PIDs that ffmpeg gives to the first stream and to the programme's table


def packets(data: bytes) -> list[bytes]:
    """A stream cut into its packets."""
    return [data[at : at + PACKET] for at in range(0, len(data), PACKET)]


def pid(packet: bytes) -> int:
    """Thirteen bits of the second and third byte (H.222.0 clause 2.4.3.2)."""
    return (packet[1] & 0x1F) << 8 | packet[2]


@pytest.mark.parametrize("name", MADE)
def test_the_tables_say_what_the_file_was_made_with(name: str, made: Callable[[str], Path]) -> None:
    """Codec, stream type, rate and number of pictures; a stream's tables say nothing else of them."""
    codec, tag, rate, sound = MADE[name]
    track = read_transport(made(name))
    assert Stated(codec=codec, tag=tag, rate=rate, frames=20) == track.stated
    assert (sound, True, None) == (track.sound, track.steady, track.shown)


@pytest.mark.parametrize("name", MADE)
def test_mediainfo_says_the_same(name: str, made: Callable[[str], Path]) -> None:
    """Stream type, sound or none; it tells type and PID of each stream as the table has them."""
    tracks = MediaInfo.parse(str(made(name))).tracks
    (video,) = [track for track in tracks if track.track_type == "Video"]
    stated = read_transport(made(name))
    assert video.codec_id == stated.stated.tag
    assert any(track.track_type == "Audio" for track in tracks) == stated.sound


@pytest.mark.parametrize("name", MADE)
def test_pictures_are_those_that_ffmpeg_lists(
    *,
    name: str,
    made: Callable[[str], Path],
    listed: "Callable[[Path], tuple[Fraction, list[Packet]]]",
    copied_hashes: Callable[[Path], list[bytes]],
) -> None:
    """Sizes, places to start decoding and bytes, whatever the packets of other streams between them."""
    path = made(name)
    track = read_transport(path)
    assert [(p.size, p.is_key) for p in listed(path)[1]] == [(s.size, s.is_sync) for s in track.samples]
    assert copied_hashes(path) == packet_hashes(path, track.samples)


def test_times_that_come_round_are_steady(
    made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes]
) -> None:
    """33 bits of PTS end within the clip: ffmpeg, which counts on, lists times on both sides."""
    path = made("avc-wrap.ts")
    as_they_are = ("-copyts", "-correct_ts_overflow", "0", "-i", path, "-c", "copy", "-f", "framecrc", "-")
    lines = run_ffmpeg(*as_they_are).decode().splitlines()
    times = [int(line.split(",")[2]) for line in lines if not line.startswith("#")]
    assert times[0] < 1 << 33 < times[-1]
    assert read_transport(path).steady


@pytest.mark.parametrize("name", ["hevc-hlg.ts", "avc-ac3.ts", "mpeg2-mp2.ts"])
@pytest.mark.parametrize("picture", [0, 8, 16])
def test_decoding_from_an_entry_begins_with_its_picture(
    name: str, picture: int, made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes]
) -> None:
    """From the byte of a key picture's entry on, ffmpeg's first picture is that one of the whole file."""
    path = made(name)
    sample = read_transport(path).samples[picture]
    assert sample.is_sync
    options = ("-map", "0:v", "-fps_mode", "passthrough", "-f", "framemd5", "-")

    def hashes(source: str | Path) -> list[str]:
        text = run_ffmpeg("-i", source, *options).decode()
        return [line.rpartition(",")[2].strip() for line in text.splitlines() if not line.startswith("#")]

    whole = hashes(path)
    assert 20 == len(whole)
    assert whole[picture:] == hashes(f"subfile,,start,{sample.entry},end,0,,:{path}")


def test_a_picture_shown_late_is_not_steady(
    made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """The fourth picture three ticks of 90 kHz late; the clip's rate is then a mean of no known kind."""
    path = tmp_path / "late.ts"
    run_ffmpeg(
        "-i", made("avc-aac.ts"), "-map", "0:v", "-c", "copy", "-bsf:v", "setts=ts=TS+3*eq(N\\,3)", path
    )
    assert not read_transport(path).steady


def test_a_lost_packet_is_told(made: Callable[[str], Path], tmp_path: Path) -> None:
    """Packets of a stream count modulo 16: any one of the video's that is gone is missed."""
    all_of_them = packets(made("avc-ac3.ts").read_bytes())
    videos = [index for index, packet in enumerate(all_of_them) if pid(packet) == VIDEO]
    path = tmp_path / "lost.ts"
    for index in (videos[1], videos[len(videos) // 2], videos[-2]):
        path.write_bytes(b"".join(all_of_them[:index] + all_of_them[index + 1 :]))
        with pytest.raises(
            UnreadableFile, match=f"^{path}: a packet of stream {VIDEO} is missing before byte"
        ):
            read_transport(path)


def test_a_packet_that_does_not_begin_is_told(made: Callable[[str], Path], tmp_path: Path) -> None:
    """The first byte of the fifth packet is not 47 (hexadecimal)."""
    data = bytearray(made("avc-ac3.ts").read_bytes())
    data[4 * PACKET] = 0x46
    path = tmp_path / "damaged.ts"
    path.write_bytes(data)
    with pytest.raises(UnreadableFile) as caught:
        read_transport(path)
    assert f"{path}: no packet begins at byte {4 * PACKET}; the file is damaged" == str(caught.value)


@pytest.mark.parametrize("lost", [1, 187, 189])
def test_a_file_cut_inside_a_packet_is_told(lost: int, made: Callable[[str], Path], tmp_path: Path) -> None:
    """A stream is a whole number of packets."""
    path = tmp_path / "cut.ts"
    path.write_bytes(made("avc-ac3.ts").read_bytes()[:-lost])
    with pytest.raises(UnreadableFile) as caught:
        read_transport(path)
    assert f"{path}: part of a packet at the end; the file is cut short" == str(caught.value)


def test_a_file_cut_between_packets_has_other_pictures(made: Callable[[str], Path], tmp_path: Path) -> None:
    """Nothing marks the end of a stream; what is missing shows in the number, size or hash of pictures."""
    path = tmp_path / "cut.ts"
    data = made("hevc-hlg.ts").read_bytes()
    path.write_bytes(data[: -3 * PACKET])
    assert read_transport(made("hevc-hlg.ts")).samples != read_transport(path).samples


def test_a_stream_without_a_programme_table_is_refused(made: Callable[[str], Path], tmp_path: Path) -> None:
    """All packets of the table taken out: nothing says which stream is video."""
    kept = [packet for packet in packets(made("avc-ac3.ts").read_bytes()) if pid(packet) != TABLE]
    path = tmp_path / "tableless.ts"
    path.write_bytes(b"".join(kept))
    with pytest.raises(UnreadableFile) as caught:
        read_transport(path)
    assert f"{path}: no table names a video stream; it is no clip, or damaged" == str(caught.value)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ("-map 0:v -map 0:v -c copy", "2 video streams instead of one"),
        ("-map 0:a -c copy", "0 video streams instead of one"),
    ],
)
def test_a_stream_must_have_one_video(
    options: str, message: str, made: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path
) -> None:
    """None and two are refused."""
    path = tmp_path / "streams.ts"
    run_ffmpeg("-i", made("avc-ac3.ts"), *options.split(), path)
    with pytest.raises(UnreadableFile) as caught:
        read_transport(path)
    assert f"{path}: {message}" == str(caught.value)


def test_a_codec_of_no_known_kind_is_no_video(run_ffmpeg: Callable[..., bytes], tmp_path: Path) -> None:
    """MPEG-4 Part 2 has stream type 16."""
    path = tmp_path / "mpeg4.ts"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=s=320x176:r=25", "-frames:v", "3", "-c:v", "mpeg4", path)
    with pytest.raises(UnreadableFile, match=f"^{path}: 0 video streams instead of one$"):
        read_transport(path)


def test_any_damage_of_a_table_is_found(made: Callable[[str], Path], tmp_path: Path) -> None:
    """Any byte of a section, checksum included, of the first tables and of later ones (H.222.0 Annex A)."""
    data = made("avc-ac3.ts").read_bytes()
    tables = [index for index, packet in enumerate(packets(data)) if pid(packet) in (0, TABLE)]
    path = tmp_path / "damaged.ts"
    assert len(tables) > 3
    for index in (*tables[:2], *tables[-2:]):
        start = index * PACKET + 5  # after the packet's head and the pointer
        length = 3 + ((data[start + 1] & 15) << 8 | data[start + 2])
        for place in range(start + 3, start + length):
            path.write_bytes(data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :])
            with pytest.raises(
                UnreadableFile, match=f"^{path}: the table at byte {index * PACKET} has a wrong checksum"
            ):
                read_transport(path)


def test_no_damage_of_a_head_escapes_as_another_error(made: Callable[[str], Path], tmp_path: Path) -> None:
    """Every byte of the heads of the first tables and picture set to 255 or its lowest bit flipped."""
    data = made("avc-ac3.ts").read_bytes()
    first = next(index for index, packet in enumerate(packets(data)) if pid(packet) == VIDEO)
    heads = [index for index in range(first + 1) if pid(packets(data)[index]) in (0, TABLE, VIDEO)]
    path = tmp_path / "damaged.ts"
    refused = 0
    for place in (index * PACKET + at for index in heads for at in range(28)):
        for wrong in {255, data[place] ^ 1} - {data[place]}:
            path.write_bytes(data[:place] + bytes([wrong]) + data[place + 1 :])
            try:
                read_transport(path)
            except UnreadableFile as error:
                assert str(error).startswith(f"{path}: ")  # noqa: PT017 - reading on is right for some
                refused += 1
    assert refused > 60
