"""What a run sheet says, as data: a page only lays it out."""

import msgspec


class _Part(msgspec.Struct, frozen=True, kw_only=True):
    """The base of all parts."""


class Patch(_Part, frozen=True, kw_only=True):
    """A region to measure.

    code: as stored. signal: non-linear R', G', B', which may pass 0..1. seconds: when it is first shown, from
    and to; None where it is there all the time. target_luminance: cd/m². target_xy: CIE 1931; None of black.
    basis: a word of `readings.targets.Basis`.
    """

    name: str
    code: tuple[int, int, int]
    signal: tuple[float, float, float]
    seconds: tuple[float, float] | None
    target_luminance: float
    target_xy: tuple[float, float] | None
    basis: str


class Card(_Part, frozen=True, kw_only=True):
    """A clip or still.

    number: its place in the chapter, "020". signal: its format, as written. transfer: sdr, srgb, pq or hlg.
    to_xyz: rows; linear R, G, B of the primaries in use to X, Y, Z. weights: of R, G, B in the luminance of
    HLG's OOTF. seconds: 0 of a still. exactness: in words. facts: label and value. cautions: name and words.
    hold_seconds: the longest to show it before the set rests; None without a caution of that. thumbnail: a
    data URI, or empty. stretched: path inside the pack, or empty. patches: to measure.
    """

    id: str
    file: str
    number: str
    signal: str
    transfer: str
    to_xyz: tuple[tuple[float, float, float], ...]
    weights: tuple[float, float, float]
    delivery: str
    seconds: float
    is_still: bool
    exactness: str
    facts: list[tuple[str, str]]
    look: str
    measure: str
    cautions: list[tuple[str, str]]
    hold_seconds: float | None
    thumbnail: str
    stretched: str
    warning: str
    area_percent: float | None
    pattern: str
    patches: list[Patch]
    is_slate: bool


class JoinedCard(_Part, frozen=True, kw_only=True):
    """Clips of a chapter in one file. marks: the second at which a clip, no slate, begins, and its id."""

    file: str
    seconds: float
    marks: list[tuple[float, str]]


class ChapterCard(_Part, frozen=True, kw_only=True):
    """A folder of the pack and the question that its clips answer. words: what all of it asks for."""

    name: str
    folder: str
    title: str
    answers: str
    words: list[str] = []
    cards: list[Card]
    joined: list[JoinedCard]


class Question(_Part, frozen=True, kw_only=True):
    """Something to note of the set-up. key: of its row in the table of readings."""

    key: str
    label: str
    hint: str


class SheetModel(_Part, frozen=True, kw_only=True):
    """The whole sheet.

    displays: kind, peak and black (cd/m²) that the targets are for; one of every kind, given or reference.
    steps: title and words.
    """

    pack: str
    title: str
    summary: str
    created: str
    version: str
    displays: list[tuple[str, float, float]]
    steps: list[tuple[str, str]]
    questions: list[Question]
    chapters: list[ChapterCard]
