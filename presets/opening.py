"""Opens the files that parameters name, and builds patterns with what they hold."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path, PurePosixPath

from knownlight.errors import BadInput
from knownlight.frame.picture import PictureContent
from patterns.family import Family
from patterns.parameters import FileContent
from patterns.registry import build
from presets.scene_file import read_scene


def build_in(
    *folders: Path, name: str, values: Mapping[str, object], opened: dict[str, Path] | None = None
) -> Family:
    """A pattern whose files are looked for in some folders, in their order.

    Args:
        folders: where.
        name: the family.
        values: its parameters by key.
        opened: is filled with every file that was opened, by the name that opens it again from one folder.

    Raises:
        BadInput: for an unknown family or key, a value out of range, or a file that is missing or faulty.
    """
    found: dict[str, Path] = {} if opened is None else opened

    def open_file(family: str, file: str) -> FileContent:
        path = found[file] = _found(family, file, folders)
        if family != "scene":
            return _picture(path, file)

        def open_inner(inner: str) -> PictureContent:
            inside = _found(f"{family}: {file}", inner, (path.parent,))
            found[str(PurePosixPath(file).parent / inner)] = inside
            return _picture(inside, inner)

        return read_scene(path, file, open_inner)

    return build(name, values, opener=open_file)


def _found(where: str, file: str, folders: tuple[Path, ...]) -> Path:
    for folder in folders:
        if (folder / file).is_file():
            return folder / file
    places = " or ".join(str(folder.absolute()) for folder in folders)
    raise BadInput(f"{where}: file={file}: there is no such file in {places}; bring it there")


def _picture(path: Path, name: str) -> PictureContent:
    return _read(path, name, path.stat().st_mtime_ns)


@lru_cache(maxsize=4)
def _read(path: Path, name: str, _changed: int) -> PictureContent:
    """A picture, read once however many clips show it."""
    from knownlight.pictures.file import read_picture  # noqa: PLC0415 - Pillow is slow to import

    return read_picture(path, name)
