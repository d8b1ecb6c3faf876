"""What is wrong with a TOML file, in words: the key's path, and a suggestion for a misspelt key."""

import re
from collections.abc import Iterable

import msgspec

from knownlight.errors import nearest

_PATH = re.compile(r" - at `\$(?P<path>[^`]*)`$")
_INVALID = re.compile(r"Invalid value '(?P<value>[^']*)'")
_UNKNOWN = re.compile(r"Object contains unknown field `(?P<field>[^`]*)`")


def worded(message: str, parts: Iterable[type[msgspec.Struct]]) -> str:
    """Msgspec's words, for the user; `parts` are the structs whose keys a misspelt one may mean."""
    match = _PATH.search(message)
    path = match["path"].lstrip(".") if match else ""
    text = _PATH.sub("", message)
    unknown = _UNKNOWN.match(text)
    if unknown:
        known = {field for part in parts for field in part.__struct_fields__}
        near = nearest(unknown["field"], sorted(known))
        key = ".".join(filter(None, (path, unknown["field"])))
        return f"{key} is not a setting" + (f"; did you mean {near}?" if near else "; remove it")
    invalid = _INVALID.match(text)
    tags = [str(part.__struct_config__.tag) for part in parts if part.__struct_config__.tag]
    if invalid and tags and path.endswith(".kind"):
        text = f"{invalid['value']!r} is not known; use one of {', '.join(tags)}"
    return f"{path}: {text}" if path else text
