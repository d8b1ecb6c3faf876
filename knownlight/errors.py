"""One small tree of errors.

Each message says what is wrong, where (file and key) and what to do, in one or two lines.
The command line turns the classes into exit codes: `CheckFailed` 1, every other 2.
"""

import difflib
from collections.abc import Iterable


class KnownlightError(Exception):
    """Anything that knownlight refuses or fails at, told in words for its user."""


class BadInput(KnownlightError):
    """A parameter, signal format, preset or path that cannot be used as given."""


class CannotCarry(BadInput):
    """A delivery that cannot hold the asked signal; the message names the nearest that can."""


class InTheWay(BadInput):
    """A file that is not ours bears the name of one that is to be written; it is not touched."""


class ToolFailed(KnownlightError):
    """The ffmpeg binary, or another tool, ended with an error; its own words are in the message."""


class UnreadableFile(KnownlightError):
    """A file that is no clip, still or manifest, or a damaged one."""


class Cancelled(KnownlightError):
    """The user stopped the work; nothing half-made was left under a final name."""


class CheckFailed(KnownlightError):
    """A proof did not hold: what was read differs from what was intended."""


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was probably meant: one that begins so, else one that looks alike, else None."""
    words = list(known)
    begun = [each for each in words if each.startswith(word)]
    return next(iter(begun or difflib.get_close_matches(word, words, n=1)), None)
