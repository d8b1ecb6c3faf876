"""The proof of real files: untouched ones pass, and each kind of tampering is found and told."""

import struct
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.errors import KnownlightError, ToolFailed, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.readback.boxes import read_mp4
from knownlight.verify.proof import prove
from patterns.registry import build

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

Tampered = Callable[[int, bytes, bytes], Path]
TamperedBox = Callable[[bytes, int, bytes, bytes], Path]

FRAMES, GROUP = 126, 12
SLICE_DATA_AT = 200  # bytes of a first picture that headers and SEI messages stay well below


def test_an_untouched_clip_passes(window: "Clip", stop: Stop) -> None:
    """No problem, no error; the group is decoded and the rest proven to repeat it; three readers."""
    proof = prove(window.path, window.intent, stop)
    assert ((), True) == (proof.problems, proof.passed)
    assert (GROUP, FRAMES - GROUP) == (proof.decoded_frames, proof.repeated_frames)
    assert (0, 0) == (proof.largest_error, proof.largest_region_error)
    assert [
        "ffmpeg",
        "ISO base media boxes",
        "MediaInfo",
    ] == [reader.partition(" (")[0] for reader in proof.readers]


def test_a_moving_clip_passes(make_clip: "MakeClip", stop: Stop) -> None:
    """A pan that comes round after its period, in its second round."""
    clip = make_clip("pan", "720p24-pq", 47, content="text", pixels_per_frame=32)
    proof = prove(clip.path, clip.intent, stop)
    assert () == proof.problems
    assert (clip.encoded.group, 47 - clip.encoded.group) == (proof.decoded_frames, proof.repeated_frames)


def test_a_bounded_clip_passes_within_its_limit_only(shared_clip: "MakeClip", stop: Stop) -> None:
    """Fog passes with the limit it was written for; one code less than its error fails, in words."""
    clip = shared_clip("fog", "720p24-sdr", 7, repeat_seconds=0.125)
    proof = prove(clip.path, clip.intent, stop)
    assert () == proof.problems
    assert 1 < proof.largest_error <= clip.intent.error_limit
    largest, allowed = proof.largest_error, proof.largest_error - 1
    (problem,) = prove(clip.path, replace(clip.intent, error_limit=allowed), stop).problems
    assert problem.startswith(f"pixels: largest error {largest} codes, {allowed} are allowed; frame ")


def test_a_flipped_bit_in_a_decoded_picture_is_found(
    make_clip: "MakeClip", tmp_path: Path, stop: Stop
) -> None:
    """A clip of one group, so that only decoding can tell: damage anywhere in the coded picture is found.

    It decodes to other pixels, which are told with their place, or it does not decode.
    """
    clip = make_clip("grey-steps", "720p24-pq", GROUP)
    first = read_mp4(clip.path).samples[0]
    original = clip.path.read_bytes()
    path = tmp_path / "tampered.mp4"
    for place in range(first.offset + SLICE_DATA_AT, first.offset + first.size, first.size // 3):
        path.write_bytes(original[:place] + bytes([original[place] ^ 1]) + original[place + 1 :])
        try:
            problems = prove(path, clip.intent, stop).problems
        except ToolFailed as error:
            assert str(error).startswith(f"{path} could not be decoded: ffmpeg says: ")  # noqa: PT017
        else:
            assert any(problem.startswith("pixels: frame 0: ") for problem in problems), place


@pytest.mark.parametrize("picture", [8 * GROUP, 8 * GROUP + 5, 10 * GROUP + 5])
def test_a_flipped_bit_in_a_repeat_is_found(
    picture: int, window: "Clip", tampered: Tampered, stop: Stop
) -> None:
    """Pictures that are not decoded must be copies, to the last bit, of those that are."""
    sample = read_mp4(window.path).samples[picture]
    last = sample.offset + sample.size - 1
    right = window.path.read_bytes()[last]
    problems = prove(tampered(last, bytes([right]), bytes([right ^ 1])), window.intent, stop).problems
    assert (f"packets: picture {picture} is no copy of picture {picture % GROUP}",) == problems


def test_a_replaced_repeat_is_found(window: "Clip", tampered: Tampered, stop: Stop) -> None:
    """A whole coded picture put in the place of another of the same size."""
    samples = read_mp4(window.path).samples
    one, other = samples[111], samples[112]
    data = window.path.read_bytes()
    old, new = (data[sample.offset : sample.offset + sample.size] for sample in (one, other))
    problems = prove(tampered(one.offset, old, new), window.intent, stop).problems
    assert ("packets: picture 111 is no copy of picture 3",) == problems


def test_a_repeat_that_is_no_place_to_start_is_found(
    window: "Clip", tampered_box: TamperedBox, stop: Stop
) -> None:
    """The sync table (`stss`: 1, 13, 25 and on) must name the first picture of each repeat."""
    numbers, wrong = struct.pack(">4I", 11, 1, 13, 25), struct.pack(">4I", 11, 1, 14, 25)
    problems = prove(tampered_box(b"stss", 4, numbers, wrong), window.intent, stop).problems
    assert ("packets: picture 12 opens a repeat and is no place to start decoding",) == problems


def test_another_pattern_in_the_place_of_the_right_one_is_found(
    window: "Clip", make_clip: "MakeClip", stop: Stop
) -> None:
    """A valid clip of a larger window: the first pixel that differs is told, and the light levels too."""
    swapped = make_clip("window", "720p24-pq", FRAMES, luminance=1000.0, area_percent=25.0)
    problems = prove(swapped.path, window.intent, stop).problems
    # 25 % of 1280 by 720 is 640 by 360, its corner at (320, 180)
    lit = 640 * 360 - 404 * 228
    told = (
        f"pixels: frame 0: Y plane differs at x=320 y=180: expected 64, got 723 ({lit:,} of 921,600 samples)"
    )
    assert told in problems
    assert any(problem.startswith("ISO base media boxes: hdr.light.max_fall is ") for problem in problems)


def test_one_code_of_difference_is_found(make_clip: "MakeClip", stop: Stop) -> None:
    """A full field one code brighter than intended, in everything else the same clip."""
    right = make_clip("full-field", "720p24-hlg", GROUP, code=512)
    wrong = make_clip("full-field", "720p24-hlg", GROUP, code=513)
    problems = prove(wrong.path, right.intent, stop).problems
    told = "pixels: frame 0: Y plane differs at x=0 y=0: expected 512, got 513 (921,600 of 921,600 samples)"
    assert told == problems[0]


def test_claims_that_are_not_those_of_the_picture_are_found(window: "Clip", stop: Stop) -> None:
    """Right pixels under the claims of another level: regions, areas and light are each held against them."""
    intent = replace(window.intent, pattern=build("window", {"code": 722}))
    proof = prove(window.path, intent, stop)
    assert "pixels: a claimed region is 1 codes off, 0 are allowed" in proof.problems
    assert "pixels: Y code 722 has 0 pixels, 92,112 are claimed" in proof.problems
    assert any(problem.startswith("light: MaxCLL is claimed as ") for problem in proof.problems)
    assert 1 == proof.largest_region_error


@pytest.mark.parametrize(
    "lost",
    [
        1,
        0.1,
        0.5,
        0.9,
    ],
)
def test_a_truncated_file_is_unreadable(lost: float, window: "Clip", tmp_path: Path, stop: Stop) -> None:
    """Whether a byte is missing or nearly everything, the file's name is told and that it is cut short."""
    data = window.path.read_bytes()
    path = tmp_path / "cut.mp4"
    path.write_bytes(data[: len(data) - (1 if lost == 1 else int(lost * len(data)))])
    with pytest.raises(UnreadableFile, match=f"^{path}: .*the file is cut short"):
        prove(path, window.intent, stop)


@pytest.mark.parametrize(
    ("options", "problems"),
    [
        (
            ("-map", "0:v", "-map", "0:a"),
            ("ISO base media boxes: the index lies behind the pictures; a player must seek for it",),
        ),
        (
            ("-map", "0:v", "-movflags", "+faststart"),
            ("ISO base media boxes: the sound track is missing", "sound: the track is missing"),
        ),
    ],
    ids=["index last", "no sound"],
)
def test_a_clip_copied_carelessly_is_found(
    *,
    options: tuple[str, ...],
    problems: tuple[str, ...],
    window: "Clip",
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """The same packets in a container that players like less."""
    path = tmp_path / "copy.mp4"
    run_ffmpeg("-i", window.path, *options, "-c", "copy", "-tag:v", "hvc1", path)
    assert problems == prove(path, window.intent, stop).problems


def test_another_length_is_found(window: "Clip", stop: Stop) -> None:
    """A clip one picture shorter than intended, and groups shorter and longer than they are."""
    problems = prove(window.path, replace(window.intent, frames=FRAMES + 1), stop).problems
    assert (
        "ISO base media boxes: frames is 126, it must be 127",
        "MediaInfo: frames is 126, it must be 127",
        "sound: it lasts 5.250 s, the pictures 5.292 s",
    ) == problems
    problems = prove(window.path, replace(window.intent, group=GROUP - 1), stop).problems
    assert ("packets: picture 11 is no copy of picture 0",) == problems
    problems = prove(window.path, replace(window.intent, group=FRAMES + 1), stop).problems
    assert ("pixels: 126 pictures decode, 127 are intended",) == problems


def test_a_file_that_is_not_there_is_told(window: "Clip", tmp_path: Path, stop: Stop) -> None:
    """No clip at the path: an error in words, not a Python traceback."""
    with pytest.raises(KnownlightError, match="absent"):
        prove(tmp_path / "absent.mp4", window.intent, stop)
