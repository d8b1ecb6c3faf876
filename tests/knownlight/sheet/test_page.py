"""The run sheet's file as text: what stands in it before any script runs."""

import json
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from msgspec.structs import replace

from knownlight.sheet.model import Card, SheetModel
from knownlight.sheet.page import MARKER, luminance_text, minutes_text, page
from tests.knownlight.sheet.harbour import MARKUP, STICKY, harbour

VOID = {"meta", "link", "input", "img", "br"}


class Reader(HTMLParser):
    """Python's own HTML parser: elements with their attributes, texts, and whether all tags are closed."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, list[str]] = {}
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        for tag in self.open:
            self.texts.setdefault(tag, []).append(data)


def read(text: str) -> Reader:
    """A parsed page."""
    reader = Reader()
    reader.feed(text)
    reader.close()
    return reader


@pytest.fixture(scope="module")
def text() -> str:
    """The harbour's page."""
    return page(harbour())


def test_it_is_known_as_ours(text: str) -> None:
    """The marker stands on the line after the doctype."""
    assert ["<!doctype html>", MARKER] == text.splitlines()[:2]
    assert MARKER == "<!-- knownlight run sheet -->"


def test_it_is_the_same_for_the_same_model(text: str) -> None:
    """Nothing of the time or the machine gets into the page."""
    assert text == page(harbour())


def test_the_day_is_enough(text: str) -> None:
    """When a pack was made is told as people tell it; the model has it to the second."""
    assert "Pack harbour, made 2031-05-09 by knownlight 0.1.0" in "".join(read(text).texts["p"])


def test_it_is_well_formed_with_any_text(text: str) -> None:
    """Every tag is closed in its order, though texts hold markup; the texts stand as they were written."""
    reader = read(text)
    assert reader.open == []
    assert f"Harbour & dusk {MARKUP}" in "".join(reader.texts["h1"])
    assert f"{STICKY} {MARKUP}" in "".join(reader.texts["article"])
    assert not [attributes for tag, attributes in reader.elements if tag == "b"]


def test_nothing_is_fetched(text: str) -> None:
    """Only links to the pack's files lead out of the page, and the policy bars all else."""
    reader = read(text)
    sources = [attributes["src"] for _, attributes in reader.elements if "src" in attributes]
    assert sources
    assert all(source and source.startswith("data:image/") for source in sources)
    links = [attributes["href"] or "" for tag, attributes in reader.elements if tag in ("a", "link")]
    assert not [link for link in links if re.match(r"(?!data:)[a-z]+:|//", link)]
    policies = [each for _, each in reader.elements if each.get("http-equiv") == "Content-Security-Policy"]
    assert "default-src 'none'; img-src data:;" in str(policies[0]["content"])
    assert "unsafe" not in str(policies[0]["content"])


def data_of(text: str) -> Any:
    """The data block of a page."""
    block = re.search(r'<script type="application/json" id="data">(.*?)</script>', text, re.DOTALL)
    assert block is not None
    assert not set("<>&") & set(block[1])
    return json.loads(block[1])


def with_first(model: SheetModel, card: Card) -> SheetModel:
    """A model of one clip alone."""
    return replace(model, chapters=[replace(model.chapters[0], cards=[card])])


def test_names_may_hold_markup() -> None:
    """In the table as in the script's data a name stands as it was written, and ends nothing."""
    first = harbour().chapters[0].cards[1]
    text = page(with_first(harbour(), replace(first, patches=[replace(first.patches[0], name=MARKUP)])))
    reader = read(text)
    assert reader.open == []
    assert MARKUP in "".join(reader.texts["th"])
    assert MARKUP == data_of(text)["chapters"][0]["clips"][0]["patches"][0]["name"]


def test_data_of_the_script_is_json(text: str) -> None:
    """The data block holds what the model does."""
    data = data_of(text)
    assert data["pack"] == "harbour"
    [lamps, fog] = data["chapters"]
    assert ["lamp-2", "lamp-10", "lamp-50", "beacon"] == [clip["id"] for clip in lamps["clips"]]
    assert [2.0, 2.0] == [patch["area"] for patch in lamps["clips"][0]["patches"]]
    assert [0.0, 12.5] == fog["clips"][1]["patches"][0]["seconds"]
    assert {"sdr", "pq", "hlg"} == {light["transfer"] for light in data["lights"]}


def test_targets_and_fields_need_no_script(text: str) -> None:
    """Each patch has its target and four fields, each clip a grade and a note, each question a field."""
    reader = read(text)
    fields = [attributes["data-f"] for _, attributes in reader.elements if "data-f" in attributes]
    patches = 3 * 2 + 4 + 3
    clips = 7
    assert {"l": patches, "x": patches, "y": patches, "at": patches, "grade": clips, "note": clips} == {
        name: fields.count(name) for name in fields
    }
    questions = [each["data-question"] for _, each in reader.elements if "data-question" in each]
    assert ["warm-up", "room-light"] == questions
    cells = " ".join("".join(reader.texts["td"]).split())
    assert "203.2 0.3127 0.3290" in cells  # BT.2408 clause 2.1: HLG of 75 %, code 721, is 203 cd/m²


def test_a_slate_has_no_card(text: str) -> None:
    """Slates only say what follows; they are no clips to judge."""
    assert "clip-slate" not in text
    assert "clip-lamp-2" in text


def test_links_are_relative_and_quoted() -> None:
    """A name with signs that mean something in an address still leads to its file."""
    first = harbour().chapters[0].cards[1]
    text = page(with_first(harbour(), replace(first, file="010-quay/#1 100%?.mp4")))
    assert 'href="010-quay/%231%20100%25%3F.mp4"' in text


def test_areas_of_windows_in_turn_are_those_of_their_names() -> None:
    """Windows of a sequence are named by their area; a clip of one window has it of its own."""
    first = harbour().chapters[0].cards[1]
    names = ("window-025pct", "ground")
    turned = replace(
        first,
        area_percent=None,
        patches=[replace(patch, name=name) for patch, name in zip(first.patches, names, strict=True)],
    )
    patches = data_of(page(with_first(harbour(), turned)))["chapters"][0]["clips"][0]["patches"]
    assert [25.0, None] == [patch["area"] for patch in patches]


@pytest.mark.parametrize(
    ("luminance", "expected"),
    [
        (0.0, "0"),
        (10000.0, "10000"),
        (1004.2, "1004"),
        (203.15, "203.2"),
        (1.0, "1.000"),
        (0.0224, "0.02240"),
        (99.99999, "100.0"),
    ],
)
def test_luminance_has_four_digits(luminance: float, expected: str) -> None:
    """Four significant digits, and no more than five decimals."""
    assert expected == luminance_text(luminance)
    assert luminance_text(0.0000012) == "0.00000"


def test_lengths_are_said_in_minutes() -> None:
    """Seconds below a minute, minutes and seconds above."""
    assert ["20 s", "12.5 s", "1:00 min", "1:05 min"] == [minutes_text(s) for s in (20.0, 12.5, 60.0, 65.0)]
