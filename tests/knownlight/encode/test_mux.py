"""Length by copying, in every container: a minute's times, sound and pictures, as ffmpeg lists them."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import pytest
from pymediainfo import MediaInfo

from knownlight.encode import mux
from knownlight.encode.container import AVC_TS, HEVC_TS, MKV, MP4, MPEG2_TS, WEBM
from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.rates import RATES
from knownlight.frame.sound import Soundtrack

GROUP = 12
MINUTE = 60  # seconds
SAMPLE = Fraction(1, 48_000)  # s
LONGEST_SOUND_FRAME = 1_536  # samples: AC-3's; AAC has 1 024, MP2 1 152, Opus 960
# Coders as ffmpeg likes them; groups are closed and have no reordered pictures.
CODERS = {
    "hevc": "-c:v libx265 -x265-params log-level=none:bframes=0:open-gop=0:repeat-headers=1:pools=1 -f mp4",
    "avc": "-c:v libx264 -bf 0 -threads 1 -f mp4",
    "mpeg2": "-c:v mpeg2video -bf 0 -flags +cgop -sc_threshold 1000000000 -f mp4",
    "vp9": "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -lag-in-frames 0 -f webm",
}
CONTAINERS = {
    "mp4": (MP4, "hevc"),
    "mkv": (MKV, "hevc"),
    "webm": (WEBM, "vp9"),
    "hevc-ts": (HEVC_TS, "hevc"),
    "avc-ts": (AVC_TS, "avc"),
    "mpeg2-ts": (MPEG2_TS, "mpeg2"),
}


class Listed(NamedTuple):
    """A stream's packets in ffmpeg's list: the unit of time (s), and times and durations in it."""

    unit: Fraction
    times: list[int]
    durations: list[int]
    hashes: list[str]


@pytest.fixture(scope="session")
def group(tmp_path_factory: pytest.TempPathFactory, run_ffmpeg: Callable[..., bytes]) -> Callable[..., Path]:
    """A closed group of twelve pictures without sound, by ffmpeg alone."""
    folder = tmp_path_factory.mktemp("groups")

    def make(coder: str, rate: Fraction, frames: int = GROUP) -> Path:
        path = folder / f"{coder}-{rate.numerator}-{rate.denominator}-{frames}"
        if not path.exists():
            source = ("-f", "lavfi", "-i", f"testsrc2=s=128x96:r={rate}", "-frames:v", frames)
            run_ffmpeg(*source, "-pix_fmt", "yuv420p", *CODERS[coder].split(), path)
        return path

    return make


@pytest.fixture
def listed(run_ffmpeg: Callable[..., bytes]) -> Callable[[Path, str], Listed]:
    """The packets of the first stream of a kind (v, a)."""

    def read(path: Path, kind: str) -> Listed:
        copied = (
            "-copyts",
            "-i",
            path,
            "-map",
            f"0:{kind}:0",
            "-c",
            "copy",
            "-f",
            "framehash",
            "-hash",
            "md5",
            "-",
        )
        text = run_ffmpeg(*copied).decode()
        (unit,) = [line.removeprefix("#tb 0: ") for line in text.splitlines() if line.startswith("#tb")]
        lines = [line.split(",") for line in text.splitlines() if line and not line.startswith("#")]
        return Listed(
            Fraction(unit),
            [int(line[2]) for line in lines],
            [int(line[3]) for line in lines],
            [line[5].strip() for line in lines],
        )

    return read


@pytest.fixture
def repeated(group: Callable[..., Path], tmp_path: Path, stop: Stop) -> Callable[..., Path]:
    """A clip of a container of the table, that repeats its group."""

    def make(name: str, rate: Fraction, frames: int) -> Path:
        container, coder = CONTAINERS[name]
        path = tmp_path / f"clip{container.suffix}"
        mux.repeat(
            group(coder, rate),
            path,
            group_frames=GROUP,
            frames=frames,
            rate=rate,
            container=container,
            sound=Soundtrack(),
            name=path.name,
            stop=stop,
        )
        return path

    return make


def assert_steady(video: Listed, rate: Fraction) -> None:
    """Every picture's time is its number over the rate, to within a tick of the container."""
    off = [abs((time - video.times[0]) * video.unit - n / rate) for n, time in enumerate(video.times)]
    assert max(off) <= video.unit


@pytest.mark.parametrize("rate", ["23.976", "59.94"])
@pytest.mark.parametrize("name", CONTAINERS)
def test_a_minute_is_steady_and_its_sound_as_long(
    name: str, rate: str, repeated: Callable[..., Path], listed: Callable[[Path, str], Listed]
) -> None:
    """Every picture's time is its number over the rate: nothing adds up over the groups.

    The sound ends with the pictures, to within one of its frames.
    """
    number = RATES[rate]
    frames = int(MINUTE * number)
    path = repeated(name, number, frames)
    video, sound = listed(path, "v"), listed(path, "a")
    assert frames == len(video.times)
    assert_steady(video, number)
    sound_ends = (sound.times[-1] + sound.durations[-1]) * sound.unit
    pictures_end = video.times[0] * video.unit + frames / number
    assert abs(sound_ends - pictures_end) <= LONGEST_SOUND_FRAME * SAMPLE


@pytest.mark.parametrize("name", CONTAINERS)
def test_every_repeat_is_a_copy_of_the_group(
    name: str, repeated: Callable[..., Path], listed: Callable[[Path, str], Listed]
) -> None:
    """Two and a half groups: ffmpeg's hashes of packets come round, and the twelve differ."""
    hashes = listed(repeated(name, Fraction(25), 30), "v").hashes
    assert hashes[:GROUP] + hashes[:GROUP] + hashes[: 30 - 2 * GROUP] == hashes
    assert GROUP == len(set(hashes))


@pytest.mark.parametrize("name", CONTAINERS)
def test_pieces_are_joined_without_a_seam(
    *,
    name: str,
    group: Callable[..., Path],
    listed: Callable[[Path, str], Listed],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """A piece and one half as long again in turn, forty times: every picture in order, at its time."""
    container, coder = CONTAINERS[name]
    rate = RATES["59.94"]
    short, longer = tmp_path / "piece0", tmp_path / "piece1"
    short.write_bytes(group(coder, rate).read_bytes())
    kind = "webm" if coder == "vp9" else "mp4"
    mux.extend(short, longer, group_frames=GROUP, frames=18, kind=kind, name="piece", stop=stop)
    frames, path = 40 * (GROUP + 18), tmp_path / f"clip{container.suffix}"
    mux.join(
        [short, longer] * 40,
        path,
        frames=frames,
        rate=rate,
        container=container,
        sound=Soundtrack(),
        name=path.name,
        stop=stop,
    )
    video = listed(path, "v")
    assert frames == len(video.times)
    assert_steady(video, rate)
    turn = video.hashes[: GROUP + 18]
    assert turn[:GROUP] == turn[GROUP : 2 * GROUP]
    assert turn[:6] == turn[2 * GROUP :]
    assert turn * 40 == video.hashes


@pytest.mark.parametrize("name", [name for name, (each, _) in CONTAINERS.items() if each.suffix == ".ts"])
def test_a_stream_names_no_foreign_service(name: str, repeated: Callable[..., Path]) -> None:
    """The service description (ETSI EN 300 468) that televisions list names this program, and no other."""
    path = repeated(name, Fraction(25), 30)
    (menu,) = [track for track in MediaInfo.parse(str(path)).tracks if track.track_type == "Menu"]
    assert ("knownlight", "knownlight") == (menu.service_name, menu.service_provider)
    assert [] == [word for word in (b"FFmpeg", b"Service01") if word in path.read_bytes()]


def test_a_group_that_is_no_clip_is_told(tmp_path: Path, stop: Stop) -> None:
    """The message opens with the clip's own name, not with that of a file in a work folder."""
    words = tmp_path / "group"
    words.write_text("words, not pictures")
    with pytest.raises(ToolFailed, match=r"^clip\.mkv could not be written: ffmpeg says: "):
        mux.repeat(
            words,
            tmp_path / "clip.mkv",
            group_frames=1,
            frames=1,
            rate=Fraction(25),
            container=MKV,
            sound=Soundtrack(),
            name="clip.mkv",
            stop=stop,
        )
