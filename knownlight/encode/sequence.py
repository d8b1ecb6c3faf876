"""Clips of a few held pictures: each is written once as a short clip, and their packets are joined in order.

Every piece is made of closed groups, so it may be cut anywhere and the next one starts afresh. Readback
proves each piece from its pixels and every other packet as a copy.
"""

import tempfile
from dataclasses import replace
from pathlib import Path

from knownlight.encode import mux
from knownlight.encode.delivery import Coded, Delivery, Encoded, Exactness, Order, PastLevel
from knownlight.encode.fitting import fits, packet_sizes, peak_rate
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
        paths = {piece: Path(folder) / f"piece{index}" for index, piece in enumerate(pieces)}
        coded = []
        for piece in pieces:
            coded.append(_piece(delivery, order, source, piece, paths[piece]))
            order.on_frames(order.frames * len(coded) // len(pieces), order.frames)
        if len({(part.settings, part.level) for part in coded}) > 1:
            raise CannotCarry(
                f"{order.name}: its pictures are too unlike to be coded alike and joined; "
                "use calmer pictures, or a clip of each"
            )
        mux.join(
            [paths[piece] for piece in plan],
            to,
            frames=order.frames,
            rate=order.signal.rate,
            container=delivery.container,
            sound=order.sound,
            name=order.name,
            stop=order.stop,
        )
    sizes = packet_sizes(to, order.stop)
    bounded = order.past_level is PastLevel.BOUNDED
    if bounded and not fits(
        sizes, order.signal.rate, delivery.coder.limits(order.signal), frames=order.frames
    ):
        raise CannotCarry(f"{order.name}: its pictures together pass the level; hold each of them longer")
    groups = tuple(len(part.sizes) for part in coded)
    return Encoded(
        exactness=max((part.exactness for part in coded), key=list(Exactness).index),
        error_limit=max(part.error_limit for part in coded),
        group=sum(groups),
        pieces=groups,
        level=coded[0].level,
        peak_rate=peak_rate(sizes, order.signal.rate),
        largest_picture=max(sizes),
        warning=coded[0].warning,
    )


def _piece(
    delivery: Delivery, order: Order, source: sources.Sequence, piece: sources.Hold, to: Path
) -> Coded:
    """A clip of one picture as long as it is held."""
    picture = sources.Still(source.picture(piece.picture))
    alone = replace(order, source=picture, frames=piece.frames, on_frames=lambda _done, _of: None)
    group = to.with_suffix(".group")
    coded = delivery.coder.code(alone, group)
    mux.extend(
        group,
        to,
        group_frames=len(coded.sizes),
        frames=piece.frames,
        kind=delivery.coder.group_kind,
        name=order.name,
        stop=order.stop,
    )
    return coded
