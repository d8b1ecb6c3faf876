"""A joined file is its parts, by readers and decoders that are not ours.

Ffmpeg lists packets and decodes by plain commands, libde265 decodes HEVC, mpv and MediaInfo read the marks,
mkvmerge reads the files.
"""

import json
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import imageio_ffmpeg
import numpy as np
import pytest
from pymediainfo import MediaInfo

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Planes
from tests.knownlight.pack.joined.joined_pack import (
    MARKS,
    PQ,
    PQ_FILE,
    SDR,
    JoinedPack,
    entry_of,
    parts_of,
    starts_of,
)

EVERY = pytest.mark.parametrize("file", MARKS)
DIM = "Invalid HDR peak in stream"  # what mpv says of any clip whose MaxCLL is below its white of 203 cd/m²
FFMPEG = imageio_ffmpeg.get_ffmpeg_exe()


def _packets(path: Path, run: Callable[..., bytes]) -> list[str]:
    """Size and MD5 of every packet, as ffmpeg lists them."""
    shown = run("-i", path, "-map", "0:v", "-c", "copy", "-f", "framemd5", "-").decode().splitlines()
    return [line.split(",", 4)[4] for line in shown if not line.startswith("#")]


@EVERY
def test_its_packets_are_those_of_its_parts(
    pack: tuple[Path, JoinedPack], run_ffmpeg: Callable[..., bytes], file: str
) -> None:
    """One after another, nothing between; ffmpeg lists them."""
    folder, joined = pack
    own = [_packets(folder / part.file, run_ffmpeg) for part in parts_of(joined.manifest, file)]
    assert [packet for part in own for packet in part] == _packets(folder / file, run_ffmpeg)


def _assert_same(parts: Iterator[list[Planes]], joined: list[Planes]) -> None:
    pictures = [planes for part in parts for planes in part]
    assert len(pictures) == len(joined)
    for number, (own, found) in enumerate(zip(pictures, joined, strict=True)):
        assert all(np.array_equal(a, b) for a, b in zip(own, found, strict=True)), number


@pytest.mark.parametrize("file", [file for file in MARKS if "hevc" in file])
def test_libde265_decodes_the_pictures_of_the_parts(
    pack: tuple[Path, JoinedPack], dec265: Callable[[Path, SignalFormat], list[Planes]], file: str
) -> None:
    """A decoder that is not ffmpeg's, from the first picture to the last, across every boundary."""
    folder, joined = pack
    signal = PQ if "pq" in file else SDR
    own = (dec265(folder / part.file, signal) for part in parts_of(joined.manifest, file))
    _assert_same(own, dec265(folder / file, signal))


@pytest.mark.parametrize("file", [file for file in MARKS if "hevc" not in file])
def test_ffmpeg_decodes_the_pictures_of_the_parts(
    pack: tuple[Path, JoinedPack], all_pictures: Callable[[Path, SignalFormat], list[Planes]], file: str
) -> None:
    """AV1 (dav1d), VP9 and AVC by a plain command, from the first picture to the last."""
    folder, joined = pack
    own = (all_pictures(folder / part.file, SDR) for part in parts_of(joined.manifest, file))
    _assert_same(own, all_pictures(folder / file, SDR))


@EVERY
def test_mpv_plays_it_to_its_end_and_finds_the_marks(pack: tuple[Path, JoinedPack], file: str) -> None:
    """Without a warning; its list of chapters has the ids of the clips, each at its first picture."""
    program = shutil.which("mpv")
    if program is None:
        pytest.skip("mpv is absent; Debian's mpv has it")
    folder, joined = pack
    starts = starts_of(joined.manifest, file)
    rate = parse_signal_format(entry_of(joined.manifest, file).signal).rate
    shown = ";".join(f"${{=chapter-list/{i}/title}}|${{=chapter-list/{i}/time}}" for i in range(len(starts)))
    options = (
        "--no-config",
        "--vo=null",
        "--ao=null",
        "--ao-null-untimed",
        "--untimed",
        "--term-status-msg=",
    )
    played = subprocess.run(
        [program, *options, f"--term-playing-msg=MARKS ${{=chapters}};{shown}", str(folder / file)],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    words = (played.stdout + played.stderr).replace(DIM, "")
    count, *marks = next(line for line in words.splitlines() if line.startswith("MARKS "))[6:].split(";")
    assert (str(len(starts)), MARKS[file]) == (count, [mark.partition("|")[0] for mark in marks])
    times = [float(mark.partition("|")[2]) for mark in marks]
    assert [int(start * rate) for start in starts] == [int(time * float(rate)) for time in times]
    assert "Exiting... (End of file)" in words
    assert [] == re.findall(r"(?im)^.*\b(?:warn|error|invalid|fail).*$", words)


@EVERY
def test_mediainfo_finds_the_marks_and_steady_pictures(pack: tuple[Path, JoinedPack], file: str) -> None:
    """Every menu has the ids at the times of their first pictures; no picture is missing."""
    folder, joined = pack
    tracks = [track.to_data() for track in MediaInfo.parse(str(folder / file)).tracks]
    times = [-(-1000 * start // 1) for start in starts_of(joined.manifest, file)]  # ms, rounded up
    keys = [f"00_00_{int(time):05d}" for time in times]
    menus = [track for track in tracks if track["track_type"] == "Menu"]
    assert menus
    for menu in menus:
        found = {key: title for key, title in menu.items() if key.startswith("00_00_")}
        assert dict(zip(keys, MARKS[file], strict=True)) == found
    (video,) = (track for track in tracks if track["track_type"] == "Video")
    frames = sum(part.frames for part in parts_of(joined.manifest, file))
    assert (str(frames), "CFR") == (str(video["frame_count"]), video.get("frame_rate_mode", "CFR"))


@EVERY
def test_mkvmerge_reads_it_without_a_warning(pack: tuple[Path, JoinedPack], file: str) -> None:
    """Pictures, a sound track, and as many marks as parts."""
    program = shutil.which("mkvmerge")
    if program is None:
        pytest.skip("mkvmerge is absent; Debian's mkvtoolnix has it")
    shown = subprocess.run([program, "-J", pack[0] / file], capture_output=True, check=True).stdout
    read = json.loads(shown)
    assert ([], []) == (read["warnings"], read["errors"])
    assert {"video", "audio"} <= {track["type"] for track in read["tracks"]}
    assert [len(MARKS[file])] == [each["num_entries"] for each in read["chapters"]]


def test_light_levels_are_true_for_the_whole_and_for_each_part(pack: tuple[Path, JoinedPack]) -> None:
    """The container has the largest of the parts (MediaInfo), each picture those of its part (ffmpeg)."""
    folder, joined = pack
    parts = parts_of(joined.manifest, PQ_FILE)
    own = [part.declared.max_cll for part in parts]
    assert len(set(own)) == len(own)
    (video,) = MediaInfo.parse(str(folder / PQ_FILE)).video_tracks
    assert f"{max(level or 0 for level in own)} cd/m2" == video.maximum_content_light_level
    assert (
        f"{max(part.declared.max_fall or 0 for part in parts)} cd/m2"
        == video.maximum_frameaverage_light_level
    )
    assert video.mastering_display_luminance.endswith("max: 4000 cd/m2")

    command = [FFMPEG, "-i", str(folder / PQ_FILE), "-map", "0:v", "-vf", "showinfo", "-f", "null", "-"]
    words = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    levels = [int(level) for level in re.findall(r"Parsed_showinfo.*MaxCLL=(\d+)", words)]
    assert [level for part in parts for level in [part.declared.max_cll] * part.frames] == levels
