"""Chapter marks by our readers, of files that ffmpeg wrote without us, against what it was told to write."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.errors import UnreadableFile
from knownlight.readback.marks import Mark, read_marks, read_mediainfo_marks

MARKS = (Mark(Fraction(0), "one"), Mark(Fraction(251, 1000), "two-2"), Mark(Fraction(3, 4), "three"))
_TIMES = (0, 251, 750, 800)
PLACES = {"mp4": {"text track", "list"}, "mkv": {"chapters"}, "webm": {"chapters"}}


@pytest.fixture
def marked(tmp_path: Path, run_ffmpeg: Callable[..., bytes]) -> Callable[[str], Path]:
    """A file of an ending with three marks."""

    def write(ending: str) -> Path:
        told = tmp_path / "marks"
        told.write_text(
            ";FFMETADATA1\n"
            + "".join(
                f"[CHAPTER]\nTIMEBASE=1/1000\nSTART={_TIMES[i]}\nEND={_TIMES[i + 1]}\ntitle={mark.title}\n"
                for i, mark in enumerate(MARKS)
            )
        )
        path = tmp_path / f"marked.{ending}"
        coder = "libvpx-vp9" if ending == "webm" else "libx264"
        inputs = ("-f", "lavfi", "-i", "testsrc2=s=64x64:r=25", "-f", "ffmetadata", "-i", told)
        coded = ("-map", "0", "-map_chapters", "1", "-frames:v", "20", "-pix_fmt", "yuv420p", "-c:v", coder)
        run_ffmpeg(*inputs, *coded, path)
        return path

    return write


@pytest.mark.parametrize("ending", PLACES)
def test_marks_are_read(marked: Callable[[str], Path], ending: str) -> None:
    """Times and titles, from every place that holds them, and by MediaInfo."""
    path = marked(ending)
    found = read_marks(path)
    assert PLACES[ending] == set(found)
    assert {MARKS} == set(found.values())
    assert {MARKS} == set(read_mediainfo_marks(path))


def test_a_file_may_have_none(
    independent_clip: Callable[[str], Path], tmp_path: Path, run_ffmpeg: Callable[..., bytes]
) -> None:
    """No marks are no error; a transport stream has no place for any."""
    clip = independent_clip("avc-undescribed")
    run_ffmpeg("-i", clip, "-c", "copy", tmp_path / "clip.ts")
    run_ffmpeg("-i", clip, "-c", "copy", tmp_path / "clip.mkv")
    assert {} == read_marks(clip) == read_marks(tmp_path / "clip.ts")
    assert {"chapters": ()} == read_marks(tmp_path / "clip.mkv")
    assert [] == read_mediainfo_marks(clip)


@pytest.mark.parametrize("ending", PLACES)
def test_a_damaged_file_is_refused(marked: Callable[[str], Path], ending: str) -> None:
    """A title that runs past its place, or is no text, is told as damage; so is a file that is not there."""
    path = marked(ending)
    data = path.read_bytes()
    place = data.index(b"two-2")
    path.write_bytes(data[: place - 1] + b"\xff\xff" + data[place + 1 :])
    with pytest.raises(UnreadableFile, match=r"marked.*damaged"):
        read_marks(path)
    path.unlink()
    with pytest.raises(UnreadableFile, match=r"marked"):
        read_marks(path)
