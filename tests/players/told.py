"""What a player tells of a file that it opened, and what is meant by telling it right."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import ClassVar, Protocol


class Colour(Enum):
    """What a file declares, as H.273 code points: primaries, transfer, matrix.

    Of clips at narrow range, of stills, whose names say R'G'B', linear light or JPEG, at full range.
    """

    BT709 = (1, 1, 1)
    BT601_625 = (5, 6, 5)
    BT601_525 = (6, 6, 6)
    PQ = (9, 16, 9)
    HLG = (9, 18, 9)
    RGB_BT709 = (1, 1, 0)
    RGB_SRGB = (1, 13, 0)
    RGB_PQ = (9, 16, 0)
    RGB_HLG = (9, 18, 0)
    LINEAR_BT709 = (1, 8, 0)
    LINEAR_BT2020 = (9, 8, 0)
    JPEG_BT709 = (1, 1, 5)
    JPEG_SRGB = (1, 13, 5)


@dataclass(frozen=True, kw_only=True)
class Told:
    """Everything that a player may tell; None is what it did not tell.

    opened: whether pictures came. ended: whether it told of the end itself. pictures: how many were decoded.
    even: whether every picture came one picture's time after the one before. seconds: length.
    size, shown: in pixels, as coded and with the pixels' shape. scan: `progressive` or `top field first`.
    colour: in the player's own words. chroma: where samples lie, likewise. max_cll: cd/m².
    sound: whether any was decoded. middle: whether a jump to the middle came there, without complaints.
    complaints: warnings and errors while it played, in its own words.
    """

    opened: bool
    ended: bool | None = None
    pictures: int | None = None
    even: bool | None = None
    seconds: float | None = None
    size: str | None = None
    shown: str | None = None
    rate: float | None = None
    scan: str | None = None
    colour: str | None = None
    chroma: str | None = None
    max_cll: int | None = None
    sound: bool | None = None
    middle: bool | None = None
    complaints: tuple[str, ...] = ()


NOT_OPENED = Told(opened=False)
TOLERANCES = {
    # The length is the longer track's, and sound comes in packets of up to 32 ms; who counts pictures by
    # their starting times misses the last of them, up to 42 ms; and transport streams state no length: it is
    # reckoned from the clock, which begins before the pictures. A lost group lasts 200 ms or more.
    "seconds": 0.1,
    # Matroska holds the length of a picture in whole ns.
    "rate": 1e-5,
}
# Matroska counts in ms, and a player may round that again.
EVEN_TOLERANCE = 0.0015  # s


def is_even(times: list[float], rate: Fraction) -> bool:
    """Whether times follow each other at a rate, joints of repeated groups among them."""
    return all(abs(time - times[0] - number / rate) <= EVEN_TOLERANCE for number, time in enumerate(times))


# After a jump a player stands at the picture before or after the middle, of a length that counts sound.
MIDDLE_TOLERANCE = 0.1  # s


def is_middle(time: float, asked: "Asked") -> bool:
    """Whether a time is that of the middle of a file."""
    return abs(time - asked.seconds / 2) <= MIDDLE_TOLERANCE


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A file and what is known of it: the truth that a player's words are held against.

    path: file. still: whether it is a picture. sound: whether it has any.
    """

    path: Path
    still: bool
    pictures: int
    size: tuple[int, int]
    shown: tuple[int, int]
    rate: Fraction
    scan: str
    colour: Colour
    max_cll: int | None

    @property
    def seconds(self) -> float:
        """Length."""
        return float(self.pictures / self.rate)


class Player(Protocol):
    """A program that plays files."""

    name: str
    silent: frozenset[str]  # fields of Told that it has no way to tell
    silent_of_stills: frozenset[str]
    colours: ClassVar[Mapping[Colour, str]]  # its words for them
    chroma: ClassVar[
        Mapping[bool, str]
    ]  # its words for samples at the left (False) and at the top left (True)

    @staticmethod
    def missing() -> str:
        """Why it cannot be had here; empty where it can."""
        ...

    def version(self) -> str:
        """Its version, numbers with dots."""
        ...

    def play(self, asked: Asked) -> Told:
        """Play a file to its end."""
        ...


def right(player: Player, asked: Asked) -> Told:
    """What a player that is right tells of a file."""
    hdr = asked.colour in (Colour.PQ, Colour.HLG)
    moving = not asked.still
    all_of_it = Told(
        opened=True,
        ended=True,
        pictures=asked.pictures,
        even=True if moving else None,
        seconds=asked.seconds if moving else None,
        size="x".join(map(str, asked.size)),
        shown="x".join(map(str, asked.shown)),
        rate=float(asked.rate) if moving else None,
        scan=asked.scan,
        colour=player.colours[asked.colour],
        chroma=player.chroma[hdr] if moving else None,
        max_cll=asked.max_cll,
        sound=True if moving else None,
        middle=True if moving else None,
    )
    silent = player.silent_of_stills if asked.still else player.silent
    return Told(
        **{entry.name: getattr(all_of_it, entry.name) for entry in fields(Told) if entry.name not in silent}
    )


def differences(told: Told, wanted: Told) -> dict[str, object]:
    """What a player tells otherwise than it should: by field, what it tells."""
    if not told.opened:
        return {"opened": False}
    found: dict[str, object] = {}
    for entry in fields(Told):
        expected, actual = getattr(wanted, entry.name), getattr(told, entry.name)
        if expected is None:
            continue  # the player has no way to tell
        tolerance = TOLERANCES.get(entry.name)
        if tolerance is None or actual is None:
            wrong = actual != expected
        else:
            wrong = abs(actual - expected) > tolerance
        if wrong:
            found[entry.name] = actual
    return found
