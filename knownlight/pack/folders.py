"""Whether a folder can be written, asked before any work."""

import shutil
import tempfile
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
        what = "it is no folder" if folder.exists() else "there is no such folder"
        raise BadInput(f"{folder}: {what}; make it first, or correct --to")
    try:
        with tempfile.NamedTemporaryFile(dir=folder, prefix="knownlight-", suffix=PART):
            pass
    except OSError as error:
        raise BadInput(f"{folder}: {error.strerror or error}; choose a folder that can be written") from error


def make_folder(folder: Path) -> None:
    """Make a folder inside one that exists, and see that it can be written.

    Its parent is not made: a mistyped or missing stick would else be filled on the machine's own disk.

    Raises:
        BadInput: naming the folder and the remedy.
    """
    if not folder.exists():
        check_writable(folder.absolute().parent)
        folder.mkdir()
    check_writable(folder)


def keep_sources(folder: Path, sources: Mapping[str, Path]) -> None:
    """Copy the user's files into the pack, so that what is on a stick can be verified from the stick alone.

    A file whose name leads out of the folder stays where it is.

    Raises:
        BadInput: where there is no room for it.
    """
    for name, path in sources.items():
        if PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
            continue
        to = folder / SOURCES / name
        try:
            to.parent.mkdir(parents=True, exist_ok=True)
            part = to.with_name(to.name + PART)
            shutil.copyfile(path, part)
            part.replace(to)
        except OSError as error:
            raise BadInput(f"{to}: {error.strerror or error}; free some space, or write elsewhere") from error
