"""Writes the run sheet, the table of readings and the playlist into a pack; readings are never lost."""

import os
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from knownlight.errors import BadInput
from knownlight.pack.folders import PART
from knownlight.pack.manifest import Manifest
from knownlight.pack.settling import Over
from knownlight.pack.stick import put_bytes, refusals
from knownlight.readings import csv_file
from knownlight.sheet import page, playlist
from knownlight.sheet.model import SheetModel
from knownlight.sheet.rows import carried_over, readings_rows

SHEET = "START-HERE.html"
FILES = (SHEET, csv_file.FILE_NAME, playlist.FILE_NAME)


@dataclass(frozen=True, kw_only=True)
class Written:
    """What became of the older readings.

    carried: filled rows that are in the new table. kept: the file that the old table is kept in, because some
    of it has no place any more; None where all has. why: what has none, in words.
    """

    carried: int
    kept: str | None = None
    why: str = ""


def check_sheet(folder: Path) -> csv_file.Table:
    """The older table of readings; a folder is refused that the sheet cannot be put into.

    Raises:
        BadInput: where a file that is not ours has the name of one of the sheet: the file and what to do.
        UnreadableFile: where the older table cannot be read.
    """
    with refusals(folder):
        for name, is_ours in _OURS.items():
            path = folder / name
            if path.exists() and not (path.is_file() and is_ours(path.read_bytes())):
                raise BadInput(
                    f"{path}: it is there and knownlight did not make it; move it away, or rename it"
                )
        path = folder / csv_file.FILE_NAME
        if not path.exists():
            return csv_file.Table(rows=(), others=())
        return csv_file.read_table(path.read_bytes(), str(path))


def write_sheet(folder: Path, manifest: Manifest, model: SheetModel) -> Written:
    """Write all three files; what is there with the same content stays as it is.

    Results of the older table are carried over to the rows of the same clip, region and codes. Where some
    have no place any more, or it has columns of the reader's own, it is first kept under another name.

    Raises:
        BadInput, UnreadableFile: as `check_sheet`, and where the folder cannot be written.
    """
    table = check_sheet(folder)
    path = folder / csv_file.FILE_NAME
    carried = carried_over(readings_rows(model, manifest.displays), table.rows)
    lost = [f"{len(carried.left)} of its filled rows"] if carried.left else []
    lost += [f"column {column}" for column in table.others]
    with refusals(folder):
        old = path.read_bytes() if lost else b""
        place = _place_of_old(folder, old)
        for name in (*FILES, place):  # halves of a killed run, which wrote what this one may not
            (folder / (name + PART)).unlink(missing_ok=True)
    if lost and not (folder / place).exists():
        put_bytes(old, folder / place, over=Over.NOTHING)
    _put(csv_file.write_rows(carried.rows), path)
    _put(page.page(model).encode(), folder / SHEET)
    _put(playlist.playlist(manifest), folder / playlist.FILE_NAME)
    return Written(carried=carried.moved, kept=place if lost else None, why=" and ".join(lost))


def _put(data: bytes, to: Path) -> None:
    if not _holds(to, data):
        put_bytes(data, to)


def _place_of_old(folder: Path, old: bytes) -> str:
    """readings.1.csv, or the first of a higher number that there is not, or that holds the same table.

    The same is there where a run was killed after it had kept it.
    """
    stem, _, ending = csv_file.FILE_NAME.partition(".")
    names = (f"{stem}.{number}.{ending}" for number in count(1))
    return next(
        name for name in names if not os.path.lexists(folder / name) or (old and _holds(folder / name, old))
    )


def _holds(path: Path, data: bytes) -> bool:
    return path.is_file() and path.read_bytes() == data


def _begins(*lines: str) -> Callable[[bytes], bool]:
    """Whether a file begins with these lines, whatever ends them."""

    def begins(data: bytes) -> bool:
        found = data[: sum(map(len, lines)) + 3 * len(lines)].decode("utf-8", "replace").splitlines()
        return [line.strip().lower() for line in found[: len(lines)]] == [line.lower() for line in lines]

    return begins


_OURS: dict[str, Callable[[bytes], bool]] = {
    SHEET: _begins("<!doctype html>", page.MARKER),
    csv_file.FILE_NAME: csv_file.is_ours,
    playlist.FILE_NAME: _begins("#EXTM3U", playlist.MARKER),
}
