"""TOML files of any of our schemas: numbers are finite, and text is UTF-8 (as TOML 1.0 has it)."""

from pathlib import Path
from typing import Annotated, Any

import msgspec
import pytest

from knownlight.errors import BadInput
from presets.toml_file import read_toml


class Inner(msgspec.Struct, forbid_unknown_fields=True):
    """Something in a file."""

    share: float | None = None
    free: dict[str, str | int | float] = {}


class Content(msgspec.Struct, forbid_unknown_fields=True):
    """A file."""

    schema: int
    number: float = 0.0
    bound: Annotated[float, msgspec.Meta(ge=0, le=9)] = 0.0
    pair: tuple[float, float] | None = None
    rows: list[list[float]] = []
    inner: Inner | None = None
    many: list[Inner] = []


def read(folder: Path, data: str | bytes) -> tuple[Content, bytes]:
    """A file of schema 1, shown as my/a.toml."""
    path = folder / "a.toml"
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return read_toml(path, "my/a.toml", Content, parts=(Content, Inner), schema=1)


# TOML 1.0, Float: nan and inf, each with or without a sign; a float too large for 64 bits is infinite.
@pytest.mark.parametrize("value", ["nan", "+nan", "-nan", "inf", "+inf", "-inf", "1e999", "-1e999"])
@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("number = @", r"number"),
        ("pair = [1, @]", r"pair\[1\]"),
        ("rows = [[1], [2, 3, @]]", r"rows\[1\]\[2\]"),
        ("inner = { share = @ }", r"inner\.share"),
        ("inner = { free = { a = 1, b = 'x', c = @ } }", r"inner\.free\.c"),
        ("many = [{ share = 1 }, { share = @ }]", r"many\[1\]\.share"),
        ("[[many]]\n[[many]]\nfree.deep = @", r"many\[1\]\.free\.deep"),
    ],
)
def test_a_number_that_is_not_finite_is_refused(tmp_path: Path, text: str, key: str, value: str) -> None:
    """Wherever it stands, the file, the path of its key, the number and what to do."""
    shown = str(float(value))
    with pytest.raises(
        BadInput, match=rf"^my/a\.toml: {key}: {shown} is no number that can be drawn; correct it$"
    ):
        read(tmp_path, "schema = 1\n" + text.replace("@", value))


@pytest.mark.parametrize("value", ["nan", "-nan", "inf", "-inf"])
def test_a_bound_number_that_is_not_finite_is_refused(tmp_path: Path, value: str) -> None:
    """A number that has bounds is outside them."""
    with pytest.raises(BadInput, match=r"^my/a\.toml: bound: Expected `float` [<>]= [09]"):
        read(tmp_path, f"schema = 1\nbound = {value}")


def test_finite_numbers_are_taken(tmp_path: Path) -> None:
    """Large, small and negative numbers are as written, and the bytes are those of the file."""
    text = (
        "schema = 1 # π\nnumber = -1e308\npair = [5e-324, 3]\ninner = { free = { inf = 0.5, nan = 'nan' } }\n"
    )
    content, data = read(tmp_path, text)

    found: list[Any] = [content.number, content.pair, content.inner]
    assert [-1e308, (5e-324, 3.0), Inner(free={"inf": 0.5, "nan": "nan"})] == found
    assert text.encode() == data


@pytest.mark.parametrize(
    "data",
    [
        "schema = 1 # grün\n".encode("latin-1"),
        "schema = 1\n".encode("utf-16"),
        b"schema = 1 # \xed\xa0\x80\n",  # half of a pair of UTF-16
        b"schema = 1\n# \xc3",  # cut within a letter
    ],
)
def test_text_that_is_not_utf_8_is_refused(tmp_path: Path, data: bytes) -> None:
    """The file and the remedy, even where only a comment is of another encoding."""
    with pytest.raises(BadInput, match=r"^my/a\.toml: it is not UTF-8 text; save it as that$"):
        read(tmp_path, data)


def test_a_mark_of_utf_8_is_no_part_of_the_text(tmp_path: Path) -> None:
    """Some editors open a file with the mark of UTF-8 (Unicode, byte order mark)."""
    assert 2.5 == read(tmp_path, b"\xef\xbb\xbfschema = 1\nnumber = 2.5\n")[0].number


@pytest.mark.parametrize("data", ["x = " + "[" * 100_000, "schema = " + "9" * 5000])
def test_what_no_reader_takes_is_refused(tmp_path: Path, data: str) -> None:
    """Brackets nested without end, and a whole number of thousands of figures, are told in words."""
    with pytest.raises(BadInput, match=r"^my/a\.toml: "):
        read(tmp_path, data)
