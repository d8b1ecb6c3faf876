"""Length by copying: a closed group is written once and its packets are repeated into the container.

The group opens with a picture that forgets everything before it and has no reordered pictures, so a repeat
decodes to the same pixels; readback proves that the packets are the same. Times are counted anew from the
number of each picture, so that no rounding of a group's length adds up. Sound is made in the same pass:
repeating a track that already has sound would repeat its priming too.
"""

from fractions import Fraction
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode.container import Container
from knownlight.encode.raw import BIT_EXACT

SAMPLE_RATE = 48000


def silence(frames: int, rate: Fraction) -> list[str]:
    """Ffmpeg's arguments for an input of silence as long as so many frames."""
    seconds = f"{float(frames / rate):.6f}"
    return ["-f", "lavfi", "-t", seconds, "-i", f"anullsrc=r={SAMPLE_RATE}:cl=stereo"]


def _times(rate: Fraction) -> list[str]:
    return ["-bsf:v", f"setts=ts=N/({rate})/TB"]


def repeat(
    group: Path, to: Path, *, group_frames: int, frames: int, rate: Fraction, container: Container, name: str,
    stop: ffmpeg.Stop,
) -> None:  # fmt: skip
    """Write a file of `frames` frames that repeats the group, with a silent stereo track.

    Args:
        group: one closed group of `group_frames` pictures, without sound.
        to: file to write.
        group_frames: pictures of the group.
        frames: pictures to write; need not be a multiple.
        rate: frames/s.
        container: kind of file.
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
            *("-map", "0:v:0", "-map", "1:a:0", "-c:v", "copy", *_times(rate), "-frames:v", str(frames)),
            *(*container.sound, *BIT_EXACT, *container.arguments, str(to)),
        ],
        what=f"{name} could not be written",
        stop=stop,
    )


def extend(
    group: Path, to: Path, *, group_frames: int, frames: int, kind: str, name: str, stop: ffmpeg.Stop
) -> None:
    """Write `frames` frames that repeat the group, without sound: a piece to be joined with others.

    kind: of file, as ffmpeg names it.

    Raises:
        ToolFailed: where ffmpeg could not write it.
    """
    times = -(-frames // group_frames)
    ffmpeg.run(
        [
            *("-v", "error", "-stream_loop", str(times - 1), "-i", str(group)),
            *("-map", "0:v:0", "-c:v", "copy", "-frames:v", str(frames), *BIT_EXACT, "-f", kind, str(to)),
        ],
        what=f"{name} could not be written",
        stop=stop,
    )


def join(
    pieces: list[Path], to: Path, *, frames: int, rate: Fraction, container: Container, name: str,
    stop: ffmpeg.Stop,
) -> None:  # fmt: skip
    """Copy the packets of pieces one after another, with times counted anew from their number.

    Args:
        pieces: files of one folder, without sound, of the same coder settings.
        to: file to write.
        frames: pictures of all together.
        rate: frames/s.
        container: kind of file.
        name: the file's final one, for messages.
        stop: ends it from another thread.

    Raises:
        ToolFailed: where ffmpeg could not write it.
    """
    listing = pieces[0].parent / "pieces.txt"
    listing.write_text("ffconcat version 1.0\n" + "".join(f"file {piece.name}\n" for piece in pieces))
    ffmpeg.run(
        [
            *("-v", "error", "-f", "concat", "-i", str(listing)),
            *silence(frames, rate),
            *("-map", "0:v:0", "-map", "1:a:0", "-c:v", "copy", *_times(rate), "-frames:v", str(frames)),
            *(*container.sound, *BIT_EXACT, *container.arguments, str(to)),
        ],
        what=f"{name} could not be written",
        stop=stop,
    )
