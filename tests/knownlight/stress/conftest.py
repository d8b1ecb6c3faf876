"""Pictures with known faults, and clips of fog coded poorly without our encoder."""

import subprocess
from pathlib import Path
from typing import Protocol

import imageio_ffmpeg
import pytest

from knownlight.frame.format import parse_signal_format
from knownlight.signal.arrays import PlaneArray
from patterns.registry import build

# blocks for certain: no loop filter, no adaptive quantiser; one thread, so that it repeats
CHROMA = bytes([128]) * (720 * 480 // 2)  # both planes: ffmpeg rescales the codes of grey pictures
BLOCKY = (
    "-preset veryfast -profile:v high -g 48 -x264-params no-deblock=1:aq-mode=0:threads=1:cpu-independent=1"
)


class CodeFog(Protocol):
    """Codes fog of a seed with libx264 at a constant rate factor."""

    def __call__(self, *, seed: int, crf: float, pictures: int = 11) -> Path: ...


def fog(pictures: int, seed: int = 1, size: int = 480) -> list[PlaneArray]:
    """Luma of fog at 8 bits."""
    source = build("fog", {"seed": seed}).draw(parse_signal_format(f"{size}p29.97-sdr"))
    return [source.frame(index).planes[0] for index in range(pictures)]


@pytest.fixture(scope="session")
def code_fog(tmp_path_factory: pytest.TempPathFactory) -> CodeFog:
    """Each clip is coded once a session, by one plain ffmpeg command."""
    folder = tmp_path_factory.mktemp("fog")
    drawn: dict[tuple[int, int], bytes] = {}

    def code(*, seed: int, crf: float, pictures: int = 11) -> Path:
        path = folder / f"{seed}-{crf}-{pictures}.mp4"
        if not path.exists():
            if (seed, pictures) not in drawn:
                drawn[seed, pictures] = b"".join(plane.tobytes() + CHROMA for plane in fog(pictures, seed))
            command = [
                *(imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-y", "-f", "rawvideo", "-s", "720x480"),
                *("-r", "24", "-pix_fmt", "yuv420p", "-i", "-", "-c:v", "libx264"),
                *("-crf", str(crf), *BLOCKY.split(), str(path)),
            ]
            subprocess.run(command, input=drawn[seed, pictures], check=True)
        return path

    return code
