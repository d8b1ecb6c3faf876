"""The run sheet of a pack's folder, from its manifest and its files."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.pack.manifest import Manifest
from knownlight.pack.stick import alone_in
from knownlight.readings.csv_file import FILE_NAME
from knownlight.readings.display import Display
from knownlight.sheet.build import displays_of, sheet_model, with_display
from knownlight.sheet.displays import with_typed_displays
from knownlight.sheet.thumbnails import thumbnails
from knownlight.sheet.write import Written, check_sheet, table_in, write_sheet


@dataclass(frozen=True, kw_only=True)
class Made:
    """What the sheet is for, what became of older readings, and ids of files that gave no small picture.

    manifest: that of the pack with the displays that were given or typed; to be written where it has changed.
    """

    manifest: Manifest
    displays: tuple[Display, ...]
    written: Written
    without_picture: tuple[str, ...]


def make_sheet(
    folder: Path,
    manifest: Manifest,
    *,
    cache: Path,
    stop: Stop,
    measured: Display | None = None,
    on_done: Callable[[str], None] = lambda _: None,
) -> Made:
    """Write START-HERE.html, readings.csv and playlist.m3u8 into a pack's folder.

    A display that was typed into the older table is taken for one of the pack's.

    cache: the machine's, which keeps small pictures. measured: a display that goes before all others of its
    kind. on_done: is told each id whose picture is made.

    Raises:
        BadInput: where a file that is not ours is in the way, or the folder cannot be written.
        UnreadableFile: where an older table of readings cannot be read; nothing was written.
        Cancelled: where a stop was asked for.
    """
    check_sheet(folder)
    try:
        manifest = with_typed_displays(manifest, table_in(folder).rows)
    except BadInput as error:
        raise BadInput(f"{folder / FILE_NAME}: {error}") from None
    if measured is not None:
        manifest = with_display(manifest, measured)
    pictures = thumbnails(manifest.clips, folder, cache=cache / "thumbnails", stop=stop, on_done=on_done)
    displays = displays_of(manifest)
    with alone_in(folder):
        written = write_sheet(folder, manifest, sheet_model(manifest, displays, pictures))
    return Made(
        manifest=manifest,
        displays=displays,
        written=written,
        without_picture=tuple(identity for identity, picture in pictures.items() if not picture),
    )
