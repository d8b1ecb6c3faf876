"""Ratios: what holding a picture saves, what feeding the encoder, proving and measuring cost.

`python -m benchmarks [SIZE]` (default 2160) prints each with the times it is made of.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from knownlight import ffmpeg, pipes
from knownlight.encode.deliveries import write_clip
from knownlight.encode.delivery import Order
from knownlight.encode.raw import frame_filter, raw_input
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sources import FrameSource, unrepeated_frames
from knownlight.metadata.light import HdrMetadata, hdr_metadata
from knownlight.readback.decode import decoded_planes
from knownlight.stress.any_file import measure
from knownlight.stress.cambi import cambi
from knownlight.stress.meter import EVERY
from knownlight.verify.proof import Intent, prove
from patterns.registry import build

_SECONDS = 60
_FED_FRAMES = 120  # of the whole clip; the rest would take minutes and cost the same each
_LOSSLESS = (
    "log-level=none:info=0:repeat-headers=1:aud=1:open-gop=0:scenecut=0:bframes=0:ref=1:rc-lookahead=0:pools=2"
    ":frame-threads=1:wpp=1:me=umh:lossless=1:rd=4"
)
_ROUNDS = 3
_MEASURED_FRAMES = 240


def timed(action: Callable[[], object]) -> float:
    """Seconds of the fastest of some rounds."""
    times = []
    for _ in range(_ROUNDS):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def encode_file(signal: SignalFormat, raw: Path, frames: int, to: Path) -> None:
    """The encoder alone, fed from a file of raw frames."""
    source = raw_input(signal, HdrMetadata())
    source[source.index("pipe:0")] = str(raw)
    subprocess.run(
        [
            *(ffmpeg.binary(), "-hide_banner", "-nostdin", "-y", "-v", "error", *source),
            *("-frames:v", str(frames), "-vf", frame_filter(signal)),
            *("-c:v", "libx265", "-preset", "superfast"),
            *("-x265-params", f"{_LOSSLESS}:keyint={frames}:min-keyint={frames}", "-f", "mp4", str(to)),
        ],
        check=True,
    )


def write_raw(source: FrameSource, frames: int, to: Path) -> None:
    """A file of raw frames."""
    with to.open("wb") as file:
        for frame in unrepeated_frames(source, frames):
            for plane in frame.planes:
                file.write(plane.tobytes())


def whole_order(
    signal: SignalFormat, source: FrameSource, frames: int, hdr: HdrMetadata, folder: Path
) -> Order:
    """An order for a clip, told to nobody."""
    return Order(
        name="clip.mp4",
        signal=signal,
        source=source,
        frames=frames,
        hdr=hdr,
        work=folder,
        stop=ffmpeg.Stop(),
        on_frames=lambda _done, _total: None,
    )


def held_picture(size: int, folder: Path) -> str:
    """A minute of a still against feeding every frame to the same encoder."""
    signal = parse_signal_format(f"{size}p60-pq")
    source = build("window", {"luminance": 1000}).draw(signal)
    frames = int(_SECONDS * signal.rate)
    order = whole_order(signal, source, frames, HdrMetadata(), folder)
    held = timed(lambda: write_clip("hevc-mp4", order, folder / "clip.mp4"))
    raw = folder / "frames.yuv"
    planes = b"".join(plane.tobytes() for plane in source.frame(0).planes)
    with raw.open("wb") as file:
        for _ in range(_FED_FRAMES):
            file.write(planes)
    fed = timed(lambda: encode_file(signal, raw, _FED_FRAMES, folder / "fed.mp4")) * frames / _FED_FRAMES
    raw.unlink()
    return (
        f"still of {_SECONDS} s at {signal.name}: {held:.2f} s; every frame fed {fed:.0f} s "
        f"(from {_FED_FRAMES} frames): {fed / held:.0f} times faster (goal 100)"
    )


def fed_encoder(size: int, folder: Path) -> str:
    """Unrepeated frames drawn and piped, against the encoder alone fed from a file of them."""
    signal = parse_signal_format(f"{size}p60-pq")
    pattern = build("pan", {"content": "text"})
    source = pattern.draw(signal)
    frames = source.unrepeated(10**9)
    raw = folder / "frames.yuv"
    write_raw(source, frames, raw)
    alone = timed(lambda: encode_file(signal, raw, frames, folder / "alone.mp4"))
    raw.unlink()
    base = folder / "fed.mp4"
    arguments = [
        *("-v", "error", *raw_input(signal, HdrMetadata()), "-vf", frame_filter(signal)),
        *("-c:v", "libx265", "-preset", "superfast"),
        *("-x265-params", f"{_LOSSLESS}:keyint={frames}:min-keyint={frames}", "-f", "mp4", str(base)),
    ]

    def draw_and_feed() -> None:
        pipes.feed(
            arguments,
            (frame.planes for frame in unrepeated_frames(pattern.draw(signal), frames)),
            what="benchmark",
            stop=ffmpeg.Stop(),
            on_frames=lambda _done: None,
        )

    fed = timed(draw_and_feed)
    return (
        f"{frames} unrepeated frames at {signal.name}: drawn and piped {fed:.2f} s, encoder alone "
        f"{alone:.2f} s: {fed / alone:.3f} times (goal 1.05)"
    )


def proven_clip(size: int, folder: Path) -> str:
    """Proving unrepeated frames, against decoding them to a pipe and throwing them away."""
    signal = parse_signal_format(f"{size}p60-pq")
    pattern = build("pan", {"content": "text"})
    source = pattern.draw(signal)
    light = pattern.claims(signal).light(signal.encoding)
    assert light is not None  # noqa: S101 - this pattern states its areas
    hdr = hdr_metadata(signal, light)
    frames = source.unrepeated(10**9)
    clip, stop = folder / "proven.mp4", ffmpeg.Stop()
    order = whole_order(signal, source, frames, hdr, folder)
    encoded = write_clip("hevc-mp4", order, clip)
    intent = Intent(
        pattern=pattern,
        signal=signal,
        source=source,
        delivery="hevc-mp4",
        frames=frames,
        group=encoded.group,
        error_limit=encoded.error_limit,
        hdr=hdr,
    )
    bare = timed(lambda: sum(1 for _ in decoded_planes(clip, signal, frames, stop)))
    proven = timed(lambda: prove(clip, intent, stop))
    return (
        f"{frames} unrepeated frames at {signal.name}: proven in {proven:.2f} s, decoded alone "
        f"{bare:.2f} s: {proven / bare:.3f} times (goal 1.15)"
    )


def measured_file(_size: int, folder: Path) -> str:
    """Measuring a blocky AVC clip of 1080 lines, banding included, against decoding it and CAMBI alone."""
    signal = parse_signal_format("1080p24-sdr")
    source = build("fog", {}).draw(signal)
    raw, clip, stop = folder / "frames.yuv", folder / "blocky.mp4", ffmpeg.Stop()
    write_raw(source, _MEASURED_FRAMES, raw)
    subprocess.run(
        [
            *(ffmpeg.binary(), "-hide_banner", "-nostdin", "-y", "-v", "error", "-f", "rawvideo"),
            *("-s", "1920x1080", "-r", "24", "-pix_fmt", "yuv420p", "-i", str(raw)),
            *("-c:v", "libx264", "-preset", "veryfast", "-crf", "20"),
            *("-x264-params", "no-deblock=1:aq-mode=0", str(clip)),
        ],
        check=True,
    )
    raw.unlink()
    bare = timed(lambda: sum(1 for _ in decoded_planes(clip, signal, _MEASURED_FRAMES, stop)))
    banding = timed(lambda: cambi(clip, frames=None, every=EVERY, stop=stop))
    whole = timed(lambda: measure(clip, stop))
    return (
        f"{_MEASURED_FRAMES} frames at {signal.name}: measured in {whole:.2f} s, "
        f"{_MEASURED_FRAMES / whole:.0f} frames/s (goal 100); CAMBI alone {banding:.2f} s, decoded alone "
        f"{bare:.2f} s: {whole / banding:.2f} times CAMBI, {whole / bare:.2f} times the decode"
    )


def main() -> None:
    """Print the ratios."""
    size = int(sys.argv[1]) if len(sys.argv) > 1 else 2160
    with tempfile.TemporaryDirectory() as folder:
        for ratio in (held_picture, fed_encoder, proven_clip, measured_file):
            sys.stdout.write(ratio(size, Path(folder)) + "\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
