"""A word that is not known gets the one that was probably meant."""

import pytest

from knownlight.errors import nearest

_KNOWN = ["window", "surround_fall", "surround_apl_percent"]


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("windw", "window"),
        ("surround_apl", "surround_apl_percent"),
        ("surround_fal", "surround_fall"),
        ("zzz", None),
    ],
)
def test_nearest(word: str, expected: str | None) -> None:
    """What begins like the word comes before what looks like it; nothing near is nothing."""
    assert expected == nearest(word, _KNOWN)
