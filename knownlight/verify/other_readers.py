"""Readers of clips that are not the writer: statements and pixels by tools that a machine may have.

They are asked beside the standard proof and must agree with what the clip was meant to be.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

import numpy as np

from knownlight.errors import BadInput, KnownlightError, nearest
from knownlight.ffmpeg import Stop
from knownlight.frame.planes import Frame, Planes
from knownlight.readback import gstreamer, mkvmerge, mpv, other_decoders
from knownlight.readback.files import container_of, read_video_track
from knownlight.readback.other_decoders import INVERSE_TRANSFORM_ERROR, Decoder
from knownlight.readback.stated import Stated
from knownlight.readback.tools import Tool
from knownlight.readback.track import VideoTrack
from knownlight.verify.blind_spots import differences
from knownlight.verify.compare import describe_difference
from knownlight.verify.declared import expected
from knownlight.verify.parts import Part, decoded_part, parts_of
from knownlight.verify.proof import Intent

STANDARD, ALL = "standard", "all"


@dataclass(frozen=True, kw_only=True)
class Reader(ABC):
    """A reader by name, and the tool that it is."""

    name: str
    tool: Tool

    @property
    def label(self) -> str:
        """Name and version, for a proof's list of readers."""
        return f"{self.name} {self.tool.version}"

    @abstractmethod
    def reads(self, codec: str, intent: Intent) -> bool:
        """Whether it reads clips of this codec and scan at all."""

    @abstractmethod
    def problems(self, path: Path, intent: Intent, stop: Stop) -> list[str]:
        """Where it reads otherwise than intended, in words.

        Raises:
            ToolFailed, UnreadableFile: where it cannot read the clip.
        """


@dataclass(frozen=True, kw_only=True)
class StatementReader(Reader):
    """One that says what a clip declares.

    read: its facts. as_told: wanted facts as it must tell them, where it merges some.
    """

    read: Callable[[Path, Stop], Stated]
    as_told: Callable[[Stated], Stated] = lambda wanted: wanted

    def reads(self, codec: str, intent: Intent) -> bool:  # noqa: ARG002 - as the pixel readers are asked
        """All."""
        return True

    def problems(self, path: Path, intent: Intent, stop: Stop) -> list[str]:
        """Every field that it states otherwise than wanted and is not blind for."""
        return differences(
            self.name, self.read(path, stop), self.as_told(_wanted(intent)), container_of(path)
        )


@dataclass(frozen=True, kw_only=True)
class PixelReader(Reader):
    """One that decodes the pictures that are no copies."""

    decoder: Decoder

    def reads(self, codec: str, intent: Intent) -> bool:
        """Its codec, and the scans that it gives frames of."""
        return codec == self.decoder.codec and intent.signal.scan in self.decoder.scans

    def problems(self, path: Path, intent: Intent, stop: Stop) -> list[str]:
        """The first sample that is not the drawn one, or in a clip that is not exact not ffmpeg's."""
        parts = parts_of(
            intent.source,
            intent.pattern.claims(intent.signal),
            frames=intent.frames,
            group=intent.group,
            pieces=intent.pieces,
        )
        track, _ = read_video_track(path)
        found = (self._part_problem(path, track, intent, part, stop=stop) for part in parts)
        first = next(filter(None, found), "")
        return [f"{self.name}: pixels: {first}"] if first else []

    def _part_problem(self, path: Path, track: VideoTrack, intent: Intent, part: Part, *, stop: Stop) -> str:
        def ffmpegs() -> Iterator[Frame]:
            for planes in decoded_part(path, track, part, intent.signal, stop):
                yield Frame(intent.signal, planes)

        exact = intent.error_limit == 0 and self.decoder.bit_exact
        reference = map(part.draw, range(part.decoded)) if exact else ffmpegs()
        read = self.decoder.decoded(path, intent.signal, first=part.first, count=part.decoded, stop=stop)
        count = 0
        with closing(read):
            for planes, frame in zip_longest(read, reference):
                if planes is None or frame is None:
                    break
                # a sample is predicted from those of the pictures before, each with errors of both decoders
                allowed = 0 if self.decoder.bit_exact else 2 * INVERSE_TRANSFORM_ERROR * (count + 1)
                largest = _largest_error(planes, frame.planes)
                if largest > allowed:
                    where = f"picture {part.first + count}: {describe_difference(planes, frame)}"
                    limit = f"; largest error {largest} codes, {allowed} are allowed" if allowed else ""
                    return f"{where}{limit}"
                count += 1
            else:
                if count == part.decoded:
                    return ""
        return f"{count} pictures decode from picture {part.first} on, {part.decoded} are intended"


def _wanted(intent: Intent) -> Stated:
    return expected(intent.signal, intent.delivery, intent.frames, intent.hdr, level=intent.level)


def _largest_error(planes: Planes, others: Planes) -> int:
    return max(
        0 if np.array_equal(one, other) else int(np.abs(one.astype(np.int32) - other).max())
        for one, other in zip(planes, others, strict=True)
    )


READERS: tuple[Reader, ...] = (
    StatementReader(name="mkvmerge", tool=mkvmerge.TOOL, read=mkvmerge.read_mkvmerge),
    StatementReader(
        name="mpv",
        tool=mpv.TOOL,
        read=mpv.read_mpv,
        as_told=mpv.as_told,
    ),
    StatementReader(
        name="gstreamer",
        tool=gstreamer.TOOL,
        read=gstreamer.read_gstreamer,
        as_told=gstreamer.as_told,
    ),
    *(
        PixelReader(name=name, tool=decoder.tool, decoder=decoder)
        for name, decoder in (
            ("libde265", other_decoders.LIBDE265),
            ("openh264", other_decoders.OPENH264),
            ("dav1d", other_decoders.DAV1D),
            ("libaom", other_decoders.LIBAOM),
            ("libvpx", other_decoders.LIBVPX),
            ("libmpeg2", other_decoders.LIBMPEG2),
        )
    ),
)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """Readers to use beside the standard ones; and those that cannot be used, with the reason and remedy."""

    readers: tuple[Reader, ...] = ()
    absent: tuple[str, ...] = ()


def find_readers() -> Choice:
    """All readers: those that this machine has, and those it has not."""
    return Choice(
        readers=tuple(reader for reader in READERS if not reader.tool.absence),
        absent=tuple(f"{reader.name} ({reader.tool.absence})" for reader in READERS if reader.tool.absence),
    )


def choose_readers(text: str) -> Choice:
    """The readers of a written choice: `standard`, `all`, or names with commas between them.

    Raises:
        BadInput: for a name that is none, or a named reader that is absent.
    """
    if text == STANDARD:
        return Choice()
    if text == ALL:
        return find_readers()
    known = {reader.name: reader for reader in READERS}
    names = list(dict.fromkeys(name.strip() for name in text.split(",")))
    for name in names:
        if name not in known:
            meant = nearest(name, (STANDARD, ALL, *known))
            hint = f"; did you mean {meant}?" if meant else ""
            raise BadInput(
                f"readers: {name!r} is none{hint} Use {STANDARD}, {ALL}, or some of {', '.join(known)}"
            )
        if known[name].tool.absence:
            raise BadInput(f"readers: {name} cannot be used: {known[name].tool.absence}")
    return Choice(readers=tuple(known[name] for name in names))


@dataclass(frozen=True, kw_only=True)
class Found:
    """What other readers found, and which of them read the clip."""

    problems: tuple[str, ...] = ()
    readers: tuple[str, ...] = ()


def check(path: Path, intent: Intent, readers: tuple[Reader, ...], stop: Stop) -> Found:
    """Hold a clip against its intent with every reader that reads its kind.

    One that cannot read the clip is a problem, not an end.
    """
    codec = str(_wanted(intent).codec)
    problems: list[str] = []
    used: list[str] = []
    for reader in readers:
        if not reader.reads(codec, intent):
            continue
        used.append(reader.label)
        try:
            problems += reader.problems(path, intent, stop)
        except KnownlightError as error:
            stop.check()
            problems.append(f"{reader.name}: {error}")
    return Found(problems=tuple(problems), readers=tuple(used))
