"""Readings that leave the run sheet as a table and come back, read by Python's csv module as well."""

import warnings
from datetime import datetime

import pytest
from playwright.sync_api import Page, expect

from knownlight.readings.csv_file import read_table, write_rows
from tests.knownlight.sheet.driving import exported, field, imported, of_kind
from tests.knownlight.sheet.harbour import harbour

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

HEADER = (
    "kind,clip,file,region,reading,signal,code_1,code_2,code_3,from_s,to_s,target_luminance,target_x,target_y,"
    "target_basis,measured_luminance,measured_x,measured_y,measured_at,grade,note"
)
_ANSWERS = ("Import and replace", "Only what is new", "Cancel")
LAMP = f"{float(colour.models.eotf_ST2084((572 - 64) / 876)):.6g}"  # cd/m² of code 572


def test_export_is_the_table(sheet: Page) -> None:
    """BOM, CRLF, the columns in their order; rows of set-up, readings and observations."""
    field(sheet, "lamp-2", "lamp", "l").fill("198,44999")
    field(sheet, "lamp-2", "lamp", "x").fill("0,31")
    field(sheet, "lamp-2", "lamp", "y").fill(".33")
    sheet.get_by_role("button", name="Another reading of lamp").first.click()
    field(sheet, "lamp-2", "lamp", "l", 2).fill("0.000")
    field(sheet, "lamp-10", "lamp", "l").fill("fog")
    field(sheet, "lamp-10", "lamp", "x").fill("0.3")
    sheet.locator("#clip-beacon select").select_option("2")
    sheet.locator("#clip-beacon textarea").fill('=1+1, "loud";\nand so')
    sheet.get_by_label("Room light").fill("-dark-")
    data, rows = exported(sheet)
    dialog = sheet.get_by_role("dialog")
    expect(dialog).to_contain_text("readings.csv is written, but 2 fields are left out")
    assert ["lamp-10, lamp, cd/m²: fog", "lamp-10, lamp, x: 0.3"] == dialog.get_by_role(
        "listitem"
    ).all_text_contents()
    dialog.get_by_role("button", name="Good").click()
    expect(sheet.locator("#kept")).to_contain_text("readings.csv is written.")
    assert data.startswith(b"\xef\xbb\xbf" + HEADER.encode() + b"\r\n")
    assert data.endswith(b"\r\n")
    first, second = of_kind(rows, "reading", clip="lamp-2", region="lamp")
    stamp = first.pop("measured_at")
    assert datetime.fromisoformat(stamp).tzinfo is not None
    assert abs((datetime.now().astimezone() - datetime.fromisoformat(stamp)).total_seconds()) < 60.0
    assert {
        **{"kind": "reading", "clip": "lamp-2", "file": "010-quay/010-lamp-2.mp4", "region": "lamp"},
        **{"reading": "1", "signal": "2160p60-pq", "code_1": "572", "code_2": "512", "code_3": "512"},
        **{"from_s": "", "to_s": "", "target_luminance": LAMP, "target_x": "0.3127", "target_y": "0.3290"},
        **{"target_basis": "PQ", "measured_luminance": "198.44999", "measured_x": "0.31"},
        **{"measured_y": "0.33", "grade": "", "note": ""},
    } == first
    assert ("2", "0.000") == (second["reading"], second["measured_luminance"])
    [unread] = of_kind(rows, "reading", clip="lamp-10", region="lamp")
    assert ("", "") == (unread["measured_luminance"], unread["measured_x"])
    [sea] = of_kind(rows, "reading", clip="tide", region="high")
    assert ("12.5", "25", "HLG") == (sea["from_s"], sea["to_s"], sea["target_basis"])
    [seen] = of_kind(rows, "observation", clip="beacon")
    assert ("2", '\'=1+1, "loud";\nand so') == (seen["grade"], seen["note"])
    notes = {row["region"]: row["note"] for row in of_kind(rows, "setup")}
    assert {
        "room-light": "'-dark-",
        "set": "Set 1",
        "display-pq-peak": "10000",
        "warm-up": "",
    }.items() <= notes.items()
    patches = [(c.id, p.name) for chapter in harbour().chapters for c in chapter.cards for p in c.patches]
    assert patches == [(r["clip"], r["region"]) for r in of_kind(rows, "reading") if r["reading"] == "1"]
    assert 7 == len(of_kind(rows, "observation"))


def test_export_and_import_are_a_round_trip(sheet: Page) -> None:
    """A set exported and imported into another has the same table, but for its name."""
    field(sheet, "lamp-2", "lamp", "l").fill("198.4")
    field(sheet, "lamp-2", "lamp", "x").fill("0.3100")
    field(sheet, "lamp-2", "lamp", "y").fill("0.3300")
    sheet.locator("#clip-beacon textarea").fill("'=not mine', \"quoted\",\n@home")
    sheet.locator("#clip-tide textarea").fill("-3 steps")
    sheet.get_by_label("Warm-up").fill("+45 min")
    sheet.locator('[data-display="hlg"]').get_by_label("Peak").fill("850")
    data, _ = exported(sheet)
    sheet.get_by_role("button", name="Start another set").click()
    assert "" == field(sheet, "lamp-2", "lamp", "l").input_value()
    words = imported(sheet, data.decode("utf-8-sig"), answer="Import")
    assert "new" in words
    again, _ = exported(sheet)
    assert data.replace(b"Set 1", b"Set 2") == again


def test_digits_survive_the_whole_way(sheet: Page) -> None:
    """Page, table, Python, table, page: what was typed is there again, and so are its figures."""
    typed = {"l": "0.000", "x": "0.31270", "y": ".3290"}
    for part, text in typed.items():
        field(sheet, "buoys", "black-buoy", part).fill(text)
    field(sheet, "buoys", "white-buoy", "l").fill("100.0")
    contrast = "Contrast in this picture: more than 200000 : 1"  # 100 over half of 0.001
    expect(sheet.locator("#clip-buoys .contrast")).to_contain_text(contrast)
    data = write_rows(read_table(exported(sheet)[0], "readings.csv").rows)
    sheet.get_by_role("button", name="Start another set").click()
    imported(sheet, data.decode("utf-8-sig"), answer="Import")
    assert typed | {"y": "0.3290"} == {
        part: field(sheet, "buoys", "black-buoy", part).input_value() for part in typed
    }
    expect(sheet.locator("#clip-buoys .contrast")).to_contain_text(contrast)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ({"l": "0.0000000"}, ("0.0000000", "", "")),  # more digits than six, all of them telling
        ({"l": "5.", "x": "0,312701", "y": "0.3"}, ("5", "0.312701", "0.3")),
        ({"l": "1.5e-3"}, ("0.0015", "", "")),
        ({"l": "0.1234567890123"}, ("0.123456789", "", "")),
        ({"x": "0", "y": "0.33"}, ("", "", "")),  # no colour: its field says so, and no figure takes it
        ({"l": "-0.1", "x": "0.7", "y": "0.4"}, ("", "", "")),
    ],
)
def test_the_table_holds_what_was_typed(
    quiet: Page, typed: dict[str, str], expected: tuple[str, str, str]
) -> None:
    """All digits, nine decimals at most; nothing of what the fields call wrong."""
    rows = quiet.evaluate(
        """(reading) => Exchange.rows(
            { set: "", setup: {}, clips: { gone: { regions: { wick: [reading] } } } }, [], {}, [])""",
        typed,
    )
    assert expected == tuple(rows[-1][f"measured_{name}"] for name in ("luminance", "x", "y"))


def test_a_table_of_another_language_is_imported(sheet: Page) -> None:
    """Semicolons, decimal commas, LF, columns in another order, unknown ones, no BOM; a tab parts as well."""
    table = (
        "clip;extra;region;kind;measured_luminance;measured_x;measured_y;reading;grade;note\n"
        "lamp-2;?;lamp;reading;198,4;0,3127;0,3290;1;;\n"
        "lamp-2;?;lamp;reading;199,0;;;2;;\n"
        'beacon;?;;observation;;;;;3;"two lines;\nof note"\n'
        ";;warm-up;setup;;;;;;45 min\n"
    )
    words = imported(sheet, table, answer="Import")
    assert "7 entries are new" in words
    assert "198,4" == field(sheet, "lamp-2", "lamp", "l").input_value()
    assert "199,0" == field(sheet, "lamp-2", "lamp", "l", 2).input_value()
    assert "two lines;\nof note" == sheet.locator("#clip-beacon textarea").input_value()
    assert "3" == sheet.locator("#clip-beacon select").input_value()
    assert "45 min" == sheet.get_by_label("Warm-up").input_value()
    expect(sheet.locator("#clip-lamp-2 tr.more .result")).to_have_text("mean 198.7spread 0.6000")
    imported(
        sheet, "kind\tclip\tregion\tmeasured_luminance\r\nreading\tlamp-10\tlamp\t77.7\r\n", answer="Import"
    )
    assert "77.7" == field(sheet, "lamp-10", "lamp", "l").input_value()


def test_import_asks_before_it_replaces(sheet: Page) -> None:
    """What differs is listed, then replaced or left as is answered; empty cells erase nothing."""
    field(sheet, "lamp-2", "lamp", "l").fill("200")
    table = (
        "kind,clip,region,measured_luminance\n"
        "reading,lamp-2,lamp,150\nreading,lamp-2,night,0.01\nreading,lamp-10,lamp,\n"
    )
    words = imported(sheet, table, answer="Cancel")
    assert "lamp-2, lamp, cd/m²: 200 becomes 150" in words
    assert "" == field(sheet, "lamp-2", "night", "l").input_value()
    imported(sheet, table, answer="Only what is new")
    assert ["200", "0.01"] == [field(sheet, "lamp-2", name, "l").input_value() for name in ("lamp", "night")]
    imported(sheet, table, answer="Import and replace")
    assert ["150", "0.01"] == [field(sheet, "lamp-2", name, "l").input_value() for name in ("lamp", "night")]
    assert "nothing that is not here already" in imported(sheet, table, answer="Good")


def test_import_offers_only_what_there_is(sheet: Page) -> None:
    """Where nothing is new there is no such answer; displays are told by their names."""
    for kind in ("sdr", "hlg", "pq"):
        for part, value in (("peak", "500"), ("black", "0.05")):
            sheet.locator(f'[data-display="{kind}"] [data-part="{part}"]').fill(value)
    rows = [
        f"setup,,display-{kind}-peak,600\nsetup,,display-{kind}-black,1\n" for kind in ("sdr", "hlg", "pq")
    ]
    words = imported(sheet, "kind,clip,region,note\n" + "".join(rows), answer="Cancel").splitlines()
    assert "table.csv: nothing is new." in words
    names = ("SDR white", "SDR black", "HLG peak", "HLG black", "PQ peak", "PQ black")
    was = ("500 becomes 600", "0.05 becomes 1") * 3
    assert [f"{name}: {change}" for name, change in zip(names, was, strict=True)] == [
        word for word in words if "becomes" in word
    ]
    assert ["Import and replace", "Cancel"] == [word for word in words if word in _ANSWERS]


def test_faults_of_a_table_name_line_and_column(sheet: Page) -> None:
    """A table with faults changes nothing; each is told with the line of the file and the column."""
    table = (
        "kind,clip,region,measured_luminance,grade,note,reading\n"
        'observation,beacon,,,4,"two\nlines",\n'
        "reading,lamp-2,lamp,bright,,,\n"
        "observation,tide,,,6,,\n"
        "reading,lamp-10,lamp,5,,,0\n"
        "weather,,,,,,\n"
        "reading,lamp-2,lamp,5,,,\n"
        'reading,lamp-50,lamp,"1,234",,,\n'
    )
    words = imported(sheet, table, answer="Good")
    for fault in (
        "line 4, column measured_luminance: “bright” is not a number",
        "line 5, column grade: “6” is none of 1 to 5",
        "line 6, column reading: “0” is not a count from 1",
        "line 7, column kind: “weather” is none of",
        "line 8, column reading: the same as in line 4",
        "line 9, column measured_luminance: “1,234” may part thousands",
    ):
        assert fault in words
    assert "" == sheet.locator("#clip-beacon textarea").input_value()
    assert "is it a table of readings?" in imported(sheet, "a,b\n1,2\n", answer="Good")
    assert "line 2: a quotation mark is never closed" in imported(
        sheet, 'kind,clip,region\n"reading,lamp-2,lamp\n', answer="Good"
    )
