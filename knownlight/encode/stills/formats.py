"""The deliveries of stills there are, by name and by file name ending."""

from collections.abc import Iterable
from pathlib import Path

from knownlight.encode.deliveries import DELIVERIES
from knownlight.encode.stills.avif import Avif
from knownlight.encode.stills.delivery import StillDelivery
from knownlight.encode.stills.exr import OpenExr
from knownlight.encode.stills.heic import Heic
from knownlight.encode.stills.jpeg import Jpeg
from knownlight.encode.stills.jxl import JpegXl
from knownlight.encode.stills.png import Png
from knownlight.encode.stills.tiff import Tiff
from knownlight.errors import BadInput, CannotCarry

STILLS: dict[str, StillDelivery] = {
    delivery.name: delivery for delivery in (Png(), Avif(), Heic(), JpegXl(), OpenExr(), Tiff(), Jpeg())
}


def still_of_suffix(path: Path) -> StillDelivery:
    """The delivery that a file's name asks for.

    Raises:
        BadInput: where none does.
    """
    for delivery in STILLS.values():
        if path.suffix.lower() in delivery.suffixes:
            return delivery
    endings = ", ".join(delivery.suffixes[0] for delivery in STILLS.values())
    raise BadInput(f"--to {path}: stills end in one of {endings}")


def check_stills_here(names: Iterable[str]) -> None:
    """Refuse stills that this machine cannot make, before any work.

    Raises:
        CannotCarry: naming those that it can.
    """
    for name in dict.fromkeys(names):
        problem = STILLS[name].why_not_here()
        if problem:
            here = [each for each, delivery in STILLS.items() if not delivery.why_not_here()]
            raise CannotCarry(f"{name}: {problem}; use {' or '.join(here)}")


def suffix_of(name: str) -> str:
    """File name ending of any delivery, of clips or of stills.

    Raises:
        BadInput: where there is none of that name.
    """
    if name in STILLS:
        return STILLS[name].suffixes[0]
    if name in DELIVERIES:
        return DELIVERIES[name].suffix
    raise BadInput(f"delivery {name!r} is not known; use one of {', '.join([*DELIVERIES, *STILLS])}")
