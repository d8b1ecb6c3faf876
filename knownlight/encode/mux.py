"""Length by copying: a closed group is written once and its packets are repeated into the container.

The group opens with a picture that forgets everything before it and has no reordered pictures, so a repeat
decodes to the same pixels; readback proves that the packets are the same. Times are counted anew from the
number of each picture, so that no rounding of a group's length adds up. Sound is made in the same pass:
repeating a track that already has sound would repeat its priming too. The coders' delay (AAC 1024 samples,
AC-3 256, MP2 481, Opus 312) needs no correction: ffmpeg writes it as an edit (MP4), as the codec's delay
(Matroska, WebM), or as time stamps that are earlier than the pictures' (transport streams).
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from knownlight import ffmpeg, pipes
from knownlight.encode.container import Container
from knownlight.encode.raw import BIT_EXACT, PLAIN, hdr_of_input
from knownlight.encode.sound import blocks, input_arguments
from knownlight.frame.sound import Soundtrack
from knownlight.metadata.light import HdrMetadata


def _written(
    source: list[str], to: Path, *, frames: int, rate: Fraction, container: Container,
    sound: Soundtrack | None, name: str, stop: ffmpeg.Stop, marks: Path | None = None,
) -> None:  # fmt: skip
    """Copy the first pictures of ffmpeg's input `source` into a file, and code its sound beside them.

    marks: a file of chapter marks, as ffmpeg takes them.
    """
    # what is too much is dropped: -frames:v would end the sound with it, before the sound's last packet
    pictures = f"noise=amount=0:drop=gte(n\\,{frames}),setts=ts=N/({rate})/TB"
    heard = [] if sound is None else ["-map", "1:a:0", *container.sound]
    marked, described = [], BIT_EXACT
    if marks is not None:
        marked = ["-f", "ffmetadata", "-i", str(marks), "-map_chapters", "1" if sound is None else "2"]
        # of the whole and of its tracks nothing is copied, and of the marks their titles are
        described = [*PLAIN, "-map_metadata:g", "-1", "-map_metadata:s", "-1"]
    pipes.feed(
        [
            *("-v", "error", *source, *([] if sound is None else input_arguments()), *marked),
            *("-map", "0:v:0", "-c:v", "copy", "-bsf:v", pictures, *heard),
            *(*described, *container.arguments, str(to)),
        ],
        ([] if sound is None else ([block] for block in blocks(sound, frames / rate))),
        what=f"{name} could not be written",
        stop=stop,
        on_frames=lambda _done: None,
    )


def repeat(
    group: Path, to: Path, *, group_frames: int, frames: int, rate: Fraction, container: Container,
    sound: Soundtrack | None, name: str, stop: ffmpeg.Stop,
) -> None:  # fmt: skip
    """Write a file of `frames` frames that repeats the group, with its sound.

    Args:
        group: one closed group of `group_frames` pictures, without sound.
        to: file to write.
        group_frames: pictures of the group.
        frames: pictures to write; need not be a multiple.
        rate: frames/s.
        container: kind of file.
        sound: its sound track; None for none.
        name: the file's final one, for messages.
        stop: ends it from another thread.

    Raises:
        ToolFailed: where ffmpeg could not write it (a full disk among other reasons).
    """
    times = -(-frames // group_frames)
    _written(
        ["-stream_loop", str(times - 1), "-i", str(group)],
        to,
        frames=frames,
        rate=rate,
        container=container,
        sound=sound,
        name=name,
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
    pieces: list[Path], to: Path, *, frames: int, rate: Fraction, container: Container,
    sound: Soundtrack | None, name: str, stop: ffmpeg.Stop,
) -> None:  # fmt: skip
    """Copy the packets of pieces one after another, with times counted anew from their number.

    Args:
        pieces: files of one folder, without sound, of the same coder settings.
        to: file to write.
        frames: pictures of all together.
        rate: frames/s.
        container: kind of file.
        sound: its sound track; None for none.
        name: the file's final one, for messages.
        stop: ends it from another thread.

    Raises:
        ToolFailed: where ffmpeg could not write it.
    """
    listing = pieces[0].parent / "pieces.txt"
    listing.write_text("ffconcat version 1.0\n" + "".join(f"file {piece.name}\n" for piece in pieces))
    _written(
        ["-f", "concat", "-i", str(listing)],
        to,
        frames=frames,
        rate=rate,
        container=container,
        sound=sound,
        name=name,
        stop=stop,
    )


def join_clips(
    clips: Sequence[tuple[str, Path, int]], to: Path, *, rate: Fraction, container: Container,
    sound: Soundtrack | None, hdr: HdrMetadata, name: str, stop: ffmpeg.Stop,
) -> None:  # fmt: skip
    """Copy the packets of whole clips one after another, with a chapter mark at the first picture of each.

    The configuration record is that of the first clip. Of HEVC and AV1 it has a copy of that clip's messages
    of light and display, too, which those that come with the pictures of each clip replace.

    Args:
        clips: title, file and frames of each, of the same setup of the decoder; in MP4, Matroska or WebM.
        to: file to write; lists are kept beside it while it is written.
        rate: frames/s.
        container: kind of file; no transport stream, which has no marks.
        sound: its sound track; None for none.
        hdr: static metadata that the container declares of the whole.
        name: the file's final one, for messages.
        stop: ends it from another thread.

    Raises:
        ToolFailed: where ffmpeg could not write it.
    """
    listing, marks = to.with_name(to.name + ".list"), to.with_name(to.name + ".marks")
    files = "".join(f"file {_quoted(path.absolute())}\n" for _, path, _ in clips)
    try:
        listing.write_text(f"ffconcat version 1.0\n{files}", encoding="utf-8")
        marks.write_text(_marks([(title, frames) for title, _, frames in clips], rate), encoding="utf-8")
        _written(
            # packets stay as they are: joined AVC would else get its parameter sets in every key picture
            [*hdr_of_input(hdr), "-f", "concat", "-safe", "0", "-auto_convert", "0", "-i", str(listing)],
            to,
            frames=sum(frames for _, _, frames in clips),
            rate=rate,
            container=container,
            sound=sound,
            name=name,
            stop=stop,
            marks=marks,
        )
    finally:
        listing.unlink(missing_ok=True)
        marks.unlink(missing_ok=True)


def _quoted(path: Path) -> str:
    """A path as ffmpeg's lists take it."""
    return "'" + str(path).replace("'", "'\\''") + "'"


def _marks(clips: Sequence[tuple[str, int]], rate: Fraction) -> str:
    """Marks as ffmpeg takes them, from titles and frames.

    Times are in milliseconds, all that MP4 keeps, rounded up: a mark lies on its first picture, not before.
    """
    lines, start = [";FFMETADATA1"], 0
    for title, frames in clips:
        begin, end = (math.ceil(1000 * frame / rate) for frame in (start, start + frames))
        lines += ["[CHAPTER]", "TIMEBASE=1/1000", f"START={begin}", f"END={end}", f"title={title}"]
        start += frames
    return "\n".join(lines) + "\n"
