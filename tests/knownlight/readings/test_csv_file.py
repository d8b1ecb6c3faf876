"""readings.csv: Python's csv module as outside truth of the format (RFC 4180); what programs make of it."""

import csv
import io
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import UnreadableFile
from knownlight.readings.columns import COLUMNS
from knownlight.readings.csv_file import HEADER, read_table, write_rows
from knownlight.readings.table import NOTHING, Kind, Result, Row
from knownlight.readings.targets import Basis, Target

READ = Row(
    kind=Kind.READING,
    clip="window-10pct-1000",
    file="020-light/020-window-10pct-1000.mp4",
    region="window",
    signal="2160p60-pq",
    code=(723, 512, 512),
    target=Target(luminance=1004.19, xy=(0.3127, 0.329), basis=Basis.PQ),
    result=Result(
        luminance=Decimal("987.5"),
        xy=(Decimal("0.3131"), Decimal("0.3288")),
        at=datetime(2026, 1, 31, 20, 15, tzinfo=timezone(timedelta(hours=1))),
        note="after ten seconds",
    ),
)
SEEN = Row(
    kind=Kind.OBSERVATION,
    clip="fog-mild",
    file="010-fog/020-fog-mild.mp4",
    signal="1080p24-sdr",
    result=Result(grade=4, note="gone at 3 m"),
)
ASKED = Row(kind=Kind.SETUP, region="warm-up", result=Result(note="30 minutes"))
FIELDS = {
    "kind": "reading", "clip": "w", "file": "w.mp4", "region": "window", "reading": "1",
    "signal": "2160p60-pq",
    "code_1": "723", "code_2": "512", "code_3": "512", "from_s": "", "to_s": "",
    "target_luminance": "1004.19", "target_x": "0.3127", "target_y": "0.3290", "target_basis": "PQ",
    "measured_luminance": "", "measured_x": "", "measured_y": "", "measured_at": "", "grade": "", "note": "",
}  # fmt: skip


def table(*rows: dict[str, str], between: str = ",", end: str = "\r\n") -> bytes:
    """A file by Python's csv module."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, [*rows[0]], delimiter=between, lineterminator=end)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def result_of(data: bytes) -> Result:
    """What the only row of a file holds."""
    (row,) = read_table(data, "readings.csv").rows
    return row.result


def test_the_file_is_as_it_is_documented() -> None:
    """Byte order mark, the header line, CRLF; every field as the csv module reads it."""
    data = write_rows([READ, SEEN, ASKED])
    assert data.startswith(
        b"\xef\xbb\xbfkind,clip,file,region,reading,signal,code_1,code_2,code_3,from_s,to_s,"
    )
    assert 4 == data.count(b"\r\n") == data.count(b"\n")

    rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    assert HEADER.split(",") == list(COLUMNS) == list(rows[0])
    assert [
        *("reading", "window-10pct-1000", "020-light/020-window-10pct-1000.mp4", "window", "1", "2160p60-pq"),
        *("723", "512", "512", "", "", "1004.19", "0.3127", "0.3290", "PQ"),
        *("987.5", "0.3131", "0.3288", "2026-01-31T20:15:00+01:00", "", "after ten seconds"),
    ] == list(rows[0].values())
    assert ("observation", "", "4", "gone at 3 m") == tuple(
        rows[1][name] for name in ("kind", "region", "grade", "note")
    )
    assert ("setup", "", "warm-up", "30 minutes") == tuple(
        rows[2][name] for name in ("kind", "clip", "region", "note")
    )


@pytest.mark.parametrize(
    ("luminance", "text"),
    [
        (1004.191766, "1004.19"),
        (0.0000532, "0.0000532"),
        (10000.0, "10000"),
        (0.0, "0"),
        (203.149876, "203.15"),
    ],
)
def test_luminance_has_six_figures_and_no_exponent(luminance: float, text: str) -> None:
    """Spreadsheets of every language read plain decimals alike."""
    row = replace(READ, target=Target(luminance=luminance, xy=None, basis=Basis.PQ))
    (fields,) = csv.DictReader(io.StringIO(write_rows([row]).decode("utf-8-sig"), newline=""))
    assert text == fields["target_luminance"]


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        *((text, text) for text in ("0.000", "0", "198.40", "1000000", "0.3127405", "0.0000010")),
        *((".50", "0.50"), ("5.", "5"), ("0,000", "0.000"), ("1.50e-3", "0.00150"), ("2E3", "2000")),
        *(("0.123456789012", "0.123456789"), ("0e-30", "0.000000000"), ("1e-30", "0.000000000")),
    ],
)
def test_what_was_measured_keeps_its_digits(typed: str, kept: str) -> None:
    """The last digit tells how finely it was read: zeros at the end are of it; nine decimals at most."""
    data = table(FIELDS | {"measured_luminance": typed, "measured_x": "0.310", "measured_y": "0.33000"})
    for _ in range(2):
        data = write_rows(read_table(data, "readings.csv").rows)
        (fields,) = csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))
        assert (kept, "0.310", "0.33000") == tuple(
            fields[f"measured_{name}"] for name in ("luminance", "x", "y")
        )


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "'=1", "''-1"])
def test_no_text_becomes_a_formula(text: str) -> None:
    """OWASP's list of what spreadsheets run (from memory): an apostrophe goes before it, and off again."""
    row = replace(SEEN, result=Result(note=text))
    (fields,) = csv.DictReader(io.StringIO(write_rows([row]).decode("utf-8-sig"), newline=""))
    assert "'" + text == fields["note"]
    assert (row,) == read_table(write_rows([row]), "readings.csv").rows


def test_an_apostrophe_of_a_text_stays() -> None:
    """It is no mark where no formula follows."""
    assert "'twas" == result_of(table(FIELDS | {"note": "'twas"})).note


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
DECIMALS = st.integers(0, 10_000).map(lambda value: value / 10_000)
PAIRS = st.tuples(DECIMALS, DECIMALS).filter(lambda xy: sum(xy) <= 1.0)
LUMINANCES = st.integers(0, 999_999).flatmap(lambda m: st.integers(-7, 1).map(lambda e: float(f"{m}e{e}")))
FIGURES = st.integers(0, 999_999).flatmap(lambda m: st.integers(-9, 1).map(lambda e: Decimal(f"{m}e{e}")))
ZONES = st.integers(-840, 840).map(lambda minutes: timezone(timedelta(minutes=minutes)))
RESULTS = st.builds(
    Result,
    luminance=st.none() | FIGURES,
    xy=st.none() | PAIRS.map(lambda xy: (Decimal(str(xy[0])), Decimal(str(xy[1])))),
    at=st.none() | st.datetimes(timezones=st.none() | ZONES).map(lambda at: at.replace(microsecond=0)),
    grade=st.none() | st.integers(1, 5),
    note=TEXTS,
)
ROWS = st.builds(
    Row,
    kind=st.sampled_from(Kind),
    clip=TEXTS,
    file=TEXTS,
    region=TEXTS,
    reading=st.integers(1, 99),
    signal=TEXTS,
    code=st.none() | st.tuples(*[st.integers(0, 4095)] * 3),
    seconds=st.none() | st.tuples(*[st.integers(0, 3_600_000).map(lambda value: value / 1000)] * 2),
    target=st.none()
    | st.builds(Target, luminance=LUMINANCES, xy=st.none() | PAIRS, basis=st.sampled_from(Basis)),
    result=RESULTS,
)


@given(st.lists(ROWS, max_size=4, unique_by=lambda row: row.key))
@settings(max_examples=150, deadline=None)
def test_what_is_written_is_read_back(rows: list[Row]) -> None:
    """Any rows, any texts: the same rows, in the same order; a blank one aside, whose kind still stands."""
    assert tuple(rows) == read_table(write_rows(rows), "readings.csv").rows


@given(
    st.binary(max_size=200)
    | st.text(max_size=100).map(lambda text: (HEADER + "\n" + text).encode("utf-8", "replace"))
)
@settings(max_examples=150, deadline=None)
def test_anything_else_is_refused_in_one_line(data: bytes) -> None:
    """No other error, whatever the bytes; where it is read, nothing was read that could be."""
    try:
        rows = read_table(data, "readings.csv").rows
    except UnreadableFile as error:
        words = str(error)
        assert words.startswith("readings.csv:")
        assert "\n" not in words
    else:
        assert () == rows


NUMBERS = [name for name in COLUMNS if name.startswith(("target_", "measured_", "from_", "to_"))]
NUMBERS = [name for name in NUMBERS if name not in ("target_basis", "measured_at")]


@given(st.lists(ROWS, max_size=4, unique_by=lambda row: row.key), st.sampled_from([";", "\t"]))
@settings(max_examples=100, deadline=None)
def test_decimal_commas_do_not_change_what_is_read(rows: list[Row], between: str) -> None:
    """A program of a language with decimal commas opens the table and saves it again."""
    opened = csv.DictReader(io.StringIO(write_rows(rows).decode("utf-8-sig"), newline=""))
    saved = [row | {name: row[name].replace(".", ",") for name in NUMBERS} for row in opened]
    data = table(*saved, between=between) if saved else write_rows([])
    assert tuple(rows) == read_table(data, "readings.csv").rows


@pytest.mark.parametrize("between", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_what_programs_save_is_read(between: str, end: str) -> None:
    """No mark, other signs between fields, line feeds alone, empty lines at the end."""
    data = table(FIELDS | {"measured_luminance": "998.5", "grade": "5"}, between=between, end=end)
    assert Result(luminance=Decimal("998.5"), grade=5) == result_of(data + end.encode() * 2)


@pytest.mark.parametrize("between", [",", ";", "\t"])
def test_decimal_commas_are_read(between: str) -> None:
    """A program of a language with decimal commas saves what was typed with them, in quotes where needed."""
    filled = FIELDS | {"measured_luminance": "998,52", "measured_x": "0,3127", "measured_y": "0,329"}
    assert Result(luminance=Decimal("998.52"), xy=(Decimal("0.3127"), Decimal("0.329"))) == result_of(
        table(filled, between=between)
    )


def test_columns_may_stand_in_any_order_and_others_beside_them() -> None:
    """A column of one's own is passed over; those for readings may be missing, in short rows as well."""
    turned = dict(reversed(FIELDS.items())) | {"my own": "=1"}
    assert NOTHING == result_of(table(turned))
    without = {name: FIELDS[name] for name in COLUMNS[:15]}
    assert NOTHING == result_of(table(without))
    short = HEADER + "\nsetup,,,warm-up,,,,,,,,,,,\n"
    (row,) = read_table(short.encode(), "readings.csv").rows
    assert Row(kind=Kind.SETUP, region="warm-up") == row


def test_a_time_without_a_zone_is_read() -> None:
    """A spreadsheet may have rewritten it."""
    at = result_of(table(FIELDS | {"measured_at": "2026-01-31 20:15:00"})).at
    assert datetime(2026, 1, 31, 20, 15) == at
    assert (
        datetime(2026, 1, 31, 20, 15, tzinfo=UTC)
        == result_of(table(FIELDS | {"measured_at": "2026-01-31T20:15:00Z"})).at
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": "measured"}, "kind: 'measured' is not known; use one of reading, observation, setup"),
        ({"measured_luminance": "12 nits"}, "measured_luminance: '12 nits' is no number; write it as 1234.5"),
        ({"measured_luminance": "."}, "measured_luminance: '.' is no number"),
        ({"measured_luminance": "nan"}, "measured_luminance: 'nan' is no number"),
        ({"measured_luminance": "1.2.3"}, "measured_luminance: '1.2.3' is no number"),
        ({"measured_luminance": "1.234,5"}, "measured_luminance: '1.234,5' is no number"),
        ({"measured_luminance": "1e999"}, "measured_luminance: '1e999' is too large"),
        ({"measured_luminance": "1,234"}, "measured_luminance: '1,234' may part thousands or decimals"),
        ({"measured_luminance": "-1"}, "measured_luminance: -1 is no luminance; use 0 cd/m² or more"),
        ({"measured_x": "0.7", "measured_y": "0.4"}, "measured_x: x 0.7 and y 0.4 are no colour"),
        ({"measured_x": "0.3"}, "measured_y: it is empty and measured_x is not; give both, or none"),
        ({"grade": "6"}, "grade: 6 is none; use 1 (very annoying) to 5 (imperceptible)"),
        ({"grade": "4.5"}, "grade: '4.5' is no whole number; write it in figures"),
        ({"reading": "0"}, "reading: 0 is none; the first is 1"),
        ({"code_2": ""}, "code_1: one of the three codes is missing; give all, or none"),
        ({"target_basis": "guess"}, "target_basis: 'guess' is not known; use one of BT.1886, "),
        (
            {"measured_at": "yesterday"},
            "measured_at: 'yesterday' is no time; write it as 2026-01-31T20:15:00",
        ),
        ({"from_s": "1"}, "to_s: it is empty and from_s is not; give both, or none"),
    ],
)
def test_a_bad_field_is_told_with_line_and_column(change: dict[str, str], words: str) -> None:
    """The line is that of the file, counted past a note of two lines."""
    before = FIELDS | {"clip": "another", "note": "two\nlines"}
    with pytest.raises(UnreadableFile) as caught:
        read_table(table(before, FIELDS | change), "my.csv")
    assert str(caught.value).startswith(f"my.csv:4: {words}")


def test_points_that_may_part_thousands_are_refused() -> None:
    """In a file with decimal commas 1.234 cannot be told from 1234; with points alone it is a decimal."""
    filled = FIELDS | {"measured_luminance": "1.234"}
    assert Decimal("1.234") == result_of(table(filled, between=";")).luminance
    with pytest.raises(UnreadableFile, match="may part thousands or decimals; write 1234 or"):
        result_of(table(filled | {"measured_x": "0,3", "measured_y": "0,3"}, between=";"))


HALF = b"reading,w,w.mp4,window,2,2160p60-pq,723,5"
COMMAS = b"reading,w,w.mp4,window,2,2160p60-pq,723,512,512,,,1004,19,0,3127,0,329,PQ,998,5,,,,,\n"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "my.csv:1: it is empty"),
        (b"kind,clip\n", "my.csv:1: column file is missing; the first line must name the columns: kind,"),
        (HEADER.replace("grade", "note").encode(), "my.csv:1: column note is there twice; remove one"),
        (table(FIELDS) + b"\xff\n", "my.csv:3: it is not UTF-8; save it as CSV in UTF-8"),
        (table(FIELDS, FIELDS), "my.csv:3: reading: reading, w, window, 1 is there twice; give further"),
        (table(FIELDS) + b'setup,"', "my.csv:3: its quotes are not closed as they should be"),
        (table(FIELDS) + HALF, "my.csv:3: code_3: the row ends before it; the file may be cut off"),
        (
            table(FIELDS) + COMMAS,
            "my.csv:3: note: 25 fields stand under 21 columns; put decimal commas in quotes, or semicolons",
        ),
    ],
)
def test_a_bad_file_is_told_with_its_line(data: bytes, words: str) -> None:
    """What is wrong of the file as a whole, or of a row's shape."""
    with pytest.raises(UnreadableFile) as caught:
        read_table(data, "my.csv")
    assert str(caught.value).startswith(words)
