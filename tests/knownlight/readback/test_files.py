"""Which reader a file is given to: its first bytes say so, not its name."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from knownlight.errors import UnreadableFile
from knownlight.readback.files import read_video_track


@pytest.mark.parametrize(
    ("name", "codec", "reader"),
    [
        ("avc-sdr.mkv", "avc", "Matroska elements"),
        ("vp9-hlg.webm", "vp9", "Matroska elements"),
        ("hevc-hlg.ts", "hevc", "transport stream tables"),
    ],
)
def test_the_first_bytes_choose_the_reader(
    name: str, codec: str, reader: str, made: Callable[[str], Path], tmp_path: Path
) -> None:
    """Each is read as what it is, under a wrong name too; ffmpeg chose the container by the right one."""
    misnamed = tmp_path / "clip.mp4"
    shutil.copy(made(name), misnamed)
    for path in (made(name), misnamed):
        track, container = read_video_track(path)
        assert (reader, codec, 20) == (container.value, track.stated.codec, len(track.samples))


def test_an_mp4_is_read_by_its_boxes(independent_clip: Callable[[str], Path]) -> None:
    """What is neither of the others is an MP4."""
    track, container = read_video_track(independent_clip("hevc-sdr"))
    assert ("ISO base media boxes", "hevc", 20) == (container.value, track.stated.codec, len(track.samples))


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """The system's words, behind the path."""
    path = tmp_path / "absent.mkv"
    with pytest.raises(UnreadableFile, match=f"^{path}: No such file or directory$"):
        read_video_track(path)


@pytest.mark.parametrize(
    "content",
    [b"", b"words, and neither boxes nor elements", b"G", b"G" * 188, b"\x1a\x45\xdf\xa3", b"\0" * 400],
    ids=["empty", "words", "one byte", "one packet", "a mark alone", "zeros"],
)
def test_what_is_no_clip_is_refused_by_name(content: bytes, tmp_path: Path) -> None:
    """One line that opens with the path."""
    path = tmp_path / "clip.ts"
    path.write_bytes(content)
    with pytest.raises(UnreadableFile) as caught:
        read_video_track(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)
