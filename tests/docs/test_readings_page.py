"""docs/readings.md says what the program does."""

import re

from docs.generate import HERE
from knownlight.readings.columns import COLUMNS
from knownlight.readings.table import Kind
from knownlight.readings.targets import Basis

PAGE = (HERE / "readings.md").read_text("utf-8")


def test_every_column_is_documented_in_its_order() -> None:
    """The first fields of the table's rows are the columns."""
    rows = [line.split("|")[1] for line in PAGE.splitlines() if line.startswith("| `")]
    assert list(COLUMNS) == re.findall(r"`(\w+)`", " ".join(rows))


def test_every_word_of_a_column_is_documented() -> None:
    """Kinds of rows and what targets rest on."""
    words = [*(kind.value for kind in Kind), *(basis.value for basis in Basis)]
    assert [] == [word for word in words if f"`{word}`" not in PAGE]
