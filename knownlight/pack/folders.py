"""Whether a folder can be written, asked before any work."""

import tempfile
from pathlib import Path

from knownlight.errors import BadInput

PART = ".part"  # ending of whatever is not proven yet


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
