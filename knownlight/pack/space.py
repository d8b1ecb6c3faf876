"""Room on a stick: what is free, what a plan takes at its fullest moment, what its file system can hold."""

import os
import re
import shutil
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

_MOUNTS = Path("/proc/self/mounts")
_OCTAL = re.compile(r"\\([0-7]{3})")
_FAT = ("vfat", "msdos", "fuse.fusefat")
FAT_LARGEST = (1 << 32) - 1  # bytes of a file on FAT32: its size is a field of 32 bits
_RESERVE = 256 << 10  # bytes that folders and the file system itself may take
_ENTRY_BYTES = 32 << 10  # of the manifest, a clip; twice, because it is written anew beside the old one


@dataclass(frozen=True, kw_only=True)
class Copy:
    """A file to write: bytes it takes, and bytes of ours that it replaces."""

    bytes: int
    replaced: int = 0


def nearest_folder(folder: Path) -> Path:
    """The folder, or where it is missing the one that it is made in."""
    return folder if folder.exists() else folder.absolute().parent


def free_bytes(folder: Path) -> int | None:
    """Bytes that can be written; None where the file system does not tell."""
    try:
        usage = shutil.disk_usage(nearest_folder(folder))
    except OSError:
        return None
    return usage.free if usage.total else None


def cluster_bytes(folder: Path) -> int:
    """What a file's size is rounded up to."""
    return max(1, os.statvfs(nearest_folder(folder)).f_frsize) if hasattr(os, "statvfs") else 4096


def needed_bytes(copies: Iterable[Copy], cluster: int) -> int:
    """What must be free: a file that replaces another lies beside it until it is proven."""
    taken = largest = count = 0
    for copy in copies:
        taken += -(-copy.bytes // cluster) * cluster
        largest = max(largest, taken)
        taken -= copy.replaced // cluster * cluster
        count += 1
    return largest + _RESERVE + 2 * count * _ENTRY_BYTES if count else 0


def is_fat(folder: Path) -> bool:
    """Whether files end at 4 GiB there, as far as this system tells."""
    try:
        lines = _MOUNTS.read_text("utf-8").splitlines()
    except OSError:
        return False
    mounts = [line.split(" ")[1:3] for line in lines]
    place = nearest_folder(folder).resolve()
    kinds = {_plain(point): kind for point, kind in mounts}
    for parent in (place, *place.parents):
        if parent in kinds:
            return kinds[parent] in _FAT
    return False


def _plain(point: str) -> Path:
    """A mount point: its blanks are written as octal numbers."""
    return Path(_OCTAL.sub(lambda match: chr(int(match[1], 8)), point))
