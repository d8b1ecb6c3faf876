"""Length by copying: a closed group is written once and its packets are repeated.

The group opens with a picture that forgets everything before it and has no reordered pictures, so a repeat
decodes to the same pixels; readback proves that the packets are the same. Sound is made in the same pass:
repeating a track that already has sound would repeat its priming too.
"""

from fractions import Fraction
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode.raw import BIT_EXACT

SAMPLE_RATE = 48000


def silence(frames: int, rate: Fraction) -> list[str]:
    """Ffmpeg's arguments for an input of silence as long as so many frames."""
    seconds = f"{float(frames / rate):.6f}"
    return ["-f", "lavfi", "-t", seconds, "-i", f"anullsrc=r={SAMPLE_RATE}:cl=stereo"]


def repeat(
    group: Path,
    to: Path,
    *,
    group_frames: int,
    frames: int,
    rate: Fraction,
    tag: str,
    name: str,
    stop: ffmpeg.Stop,
) -> None:
    """Write an MP4 of `frames` frames that repeats the group, with a silent stereo track.

    Args:
        group: MP4 of one closed group of `group_frames` pictures, without sound.
        to: file to write.
        group_frames: pictures of the group.
        frames: pictures to write; need not be a multiple.
        rate: frames/s.
        tag: sample entry, `hvc1` or `avc1`.
        name: the file's final one, for messages.
        stop: ends it from another thread.

    Raises:
        ToolFailed: where ffmpeg could not write it (a full disk among other reasons).
    """
    times = -(-frames // group_frames)
    ffmpeg.run(
        [
            *("-v", "error", "-stream_loop", str(times - 1), "-i", str(group)),
            *silence(frames, rate),
            *("-map", "0:v:0", "-map", "1:a:0", "-c:v", "copy", "-frames:v", str(frames)),
            *("-c:a", "aac", "-b:a", "96k", "-tag:v", tag, *BIT_EXACT),
            *("-movflags", "+faststart", "-f", "mp4", str(to)),
        ],
        what=f"{name} could not be written",
        stop=stop,
    )
