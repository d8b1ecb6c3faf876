"""A reviewer who types readings into readings.csv between runs, and looks whether they are still there."""

import csv
import io
import random
from dataclasses import dataclass, field
from pathlib import Path

from knownlight.readings.csv_file import FILE_NAME

_OWN = "lamp"  # a column of the reviewer's own, which the program does not know
_SELDOM = 0.25  # is that column filled, too
Rows = list[dict[str, str]]


def tables(folder: Path) -> list[Path]:
    """readings.csv and the older ones that were kept, readings.1.csv and so on."""
    stem, _, ending = FILE_NAME.partition(".")
    return [
        path for path in (folder / FILE_NAME, *sorted(folder.glob(f"{stem}.*.{ending}"))) if path.exists()
    ]


def _read(path: Path) -> Rows:
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8-sig"), newline="")))


@dataclass
class Reviewer:
    """What was typed so far: kind, clip, region, luminance and note of rows, and a column of one's own."""

    chance: random.Random
    typed: list[tuple[str, str, str, str, str]] = field(default_factory=list)
    own: list[str] = field(default_factory=list)

    def type_in(self, folder: Path) -> None:
        """Fill a row: an empty one, a further reading of a region, or an answer of the set-up."""
        path = folder / FILE_NAME
        if not path.exists():
            return
        rows = _read(path)
        row = self.chance.choice([row for row in rows if _takes_words(row)])
        count = len(self.typed) + 1
        if row["note"]:
            alike = [each for each in rows if _region(each) == _region(row)]
            row = {**row, "reading": str(1 + max(int(each["reading"]) for each in alike))}
            rows.append(row)
        row["note"] = f"typed {count}"
        if row["kind"] == "reading":
            row["measured_luminance"] = f"{count}.5"
        self.typed.append((*_region(row), row["measured_luminance"], row["note"]))
        if self.chance.random() < _SELDOM:
            self.own.append(f"{_OWN} {count}")
            row[_OWN] = self.own[-1]
        text = io.StringIO(newline="")
        table = csv.DictWriter(text, fieldnames=list(dict.fromkeys(name for each in rows for name in each)))
        table.writeheader()
        table.writerows(rows)
        path.write_text(text.getvalue(), encoding="utf-8", newline="")

    def problems(self, folder: Path) -> list[str]:
        """What was typed and is nowhere, and tables that were kept twice."""
        contents = [path.read_bytes() for path in tables(folder)]
        rows = [row for path in tables(folder) for row in _read(path)]
        there = {(*_region(row), row["measured_luminance"], row["note"]) for row in rows}
        own = {row.get(_OWN) for row in rows}
        found = [f"a reading is gone: {typed}" for typed in self.typed if typed not in there]
        found += [f"a column of the reviewer's own is gone: {each}" for each in self.own if each not in own]
        if len(set(contents[1:])) < len(contents[1:]):
            found.append(f"one table was kept twice: {[path.name for path in tables(folder)]}")
        return found


def _takes_words(row: dict[str, str]) -> bool:
    """Whether more may be typed for a row; peak and black of a display are numbers."""
    is_free = row["kind"] == "reading" or not row["note"]
    return is_free and not row["region"].startswith("display-")


def _region(row: dict[str, str]) -> tuple[str, str, str]:
    return row["kind"], row["clip"], row["region"]
