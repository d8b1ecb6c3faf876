"""Matroska and WebM: what a file says of its video track, and where its coded pictures lie.

RFC 8794 (EBML) and RFC 9559 (Matroska): element identities and meanings from memory of them, checked against
MediaInfo and ffmpeg in the tests.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any, BinaryIO

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import (
    CHROMATICITY_UNITS,
    LUMINANCE_UNITS,
    ContentLight,
    HdrMetadata,
    MasteringDisplay,
)
from knownlight.readback.configuration import CONFIGURATIONS, setup_of
from knownlight.readback.stated import Stated
from knownlight.readback.track import Sample, VideoTrack, are_steady, known_rate

MAGIC = b"\x1a\x45\xdf\xa3"
SEGMENT, _INFO, _TRACKS, _CLUSTER, _CUES = 0x18538067, 0x1549A966, 0x1654AE6B, 0x1F43B675, 0x1C53BB6B
_TRACK, _VIDEO, _COLOUR, _MASTERING = 0xAE, 0xE0, 0x55B0, 0x55D0
_SIMPLE_BLOCK, _BLOCK_GROUP, _BLOCK, _REFERENCE, _CLUSTER_TIME = 0xA3, 0xA0, 0xA1, 0xFB, 0xE7
_CODECS = {
    "V_MPEGH/ISO/HEVC": ("hevc", "hvcC"),
    "V_MPEG4/ISO/AVC": ("avc", "avcC"),
    "V_AV1": ("av1", "av1C"),
    "V_VP9": ("vp9", ""),
}
_ASPECT_RATIO = 3
# what changes how a picture is shown: cropping of each side, two views in one picture, projection
_CROPS, _STEREO, _PROJECTION = (0x54AA, 0x54BB, 0x54CC, 0x54DD), 0x53B8, 0x7670
_VIDEO_TRACK, _SOUND_TRACK = 1, 2
_NANOSECONDS = 1_000_000_000
_LONGEST_NUMBER = 8  # bytes (RFC 8794 clause 7.2)
_KEY = 0x80  # flag of a SimpleBlock
_LOCATIONS = {(1, 2): 0, (2, 2): 1, (1, 1): 2}  # siting across and down: 1 on the sample, 2 half way

Elements = dict[int, bytes]


def read_matroska(path: Path) -> VideoTrack:
    """Read the headers and the blocks of a Matroska or WebM file.

    Raises:
        UnreadableFile: where it has not one video track, or is damaged.
    """
    try:
        with path.open("rb") as file:
            return _read(file, str(path))
    except OSError as error:
        raise UnreadableFile(f"{path}: {error.strerror or error}") from error
    except (struct.error, IndexError, ArithmeticError, ValueError) as error:
        raise UnreadableFile(f"{path}: an element makes no sense ({error}); the file is damaged") from error


@dataclass
class _Found:
    """What reading through a segment has found."""

    info: Elements = field(default_factory=dict)
    tracks: list[Elements] = field(default_factory=list)
    blocks: list[tuple[int, int, Sample]] = field(default_factory=list)  # track, time, picture
    index_first: bool = False


def _read(file: BinaryIO, where: str) -> VideoTrack:
    total = file.seek(0, 2)
    found = _Found()
    for identity, start, size in elements_of(file, 0, total, where):
        if identity == SEGMENT:
            _read_segment(file, start, start + size, found, where)
    videos = [track for track in found.tracks if number_of(track.get(0x83)) == _VIDEO_TRACK]
    if len(videos) != 1:
        raise UnreadableFile(f"{where}: {len(videos)} video tracks instead of one")
    return _track(videos[0], found)


def _read_segment(file: BinaryIO, start: int, end: int, found: _Found, where: str) -> None:
    for identity, at, size in elements_of(file, start, end, where):
        if identity == _INFO:
            found.info = _parsed(bytes_at(file, at, size))
        elif identity == _TRACKS:
            found.tracks = [
                _parsed(body) for kind, body in inner_elements(bytes_at(file, at, size)) if kind == _TRACK
            ]
        elif identity == _CUES:
            found.index_first = not found.blocks
        elif identity == _CLUSTER:
            _read_cluster(file, at, at + size, found, where)


def _read_cluster(file: BinaryIO, start: int, end: int, found: _Found, where: str) -> None:
    time = 0
    for identity, at, size in elements_of(file, start, end, where):
        if identity == _CLUSTER_TIME:
            time = number_of(bytes_at(file, at, size))
        elif identity == _SIMPLE_BLOCK:
            found.blocks.append(_block(file, at, size, time, is_sync=None))
        elif identity == _BLOCK_GROUP:
            inner = list(elements_of(file, at, at + size, where))
            is_sync = all(kind != _REFERENCE for kind, _, _ in inner)
            found.blocks += [
                _block(file, place, length, time, is_sync=is_sync)
                for kind, place, length in inner
                if kind == _BLOCK
            ]


def _block(
    file: BinaryIO, at: int, size: int, cluster: int, *, is_sync: bool | None
) -> tuple[int, int, Sample]:
    """Track, time and place of a block; a SimpleBlock has a flag for what a group says by references."""
    head = bytes_at(file, at, min(size, 12))
    track, used = _variable(head, 0, keep_marker=False)
    relative, flags = struct.unpack_from(">hB", head, used)
    skip = used + 3
    sync = bool(flags & _KEY) if is_sync is None else is_sync
    return track, cluster + relative, Sample(at + skip, size - skip, sync)


def elements_of(file: BinaryIO, start: int, end: int, where: str) -> Iterator[tuple[int, int, int]]:
    """Identity, place and size of the elements of a stretch of a file."""
    position = start
    while position < end:
        head = bytes_at(file, position, 12)
        identity, used = _variable(head, 0, keep_marker=True)
        size, used = _variable(head, used, keep_marker=False)
        position += used
        if position + size > end:
            raise UnreadableFile(
                f"{where}: element {identity:X} runs past its place; the file is cut short or damaged"
            )
        yield identity, position, size
        position += size


def inner_elements(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Identity and content of the elements of some bytes."""
    position = 0
    while position < len(data):
        identity, position = _variable(data, position, keep_marker=True)
        size, position = _variable(data, position, keep_marker=False)
        if position + size > len(data):
            raise IndexError(f"element {identity:X} runs past its place")
        yield identity, data[position : position + size]
        position += size


def _parsed(data: bytes) -> Elements:
    """The first element of every identity; those inside video, colour and mastering among them."""
    found: Elements = {}
    for identity, body in inner_elements(data):
        if identity in (_VIDEO, _COLOUR, _MASTERING):
            found.update(_parsed(body))
        else:
            found.setdefault(identity, body)
    return found


def bytes_at(file: BinaryIO, at: int, size: int) -> bytes:
    """A stretch of a file."""
    file.seek(at)
    return file.read(size)


def _variable(data: bytes, at: int, *, keep_marker: bool) -> tuple[int, int]:
    """A number of variable length and the place after it (RFC 8794 clause 4)."""
    first = data[at]
    if first == 0:
        raise IndexError("no length marker")
    length = 9 - first.bit_length()
    value = int.from_bytes(data[at : at + length], "big")
    if len(data) < at + length:
        raise IndexError("cut short")
    return value if keep_marker else value & ((1 << (7 * length)) - 1), at + length


def number_of(body: bytes | None, otherwise: int = 0) -> int:
    """An element's content as a whole number, or another one where there is none."""
    value = _maybe(body)
    return otherwise if value is None else value


def _maybe(body: bytes | None) -> int | None:
    if body is not None and len(body) > _LONGEST_NUMBER:
        raise IndexError(f"a number of {len(body)} bytes")
    return None if body is None else int.from_bytes(body, "big")


def _real(body: bytes) -> float:
    value: float = struct.unpack(">f" if len(body) == 4 else ">d", body)[0]  # noqa: PLR2004
    return value


def _track(track: Elements, found: _Found) -> VideoTrack:
    number = number_of(track.get(0xD7))
    scale = number_of(found.info.get(0x2AD7B1), 1_000_000)
    pictures = [(time, sample) for owner, time, sample in found.blocks if owner == number]
    times = [time for time, _ in pictures]
    duration = number_of(track.get(0x23E383))
    rate = known_rate(Fraction(_NANOSECONDS, duration)) if duration else None
    clock = _NANOSECONDS // scale
    width, height = number_of(track.get(0xB0)), number_of(track.get(0xBA))
    return VideoTrack(
        stated=_stated(track, width, height, rate, len(pictures)),
        samples=tuple(sample for _, sample in pictures),
        steady=rate is not None and bool(times) and are_steady(times, clock, rate),
        starts_at=times[0] if times else 0,
        sound=any(number_of(other.get(0x83)) == _SOUND_TRACK for other in found.tracks),
        index_first=found.index_first,
        shown=_shown(track, width, height),
        setup=setup_of(_CODECS.get(_tag(track), ("", ""))[1], track.get(0x63A2, b"")),
        upright=_PROJECTION not in track
        and not any(number_of(track.get(each)) for each in (*_CROPS, _STEREO)),
    )


def _shown(track: Elements, width: int, height: int) -> tuple[float, float]:
    """Size to be shown at, in pixels or as a ratio (DisplayUnit 3)."""
    across, down = number_of(track.get(0x54B0), width), number_of(track.get(0x54BA), height)
    if number_of(track.get(0x54B2)) == _ASPECT_RATIO:
        return height * across / down, float(height)
    return float(across), float(down)


def _stated(track: Elements, width: int, height: int, rate: Fraction | None, frames: int) -> Stated:
    tag = _tag(track)
    codec, box = _CODECS.get(tag, ("", ""))
    private = track.get(0x63A2)
    facts: dict[str, Any] = {"codec": codec or None}
    if private is not None and box:
        facts = CONFIGURATIONS[box](private)
    return Stated(
        tag=tag,
        width=width,
        height=height,
        rate=rate,
        frames=frames,
        colour=_colour(track),
        hdr=HdrMetadata(mastering=_mastering(track), light=_light(track)),
        **facts,
    )


def _tag(track: Elements) -> str:
    return track.get(0x86, b"").decode("ascii", errors="replace")


def _colour(track: Elements) -> ColourDescription:
    """Range is 1 for narrow and 2 for full; siting is told across and down."""
    stored = _maybe(track.get(0x55B9))
    siting = (number_of(track.get(0x55B7)), number_of(track.get(0x55B8)))
    return ColourDescription(
        primaries=_maybe(track.get(0x55BB)),
        transfer=_maybe(track.get(0x55BA)),
        matrix=_maybe(track.get(0x55B1)),
        full_range=None if stored is None else {1: 0, 2: 1}.get(stored),
        chroma_location=_LOCATIONS.get(siting),
    )


def _mastering(track: Elements) -> MasteringDisplay | None:
    values = [track.get(identity) for identity in range(0x55D1, 0x55DB)]
    if any(value is None for value in values):
        return None
    *points, high, low = (_real(value) for value in values if value is not None)
    units = [round(point * CHROMATICITY_UNITS) for point in points]
    red, green, blue, white = (tuple(units[at : at + 2]) for at in range(0, 8, 2))
    return MasteringDisplay(
        red=(red[0], red[1]),
        green=(green[0], green[1]),
        blue=(blue[0], blue[1]),
        white=(white[0], white[1]),
        max_luminance=round(high * LUMINANCE_UNITS),
        min_luminance=round(low * LUMINANCE_UNITS),
    )


def _light(track: Elements) -> ContentLight | None:
    cll, fall = _maybe(track.get(0x55BC)), _maybe(track.get(0x55BD))
    return ContentLight(max_cll=cll, max_fall=fall) if cll is not None and fall is not None else None
