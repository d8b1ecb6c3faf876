"""Names that every stick and player takes: FAT32's and exFAT's rules, and players' limits.

FAT32 and exFAT: Microsoft, "Naming Files, Paths, and Namespaces", from memory. Players' limits: common
practice, no source.
"""

from collections import Counter
from collections.abc import Collection
from pathlib import Path, PurePosixPath

from knownlight.errors import BadInput
from knownlight.pack.manifest import FILE_NAME
from knownlight.pack.settling import in_the_way

_RESERVED = frozenset('<>:"\\|?*') | {chr(code) for code in (*range(32), 127)}
_DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10)))
)
LONGEST = 64  # characters that every player's list shows
_MOST_FILES = 255  # a folder; some players show no more
_DEEPEST = 8  # folders; some players look no deeper


def name_problem(name: str) -> str:
    """Why a stick or a player does not take the name of a file or folder; empty where it does."""
    if not name.isascii() or len(name) > LONGEST:
        return f"is not ASCII of at most {LONGEST} characters"
    found = sorted(_RESERVED & set(name))
    if found:
        return f"holds {found[0]!r}, which FAT and exFAT do not take"
    if name != name.strip(" ") or name.endswith("."):
        return "begins or ends with a blank, or ends with a dot, which FAT drops"
    if name.partition(".")[0].lower() in _DEVICES:
        return "is a device's name on Windows"
    return ""


def check_names(files: Collection[str]) -> None:
    """Refuse a plan whose names a stick or a player would not take.

    Args:
        files: paths in the pack's folder, with `/`.

    Raises:
        BadInput: naming the first that is not taken.
    """
    for file in files:
        parts = PurePosixPath(file).parts
        for part in parts:
            problem = name_problem(part)
            if problem:
                raise BadInput(f"{file}: {part!r} {problem}; give it another name")
        if len(parts) - 1 > _DEEPEST:
            raise BadInput(f"{file}: it lies deeper than {_DEEPEST} folders; some players do not look there")
    _check_one_of_each(files)
    for folder, count in Counter(PurePosixPath(file).parent for file in files).items():
        if count > _MOST_FILES:
            raise BadInput(
                f"{folder}: {count} files; some players show {_MOST_FILES} a folder: make it two chapters"
            )


def _check_one_of_each(files: Collection[str]) -> None:
    """No two names that are one where case is ignored, and no file that is a folder, too."""
    folders: dict[str, str] = {}
    for file in files:
        for folder in _folders(file):
            if folders.setdefault(folder.lower(), folder) != folder:
                raise _twice(file, folders[folder.lower()])
    seen = folders | {FILE_NAME: FILE_NAME}
    for file in files:
        if file.lower() in seen:
            raise _twice(file, seen[file.lower()])
        seen[file.lower()] = file


def _twice(file: str, other: str) -> BadInput:
    return BadInput(f"{file}: {other} is the same name on a stick, which ignores case; rename one")


def check_neighbours(folder: Path, files: Collection[str]) -> None:
    """Refuse names that differ by case alone from what lies on the stick: on FAT they are one file.

    Raises:
        InTheWay: naming what is there.
    """
    wanted = {name for file in files for name in (file, *_folders(file))}
    lower = {name.lower(): name for name in wanted}
    for parent in sorted({str(PurePosixPath(name).parent) for name in wanted}):
        here = folder / parent
        if here.is_dir():
            for path in here.iterdir():
                name = path.relative_to(folder).as_posix()
                if name not in wanted and name.lower() in lower:
                    raise in_the_way(path)


def _folders(file: str) -> list[str]:
    """The folders of a pack that a file is in."""
    return [str(parent) for parent in PurePosixPath(file).parents[:-1]]
