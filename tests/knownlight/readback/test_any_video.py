"""Any video: facts that files were made with, luma as it is stored, and files that are none."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from knownlight.errors import BadInput, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.frame.format import Scan
from knownlight.readback.any_video import Said, luma_planes, open_video
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer

Ffmpeg = Callable[..., bytes]
SIZE = (64, 256)  # rows, columns


def raw(depth: int) -> bytes:
    """A 4:2:0 picture with every code of the depth in its luma, and neutral chroma."""
    kind = "u1" if depth == 8 else "<u2"
    luma = (np.arange(SIZE[0] * SIZE[1]) % (1 << depth)).astype(kind)
    return luma.tobytes() + np.full(luma.size // 2, 1 << (depth - 1), kind).tobytes()


@pytest.mark.parametrize(
    ("depth", "form", "code_range", "encoder"),
    [
        (8, "yuv420p", "limited", "-c:v libx264 -qp 0"),
        (8, "yuv420p", "full", "-c:v libx264 -qp 0"),
        (8, "yuv420p", "full", "-c:v libx265 -x265-params lossless=1:log-level=none"),
        (10, "yuv420p10le", "limited", "-c:v libx265 -x265-params lossless=1:log-level=none"),
        (10, "yuv420p10le", "full", "-c:v libx265 -x265-params lossless=1:log-level=none"),
        (12, "yuv420p12le", "limited", "-c:v libx265 -x265-params lossless=1:log-level=none"),
    ],
)
def test_luma_comes_as_it_is_stored(
    *, depth: int, form: str, code_range: str, encoder: str, tmp_path: Path, run_ffmpeg: Ffmpeg, stop: Stop
) -> None:
    """Every code of every depth and range, by lossless coders: none is scaled, rounded or cut off."""
    source, path = tmp_path / "raw", tmp_path / "clip.mp4"
    source.write_bytes(2 * raw(depth))
    run_ffmpeg(
        *("-f", "rawvideo", "-s", "256x64", "-r", "25", "-pix_fmt", form, "-i", source),
        *("-vf", f"setparams=range={code_range}", *encoder.split(), path),
    )
    video = open_video(path, stop)

    assert (256, 64, depth, Fraction(25), 2) == (
        video.width, video.height, video.depth, video.rate, video.frames,
    )  # fmt: skip
    assert (code_range == "full") == (video.code_range is CodeRange.FULL)
    planes = [plane.copy() for plane in luma_planes(video, stop)]
    assert 2 == len(planes)
    expected = (np.arange(planes[0].size) % (1 << depth)).reshape(SIZE)
    np.testing.assert_array_equal(expected, planes[1])


def test_one_picture_can_be_asked_for(independent_clip: Callable[[str], Path], stop: Stop) -> None:
    """The seventh of twenty."""
    video = open_video(independent_clip("avc-sdr-sound"), stop)
    every = [plane.copy() for plane in luma_planes(video, stop)]

    (only,) = [plane.copy() for plane in luma_planes(video, stop, only=6)]
    assert 20 == len(every)
    np.testing.assert_array_equal(every[6], only)


@pytest.mark.parametrize(
    ("name", "transfer", "transfer_said", "code_range", "range_said", "codec"),
    [
        ("hevc-hlg-full", Transfer.HLG, Said.FILE, CodeRange.FULL, Said.FILE, "HEVC"),
        ("hevc-pq-metadata", Transfer.PQ, Said.FILE, CodeRange.NARROW, Said.FILE, "HEVC"),
        ("hevc-sdr", Transfer.SDR, Said.FILE, CodeRange.NARROW, Said.FILE, "HEVC"),
        ("avc-undescribed", Transfer.SDR, Said.TAKEN, CodeRange.NARROW, Said.TAKEN, "AVC"),
    ],
)
def test_light_is_what_the_file_says(
    *,
    name: str,
    transfer: Transfer,
    transfer_said: Said,
    code_range: CodeRange,
    range_said: Said,
    codec: str,
    independent_clip: Callable[[str], Path],
    stop: Stop,
) -> None:
    """As the files were made; where nothing is said, BT.1886 and narrow range are taken, and that is told."""
    video = open_video(independent_clip(name), stop)

    assert (transfer, transfer_said, code_range, range_said, codec) == (
        video.transfer, video.transfer_said, video.code_range, video.range_said, video.codec,
    )  # fmt: skip
    assert ("taken; the file does not say" in video.light_said) == (Said.TAKEN in (transfer_said, range_said))


def test_fields_are_seen(run_ffmpeg: Ffmpeg, tmp_path: Path, stop: Stop) -> None:
    """MPEG-2 with interlaced coding, and without."""
    scans = []
    for name, flags in (("i", ("-vf", "setfield=tff", "-flags", "+ildct+ilme")), ("p", ())):
        path = tmp_path / f"{name}.ts"
        run_ffmpeg(
            "-f",
            "lavfi",
            "-i",
            "testsrc2=s=320x176:r=25",
            "-frames:v",
            "3",
            *flags,
            "-c:v",
            "mpeg2video",
            path,
        )
        scans.append(open_video(path, stop).scan)

    assert [Scan.INTERLACED, Scan.PROGRESSIVE] == scans


def test_rgb_becomes_luma_and_that_is_told(run_ffmpeg: Ffmpeg, tmp_path: Path, stop: Stop) -> None:
    """White and black of R'G'B' are 940 and 64 in the narrow range that luma is made in, at 10 bits."""
    path = tmp_path / "rgb.mkv"
    source = "color=white:s=64x64:r=25,drawbox=w=32:c=black:t=fill"
    run_ffmpeg("-f", "lavfi", "-i", source, "-frames:v", "1", "-pix_fmt", "gbrp10le", "-c:v", "ffv1", path)
    video = open_video(path, stop)

    (luma,) = [plane.copy() for plane in luma_planes(video, stop)]
    assert 10 == video.depth
    assert [64, 940] == np.unique(luma).tolist()
    assert video.light_said.endswith("; luma made of other components")


def test_what_is_no_video_is_refused(
    independent_clip: Callable[[str], Path], tmp_path: Path, stop: Stop
) -> None:
    """Each in one line with the file, what is wrong and what to do."""
    words = tmp_path / "words.mp4"
    words.write_text("words, not boxes")
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(independent_clip("avc-sdr-sound").read_bytes()[:2000])
    for path, kind, told in (
        (tmp_path / "absent.mp4", BadInput, "there is no such file; name a video"),
        (tmp_path, BadInput, "it is no file; name a video"),
        (independent_clip("sound-only"), UnreadableFile, "it has sound and no pictures; name a video"),
        (words, UnreadableFile, "no picture of it can be decoded (ffmpeg says: "),
        (cut, UnreadableFile, "no picture of it can be decoded (ffmpeg says: moov atom not found)"),
    ):
        with pytest.raises(kind) as caught:
            open_video(path, stop)
        assert str(caught.value).startswith(f"{path}: {told}")
        assert "\n" not in str(caught.value)
