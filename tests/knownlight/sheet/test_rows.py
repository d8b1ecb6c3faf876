"""Rows of the table that a pack asks for, and results that move into them."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from knownlight.pack.manifest import Manifest, read_manifest
from knownlight.readings.csv_file import read_table, write_rows
from knownlight.readings.display import Display
from knownlight.readings.table import Kind, Result, Row
from knownlight.sheet.build import displays_of, sheet_model, with_display
from knownlight.sheet.rows import Carried, carried_over, readings_rows
from knownlight.sheet.wording import QUESTIONS
from knownlight.signal.encoding import Transfer


@pytest.fixture(scope="session")
def manifest(sheet_pack: Path) -> Manifest:
    """Of the small pack."""
    return read_manifest(sheet_pack / "manifest.json")


def rows_of(manifest: Manifest) -> list[Row]:
    """The table that a pack asks for."""
    return readings_rows(sheet_model(manifest, displays_of(manifest), {}), manifest.displays)


@pytest.fixture(scope="session")
def rows(manifest: Manifest) -> list[Row]:
    """Its empty table."""
    return rows_of(manifest)


def row_of(rows: list[Row], clip: str, region: str) -> Row:
    """The first reading of a region."""
    (row,) = [row for row in rows if (row.kind, row.clip, row.region) == (Kind.READING, clip, region)]
    return row


def test_there_is_a_row_for_everything(rows: list[Row], manifest: Manifest) -> None:
    """A question each, a judgement a file, a reading a region to measure; each key once; none filled."""
    assert [question.key for question in QUESTIONS] == [row.region for row in rows if row.kind is Kind.SETUP]
    assert [clip.id for clip in manifest.clips] == [row.clip for row in rows if row.kind is Kind.OBSERVATION]
    measured = [(clip.id, claim.name) for clip in manifest.clips for claim in clip.claims if claim.measure]
    assert measured == [(row.clip, row.region) for row in rows if row.kind is Kind.READING]
    assert len({row.key for row in rows}) == len(rows)
    assert {Result()} == {row.result for row in rows}


def test_a_slate_has_no_rows(rows: list[Row], manifest: Manifest) -> None:
    """It only says what follows."""
    slate = msgspec.structs.replace(manifest.clips[0], pattern="slate", id="window-pq-slate")
    whole = msgspec.structs.replace(manifest, clips=[slate, *manifest.clips])
    assert rows == rows_of(whole)


def test_results_move_to_the_same_rows(rows: list[Row]) -> None:
    """By key, through a file and back; further readings follow the first one's row."""
    window = row_of(rows, "window-pq", "window")
    old = [
        replace(window, result=Result(luminance=Decimal("980.0"))),
        replace(window, reading=3, result=Result(luminance=Decimal("940.0"))),
        replace(window, reading=2, result=Result(luminance=Decimal("955.0"))),
        Row(kind=Kind.SETUP, region="meter", result=Result(note="on the glass")),
        Row(kind=Kind.OBSERVATION, clip="drawn", signal="720p24-sdr", result=Result(grade=2)),
    ]
    carried = carried_over(rows, read_table(write_rows(old), "readings.csv").rows)

    assert () == carried.left
    assert [row.key for row in rows] == [row.key for row in carried.rows if row.reading == 1]
    readings = [row for row in carried.rows if row.clip == "window-pq" and row.kind is Kind.READING]
    assert [(1, Decimal(980)), (2, Decimal(955)), (3, Decimal(940))] == [
        (row.reading, row.result.luminance) for row in readings
    ]
    assert window.target == readings[2].target
    notes = [row.result.note for row in carried.rows if row.region == "meter"]
    grades = [row.result.grade for row in carried.rows if (row.kind, row.clip) == (Kind.OBSERVATION, "drawn")]
    assert (["on the glass"], [2]) == (notes, grades)


def test_results_of_other_codes_have_no_place(rows: list[Row]) -> None:
    """Another code, another kind of signal, or a clip that is gone: no place; another size is no matter."""
    window = replace(row_of(rows, "window-pq", "window"), result=Result(luminance=Decimal("980.0")))
    gone = [
        replace(window, code=(724, 512, 512)),
        replace(window, signal="720p60-hlg", reading=2),
        replace(window, clip="no-more"),
    ]
    same = replace(window, signal="2160p60-pq", file="010-light/010-other-name.mp4", reading=4)
    carried = carried_over(rows, [*gone, same])
    assert tuple(gone) == carried.left
    assert [980.0] == [row.result.luminance for row in carried.rows if row.result.luminance]


def test_rows_that_leave_codes_and_signal_empty_have_a_place(rows: list[Row]) -> None:
    """Typed by hand, or exported by the page of another stick; what they do say must still be right."""
    read = Result(luminance=Decimal("980.0"))
    bare = Row(kind=Kind.READING, clip="window-pq", region="window", result=read)
    seen = Row(kind=Kind.OBSERVATION, clip="drawn", result=Result(grade=3))
    good = [
        bare,
        replace(bare, reading=2, code=(723, 512, 512)),
        replace(bare, reading=3, signal="2160p50-pq"),
        seen,
    ]
    wrong = [
        replace(bare, reading=4, code=(724, 512, 512)),
        replace(bare, reading=5, signal="720p60-hlg"),
        replace(bare, reading=6, code=(723, 512, 512), signal="720p60-sdr"),
    ]
    carried = carried_over(rows, [*good, *wrong])
    assert (4, tuple(wrong)) == (carried.moved, carried.left)
    window = row_of(rows, "window-pq", "window")
    assert [replace(window, reading=number, result=read) for number in (1, 2, 3)] == [
        row for row in carried.rows if row.clip == "window-pq" and row.result == read
    ]
    assert [3] == [row.result.grade for row in carried.rows if row.result.grade]


def test_empty_rows_are_no_loss(rows: list[Row]) -> None:
    """What holds no result has nothing to move."""
    empty = Row(kind=Kind.READING, clip="no-more", region="window")
    assert Carried(rows=tuple(rows), moved=0, left=()) == carried_over(rows, [empty])


def test_answers_to_questions_that_are_gone_stay(rows: list[Row]) -> None:
    """After the others of the set-up: they cost nothing, and were written once."""
    shoes = Row(kind=Kind.SETUP, region="shoes", result=Result(note="brown"))
    carried = carried_over(rows, [shoes])
    assert (1, (), shoes) == (carried.moved, carried.left, carried.rows[len(QUESTIONS)])


def test_a_display_of_the_pack_comes_before_an_older_one(rows: list[Row], manifest: Manifest) -> None:
    """The table says what its targets are for; what a browser exported of another kind stays."""
    given = with_display(manifest, Display(kind=Transfer.SDR, peak=212.0, black=0.05))
    fresh = rows_of(given)
    older = [
        Row(kind=Kind.SETUP, region=f"display-{kind}-peak", result=Result(note="180"))
        for kind in ("sdr", "pq")
    ]
    carried = carried_over(fresh, older)
    assert {"display-sdr-peak": "212", "display-sdr-black": "0.05", "display-pq-peak": "180"} == {
        row.region: row.result.note for row in carried.rows if row.region.startswith("display-")
    }
    assert (1, ()) == (carried.moved, carried.left)
    assert len(rows) + 3 == len(carried.rows)
