"""The previews in docs/previews show what the program draws now, one for each family."""

import numpy as np
import pytest

from docs.previews import FOLDER, preview, read_preview
from patterns.registry import FAMILIES

LIBM = 1  # sRGB codes: another mathematical library may round a half the other way


@pytest.mark.parametrize("name", FAMILIES)
def test_a_preview_is_fresh(name: str) -> None:
    """A written preview equals what would be drawn; `python -m docs.generate` mends it."""
    drawn = preview(name).astype(np.int64)
    written = read_preview(name).astype(np.int64)

    assert drawn.shape == written.shape == (360, 640, 3)
    assert LIBM >= np.abs(drawn - written).max()
    assert drawn.max() > 100, "a preview that is nearly black helps nobody"


def test_there_is_a_preview_of_each_family_and_no_other() -> None:
    """Families and pictures agree."""
    assert sorted(FAMILIES) == sorted(path.stem for path in FOLDER.glob("*.png"))
