"""The shape of a preset file. Strict: an unknown key or a wrong type is refused with its path."""

from typing import Annotated

import msgspec
from msgspec import Meta

from knownlight.encode.deliveries import DEFAULT
from knownlight.frame.sound import Sound

SCHEMA = 1
Value = str | int | float
Seconds = Annotated[float, Meta(gt=0, le=36000)]


class _Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The base of all parts."""


class Declare(_Part, frozen=True, kw_only=True):
    """HDR metadata declared on purpose, in whole cd/m²; what is left out is not declared at all."""

    mastering: int | None = None
    max_cll: int | None = None
    max_fall: int | None = None


class Clip(_Part, frozen=True, kw_only=True):
    """One clip: what it shows, how it is delivered, and what the reviewer does with it.

    seconds, signal, delivery and sound fall back to those of the chapter; some patterns have a length of
    their own. keep_exact: past the level, too. poor: keys of poor coding (docs/stress.md).
    """

    id: str
    pattern: str
    parameters: dict[str, Value] = {}
    signal: str | None = None
    depth: int | None = None
    range: str | None = None
    primaries: str | None = None
    delivery: str | None = None
    seconds: Seconds | None = None
    sound: str | None = None
    declare: Declare | None = None
    keep_exact: bool = False
    poor: dict[str, Value] = {}
    look: str
    measure: str = ""


class Chapter(_Part, frozen=True, kw_only=True):
    """A folder on the stick: clips that answer one question.

    seconds, signal, delivery and sound are those of its clips that have none; they fall back to those of the
    pack.
    """

    name: str
    title: str
    answers: str
    clips: list[Clip]
    signal: str | None = None
    delivery: str | None = None
    seconds: Seconds | None = None
    sound: str | None = None


class Pack(_Part, frozen=True, kw_only=True):
    """A preset file. includes: presets whose chapters come first, with the preset's name before theirs.

    sound: none for files without a track, which some players stop at; else silent, with a marker's beeps.
    """

    schema: int
    name: str
    title: str
    summary: str
    signal: str
    delivery: str = DEFAULT
    seconds: Seconds = 20.0
    sound: str = Sound.SILENT.value
    includes: list[str] = []
    chapters: list[Chapter] = []
