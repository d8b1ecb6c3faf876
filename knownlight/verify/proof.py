"""The proof of a clip: decoded again, compared, and its headers read in three ways."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Claims, CodeTriple, LightLevels, Pattern
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Planes
from knownlight.frame.sound import Soundtrack
from knownlight.frame.sources import FrameSource
from knownlight.metadata.light import HdrMetadata
from knownlight.readback import mediainfo
from knownlight.readback.bitstream import read_both_copies
from knownlight.readback.files import read_video_track
from knownlight.readback.packets import packet_hashes
from knownlight.readback.sound import read_sound
from knownlight.readback.track import VideoTrack
from knownlight.verify.blind_spots import differences
from knownlight.verify.compare import NOTHING, Beside, Comparison, compare, together
from knownlight.verify.declared import expected
from knownlight.verify.light import claimed_problems, declared_problems
from knownlight.verify.parts import Part, decoded_part, parts_of
from knownlight.verify.sound import SoundFound, check_sound

_WHOLE_PIXELS = 0.5  # WebM stores the size to be shown at in whole pixels


@dataclass(frozen=True, kw_only=True)
class Intent:
    """What a clip is meant to be.

    frames: whole length. group: pictures that are no copies. pieces: of a sequence, the same for each piece,
    adding up to the group. error_limit: largest code error allowed;
    0 for an exact clip. hdr: static metadata that it declares.
    on_purpose: whether that differs from the picture on purpose; it must be what the file says all the same.
    level: that it declares, where it is not the one that size and rate ask for. sound: None for no track.
    """

    pattern: Pattern
    signal: SignalFormat
    source: FrameSource
    delivery: str
    frames: int
    group: int
    error_limit: int
    hdr: HdrMetadata
    on_purpose: bool = False
    pieces: tuple[int, ...] = ()
    level: str = ""
    sound: Soundtrack | None = Soundtrack()


@dataclass(frozen=True, kw_only=True)
class Proof:
    """What reading a file back found. It passed where `problems` is empty.

    codes: what each claimed region of each picture of a sequence holds (None: of any other clip), by name;
    None where it is not of one code. sound: None of a still. coded_bytes: of as many first pictures as are no
    copies, in the stream; 0 of a still.
    """

    problems: tuple[str, ...]
    decoded_frames: int
    repeated_frames: int
    largest_error: int
    largest_region_error: int
    light: LightLevels
    readers: tuple[str, ...]
    codes: Mapping[tuple[int | None, str], CodeTriple | None] = field(default_factory=dict)
    sound: SoundFound | None = None
    coded_bytes: int = 0

    @property
    def passed(self) -> bool:
        """Whether nothing differs from what was intended."""
        return not self.problems


def _ignored(done: int, total: int) -> None:
    """For who does not want to be told."""


def prove(
    path: Path,
    intent: Intent,
    stop: Stop,
    on_frames: Callable[[int, int], None] = _ignored,
    beside: Beside | None = None,
) -> Proof:
    """Decode a clip again and hold it against its intent.

    Args:
        path: the clip.
        intent: what it is meant to be.
        stop: ends it from another thread.
        on_frames: is told pictures compared and pictures to compare.
        beside: is shown each decoded picture that is no copy, and the drawn one.

    Raises:
        UnreadableFile, ToolFailed: where it cannot be read at all.
    """
    track, container = read_video_track(path)
    reader = container.value
    parts = parts_of(
        intent.source,
        intent.pattern.claims(intent.signal),
        frames=intent.frames,
        group=intent.group,
        pieces=intent.pieces,
    )
    wanted = expected(intent.signal, intent.delivery, intent.frames, intent.hdr, level=intent.level)
    copy, obeyed = read_both_copies(path, stop)
    seconds = intent.frames / intent.signal.rate
    sound, sound_problems = check_sound(read_sound(path, stop), intent.sound, intent.delivery, seconds)
    problems = [
        *differences(reader, track.stated, wanted, container),
        *dict.fromkeys(
            problem
            for headers in (copy, obeyed)
            for problem in differences("bitstream", headers, wanted, container)
        ),
        *differences("MediaInfo", mediainfo.read_mediainfo(path), wanted, container),
        *placing_problems(reader, track, intent.signal, intent.sound),
        *sound_problems,
        *_repeat_problems(path, track, parts),
    ]
    results: list[Comparison] = []
    for part in parts:
        before = sum(result.pictures for result in results)
        pictures = decoded_part(path, track, part, intent.signal, stop)
        counted = _counted(pictures, before, intent.group, on_frames)
        drawn = map(part.draw, range(part.decoded))
        try:
            results.append(compare(counted, drawn, intent.signal, part.claims, beside))
        except ToolFailed as error:
            stop.check()
            results.append(NOTHING)
            problems.append(f"pixels: {error}")
    result = together(results, [part.shown for part in parts])
    if result.pictures != intent.group:
        problems.append(f"pixels: {result.pictures} pictures decode, {intent.group} are intended")
    else:
        for part, found in zip(parts, results, strict=True):
            problems += _pixel_problems(found, part.claims, intent)
        if not intent.on_purpose:
            problems += declared_problems(
                track.stated.hdr.light or obeyed.hdr.light, intent.signal, result.light, intent.error_limit
            )
    return Proof(
        problems=tuple(problems),
        decoded_frames=result.pictures,
        repeated_frames=intent.frames - result.pictures,
        largest_error=result.largest_error,
        largest_region_error=result.largest_region_error,
        light=result.light,
        readers=("ffmpeg", reader, mediainfo.version()),
        codes={
            (part.picture, name): code
            for part, found in zip(parts, results, strict=True)
            for name, code in found.codes.items()
        },
        sound=sound,
        coded_bytes=sum(sample.size for sample in track.samples[: intent.group]),
    )


def _counted(
    pictures: Iterator[Planes], before: int, total: int, on_frames: Callable[[int, int], None]
) -> Iterator[Planes]:
    for done, planes in enumerate(pictures, before + 1):
        yield planes
        on_frames(done, total)


def _pixel_problems(result: Comparison, claims: Claims, intent: Intent) -> list[str]:
    """Where pixels differ further than the clip's class allows, or hold other light than is claimed."""
    problems = []
    if result.largest_error > intent.error_limit:
        limit = f"largest error {result.largest_error} codes, {intent.error_limit} are allowed; "
        problems.append(f"pixels: {limit if intent.error_limit else ''}{result.first_difference}")
    if result.largest_region_error > intent.error_limit:
        problems.append(
            f"pixels: a claimed region is {result.largest_region_error} codes off, "
            f"{intent.error_limit} are allowed"
        )
    if intent.error_limit == 0:
        problems += [f"pixels: {result.area_problem}"] if result.area_problem else []
        problems += claimed_problems(claims, intent.signal, result.light)
    return problems


def placing_problems(
    reader: str, track: VideoTrack, signal: SignalFormat, sound: Soundtrack | None
) -> list[str]:
    """Whether pictures are shown when and where they should be, with or without sound."""
    problems = []
    if not track.steady:
        problems.append(f"{reader}: pictures do not all last equally long")
    if track.starts_at:
        problems.append(f"{reader}: an edit cuts or delays the pictures (media time {track.starts_at})")
    wanted = (float(signal.width * signal.pixel_aspect), float(signal.height))
    width, height = track.shown or wanted
    if abs(width - wanted[0]) > _WHOLE_PIXELS or height != wanted[1] or not track.upright:
        problems.append(
            f"{reader}: the picture is to be shown at {width:g} x {height:g}"
            f"{'' if track.upright else ', cut, turned or scaled'}; it must be {wanted[0]:g} x {wanted[1]:g}"
        )
    if track.sound and sound is None:
        problems.append(f"{reader}: there is a sound track, none is intended")
    if sound is not None and not track.sound:
        problems.append(f"{reader}: the sound track is missing")
    if not track.index_first:
        problems.append(f"{reader}: the index lies behind the pictures; a player must seek for it")
    return problems


def _repeat_problems(path: Path, track: VideoTrack, parts: Sequence[Part]) -> list[str]:
    """Whether every picture that is not decoded is a copy, and every copy of a first one a place to start."""
    hashes = packet_hashes(path, track.samples)
    for part in parts:
        for start, frames in part.places:
            for index in range(start, min(start + frames, len(hashes))):
                place = (index - start) % part.decoded
                if hashes[index] != hashes[part.first + place]:
                    return [f"packets: picture {index} is no copy of picture {part.first + place}"]
                if place == 0 and not track.samples[index].is_sync:
                    return [f"packets: picture {index} opens a repeat and is no place to start decoding"]
    return []
