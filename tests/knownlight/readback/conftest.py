"""Files of every container made without our encoder, and ffmpeg's own list of their packets."""

import hashlib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import pytest

_BT2020 = "color_primaries=bt2020:colorspace=bt2020nc:chroma_location=topleft"
_BT709 = "setparams=range=limited:color_primaries=bt709:color_trc=bt709:colorspace=bt709"
_DISPLAY = (
    "-mastering_display G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50) "
    "-content_light 1000,400"
)
_SOUND = "-f lavfi -t 1 -i anullsrc=r=48000:cl=stereo"
_X265 = "-c:v libx265 -x265-params log-level=none:keyint=8:min-keyint=8:open-gop=0:pools=1:bframes=0"
_X264 = "-c:v libx264 -bf 0 -g 8 -threads 1"
_TV = "-c:v mpeg2video -bf 0 -g 8 -seq_disp_ext always"


def _picture(size: str, rate: str, frames: int = 20) -> str:
    return f"-f lavfi -i testsrc2=s={size}:r={rate} -frames:v {frames}"


def _with_sound(size: str, rate: str, frames: int = 20) -> str:
    return f"-f lavfi -i testsrc2=s={size}:r={rate} {_SOUND} -shortest -frames:v {frames}"


# ffmpeg's own test picture, coded as ffmpeg likes.
_FILES = {
    "hevc-pq.mkv": (
        f"{_DISPLAY} {_picture('320x178', '24000/1001')} "
        f"-vf format=yuv420p10le,setparams=range=limited:color_trc=smpte2084:{_BT2020} {_X265}"
    ),
    "hevc-hlg-sound.mkv": (
        f"{_with_sound('320x178', '60000/1001')} "
        f"-vf format=yuv420p10le,setparams=range=full:color_trc=arib-std-b67:{_BT2020} {_X265} "
        "-c:a flac -cues_to_front 1"
    ),
    "avc-sdr.mkv": (
        f"{_picture('322x178', '25')} -vf format=yuv420p,{_BT709}:chroma_location=left {_X264} "
        "-cues_to_front 1"
    ),
    "av1-pq.mkv": (
        f"{_DISPLAY} {_picture('320x178', '50')} "
        f"-vf format=yuv420p10le,setparams=range=limited:color_trc=smpte2084:{_BT2020} "
        "-c:v libsvtav1 -preset 10 -g 8 -svtav1-params pred-struct=1:lp=1"
    ),
    "vp9-sdr-sound.webm": (
        f"{_with_sound('322x178', '30000/1001')} -vf format=yuv420p,{_BT709}:chroma_location=left "
        "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -lag-in-frames 0 -g 8 -c:a libopus"
    ),
    "vp9-hlg.webm": (
        f"{_picture('320x178', '24')} "
        f"-vf format=yuv420p10le,setparams=range=limited:color_trc=arib-std-b67:{_BT2020} "
        "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -lag-in-frames 0 -g 8 -cues_to_front 1"
    ),
    "hevc-hlg.ts": (
        f"{_picture('320x178', '60000/1001')} "
        f"-vf format=yuv420p10le,setparams=range=limited:color_trc=bt2020-10:{_BT2020} "
        f"{_X265}:atc-sei=18:repeat-headers=1"
    ),
    "avc-ac3.ts": (
        f"{_with_sound('322x178', '24000/1001')} -vf format=yuv420p,{_BT709}:chroma_location=left {_X264} "
        "-c:a ac3 -mpegts_flags +system_b"
    ),
    "avc-ac3-atsc.ts": f"{_with_sound('320x176', '30')} -pix_fmt yuv420p {_X264} -c:a ac3",
    "avc-aac.ts": f"{_with_sound('320x176', '25')} -pix_fmt yuv420p {_X264} -c:a aac",
    "mpeg2-mp2.ts": f"{_with_sound('352x288', '25')} -vf format=yuv420p,{_BT709} {_TV} -c:a mp2",
    # 2^33 ticks of 90 kHz are 95 443.7 s: times come round after eleven pictures
    "avc-wrap.ts": (
        f"{_picture('320x176', '50')} -pix_fmt yuv420p {_X264} "
        "-muxdelay 0 -muxpreload 0 -output_ts_offset 95443.5"
    ),
    # 1080 lines are coded as 1088; the rest is cropped, in other units where there are fields
    **{
        f"avc-{order}.mp4": (
            f"{_picture('1440x1080', '30000/1001', 4)} "
            f"-vf format=yuv420p,setparams=field_mode={order},setsar=40/33 "
            f"{_X264} -flags +ildct+ilme -x264-params {order}=1:pic-struct=1"
        )
        for order in ("tff", "bff")
    },
    **{
        f"mpeg2-{order}.ts": (
            f"{_picture('720x576', '25', 4)} -vf format=yuv420p,setparams=field_mode={order}:"
            "color_primaries=bt470bg:color_trc=smpte170m:colorspace=bt470bg,setdar=16/9 "
            f"{_TV} -flags +ildct+ilme"
        )
        for order in ("tff", "bff")
    },
}


class Packet(NamedTuple):
    """A line of ffmpeg's packet list."""

    dts: int
    duration: int
    size: int
    is_key: bool


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory, run_ffmpeg: Callable[..., bytes]) -> Callable[[str], Path]:
    """A file of the table above by name, made once a session without our encoder."""
    folder = tmp_path_factory.mktemp("made")

    def make(name: str) -> Path:
        path = folder / name
        if not path.exists():
            run_ffmpeg(*_FILES[name].split(), path)
        return path

    return make


@pytest.fixture
def listed(run_ffmpeg: Callable[..., bytes]) -> Callable[[Path], tuple[Fraction, list[Packet]]]:
    """The unit of time (s) and the packets of a file's video, as ffmpeg lists them."""

    def read(path: Path) -> tuple[Fraction, list[Packet]]:
        text = run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "framecrc", "-").decode()
        (unit,) = [line.removeprefix("#tb 0: ") for line in text.splitlines() if line.startswith("#tb")]
        lines = [line.split(",") for line in text.splitlines() if not line.startswith("#")]
        # flags are listed where they are not those of a key packet alone; bit 0 is "key"
        flags = [[int(part.strip()[2:], 16) for part in line if "F=" in part] for line in lines]
        return Fraction(unit), [
            Packet(int(line[1]), int(line[3]), int(line[4]), not flag or bool(flag[0] & 1))
            for line, flag in zip(lines, flags, strict=True)
        ]

    return read


@pytest.fixture
def copied_hashes(
    run_ffmpeg: Callable[..., bytes], listed: Callable[[Path], tuple[Fraction, list[Packet]]]
) -> Callable[[Path], list[bytes]]:
    """Hashes of the video's packets: ffmpeg copies all out end to end, and they are cut at its own sizes."""

    def read(path: Path) -> list[bytes]:
        whole = run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "data", "-")
        hashes, position = [], 0
        for packet in listed(path)[1]:
            part = whole[position : position + packet.size]
            hashes.append(hashlib.blake2b(part, digest_size=16).digest())
            position += packet.size
        assert len(whole) == position
        return hashes

    return read
