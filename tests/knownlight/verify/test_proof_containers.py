"""The proof of clips in Matroska, WebM, transport streams and AV1: what is changed is found and told."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.readback.files import read_video_track
from knownlight.verify.proof import prove

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

FRAMES, GROUP = 30, 12
READERS = {
    "hevc-mkv": "Matroska elements",
    "vp9-webm": "Matroska elements",
    "hevc-ts": "transport stream tables",
    "av1-mp4": "ISO base media boxes",
}
INDEX_FIRST = {
    ".mkv": ("-cues_to_front", "1"),
    ".webm": ("-cues_to_front", "1"),
    ".mp4": ("-movflags", "+faststart"),
    ".ts": (),
}
INSIDE = 30  # bytes from a picture's begin: past its head, still in its first packet


@pytest.fixture(params=READERS)
def delivery(request: pytest.FixtureRequest) -> str:
    """Each of these deliveries."""
    return str(request.param)


@pytest.fixture
def clip(delivery: str, shared_clip: "MakeClip") -> "Clip":
    """Two and a half groups of a PQ window; tests change copies of it."""
    return shared_clip("window", "720p24-pq", FRAMES, delivery, luminance=1000.0)


@pytest.fixture
def rewritten(clip: "Clip", run_ffmpeg: Callable[..., bytes], tmp_path: Path) -> Callable[..., Path]:
    """A copy by ffmpeg of the clip's packets, with options; its index lies first."""

    def write(*options: str) -> Path:
        path = tmp_path / f"copy{clip.path.suffix}"
        run_ffmpeg("-i", clip.path, "-c", "copy", *INDEX_FIRST[path.suffix], *options, path)
        return path

    return write


@pytest.fixture
def flipped(clip: "Clip", tmp_path: Path) -> Callable[[int], Path]:
    """A copy of the file with the lowest bit of a byte changed."""

    def write(place: int) -> Path:
        data = bytearray(clip.path.read_bytes())
        data[place] ^= 1
        path = tmp_path / f"flipped{clip.path.suffix}"
        path.write_bytes(data)
        return path

    return write


def test_an_untouched_clip_passes(delivery: str, clip: "Clip", stop: Stop) -> None:
    """No problem and no error; the group is decoded and the rest proven to repeat it; readers are named."""
    proof = prove(clip.path, clip.intent, stop)
    assert () == proof.problems
    assert (GROUP, FRAMES - GROUP, 0) == (proof.decoded_frames, proof.repeated_frames, proof.largest_error)
    assert ["ffmpeg", READERS[delivery], "MediaInfo"] == [
        reader.partition(" (")[0] for reader in proof.readers
    ]


def test_a_copy_by_another_program_passes(clip: "Clip", rewritten: Callable[..., Path], stop: Stop) -> None:
    """The same packets and facts in a container that ffmpeg laid out anew."""
    assert () == prove(rewritten("-map", "0"), clip.intent, stop).problems


@pytest.mark.parametrize("delivery", ["hevc-mkv", "hevc-ts", "av1-mp4"])
def test_a_stream_that_says_another_transfer_is_found(
    delivery: str, clip: "Clip", rewritten: Callable[..., Path], stop: Stop
) -> None:
    """HLG (18) in the sequence headers, by ffmpeg's filter of metadata; the coded pixels are untouched."""
    tool = "av1_metadata" if delivery == "av1-mp4" else "hevc_metadata"
    path = rewritten("-map", "0", "-bsf:v", f"{tool}=transfer_characteristics=18")
    assert "bitstream: colour.transfer is 18, it must be 16" in prove(path, clip.intent, stop).problems


@pytest.mark.parametrize(
    ("delivery", "old", "new"),
    [
        ("hevc-mkv", b"\x55\xba\x81\x10", b"\x55\xba\x81\x12"),
        ("vp9-webm", b"\x55\xba\x81\x10", b"\x55\xba\x81\x12"),
        ("av1-mp4", b"nclx\x00\x09\x00\x10", b"nclx\x00\x09\x00\x12"),
    ],
)
def test_a_container_that_says_another_transfer_is_found(
    *, delivery: str, old: bytes, new: bytes, clip: "Clip", tmp_path: Path, stop: Stop
) -> None:
    """TransferCharacteristics of Matroska (RFC 9559) and of `colr`, changed from 16 to 18 in place."""
    data = clip.path.read_bytes()
    assert 1 == data.count(old)
    path = tmp_path / f"changed{clip.path.suffix}"
    path.write_bytes(data.replace(old, new))
    told = f"{READERS[delivery]}: colour.transfer is 18, it must be 16"
    assert told in prove(path, clip.intent, stop).problems


@pytest.mark.parametrize("picture", [GROUP, GROUP + 5, FRAMES - 1])
def test_a_changed_packet_of_a_repeat_is_found(
    picture: int, clip: "Clip", flipped: Callable[[int], Path], stop: Stop
) -> None:
    """Pictures that are not decoded must be copies, to the last bit, of those that are."""
    sample = read_video_track(clip.path)[0].samples[picture]
    place = sample.offset + min(INSIDE, sample.size - 1)
    told = f"packets: picture {picture} is no copy of picture {picture % GROUP}"
    assert (told,) == prove(flipped(place), clip.intent, stop).problems


def test_a_changed_packet_of_the_group_is_found(
    clip: "Clip", flipped: Callable[[int], Path], stop: Stop
) -> None:
    """Its repeats are no copies of it any more, whether it decodes or not."""
    sample = read_video_track(clip.path)[0].samples[0]
    problems = prove(flipped(sample.offset + sample.size // 2), clip.intent, stop).problems
    assert "packets: picture 12 is no copy of picture 0" in problems


def test_missing_sound_is_found(
    delivery: str, clip: "Clip", rewritten: Callable[..., Path], stop: Stop
) -> None:
    """The pictures alone: the container names no track, and none is heard."""
    told = f"{READERS[delivery]}: the sound track is missing"
    problems = prove(rewritten("-map", "0:v"), clip.intent, stop).problems
    assert {told, "sound: the track is missing"} == set(problems)


def test_a_picture_at_the_wrong_time_is_found(
    delivery: str, clip: "Clip", rewritten: Callable[..., Path], stop: Stop
) -> None:
    """The eighteenth comes 10 ms late; MediaInfo, which then sees no even rate, may tell it too."""
    path = rewritten("-map", "0", "-bsf:v", "setts=ts=TS+eq(N\\,17)*0.01/TB")
    problems = prove(path, clip.intent, stop).problems
    assert f"{READERS[delivery]}: pictures do not all last equally long" in problems
    assert all(problem.startswith(("MediaInfo", READERS[delivery])) for problem in problems)


def test_another_number_of_pictures_is_found(
    delivery: str, clip: "Clip", rewritten: Callable[..., Path], stop: Stop
) -> None:
    """One picture less than intended."""
    problems = prove(rewritten("-map", "0", "-frames:v", str(FRAMES - 1)), clip.intent, stop).problems
    assert f"{READERS[delivery]}: frames is {FRAMES - 1}, it must be {FRAMES}" in problems


@pytest.mark.parametrize("delivery", ["hevc-mkv", "vp9-webm"])
def test_an_index_behind_the_pictures_is_found(
    clip: "Clip", run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """Cues where ffmpeg puts them unasked."""
    path = tmp_path / f"copy{clip.path.suffix}"
    run_ffmpeg("-i", clip.path, "-c", "copy", path)
    told = "Matroska elements: the index lies behind the pictures; a player must seek for it"
    assert (told,) == prove(path, clip.intent, stop).problems


@pytest.mark.parametrize("delivery", ["hevc-mkv", "vp9-webm", "av1-mp4"])
def test_a_picture_shown_at_another_shape_is_found(
    clip: "Clip", rewritten: Callable[..., Path], stop: Stop
) -> None:
    """The container alone says 4:3; the pixels are then stretched."""
    problems = prove(rewritten("-map", "0", "-aspect", "4:3"), clip.intent, stop).problems
    assert any("the picture is to be shown at " in problem for problem in problems)


def test_a_truncated_clip_is_unreadable_or_short(clip: "Clip", tmp_path: Path, stop: Stop) -> None:
    """Half of it: refused by name; a stream cut between packets has no mark of it but too few pictures."""
    data = clip.path.read_bytes()
    path = tmp_path / f"cut{clip.path.suffix}"
    path.write_bytes(data[: len(data) // 376 * 188])
    if clip.path.suffix == ".ts":
        assert any(" frames is " in problem for problem in prove(path, clip.intent, stop).problems)
    else:
        with pytest.raises(UnreadableFile, match=f"^{path}: .*cut short"):
            prove(path, clip.intent, stop)
