"""Reads a strict TOML file of one of our schemas; what is wrong is named by file and key."""

import codecs
import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TypeVar

import msgspec

from knownlight.errors import BadInput
from presets.wording import worded

T = TypeVar("T", bound=msgspec.Struct)


def _numbers(value: object, key: str = "") -> Iterator[tuple[str, float]]:
    """Every number in nested content, with the path of its key."""
    if isinstance(value, float):
        yield key, value
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from _numbers(inner, f"{key}.{name}")
    elif isinstance(value, list | tuple):
        for index, inner in enumerate(value):
            yield from _numbers(inner, f"{key}[{index}]")


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
        data = path.read_bytes().removeprefix(codecs.BOM_UTF8)
    except OSError as error:
        raise BadInput(f"{shown}: {error.strerror}; name a .toml file that can be read") from None
    try:
        content = msgspec.toml.decode(data, type=kind)
    except msgspec.MsgspecError as error:
        raise BadInput(f"{shown}: {worded(str(error), tuple(parts))}") from None
    except UnicodeDecodeError:
        raise BadInput(f"{shown}: it is not UTF-8 text; save it as that") from None
    except (RecursionError, ValueError):
        raise BadInput(f"{shown}: it is nested too deep, or a number is too long; simplify it") from None
    for key, number in _numbers(msgspec.to_builtins(content)):
        if not math.isfinite(number):
            raise BadInput(f"{shown}: {key.lstrip('.')}: {number} is no number that can be drawn; correct it")
    found = content.schema  # type: ignore[attr-defined]  # every file of ours has one
    if found != schema:
        raise BadInput(f"{shown}: schema {found} is not {schema}; use a knownlight that knows it")
    return content, data
