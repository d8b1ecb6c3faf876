"""The rows of readings.csv that a pack asks for, and what becomes of rows that were filled before."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from knownlight.pack.manifest import ClipEntry, Manifest
from knownlight.pack.recheck import signal_of
from knownlight.readings.display import Display, display_of
from knownlight.readings.table import NOTHING, Key, Kind, Result, Row
from knownlight.readings.targets import target_of
from knownlight.sheet.build import SLATE, to_measure
from knownlight.sheet.displays import key_of
from knownlight.sheet.wording import QUESTIONS


def readings_rows(manifest: Manifest, displays: Sequence[Display]) -> list[Row]:
    """The questions of the set-up, then clip by clip an observation and the regions to measure.

    All are empty but those that say what was measured of a display that the pack was given.
    """
    rows = [Row(kind=Kind.SETUP, region=question.key) for question in QUESTIONS]
    for display in manifest.displays:
        for name, value in (("peak", display.peak), ("black", display.black)):
            key = key_of(display.kind, name)  # as the page exports them
            rows.append(Row(kind=Kind.SETUP, region=key, result=Result(note=f"{value:g}")))
    for entry in manifest.clips:
        if entry.pattern != SLATE:
            rows += _of_clip(entry, displays)
    return rows


def _of_clip(entry: ClipEntry, displays: Sequence[Display]) -> Iterator[Row]:
    encoding = signal_of(entry).encoding
    display = display_of(encoding.transfer, displays)
    yield Row(kind=Kind.OBSERVATION, clip=entry.id, file=entry.file, signal=entry.signal)
    for claim in to_measure(entry):
        yield Row(
            kind=Kind.READING,
            clip=entry.id,
            file=entry.file,
            region=claim.name,
            signal=entry.signal,
            code=claim.code,
            seconds=claim.seconds,
            target=target_of(claim.code, encoding, display),
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
    """Put the results of older rows into rows of the same key, whose codes and kind of signal are the same.

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
        elif first is None or (first.code, _kind(first)) != (old.code, _kind(old)):
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


def _kind(row: Row) -> str:
    """The kind of signal: the same codes are other light in another; the same at another size or rate."""
    return row.signal.rpartition("-")[2]
