"""Clips of a few held pictures: each is written once as a short clip, and their packets are joined in order.

Every piece is made of closed groups, so it may be cut anywhere and the next one starts afresh. Readback
proves each piece from its pixels and every other packet as a copy.
"""

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode.delivery import Delivery, Encoded, Exactness, Order
from knownlight.encode.fitting import fits, packet_sizes, peak_rate
from knownlight.encode.raw import BIT_EXACT
from knownlight.encode.repeat import silence
from knownlight.errors import CannotCarry
from knownlight.frame import sources


def write_sequence(delivery: Delivery, order: Order, source: sources.Sequence, to: Path) -> Encoded:
    """Write a clip of a sequence by a delivery.

    Raises:
        CannotCarry: where the pictures need different settings of the coder, or are too much together.
        ToolFailed: where ffmpeg could not write it.
    """
    plan = source.plan(order.frames)
    pieces = list(dict.fromkeys(plan))
    # a folder of their own: the list of pieces takes plain names only, and jobs run side by side
    with tempfile.TemporaryDirectory(dir=order.work) as folder:
        paths = {piece: Path(folder) / f"piece{index}.mp4" for index, piece in enumerate(pieces)}
        encoded = []
        for piece in pieces:
            encoded.append(_piece(delivery, order, source, piece, paths[piece]))
            order.on_frames(order.frames * len(encoded) // len(pieces), order.frames)
        if len({part.settings for part in encoded}) > 1:
            raise CannotCarry(
                f"{order.name}: its pictures are too unlike to be coded alike and joined; "
                "use calmer pictures, or a clip of each"
            )
        _join(order, [paths[piece].name for piece in plan], Path(folder), to)
    sizes = packet_sizes(to, order.stop)
    if not fits(sizes, order.signal.rate, delivery.limits(order.signal), frames=order.frames):
        raise CannotCarry(f"{order.name}: its pictures together pass the level; hold each of them longer")
    groups = tuple(part.group for part in encoded)
    return Encoded(
        exactness=max((part.exactness for part in encoded), key=list(Exactness).index),
        error_limit=max(part.error_limit for part in encoded),
        group=sum(groups),
        pieces=groups,
        level=encoded[0].level,
        peak_rate=peak_rate(sizes, order.signal.rate),
        largest_picture=max(sizes),
        settings=encoded[0].settings,
    )


def _piece(
    delivery: Delivery, order: Order, source: sources.Sequence, piece: sources.Hold, to: Path
) -> Encoded:
    """A clip of one picture as long as it is held."""
    picture = sources.Still(source.picture(piece.picture))
    alone = replace(order, source=picture, frames=piece.frames, on_frames=lambda _done, _of: None)
    return delivery.write(alone, to)


def _join(order: Order, names: Sequence[str], folder: Path, to: Path) -> None:
    """Copy the packets of the pieces one after another, with times counted anew from their number."""
    listing = folder / "pieces.txt"
    listing.write_text("ffconcat version 1.0\n" + "".join(f"file {name}\n" for name in names))
    ffmpeg.run(
        [
            *("-v", "error", "-f", "concat", "-i", str(listing)),
            *silence(order.frames, order.signal.rate),
            *("-map", "0:v:0", "-map", "1:a:0", "-c:v", "copy"),
            *("-bsf:v", "setts=pts=N*DURATION:dts=N*DURATION"),
            *("-frames:v", str(order.frames), "-c:a", "aac", "-b:a", "96k", *BIT_EXACT),
            *("-movflags", "+faststart", "-f", "mp4", str(to)),
        ],
        what=f"{order.name} could not be written",
        stop=order.stop,
    )
