"""Whether a folder can be written, asked before any work, and the names of what is not a pack's clip."""

from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from knownlight.errors import BadInput

PART = ".part"  # ending of whatever is not proven yet
STRETCHED = ".stretched.png"  # ending of the picture beside a clip of faults, after the file's whole name
SOURCES = "sources"  # folder of the user's files that patterns are made of, to draw them again for verifying


def check_writable(folder: Path) -> None:
    """Refuse a folder that is missing or cannot be written.

    Raises:
        BadInput: naming the folder and the remedy.
    """
    if not folder.is_dir():
        check_folder(folder)
        raise BadInput(f"{folder}: there is no such folder; make it first, or correct --to")
    try:
        tried = folder / f"knownlight{PART}"  # one name, so that a killed run leaves nothing that stays
        tried.write_bytes(b"")
        tried.unlink(missing_ok=True)
    except OSError as error:
        raise BadInput(f"{folder}: {error.strerror or error}; choose a folder that can be written") from error


def check_folder(folder: Path) -> None:
    """Refuse a folder that is none, or that would be made in one that is missing; nothing is written.

    Its parent is not made: a mistyped or missing stick would else be filled on the machine's own disk.

    Raises:
        BadInput: naming the folder and the remedy.
    """
    place = folder if folder.exists() else folder.absolute().parent
    if not place.is_dir():
        what = "it is no folder" if place.exists() else "there is no such folder"
        raise BadInput(f"{place}: {what}; make it first, or correct --to")


def make_folder(folder: Path) -> None:
    """Make a folder inside one that exists, and see that it can be written.

    Raises:
        BadInput: naming the folder and the remedy.
    """
    check_folder(folder)
    if not folder.exists():
        check_writable(folder.absolute().parent)
        folder.mkdir()
    check_writable(folder)


def sources_of(sources: Mapping[str, Path]) -> dict[str, Path]:
    """The user's files by their names in a pack, so that what is on a stick is verified from the stick alone.

    A file whose name leads out of the folder stays where it is.
    """
    return {f"{SOURCES}/{name}": path for name, path in sources.items() if not leads_out(name)}


def leads_out(name: str) -> bool:
    """Whether a name is that of a file outside the folder that it is told of."""
    return PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts
