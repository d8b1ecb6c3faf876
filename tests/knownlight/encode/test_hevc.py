"""hevc-mp4: exact where the level allows it, bounded and said so where not."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pymediainfo import MediaInfo

from knownlight.encode.deliveries import check_carries, write_clip
from knownlight.encode.delivery import Exactness, Order
from knownlight.errors import Cancelled, CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, Planes
from knownlight.frame.rates import RATES
from knownlight.metadata.light import HdrMetadata
from patterns.registry import build

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

AllPictures = Callable[[Path, SignalFormat], list[Planes]]
SamePlanes = Callable[[Frame, Planes, str], None]

SDR10 = parse_signal_format("720p24-sdr", depth=10)
PQ_FULL = parse_signal_format("720p24-pq", code_range="full")
GROUP = 12  # Four quantiser steps at the finest QP (2) and at the coarsest that is ever tried (38), in codes.
BOUNDED_LIMITS = {8: (4, 204), 10: (16, 816)}
NOISE_ERROR = {8: 8, 10: 32}  # codes; 3 % of the signal at either depth
LEVEL_3_1_RATE = 11_000_000  # bit/s: H.265 Table A.9, 10 000 kbit/s at Main tier, times 1.1 for NAL units


@pytest.mark.parametrize(
    ("signal", "profile"),
    [("720p24-pq", "Main 10"), ("720p24-hlg", "Main 10"), ("720p24-sdr", "Main"), (SDR10, "Main 10"),
     (PQ_FULL, "Main 10")],
    ids=["pq", "hlg", "sdr-8", "sdr-10", "pq-full-range"],
)  # fmt: skip
def test_every_picture_decodes_to_the_drawn_codes(
    signal: str | SignalFormat,
    profile: str,
    shared_clip: "MakeClip",
    all_pictures: AllPictures,
    assert_same_planes: SamePlanes,
) -> None:
    """A ramp of every code is exact in every picture of two and a half groups, in an ordinary profile."""
    clip = shared_clip("ramp", signal, 30)
    drawn = clip.intent.source.frame(0)
    pictures = all_pictures(clip.path, clip.intent.signal)
    assert 30 == len(pictures)
    for index, planes in enumerate(pictures):
        assert_same_planes(drawn, planes, f"picture {index}")
    assert (Exactness.EXACT, 0, GROUP) == (
        clip.encoded.exactness,
        clip.encoded.error_limit,
        clip.encoded.group,
    )
    assert f"{profile}@L3.1@Main" == MediaInfo.parse(str(clip.path)).video_tracks[0].format_profile


@pytest.mark.parametrize(
    ("signal", "level"),
    [("720p24-pq", "3.1"), ("720p60-pq", "4"), ("1080p60-pq", "4.1"), ("2160p60-pq", "5.1")],
)
def test_the_level_is_the_lowest_that_holds_size_and_rate(
    signal: str, level: str, make_clip: "MakeClip"
) -> None:
    """H.265 Table A.8: MaxLumaPs and MaxLumaSr; MediaInfo reads the level back, and the Main tier."""
    clip = make_clip("full-field", signal, 2)
    assert level == clip.encoded.level
    read = MediaInfo.parse(str(clip.path)).video_tracks[0].format_profile
    assert f"Main 10@L{level}@Main" == read


def test_the_same_clip_has_the_same_bytes(make_clip: "MakeClip") -> None:
    """Written twice in different folders, the files have one SHA-256."""
    first, second = (make_clip("ramp", "720p24-pq", 30) for _ in range(2))
    assert first.path != second.path
    digests = [hashlib.sha256(clip.path.read_bytes()).hexdigest() for clip in (first, second)]
    assert digests[0] == digests[1]


def test_the_file_names_no_encoder(shared_clip: "MakeClip") -> None:
    """Neither the encoder's settings nor the writer's version are in the file: they would age its bytes."""
    data = shared_clip("ramp", "720p24-pq", 30).path.read_bytes()
    assert [] == [word for word in (b"x265", b"Lavf", b"Lavc") if word in data]


@pytest.mark.parametrize("frames", [2, 11, 12, 13, 24, 31])
def test_any_length_is_reached_by_repeating(
    frames: int, make_clip: "MakeClip", all_pictures: AllPictures, assert_same_planes: SamePlanes
) -> None:
    """Shorter than a group, whole groups or part of one: every picture is there and exact."""
    clip = make_clip("grey-steps", "720p24-sdr", frames)
    drawn = clip.intent.source.frame(0)
    pictures = all_pictures(clip.path, clip.intent.signal)
    assert frames == len(pictures)
    for index, planes in enumerate(pictures):
        assert_same_planes(drawn, planes, f"picture {index}")
    assert min(frames, GROUP) == clip.encoded.group


@pytest.mark.parametrize("rate", ["23.976", "25", "59.94", "119.88", "144"])
def test_every_rate_is_kept_over_repeats(rate: str, make_clip: "MakeClip") -> None:
    """MediaInfo finds the exact rate, constant over two and a bit groups."""
    group = max(12, round(float(RATES[rate]) / 4))
    clip = make_clip("full-field", f"720p{rate}-sdr", 2 * group + 3)
    video = MediaInfo.parse(str(clip.path)).video_tracks[0]
    number = RATES[rate]
    read = (video.framerate_num, video.framerate_den, video.frame_rate_mode, int(video.frame_count))
    assert (str(number.numerator), str(number.denominator), "CFR", 2 * group + 3) == read


@pytest.mark.parametrize("content", ["bars", "lines", "text", "texture"])
def test_a_pan_is_exact_in_every_picture(
    content: str, make_clip: "MakeClip", all_pictures: AllPictures, assert_same_planes: SamePlanes
) -> None:
    """Whole-pixel motion stays exact over its period and into the next."""
    clip = make_clip("pan", "720p24-pq", 47, content=content, pixels_per_frame=16)
    period = clip.intent.source.unrepeated(47)
    assert period < 47
    assert (Exactness.EXACT, period) == (clip.encoded.exactness, clip.encoded.group)
    pictures = all_pictures(clip.path, clip.intent.signal)
    assert 47 == len(pictures)
    for index, planes in enumerate(pictures):
        assert_same_planes(clip.intent.source.frame(index), planes, f"picture {index}")


@pytest.mark.parametrize(("signal", "depth"), [("720p24-sdr", 8), ("720p24-pq", 10)])
def test_fresh_noise_becomes_bounded_and_says_so(
    signal: str, depth: int, shared_clip: "MakeClip", all_pictures: AllPictures
) -> None:
    """Noise that lossless coding cannot hold is within its stated error, and inside the level's rate."""
    clip = shared_clip("fog", signal, 7, repeat_seconds=0.125)
    assert Exactness.BOUNDED is clip.encoded.exactness
    finest, coarsest = BOUNDED_LIMITS[depth]
    assert finest <= clip.encoded.error_limit <= coarsest
    assert clip.encoded.peak_rate <= LEVEL_3_1_RATE
    errors = [
        int(abs(got.astype(int) - drawn.astype(int)).max())
        for index, planes in enumerate(all_pictures(clip.path, clip.intent.signal))
        for got, drawn in zip(planes, clip.intent.source.frame(index).planes, strict=True)
    ]
    assert 3 * 7 == len(errors)
    assert 0 < max(errors) <= min(NOISE_ERROR[depth], clip.encoded.error_limit)


def test_the_largest_picture_and_the_peak_rate_are_those_of_the_file(
    shared_clip: "MakeClip", run_ffmpeg: Callable[..., bytes]
) -> None:
    """What is reported is what ffmpeg's own packet list of the finished file adds up to."""
    clip = shared_clip("ramp", "720p24-pq", 30)
    lines = (
        run_ffmpeg("-i", clip.path, "-map", "0:v", "-c", "copy", "-f", "framecrc", "-").decode().splitlines()
    )
    sizes = [int(line.split(",")[4]) for line in lines if not line.startswith("#")]
    assert max(sizes) == clip.encoded.largest_picture
    assert 8 * sum(sizes[:24]) == clip.encoded.peak_rate


@pytest.mark.parametrize(
    ("signal", "expected"),
    [
        (
            parse_signal_format("1080i25-sdr"),
            "hevc-mp4 carries no interlaced pictures; use --delivery avc-ts or 1080p25-sdr",
        ),
        (parse_signal_format("720p24-pq", depth=12), "hevc-mp4 carries 8 or 10 bits, not 12; use --depth 10"),
        (
            parse_signal_format("720p24-pq", components="4:4:4"),
            "hevc-mp4 carries 4:2:0 only, not 4:4:4; use 4:2:0 (leave out --components)",
        ),
        (
            parse_signal_format("4320p144-pq"),
            "hevc-mp4 cannot hold 4320p144-pq: it passes the codec's highest level; use 2160p144-pq",
        ),
    ],
    ids=["interlaced", "12 bits", "4:4:4", "beyond level 6.2"],
)
def test_what_it_cannot_carry_is_refused(signal: SignalFormat, expected: str) -> None:
    """The refusal names what is wrong and what to use; 4320p144 passes MaxLumaSr of level 6.2 (Table A.8)."""
    with pytest.raises(CannotCarry) as caught:
        check_carries("hevc-mp4", signal)
    assert expected == str(caught.value)


@pytest.mark.parametrize(
    ("delivery", "words"),
    [
        ("hevc-ts", "HLG / BT.2020 (10-bit)"),
        ("hevc-mkv", "HLG"),
        ("hevc-mp4", "HLG"),
    ],
)
def test_hlg_is_signalled_as_each_container_has_it(
    delivery: str, words: str, make_clip: "MakeClip", assert_exact: "Callable[[Clip], None]"
) -> None:
    """A broadcast says 14 in the VUI and prefers 18 in a message (ETSI TS 101 154); files say 18 at once.

    MediaInfo words what is preferred first, and then the VUI's where it is another.
    """
    clip = make_clip("ramp", "720p24-hlg", 14, delivery)
    assert words == MediaInfo.parse(str(clip.path)).video_tracks[0].transfer_characteristics
    assert_exact(clip)


def test_a_stop_leaves_nothing_behind(tmp_path: Path) -> None:
    """Stopped while encoding, neither the clip nor the group it is made of stays."""
    signal = parse_signal_format("720p24-pq")
    stop = Stop()
    to = tmp_path / "clip.mp4"
    order = Order(
        name="clip.mp4",
        signal=signal,
        source=build("ramp", {}).draw(signal),
        frames=24,
        hdr=HdrMetadata(),
        work=tmp_path,
        stop=stop,
        on_frames=lambda _done, _of: stop.ask(),
    )
    with pytest.raises(Cancelled):
        write_clip("hevc-mp4", order, to)
    assert [] == list(tmp_path.iterdir())


def test_the_work_folder_is_left_empty(make_clip: "MakeClip") -> None:
    """The group that is repeated is thrown away after."""
    clip = make_clip("full-field", "720p24-sdr", 14)
    assert [] == list((clip.path.parent / "work").iterdir())
