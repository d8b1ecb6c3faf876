"""Names of files and folders on the stick: they sort in play order and tell what a clip shows.

ASCII, and short enough for every player's list (the engine refuses longer ones).
"""

import re

from knownlight.frame.claims import Pattern
from knownlight.pack.folders import STRETCHED

LONGEST = 64  # characters, the ending and that of the picture beside a clip included

# Keys of the level that a pattern is made for, the first that it has; and how a name tells it. cd/m² cannot
# be written in ASCII, so a bare figure is a luminance.
_LEVELS = {
    "luminance": "{:g}",
    "signal_percent": "signal-{:g}",
    "code": "code-{:g}",
    "last_luminance": "{:g}",
}


_FIGURE = re.compile(r"0*(\d+)(?:pct)?")  # 5, 005 and 5pct alike


def number(place: int, *, before: int = 0) -> str:
    """The number before the name at a place from 0, by tens, so that others can be put before it."""
    return f"{10 * (place + 1) - before:03d}"


def stem(place: int, identity: str, pattern: Pattern) -> str:
    """A clip's name without its ending: number and id, then pattern and main level where the id lacks them.

    What does not fit is left out, the pattern first.
    """
    name = f"{number(place)}-{identity}"
    room = LONGEST - len(STRETCHED) - len(".webm")
    family, level = _family(identity, pattern), _level(identity, pattern)
    for extra in (family + level, level):
        if len(name + extra) <= room:
            return name + extra
    return name


def _family(identity: str, pattern: Pattern) -> str:
    """The pattern's name, or nothing where the id has a word of it."""
    words = set(identity.split("-"))
    return "" if words & set(pattern.name.split("-")) else f"-{pattern.name}"


def _level(identity: str, pattern: Pattern) -> str:
    """The main level, or nothing where the id has its figure or the pattern has none."""
    figures = [found[1] for found in map(_FIGURE.fullmatch, identity.split("-")[1:]) if found]
    key, value = main_level(pattern) or ("", 0.0)
    if not key or f"{value:g}" in figures:
        return ""
    return f"-{_LEVELS[key].format(value)}".replace(".", "-")


def main_level(pattern: Pattern) -> tuple[str, float] | None:
    """The key and the value of the level that a pattern is made for; None where it has none."""
    parameters = pattern.parameters()
    for key in _LEVELS:
        value = parameters.get(key)
        if isinstance(value, int | float):
            return key, value
    return None
