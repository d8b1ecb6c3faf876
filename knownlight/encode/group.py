"""Feeds a clip's pictures to an encoder and writes the closed group that clips are copied from."""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from knownlight import pipes
from knownlight.encode.delivery import Order
from knownlight.encode.fitting import packet_sizes
from knownlight.encode.raw import BIT_EXACT, frame_filter, raw_input
from knownlight.frame.sources import unrepeated_frames
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.h273 import TransferCharacteristics

Pictures = Iterable[Sequence[PlaneArray]]


def write_group(
    order: Order,
    group: Path,
    frames: int,
    arguments: Sequence[str],
    *,
    kind: str = "mp4",
    transfer: TransferCharacteristics | None = None,
    watch: Pictures | None = None,
) -> list[int]:
    """Encode the first `frames` frames of a clip and return the bytes of each picture.

    Args:
        order: the clip.
        group: file to write.
        frames: how many.
        arguments: of ffmpeg, that choose the coder.
        kind: of file, as ffmpeg names it.
        transfer: what is declared instead of the signal's own.
        watch: the pictures, where the caller wants to see them pass.

    Raises:
        ToolFailed: where ffmpeg could not write it.
    """
    hold = frames if order.different == 1 else 1
    pipes.feed(
        [
            *("-v", "error", *raw_input(order.signal, order.hdr)),
            *("-vf", frame_filter(order.signal, hold=hold, transfer=transfer)),
            *(*BIT_EXACT, *arguments, "-f", kind, str(group)),
        ],
        pictures_of(order, frames) if watch is None else watch,
        what=f"{order.name} could not be encoded",
        stop=order.stop,
        on_frames=lambda done: order.on_frames(done, frames),
    )
    return packet_sizes(group, order.stop)


def pictures_of(order: Order, frames: int) -> Iterator[Sequence[PlaneArray]]:
    """The planes of the first `frames` frames that are no repeats."""
    return (frame.planes for frame in unrepeated_frames(order.source, min(frames, order.different)))
