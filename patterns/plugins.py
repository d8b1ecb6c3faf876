"""Families that other packages bring: each names its class under the entry point group below."""

from collections.abc import Iterable
from importlib.metadata import EntryPoint, entry_points

from knownlight.errors import BadInput
from patterns.family import Family

GROUP = "knownlight.patterns"


def brought_families(taken: Iterable[str]) -> dict[str, type[Family]]:
    """The families of installed packages by name.

    Args:
        taken: names that there are already.

    Raises:
        BadInput: for one that cannot be loaded, is no family, has another name than its entry point, or one
            that is taken; naming the package.
    """
    known = set(taken)
    families: dict[str, type[Family]] = {}
    for entry in sorted(entry_points(group=GROUP), key=lambda entry: entry.name):
        family = _loaded(entry)
        if entry.name in known:
            raise BadInput(f"{_where(entry)}: there is a pattern of that name already; give it another")
        known.add(entry.name)
        families[entry.name] = family
    return families


def _loaded(entry: EntryPoint) -> type[Family]:
    try:
        family = entry.load()
    except Exception as error:  # somebody else's package: anything may go wrong
        raise BadInput(f"{_where(entry)} could not be loaded ({error}); mend or uninstall it") from error
    if not (isinstance(family, type) and issubclass(family, Family)):
        raise BadInput(f"{_where(entry)} is {entry.value}, which is no patterns.family.Family; correct it")
    if family.name != entry.name:
        raise BadInput(f"{_where(entry)}: its class calls itself {family.name!r}; use one name for both")
    return family


def _where(entry: EntryPoint) -> str:
    package = entry.dist.name if entry.dist else "an installed package"
    return f"pattern {entry.name!r} of {package}"
