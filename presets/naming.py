"""Names of files and folders on the stick: they sort in play order and tell what a clip shows.

ASCII, and short enough for every player's list: the engine refuses longer ones.
"""

import re
from dataclasses import dataclass

from knownlight.frame.claims import Pattern
from knownlight.pack.folders import STRETCHED
from knownlight.pack.names import LONGEST

# Keys of the level that a pattern is made for, the first that it has; how a name and how a slate tells it. A
# name has no room for a unit, so a bare figure is a luminance.
_LEVELS = {
    "luminance": ("{:g}", "{:g} cd/m2"),
    "signal_percent": ("signal-{:g}", "{:g} % signal"),
    "code": ("code-{:g}", "code {:g}"),
    "last_luminance": ("{:g}", "to {:g} cd/m2"),
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
    level = main_level(pattern)
    return "" if level is None or level.figure in figures else f"-{level.in_name}".replace(".", "-")


@dataclass(frozen=True)
class MainLevel:
    """The level that a pattern is made for: its figure alone, as a name tells it, and in words."""

    figure: str
    in_name: str
    in_words: str


def main_level(pattern: Pattern) -> MainLevel | None:
    """The level that a pattern is made for; None where it has none."""
    parameters = pattern.parameters()
    for key, (in_name, in_words) in _LEVELS.items():
        value = parameters.get(key)
        if isinstance(value, int | float):
            return MainLevel(f"{value:g}", in_name.format(value), in_words.format(value))
    return None
