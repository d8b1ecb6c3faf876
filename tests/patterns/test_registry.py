"""The registry: what there is, and what is not known."""

import pytest

from knownlight.errors import BadInput
from patterns.family import Family
from patterns.registry import FAMILIES, build


@pytest.mark.parametrize("name", FAMILIES)
def test_a_family_says_what_it_is(name: str) -> None:
    """A name in plain words, a title and a source, which may be "common practice, no source"."""
    family: type[Family] = FAMILIES[name]

    assert name == family.name
    assert name == name.lower()
    assert family.title
    assert family.source


def test_an_unknown_family_is_refused() -> None:
    """With the nearest name, or all of them."""
    with pytest.raises(BadInput, match=r"pattern 'windw' is not known; did you mean window\?"):
        build("windw", {})
    with pytest.raises(BadInput, match=r"pattern 'zzz' is not known; there are window, full-field"):
        build("zzz", {})
