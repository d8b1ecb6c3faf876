"""What a container sets a decoder up with, of files that ffmpeg wrote without us.

Streams of one setup differ in messages of light and display alone; other settings of a coder change its
parameter sets (ITU-T H.265 clause 7.3.2, H.264 clause 7.3.2, AV1 clause 5.5).
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from knownlight.readback.files import read_video_track

_DISPLAY = "-mastering_display G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L({}0000,50)"
_SOURCE = "-f lavfi -i testsrc2=s=192x128:r=25 -frames:v 4 -pix_fmt yuv420p10le"
_CODERS = {
    "hevc": "-c:v libx265 -x265-params log-level=none:pools=1:repeat-headers=1:{}",
    # the record is else written before lossless coding switches tools off
    "av1": "-c:v libsvtav1 -preset 9 -svtav1-params lp=1:{} -bsf:v extract_extradata",
}
_OTHER = {"hevc": ("crf=20", "lossless=1"), "av1": ("film-grain=0", "film-grain=8")}


@pytest.fixture
def setup(tmp_path: Path, run_ffmpeg: Callable[..., bytes]) -> Callable[..., bytes]:
    """Writes a clip by a coder with light levels and a setting, and reads its setup."""

    def read(codec: str, light: int, setting: str, ending: str = "mp4") -> bytes:
        path = tmp_path / f"clip.{ending}"
        display = [*_DISPLAY.format(light).split(), "-content_light", f"{light},{light // 10}"]
        run_ffmpeg(*display, *_SOURCE.split(), *_CODERS[codec].format(setting).split(), path)
        track = read_video_track(path)[0]
        assert track.stated.hdr.light is not None
        assert light == track.stated.hdr.light.max_cll
        return track.setup

    return read


@pytest.mark.parametrize("codec", _CODERS)
def test_light_is_no_part_of_the_setup(setup: Callable[..., bytes], codec: str) -> None:
    """Other light levels, the same parameter sets: the same setup, and in Matroska the same as in MP4."""
    plain = setup(codec, 1000, _OTHER[codec][0])
    assert len(plain) > 10
    assert plain == setup(codec, 4000, _OTHER[codec][0]) == setup(codec, 1000, _OTHER[codec][0], "mkv")


@pytest.mark.parametrize("codec", _CODERS)
def test_other_settings_are_another_setup(setup: Callable[..., bytes], codec: str) -> None:
    """What changes parameter sets changes the setup."""
    assert setup(codec, 1000, _OTHER[codec][0]) != setup(codec, 1000, _OTHER[codec][1])


def test_avc_is_set_up_by_its_whole_record(
    tmp_path: Path, run_ffmpeg: Callable[..., bytes], independent_clip: Callable[[str], Path]
) -> None:
    """Its parameter sets stand in the record alone; a file without a record has no setup."""
    clip = independent_clip("avc-undescribed")
    run_ffmpeg("-i", clip, "-c", "copy", tmp_path / "clip.ts")
    data = clip.read_bytes()
    assert read_video_track(clip)[0].setup in data[data.index(b"avcC") :]
    assert b"" == read_video_track(tmp_path / "clip.ts")[0].setup
