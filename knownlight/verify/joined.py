"""The proof of clips that were joined: the packets of the parts, their times, the marks, and what is decoded.

Each part was proven by itself. That its packets are the same and begin with a picture that forgets what came
before makes the joined clip as exact, or as faulty, as its parts. It is held against a decoder all the same:
one that runs from before a boundary to the end of the first group after it must give what the parts' own
files give.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise
from pathlib import Path

import numpy as np

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Planes
from knownlight.frame.sound import Soundtrack
from knownlight.metadata.light import HdrMetadata
from knownlight.readback import mediainfo
from knownlight.readback.decode import decoded_planes
from knownlight.readback.files import Container, read_video_track
from knownlight.readback.marks import Mark, read_marks, read_mediainfo_marks
from knownlight.readback.packets import packet_hashes
from knownlight.readback.sound import read_sound
from knownlight.readback.track import VideoTrack
from knownlight.verify.blind_spots import differences
from knownlight.verify.declared import expected
from knownlight.verify.proof import placing_problems
from knownlight.verify.sound import check_sound

_PLACES = {Container.MP4: ("text track", "list"), Container.MATROSKA: ("chapters",)}  # that hold marks


@dataclass(frozen=True, kw_only=True)
class JoinedPart:
    """A clip inside a joined one. title: of its mark. track: of its own file, as it was read."""

    title: str
    path: Path
    track: VideoTrack

    @property
    def frames(self) -> int:
        """Its pictures."""
        return len(self.track.samples)

    @property
    def first_group(self) -> int:
        """Pictures before the second one that decoding may start at."""
        later = (index for index, sample in enumerate(self.track.samples) if index and sample.is_sync)
        return next(later, self.frames)


@dataclass(frozen=True, kw_only=True)
class JoinedIntent:
    """What a joined clip is meant to be. hdr: that its container declares. sound: None for no track."""

    signal: SignalFormat
    delivery: str
    parts: tuple[JoinedPart, ...]
    hdr: HdrMetadata
    sound: Soundtrack | None = Soundtrack()

    @property
    def frames(self) -> int:
        """Of all parts together."""
        return sum(part.frames for part in self.parts)


@dataclass(frozen=True, kw_only=True)
class JoinedProof:
    """What reading a joined clip back found; it passed where `problems` is empty.

    decoded_frames: about the boundaries. copied_frames: packets that are those of the parts.
    """

    problems: tuple[str, ...]
    decoded_frames: int
    copied_frames: int


def prove_joined(path: Path, intent: JoinedIntent, stop: Stop) -> JoinedProof:
    """Hold a joined clip against its parts, which lie in files of their own.

    Raises:
        UnreadableFile, ToolFailed: where it or a part cannot be read at all.
    """
    track, container = read_video_track(path)
    wanted = expected(intent.signal, intent.delivery, intent.frames, intent.hdr)
    seconds = intent.frames / intent.signal.rate
    _, sound_problems = check_sound(read_sound(path, stop), intent.sound, intent.delivery, seconds)
    problems = [
        *differences(container.value, track.stated, wanted, container),
        *differences("MediaInfo", mediainfo.read_mediainfo(path), wanted, container),
        *placing_problems(container.value, track, intent.signal, intent.sound),
        *sound_problems,
        *_mark_problems(path, intent, container),
    ]
    packets = _packet_problems(path, track, intent.parts)
    problems += packets
    start = decoded = 0
    for before, after in pairwise(intent.parts if not packets else ()):
        start += before.frames
        frames, problem = _boundary(path, start, (before, after), intent.signal, stop)
        decoded += frames
        problems += [problem] if problem else []
    return JoinedProof(
        problems=tuple(problems),
        decoded_frames=decoded,
        copied_frames=0 if packets else intent.frames,
    )


def _mark_problems(path: Path, intent: JoinedIntent, container: Container) -> list[str]:
    """Whether each place that holds marks, and MediaInfo, have one on the first picture of every part."""
    rate, start = intent.signal.rate, 0
    wanted = []
    for part in intent.parts:
        wanted.append((start, part.title))
        start += part.frames

    def on_pictures(marks: Sequence[Mark]) -> list[tuple[int, str]]:
        return [(int(mark.seconds * rate), mark.title) for mark in marks]

    found = read_marks(path)
    problems = [
        f"marks: those of the {place} are not on the first pictures of the clips"
        for place in _PLACES[container]
        if on_pictures(found.get(place, ())) != wanted
    ]
    menus = read_mediainfo_marks(path)
    if not menus or any(on_pictures(menu) != wanted for menu in menus):
        problems.append("marks: those that MediaInfo finds are not on the first pictures of the clips")
    return problems


def _packet_problems(path: Path, track: VideoTrack, parts: Sequence[JoinedPart]) -> list[str]:
    """Whether its packets are those of the parts in order, and decoding may start at the same of them."""
    found = list(zip(packet_hashes(path, track.samples), _starts(track), strict=True))
    start = 0
    for part in parts:
        own = list(zip(packet_hashes(part.path, part.track.samples), _starts(part.track), strict=True))
        if not part.track.samples[0].is_sync:
            return [f"packets: {part.title} does not begin with a picture that decoding may start at"]
        for index, packet in enumerate(own, start):
            if found[index : index + 1] != [packet]:
                return [f"packets: picture {index} is not picture {index - start} of {part.title}"]
        start += part.frames
    return [f"packets: there are {len(found)}, the clips have {start}"] if len(found) != start else []


def _starts(track: VideoTrack) -> Iterator[bool]:
    return (sample.is_sync for sample in track.samples)


def _boundary(
    path: Path, start: int, sides: tuple[JoinedPart, JoinedPart], signal: SignalFormat, stop: Stop
) -> tuple[int, str]:
    """Decode from the picture before a boundary on; how many pictures, and what is wrong with them."""
    before, after = sides
    frames = 1 + after.first_group
    joined = decoded_planes(path, signal, frames, stop, start=start - 1)
    own = chain(
        decoded_planes(before.path, signal, 1, stop, start=before.frames - 1),
        decoded_planes(after.path, signal, frames - 1, stop),
    )
    done = 0
    try:
        for found, wanted in zip(joined, own, strict=False):
            if not _same(found, wanted):
                whose = f"picture {done - 1} of {after.title}" if done else f"the last of {before.title}"
                return done, f"pixels: picture {start - 1 + done} does not decode as {whose}"
            done += 1
    except ToolFailed as error:
        stop.check()
        return done, f"pixels: {error}"
    if done != frames:
        return done, f"pixels: {done} of {frames} pictures decode about the start of {after.title}"
    return done, ""


def _same(one: Planes, other: Planes) -> bool:
    return all(np.array_equal(mine, theirs) for mine, theirs in zip(one, other, strict=True))
