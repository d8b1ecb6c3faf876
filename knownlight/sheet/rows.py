"""The rows of readings.csv that a pack asks for, and what becomes of rows that were filled before."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from knownlight.pack.manifest_entries import DisplayEntry
from knownlight.readings.table import NOTHING, Key, Kind, Result, Row
from knownlight.readings.targets import Basis, Target
from knownlight.sheet.displays import key_of
from knownlight.sheet.model import Card, SheetModel


def readings_rows(model: SheetModel, given: Iterable[DisplayEntry]) -> list[Row]:
    """The questions of the set-up, then clip by clip an observation and the regions to measure.

    All are empty but those that say what was measured of the displays that the pack was given.
    """
    rows = [Row(kind=Kind.SETUP, region=question.key) for question in model.questions]
    for display in given:
        for name, value in (("peak", display.peak), ("black", display.black)):
            key = key_of(display.kind, name)  # as the page exports them
            rows.append(Row(kind=Kind.SETUP, region=key, result=Result(note=f"{value:g}")))
    for chapter in model.chapters:
        for card in chapter.cards:
            if not card.is_slate:
                rows += _of_clip(card)
    return rows


def _of_clip(card: Card) -> Iterator[Row]:
    yield Row(kind=Kind.OBSERVATION, clip=card.id, file=card.file, signal=card.signal)
    for patch in card.patches:
        yield Row(
            kind=Kind.READING,
            clip=card.id,
            file=card.file,
            region=patch.name,
            signal=card.signal,
            code=patch.code,
            seconds=patch.seconds,
            target=Target(luminance=patch.target_luminance, xy=patch.target_xy, basis=Basis(patch.basis)),
        )


@dataclass(frozen=True, kw_only=True)
class Carried:
    """A table with the results of an older one.

    moved: how many. left: filled rows of the older one that have no place any more.
    """

    rows: tuple[Row, ...]
    moved: int
    left: tuple[Row, ...]


def carried_over(rows: Iterable[Row], older: Iterable[Row]) -> Carried:
    """Put the results of older rows into rows of the same key that have no other codes or kind of signal.

    An older row may leave its codes or its signal empty, as one that was typed by hand does.
    Further readings of a region follow its first. Of the set-up every answer stays, but where the pack itself
    has one.
    """
    table = {row.key: row for row in rows}
    further: dict[Key, list[Row]] = {}
    more, left, moved = [], [], 0
    for old in older:
        key: Key = (old.kind, old.clip, old.region, 1)
        first = table.get(key)
        if old.result == NOTHING or (first is not None and first.result != NOTHING):
            continue
        if first is None and old.kind is Kind.SETUP:
            more.append(old)
        elif first is None or not _is_of(old, first):
            left.append(old)
            continue
        else:
            further.setdefault(key, []).append(replace(first, reading=old.reading, result=old.result))
        moved += 1
    merged = [each for row in table.values() for each in _with_results(row, further.get(row.key, []))]
    last = sum(row.kind is Kind.SETUP for row in merged)
    return Carried(rows=(*merged[:last], *more, *merged[last:]), moved=moved, left=tuple(left))


def _with_results(first: Row, filled: Iterable[Row]) -> list[Row]:
    """A row and its further readings, in their order."""
    by_number = {first.reading: first} | {row.reading: row for row in filled}
    return [by_number[number] for number in sorted(by_number)]


def _is_of(old: Row, first: Row) -> bool:
    """Whether an older row, in what it says of codes and signal, is of the same light as a row of its key."""
    return old.code in (None, first.code) and _kind(old) in ("", _kind(first))


def _kind(row: Row) -> str:
    """The kind of signal: the same codes are other light in another; the same at another size or rate."""
    return row.signal.strip().rpartition("-")[2]
