"""Which pictures of a clip are decoded, and which of the others must be copies of them."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from knownlight.errors import CheckFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame, Planes
from knownlight.frame.sources import FrameSource, Hold, Sequence
from knownlight.readback.decode import decoded_planes
from knownlight.readback.track import VideoTrack


@dataclass(frozen=True, kw_only=True)
class Part:
    """Pictures that are decoded, and every place where they stand.

    first: number in the clip of the first one. decoded: how many are decoded. places: number of the first
    picture and length of every stretch that shows them over and over, this one among them.
    draw: the one at a place from 0; the same object while it is held. claims: what they hold.
    picture: of a sequence, its number.
    """

    first: int
    decoded: int
    places: tuple[tuple[int, int], ...]
    draw: Callable[[int], Frame]
    claims: Claims
    picture: int | None = None

    @property
    def shown(self) -> int:
        """How many pictures of the clip are these or copies."""
        return sum(frames for _, frames in self.places)


def decoded_part(
    path: Path, track: VideoTrack, part: Part, signal: SignalFormat, stop: Stop
) -> Iterator[Planes]:
    """The pictures of a part that are no copies, as ffmpeg decodes them; valid until the next is asked for.

    Raises:
        ToolFailed: where they do not decode, or to pictures of another size or depth.
    """
    entry = track.samples[part.first].entry if part.first < len(track.samples) else None
    return decoded_planes(path, signal, part.decoded, stop, start=part.first, entry=entry)


def parts_of(
    source: FrameSource, claims: Claims, *, frames: int, group: int, pieces: tuple[int, ...]
) -> list[Part]:
    """The parts of a clip: one; of a sequence, one for each picture and time it is held.

    Args:
        source: what was drawn.
        claims: of it.
        frames: of the whole clip.
        group: pictures that are no copies.
        pieces: of a sequence, the same for each part, in order of first appearance.

    Raises:
        CheckFailed: where a sequence has another number of parts than there are pieces.
    """
    if not isinstance(source, Sequence):
        held = source.frame(0) if source.unrepeated(group) == 1 else None
        return [
            Part(
                first=0,
                decoded=group,
                places=((0, frames),),
                draw=source.frame if held is None else lambda _index: held,
                claims=claims,
            )
        ]
    places: dict[Hold, list[tuple[int, int]]] = defaultdict(list)
    start = 0
    for hold in source.plan(frames):
        places[hold].append((start, hold.frames))
        start += hold.frames
    if len(places) != len(pieces):
        raise CheckFailed(
            f"pieces: {len(pieces)} are stated, the pattern has {len(places)} in {frames} frames"
        )
    return [
        Part(
            first=where[0][0],
            decoded=decoded,
            places=tuple(where),
            draw=_drawer(source, hold.picture),
            claims=claims.pictures[hold.picture],
            picture=hold.picture,
        )
        for (hold, where), decoded in zip(places.items(), pieces, strict=True)
    ]


def _drawer(source: Sequence, number: int) -> Callable[[int], Frame]:
    return lambda _index: source.picture(number)
