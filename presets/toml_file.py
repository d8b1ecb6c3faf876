"""Reads a strict TOML file of one of our schemas; what is wrong is named by file and key."""

from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar

import msgspec

from knownlight.errors import BadInput
from presets.wording import worded

T = TypeVar("T", bound=msgspec.Struct)


def read_toml(
    path: Path, shown: str, kind: type[T], *, parts: Iterable[type[msgspec.Struct]], schema: int
) -> tuple[T, bytes]:
    """The content of a file, and its bytes.

    Args:
        path: the file.
        shown: how messages name it.
        kind: what it holds; with a whole number `schema`.
        parts: every struct in it, for suggestions.
        schema: the number it must have.

    Raises:
        BadInput: where it cannot be read or is not as the schema has it: file, key and remedy.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise BadInput(f"{shown}: {error.strerror}; name a .toml file that can be read") from None
    try:
        content = msgspec.toml.decode(data, type=kind)
    except msgspec.MsgspecError as error:
        raise BadInput(f"{shown}: {worded(str(error), tuple(parts))}") from None
    found = content.schema  # type: ignore[attr-defined]  # every file of ours has one
    if found != schema:
        raise BadInput(f"{shown}: schema {found} is not {schema}; use a knownlight that knows it")
    return content, data
