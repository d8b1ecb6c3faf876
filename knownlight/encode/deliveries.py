"""The deliveries there are, by name."""

from collections.abc import Iterable
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode.avc_mp4 import AvcMp4
from knownlight.encode.delivery import Delivery, Encoded, Order
from knownlight.encode.hevc_mp4 import HevcMp4
from knownlight.encode.sequence import write_sequence
from knownlight.errors import BadInput, CannotCarry
from knownlight.frame.sources import Sequence

DELIVERIES: dict[str, Delivery] = {delivery.name: delivery for delivery in (HevcMp4(), AvcMp4())}
DEFAULT = "hevc-mp4"


def why_not_here(delivery: Delivery) -> str:
    """Why a delivery cannot be made on this machine; empty where it can."""
    if ffmpeg.has_encoder(delivery.encoder):
        return ""
    return f"the ffmpeg in use has no {delivery.encoder}"


def check_here(names: Iterable[str]) -> None:
    """Refuse deliveries that this machine cannot make, before any work.

    Raises:
        CannotCarry: naming one that it can, and the way to another ffmpeg.
    """
    for name in dict.fromkeys(names):
        problem = why_not_here(delivery_named(name))
        if problem:
            here = [each for each, delivery in DELIVERIES.items() if not why_not_here(delivery)]
            other = f"use {' or '.join(here)}, or " if here else ""
            raise CannotCarry(f"{name}: {problem}; {other}set {ffmpeg.ENVIRONMENT_VARIABLE} to one that has")


def write_clip(delivery: str, order: Order, to: Path) -> Encoded:
    """Write a clip of any source by the delivery of a name; `to` is a temporary name of the caller's."""
    if isinstance(order.source, Sequence):
        return write_sequence(delivery_named(delivery), order, order.source, to)
    return delivery_named(delivery).write(order, to)


def delivery_named(name: str) -> Delivery:
    """The delivery of a name.

    Raises:
        BadInput: where there is none.
    """
    try:
        return DELIVERIES[name]
    except KeyError:
        raise BadInput(f"delivery {name!r} is not known; use one of {', '.join(DELIVERIES)}") from None
