"""The run sheet of a pack's folder, from its manifest and its files."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from knownlight.errors import BadInput, CheckFailed
from knownlight.ffmpeg import Stop
from knownlight.pack.manifest import FILE_NAME, Manifest, read_manifest, write_manifest
from knownlight.pack.recheck import manifest_problems
from knownlight.pack.stick import alone_in
from knownlight.readings import csv_file
from knownlight.readings.display import Display
from knownlight.sheet.build import displays_of, sheet_model, with_display
from knownlight.sheet.displays import with_typed_displays
from knownlight.sheet.thumbnails import thumbnails
from knownlight.sheet.write import Written, check_sheet, write_sheet


@dataclass(frozen=True, kw_only=True)
class Made:
    """What the sheet is for, what became of older readings, and ids of files that gave no small picture."""

    displays: tuple[Display, ...]
    written: Written
    without_picture: tuple[str, ...]


def make_sheet(
    folder: Path,
    *,
    cache: Path,
    stop: Stop,
    measured: Display | None = None,
    on_done: Callable[[int], None] = lambda _: None,
) -> Made:
    """Write START-HERE.html, readings.csv and playlist.m3u8 into a pack's folder.

    A display that was typed into the older table is taken for one of the pack's. The folder is held from
    reading its manifest to writing it, so that no run lists a clip in between.

    Args:
        folder: of the pack.
        cache: the machine's, which keeps small pictures.
        stop: ends it from another thread.
        measured: a display that goes before all others of its kind, and that the manifest has from now on.
        on_done: is told how many pictures there are whenever one more is made, from other threads.

    Raises:
        BadInput: where a file that is not ours is in the way, or the folder cannot be written.
        CheckFailed: where somebody changed the manifest, which must not get a new seal.
        UnreadableFile: where the manifest or an older table of readings cannot be read; nothing was written.
        Cancelled: where a stop was asked for.
    """
    path = folder / FILE_NAME
    with alone_in(folder):
        manifest = read_manifest(path)
        for problem in manifest_problems(manifest):
            raise CheckFailed(f"{path}: {problem}")
        changed = _with_displays(manifest, check_sheet(folder), folder, measured)
        count = len(manifest.clips)
        pictures = thumbnails(
            manifest.clips,
            folder,
            cache=cache / "thumbnails",
            stop=stop,
            on_done=lambda _identity: on_done(count),
        )
        displays = displays_of(changed)
        if changed != manifest:
            write_manifest(changed, path)  # first: a sheet is made of it, not the other way round
        written = write_sheet(folder, changed, sheet_model(changed, displays, pictures))
    return Made(
        displays=displays,
        written=written,
        without_picture=tuple(identity for identity, picture in pictures.items() if not picture),
    )


def _with_displays(
    manifest: Manifest, table: csv_file.Table, folder: Path, measured: Display | None
) -> Manifest:
    """The manifest with displays that were typed into the table, and with the one that was given."""
    try:
        typed = with_typed_displays(manifest, table.rows)
    except BadInput as error:
        raise BadInput(f"{folder / csv_file.FILE_NAME}: {error}") from None
    return typed if measured is None else with_display(typed, measured)
