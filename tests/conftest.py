"""Fixtures that several tests share: our clips, clips made without our encoder, and second decoders."""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Protocol

import imageio_ffmpeg
import numpy as np
import pytest

from knownlight.encode.deliveries import delivery_named, write_clip
from knownlight.encode.delivery import Encoded, Order
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, Planes, plane_shapes, sample_type
from knownlight.metadata.light import hdr_metadata
from knownlight.pack.cache import FOLDER_VARIABLE
from knownlight.pack.job import Job
from knownlight.pack.make import declared_light
from knownlight.verify.proof import Intent
from patterns.registry import build
from tests.sheet_pack import render_sheet_pack

DEC265 = "libde265-dec265"

# Clips that share nothing with our encoder: ffmpeg's own test picture, coded as ffmpeg likes. Groups are
# closed, because libde265 1.0.11 loses the leading pictures of open ones.
_HEVC = "-c:v libx265 -x265-params log-level=none:keyint=8:min-keyint=8:open-gop=0:pools=1:bframes="
_BT2020 = "color_primaries=bt2020:colorspace=bt2020nc:chroma_location=topleft"
_BT709 = "color_primaries=bt709:colorspace=bt709:chroma_location=left"
_P3_1000 = "G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)"
_LAVFI = {
    "hevc-hlg-full": (
        "-f lavfi -i testsrc2=s=320x178:r=30000/1001 -frames:v 20 "
        f"-vf format=yuv420p10le,setparams=range=full:color_trc=arib-std-b67:{_BT2020} {_HEVC}3 -tag:v hvc1"
    ),
    "hevc-pq-metadata": (
        f"-mastering_display {_P3_1000} -content_light 1000,400 "
        "-f lavfi -i testsrc2=s=320x178:r=50 -frames:v 20 "
        f"-vf format=yuv420p10le,setparams=range=limited:color_trc=smpte2084:{_BT2020} {_HEVC}0 "
        "-tag:v hev1 -movflags +faststart"
    ),
    "hevc-sdr": (
        "-f lavfi -i testsrc2=s=322x178:r=24 -frames:v 20 "
        f"-vf format=yuv420p,setparams=range=limited:color_trc=bt709:{_BT709} {_HEVC}2 -tag:v hvc1"
    ),
    "avc-sdr-sound": (
        "-f lavfi -i testsrc2=s=322x178:r=25 -f lavfi -t 1 -i anullsrc=r=48000:cl=stereo -frames:v 20 "
        f"-vf format=yuv420p,setparams=range=limited:color_trc=bt709:{_BT709} "
        "-c:v libx264 -bf 2 -g 8 -threads 1 -c:a aac"
    ),
    "avc-undescribed": "-f lavfi -i testsrc2=s=320x176:r=25 -frames:v 3 -pix_fmt yuv420p -c:v libx264 -bf 0",
    "mpeg4": "-f lavfi -i testsrc2=s=320x176:r=25 -frames:v 3 -c:v mpeg4",
    "sound-only": "-f lavfi -t 0.5 -i anullsrc=r=48000:cl=stereo -c:a aac",
    "two-pictures-tracks": (
        "-f lavfi -i testsrc2=s=320x176:r=25 -f lavfi -i testsrc=s=320x176:r=25 "
        "-map 0:v -map 1:v -frames:v 3 -pix_fmt yuv420p -c:v libx264"
    ),
}


@dataclass(frozen=True)
class Clip:
    """A clip of ours: the file, what it is meant to be, and what the encoder says of it."""

    path: Path
    intent: Intent
    encoded: Encoded


class MakeClip(Protocol):
    """Writes a clip of a pattern in a signal format; a signal as text has its usual options."""

    def __call__(
        self,
        pattern: str,
        signal: str | SignalFormat,
        frames: int,
        delivery: str = "hevc-mp4",
        **keys: str | float,
    ) -> Clip: ...


def _write(
    folder: Path,
    pattern: str,
    signal: str | SignalFormat,
    *,
    frames: int,
    delivery: str,
    keys: dict[str, str | float],
) -> Clip:
    form = parse_signal_format(signal) if isinstance(signal, str) else signal
    drawn = build(pattern, keys)
    path = folder / f"{pattern}-{form.name}{delivery_named(delivery).suffix}"
    seconds = Fraction(frames) / form.rate
    job = Job(id=pattern, file=path.name, pattern=drawn, signal=form, delivery=delivery, seconds=seconds)
    source = job.shown.draw(form)
    hdr = hdr_metadata(form, declared_light(job, source))
    work = folder / "work"
    work.mkdir(parents=True)
    order = Order(
        name=path.name,
        signal=form,
        source=source,
        frames=frames,
        hdr=hdr,
        work=work,
        stop=Stop(),
        on_frames=lambda _done, _of: None,
        sound=job.soundtrack,
    )
    encoded = write_clip(delivery, order, path)
    intent = Intent(
        pattern=job.shown,
        signal=form,
        source=source,
        delivery=delivery,
        frames=frames,
        group=encoded.group,
        pieces=encoded.pieces,
        error_limit=encoded.error_limit,
        hdr=hdr,
        sound=job.soundtrack,
    )
    return Clip(path, intent, encoded)


@pytest.fixture
def make_clip(tmp_path: Path) -> MakeClip:
    """Writes a clip of its own to a folder of its own each time; the test may damage it."""

    def make(
        pattern: str,
        signal: str | SignalFormat,
        frames: int,
        delivery: str = "hevc-mp4",
        **keys: str | float,
    ) -> Clip:
        folder = tmp_path / f"clip-{len(list(tmp_path.iterdir()))}"
        return _write(folder, pattern, signal, frames=frames, delivery=delivery, keys=keys)

    return make


@pytest.fixture(scope="session")
def shared_clip(tmp_path_factory: pytest.TempPathFactory) -> MakeClip:
    """Writes each clip once a session; tests read it and copy it, and never change it."""
    written: dict[object, Clip] = {}

    def make(
        pattern: str,
        signal: str | SignalFormat,
        frames: int,
        delivery: str = "hevc-mp4",
        **keys: str | float,
    ) -> Clip:
        key = (pattern, signal, frames, delivery, tuple(sorted(keys.items())))
        if key not in written:
            folder = tmp_path_factory.mktemp("shared")
            written[key] = _write(folder, pattern, signal, frames=frames, delivery=delivery, keys=keys)
        return written[key]

    return make


@pytest.fixture(scope="session", autouse=True)
def _cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What tests prove is not kept with the user's."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(FOLDER_VARIABLE, str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def stop() -> Stop:
    """A stop that nobody asks for."""
    return Stop()


@pytest.fixture(scope="session")
def run_ffmpeg() -> Callable[..., bytes]:
    """Runs the ffmpeg binary without any of our code and returns its standard output."""

    def run(*arguments: str | Path) -> bytes:
        command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-nostdin", "-y", *map(str, arguments)]
        quiet = {**os.environ, "SVT_LOG": "0"}  # that encoder does not ask ffmpeg how much to say
        finished = subprocess.run(command, capture_output=True, check=False, env=quiet)
        assert (0, "") == (finished.returncode, finished.stderr.decode())
        return finished.stdout

    return run


@pytest.fixture(scope="session")
def independent_clip(
    tmp_path_factory: pytest.TempPathFactory, run_ffmpeg: Callable[..., bytes]
) -> Callable[[str], Path]:
    """A clip of the table above by name, made once a session without our encoder."""
    folder = tmp_path_factory.mktemp("independent")

    def make(name: str) -> Path:
        path = folder / f"{name}.mp4"
        if not path.exists():
            run_ffmpeg(*_LAVFI[name].split(), path)
        return path

    return make


def _as_pictures(data: bytes, signal: SignalFormat) -> Iterator[Planes]:
    shapes = plane_shapes(signal)
    counts = [rows * columns for rows, columns in shapes]
    samples = np.frombuffer(data, dtype=np.dtype(sample_type(signal.depth)).newbyteorder("<"))
    assert 0 == samples.size % sum(counts)
    for picture in samples.reshape(-1, sum(counts)):
        luma, first, second = np.split(picture, [counts[0], counts[0] + counts[1]])
        yield luma.reshape(shapes[0]), first.reshape(shapes[1]), second.reshape(shapes[2])


@pytest.fixture(scope="session")
def all_pictures(run_ffmpeg: Callable[..., bytes]) -> Callable[[Path, SignalFormat], list[Planes]]:
    """Every picture of a file by one plain ffmpeg command; shares nothing with readback."""

    def decode(path: Path, signal: SignalFormat) -> list[Planes]:
        data = run_ffmpeg("-i", path, "-map", "0:v", "-fps_mode", "passthrough", "-f", "rawvideo", "-")
        return list(_as_pictures(data, signal))

    return decode


@pytest.fixture(scope="session")
def dec265(
    tmp_path_factory: pytest.TempPathFactory, run_ffmpeg: Callable[..., bytes]
) -> Callable[[Path, SignalFormat], list[Planes]]:
    """Every picture of an HEVC file by libde265, a decoder that shares no code with ffmpeg.

    It writes a sample as one byte at 8 bits and as two, little endian, at 10.
    """
    program = shutil.which(DEC265)
    if program is None:
        pytest.skip(f"{DEC265} is absent; Debian's libde265-examples has it")
    folder = tmp_path_factory.mktemp("dec265")

    def decode(path: Path, signal: SignalFormat) -> list[Planes]:
        raw, planes = folder / "raw.hevc", folder / "planes.yuv"
        run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-bsf:v", "hevc_mp4toannexb", "-f", "hevc", raw)
        subprocess.run([program, "-q", "-o", planes, raw], capture_output=True, check=True)
        return list(_as_pictures(planes.read_bytes(), signal))

    return decode


@pytest.fixture(scope="session")
def assert_same_planes() -> Callable[[Frame, Planes, str], None]:
    """Fails with the plane, the place and both values of the first sample that differs."""

    def check(expected: Frame, actual: Planes, where: str) -> None:
        for name, wanted, got in zip(("Y", "Cb", "Cr"), expected.planes, actual, strict=True):
            wrong = np.argwhere(wanted != got)
            if wrong.size:
                y, x = wrong[0]
                pytest.fail(
                    f"{where}: {name} plane differs at x={x} y={y}: expected {wanted[y, x]}, got {got[y, x]} "
                    f"({len(wrong):,} of {wanted.size:,} samples)"
                )

    return check


@pytest.fixture
def window(shared_clip: MakeClip) -> Clip:
    """An exact PQ clip of ten and a half groups of twelve pictures, to tamper with copies of.

    Decoders that read ahead of the first group do not get to its end.
    """
    return shared_clip("window", "720p24-pq", 126, luminance=1000.0)


@pytest.fixture
def tampered(window: Clip, tmp_path: Path) -> Callable[[int, bytes, bytes], Path]:
    """Writes a copy of that clip with bytes at a place changed; they must be as expected before."""

    def write(place: int, old: bytes, new: bytes) -> Path:
        data = window.path.read_bytes()
        assert len(old) == len(new)
        assert old == data[place : place + len(old)]
        path = tmp_path / "tampered.mp4"
        path.write_bytes(data[:place] + new + data[place + len(old) :])
        return path

    return write


@pytest.fixture
def tampered_box(
    window: Clip, tampered: Callable[[int, bytes, bytes], Path]
) -> Callable[[bytes, int, bytes, bytes], Path]:
    """The same for bytes at a place of the content of the first box of a kind."""

    def write(kind: bytes, at: int, old: bytes, new: bytes) -> Path:
        return tampered(window.path.read_bytes().index(kind) + len(kind) + at, old, new)

    return write


@pytest.fixture(scope="session")
def sheet_pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the pack that a run sheet is made of; tests that write work on copies."""
    return render_sheet_pack(tmp_path_factory.mktemp("small"))
