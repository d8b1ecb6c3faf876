"""readings.csv: rows to bytes and back.

Written: UTF-8 with a byte order mark, CRLF, commas and decimal points (RFC 4180), which spreadsheet programs
open as they are. Read: what such programs and people make of it.
"""

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from knownlight.errors import BadInput, UnreadableFile
from knownlight.readings.columns import COLUMNS, OPTIONAL, Writing, read, written
from knownlight.readings.table import Key, Row

FILE_NAME = "readings.csv"
HEADER = ",".join(COLUMNS)
_BETWEEN = (",", ";", "\t")
_LONGEST_FIELD = 1 << 20  # characters; a file of something else has longer ones


def write_rows(rows: Iterable[Row]) -> bytes:
    """The table as a file."""
    text = io.StringIO(newline="")
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    table.writerows(written(row) for row in rows)
    return text.getvalue().encode("utf-8-sig")


@dataclass(frozen=True, kw_only=True)
class Table:
    """The rows of a file. others: its columns that are not known and hold something."""

    rows: tuple[Row, ...]
    others: tuple[str, ...]


def is_ours(data: bytes) -> bool:
    """Whether the first line of a file names the columns, however it was saved."""
    first_line = data.removeprefix(codecs.BOM_UTF8).partition(b"\n")[0].decode("utf-8", "replace")
    words = {word.strip().strip('"') for word in re.split(r"[,;\t]", first_line)}
    return words >= set(COLUMNS) - OPTIONAL


def read_table(data: bytes, name: str) -> Table:
    """A file.

    Commas, semicolons or tabs between fields; decimal points or commas; columns in any order. Columns that
    are not known are passed over, and those of readings may be missing.

    Raises:
        UnreadableFile: in one line: `name`, the line, the column and what to do.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise UnreadableFile(f"{name}:{line}: it is not UTF-8; save it as CSV in UTF-8") from None
    first_line = text.splitlines()[0] if text.strip() else ""
    between = max(_BETWEEN, key=first_line.count)
    records = list(_records(text, between, name))
    if not records:
        raise UnreadableFile(f"{name}:1: it is empty; make it anew with knownlight sheet")
    header = [word.strip() for word in records[0][1]]
    _check_header(header, name)
    writing = Writing(doubtful=_doubtful(between, header, records[1:]))
    rows: dict[Key, Row] = {}
    for line, fields in records[1:]:
        try:
            row = read(_by_column(header, fields, between), writing)
        except BadInput as error:
            raise UnreadableFile(f"{name}:{line}: {error}") from None
        if row.key in rows:
            shown = ", ".join(str(part) for part in (row.kind.value, *row.key[1:]) if part != "")
            raise UnreadableFile(
                f"{name}:{line}: reading: {shown} is there twice; give further readings further numbers"
            )
        rows[row.key] = row
    others = [
        column
        for place, column in enumerate(header)
        if column not in COLUMNS
        and any(fields[place : place + 1] not in ([], [""]) for _, fields in records[1:])
    ]
    return Table(rows=tuple(rows.values()), others=tuple(others))


def _records(text: str, between: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Lines and fields of every record that is not empty."""
    csv.field_size_limit(_LONGEST_FIELD)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    while True:
        line = reader.line_num + 1
        try:
            fields = next(reader, None)
        except csv.Error as error:
            raise UnreadableFile(
                f"{name}:{line}: its quotes are not closed as they should be ({error}); save it as CSV again"
            ) from None
        if fields is None:
            return
        if any(field.strip() for field in fields):
            yield line, fields


def _check_header(header: Sequence[str], name: str) -> None:
    missing = [column for column in COLUMNS if column not in header and column not in OPTIONAL]
    if missing:
        raise UnreadableFile(
            f"{name}:1: column {missing[0]} is missing; the first line must name the columns: {HEADER}"
        )
    twice = [column for column in COLUMNS if header.count(column) > 1]
    if twice:
        raise UnreadableFile(f"{name}:1: column {twice[0]} is there twice; remove one")


def _by_column(header: Sequence[str], fields: Sequence[str], between: str) -> dict[str, str]:
    """Fields by column; of a short row, only readings may be missing: some programs leave off empty ends."""
    lost = [column for column in header[len(fields) :] if column in COLUMNS and column not in OPTIONAL]
    if lost:
        raise BadInput(f"{lost[0]}: the row ends before it; the file may be cut off, fill the row")
    if len(fields) > len(header):
        remedy = (
            "put decimal commas in quotes, or semicolons between fields" if between == "," else "see to it"
        )
        raise BadInput(f"{header[-1]}: {len(fields)} fields stand under {len(header)} columns; {remedy}")
    return dict(zip(header, fields, strict=False))


def _doubtful(between: str, header: Sequence[str], records: Sequence[tuple[int, Sequence[str]]]) -> str:
    """The sign that may part thousands: a comma, or a point in a file whose decimals have commas."""
    if between == ",":
        return ","
    places = [place for place, column in enumerate(header) if column.startswith(("target_", "measured_"))]
    commas = any("," in fields[place] for _, fields in records for place in places if place < len(fields))
    return "." if commas else ""
