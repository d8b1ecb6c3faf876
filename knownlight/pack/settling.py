"""Gives a finished file its final name, never over one that is not ours."""

import contextlib
import ctypes
import errno
import os
import sys
from enum import Enum
from pathlib import Path

from knownlight.errors import InTheWay

# What systems and file systems answer to what they have not.
UNKNOWN = {errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM, errno.EACCES}
_AT_FDCWD, _RENAME_NOREPLACE = -100, 1  # of Linux, renameat2(2)


class Over(Enum):
    """What a new file may replace."""

    NOTHING = "nothing"
    OURS = "ours"  # who asks for it has seen that the file under that name is ours


def settle(part: Path, to: Path, over: Over) -> None:
    """Give a finished file its final name, and force the folder out.

    Raises:
        InTheWay: where a file has that name already and may not be replaced.
        OSError: as the system has it.
    """
    if over is Over.OURS:
        part.replace(to)
    else:
        try:
            _rename_to_new(part, to)
        except FileExistsError:
            raise in_the_way(to) from None
    force_out_folder(to.parent)


def in_the_way(path: Path) -> InTheWay:
    """The refusal of a name that a file has which is not ours."""
    return InTheWay(f"{path}: it is there and not in the manifest; move it away, or choose another folder")


def force_out_folder(folder: Path) -> None:
    """Force a folder's names out, where the system can."""
    with contextlib.suppress(PermissionError):  # a folder cannot be opened on every system
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        except OSError as error:
            if error.errno not in UNKNOWN:
                raise
        finally:
            os.close(descriptor)


def _rename_to_new(part: Path, to: Path) -> None:
    """Rename, never over a file: at once where the system can, by a link where not, at worst after a look.

    Raises:
        FileExistsError: where there is one.
    """
    for way in (_rename_no_replace, _link_and_unlink):
        try:
            way(part, to)
        except FileExistsError:
            raise
        except OSError as error:
            if error.errno not in UNKNOWN:
                raise
        else:
            return
    if os.path.lexists(to):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(to))
    part.rename(to)


def _rename_no_replace(part: Path, to: Path) -> None:
    """By Linux's renameat2, which FAT, exFAT and most others know too."""
    rename = (
        getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None) if sys.platform == "linux" else None
    )
    if rename is None:
        raise OSError(errno.ENOSYS, os.strerror(errno.ENOSYS))
    if rename(_AT_FDCWD, os.fsencode(part), _AT_FDCWD, os.fsencode(to), _RENAME_NOREPLACE):
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number), str(to))


def _link_and_unlink(part: Path, to: Path) -> None:
    os.link(part, to)
    part.unlink()
