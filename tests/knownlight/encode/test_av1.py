"""AV1 in MP4 and Matroska: exact, or bounded and said so; never called exact where it is not."""

import hashlib
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pymediainfo import MediaInfo

from knownlight.encode.av1 import Av1
from knownlight.encode.delivery import Exactness, Order
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, Planes, plane_shapes, sample_type
from knownlight.frame.rates import RATES
from knownlight.frame.sources import Cycle, Levels
from knownlight.metadata.light import HdrMetadata

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

DAV1D = "dav1d"
SDR10 = parse_signal_format("720p24-sdr", depth=10)
GROUP = 12
LEVEL_3_1_RATE = 10_000_000  # bit/s: AV1 Annex A.3, Main tier
NOISE_ERROR = 10  # codes of 8 bits: four steps of 2.4 at the quantiser that this noise needs, measured less
PICTURES, TURN, PITCH = 4, 0.05, 0.3  # of a grating: how many; radians a picture; radians a pixel


def turning(signal: SignalFormat) -> Cycle:
    """A grating that turns by a few degrees a picture, as no shift of whole pixels is."""
    rows, columns = np.mgrid[0:180, 0:320]

    def draw(index: int) -> Frame:
        along = columns * np.cos(TURN * index) + rows * np.sin(TURN * index)
        codes = (125.5 + 109.5 * np.cos(PITCH * along)) * (1 << (signal.depth - 8))
        planes = [
            np.full(shape, 128 << (signal.depth - 8), sample_type(signal.depth))
            for shape in plane_shapes(signal)
        ]
        planes[0][:] = 64 << (signal.depth - 8)
        planes[0][200:380, 300:620] = codes
        return Frame(signal, (planes[0], planes[1], planes[2]))

    return Cycle(PICTURES, draw, Levels.CHANGING)


@pytest.mark.parametrize("pattern", ["ramp", "grey-steps"])
@pytest.mark.parametrize("signal", ["720p24-pq", "720p24-sdr"], ids=["10 bits", "8 bits"])
def test_a_still_is_exact_in_every_picture(
    pattern: str, signal: str, shared_clip: "MakeClip", assert_exact: "Callable[[Clip], None]"
) -> None:
    """Every code and every patch, in two and a half groups, by plain ffmpeg."""
    clip = shared_clip(pattern, signal, 30, "av1-mp4")
    assert (Exactness.EXACT, 0, GROUP) == (
        clip.encoded.exactness,
        clip.encoded.error_limit,
        clip.encoded.group,
    )
    assert_exact(clip)


@pytest.mark.parametrize("signal", ["720p24-hlg", "720p24-sdr"], ids=["10 bits", "8 bits"])
def test_a_pan_is_exact_in_every_picture(
    signal: str, make_clip: "MakeClip", assert_exact: "Callable[[Clip], None]"
) -> None:
    """Whole-pixel motion over its period and into the next."""
    clip = make_clip("pan", signal, 12, "av1-mp4", content="bars", pixels_per_frame=64)
    assert clip.encoded.group < 12
    assert Exactness.EXACT is clip.encoded.exactness
    assert_exact(clip)


@pytest.mark.parametrize("signal", ["720p24-pq", "720p24-sdr"], ids=["10 bits", "8 bits"])
def test_dav1d_reads_what_was_drawn(
    *,
    signal: str,
    shared_clip: "MakeClip",
    run_ffmpeg: Callable[..., bytes],
    assert_same_planes: Callable[[Frame, Planes, str], None],
    tmp_path: Path,
) -> None:
    """The program dav1d, told to output its planes; ffmpeg only takes the packets out of the container."""
    program = shutil.which(DAV1D)
    if program is None:
        pytest.skip(f"{DAV1D} is absent; Debian's package of that name has it")
    clip = shared_clip("ramp", signal, 30, "av1-mp4")
    packets, output = tmp_path / "packets.ivf", tmp_path / "planes.yuv"
    run_ffmpeg("-i", clip.path, "-map", "0:v", "-c", "copy", packets)
    subprocess.run([program, "-q", "-i", packets, "-o", output], check=True)
    shapes, kind = plane_shapes(clip.intent.signal), np.dtype(sample_type(clip.intent.signal.depth))
    counts = [rows * columns for rows, columns in shapes]
    pictures = np.frombuffer(output.read_bytes(), kind.newbyteorder("<")).reshape(-1, sum(counts))
    assert 30 == len(pictures)
    for index, picture in enumerate(pictures):
        parts = np.split(picture, [counts[0], counts[0] + counts[1]])
        luma, first, second = (part.reshape(shape) for part, shape in zip(parts, shapes, strict=True))
        assert_same_planes(clip.intent.source.frame(index), (luma, first, second), f"picture {index}")


def test_motion_that_is_coded_inexactly_becomes_key_pictures(
    tmp_path: Path,
    all_pictures: Callable[[Path, SignalFormat], list[Planes]],
    assert_same_planes: Callable[[Frame, Planes, str], None],
) -> None:
    """A turning grating at 10 bits, whose small way decodes to other pixels: key pictures alone are exact.

    The way that was taken is told; should the encoder become exact here, another content is needed.
    """
    signal, group = parse_signal_format("720p24-pq"), tmp_path / "group.mp4"
    source = turning(signal)
    order = Order(
        name="clip.mp4",
        signal=signal,
        source=source,
        frames=PICTURES,
        hdr=HdrMetadata(),
        work=tmp_path,
        stop=Stop(),
        on_frames=lambda _done, _of: None,
    )
    coded = Av1().code(order, group)
    assert (Exactness.EXACT, "lossless=1 keys-only") == (coded.exactness, coded.settings)
    pictures = all_pictures(group, signal)
    assert PICTURES == len(pictures)
    for index, planes in enumerate(pictures):
        assert_same_planes(source.frame(index), planes, f"picture {index}")


def test_fresh_noise_becomes_bounded_and_says_so(
    shared_clip: "MakeClip", largest_error: "Callable[[Clip], int]"
) -> None:
    """What neither way holds is within its stated error and the level's rate, and is not called exact."""
    clip = shared_clip("fog", "720p24-sdr", 7, "av1-mp4", repeat_seconds=0.125)
    assert Exactness.BOUNDED is clip.encoded.exactness
    assert 0 < largest_error(clip) <= min(NOISE_ERROR, clip.encoded.error_limit)
    assert clip.encoded.peak_rate <= LEVEL_3_1_RATE


def test_the_same_clip_has_the_same_bytes(make_clip: "MakeClip") -> None:
    """Written twice in different folders, the files have one SHA-256, and name no encoder or writer."""
    clips = [make_clip("grey-steps", "720p24-pq", 3, "av1-mp4") for _ in range(2)]
    first, second = (clip.path.read_bytes() for clip in clips)
    assert hashlib.sha256(first).hexdigest() == hashlib.sha256(second).hexdigest()
    assert [] == [word for word in (b"SVT", b"Lavf", b"Lavc") if word in first]


@pytest.mark.parametrize("frames", [2, 13])
def test_any_length_is_reached_by_repeating(
    frames: int, make_clip: "MakeClip", assert_exact: "Callable[[Clip], None]"
) -> None:
    """Shorter than a group, or part of one more: every picture is there and exact."""
    clip = make_clip("full-field", "720p24-sdr", frames, "av1-mkv")
    assert min(frames, GROUP) == clip.encoded.group
    assert_exact(clip)


@pytest.mark.parametrize(("signal", "level"), [("720p24-pq", "3.1"), ("720p60-pq", "4.0")])
def test_the_level_is_the_lowest_that_holds_size_and_rate(
    signal: str, level: str, make_clip: "MakeClip"
) -> None:
    """AV1 Annex A.3, MaxPicSize and MaxDisplayRate; 2.0 is index 0, and four indices make one.

    The index lies in the last five bits of av1C's second byte (AV1 in ISO base media clause 2.3.3).
    """
    clip = make_clip("full-field", signal, 2, "av1-mp4")
    data = clip.path.read_bytes()
    index = data[data.index(b"av1C") + 5] & 31
    assert level == clip.encoded.level == f"{2 + index // 4}.{index % 4}"


def test_the_record_is_the_sequence_header_of_the_stream(
    shared_clip: "MakeClip", run_ffmpeg: Callable[..., bytes]
) -> None:
    """The OBUs in av1C, byte for byte, open the first packet that ffmpeg copies out.

    The encoder's own copy is written before lossless coding switches tools off, and differs.
    """
    path = shared_clip("ramp", "720p24-pq", 30, "av1-mp4").path
    data, start = path.read_bytes(), path.read_bytes().index(b"av1C") + 4
    record = data[start : start + int.from_bytes(data[start - 8 : start - 4], "big") - 8]
    headers = record[4:]
    assert headers[0] >> 3 & 15 == 1  # OBU_SEQUENCE_HEADER (AV1 clause 6.2.2)
    assert run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "data", "-").startswith(headers)


@pytest.mark.parametrize("rate", ["23.976", "59.94"])
def test_every_rate_is_kept_over_repeats(rate: str, make_clip: "MakeClip") -> None:
    """MediaInfo finds the exact rate, constant over two and a bit groups."""
    clip = make_clip("full-field", f"720p{rate}-sdr", 29, "av1-mp4")
    video = MediaInfo.parse(str(clip.path)).video_tracks[0]
    number = RATES[rate]
    read = (video.framerate_num, video.framerate_den, video.frame_rate_mode, int(video.frame_count))
    assert (str(number.numerator), str(number.denominator), "CFR", 29) == read


def test_the_largest_picture_and_the_peak_rate_are_those_of_the_file(
    shared_clip: "MakeClip", picture_sizes: Callable[[Path], list[int]]
) -> None:
    """What is reported is what ffmpeg's own packet list of the finished file adds up to."""
    clip = shared_clip("ramp", "720p24-pq", 30, "av1-mp4")
    sizes = picture_sizes(clip.path)
    assert max(sizes) == clip.encoded.largest_picture
    assert 8 * sum(sizes[:24]) == clip.encoded.peak_rate
