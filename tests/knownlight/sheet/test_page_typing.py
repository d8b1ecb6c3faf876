"""What is typed into the run sheet: kept, judged, and turned into figures at once."""

from collections.abc import Callable
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page, expect

from tests.knownlight.sheet.driving import field, result


def test_readings_are_kept_over_a_reload(sheet: Page) -> None:
    """Luminance, x, y, a repeat, time, grade, note and set-up stand there again; the count follows."""
    field(sheet, "lamp-2", "lamp", "l").fill("198,4")
    field(sheet, "lamp-2", "lamp", "x").fill("0.3130")
    field(sheet, "lamp-2", "lamp", "y").fill("0.3301")
    sheet.get_by_role("button", name="Another reading of lamp").first.click()
    field(sheet, "lamp-2", "lamp", "l", 2).fill("199")
    sheet.locator("#clip-beacon select").select_option("4")
    sheet.locator("#clip-beacon textarea").fill("A faint\ntrail")
    sheet.get_by_label("Warm-up").fill("45 min")
    expect(sheet.locator("#progress")).to_have_text("1 of 13 readings")
    sheet.reload()
    assert "198,4" == field(sheet, "lamp-2", "lamp", "l").input_value()
    assert "0.3130" == field(sheet, "lamp-2", "lamp", "x").input_value()
    assert "199" == field(sheet, "lamp-2", "lamp", "l", 2).input_value()
    assert datetime.now().strftime("%Y-%m-%d") in field(sheet, "lamp-2", "lamp", "at").input_value()
    assert "4" == sheet.locator("#clip-beacon select").input_value()
    assert "A faint\ntrail" == sheet.locator("#clip-beacon textarea").input_value()
    assert "45 min" == sheet.get_by_label("Warm-up").input_value()
    expect(sheet.locator("#progress")).to_have_text("1 of 13 readings")
    expect(sheet.locator('[data-count="lamps"]')).to_have_text("1 of 6")


def test_figures_appear_at_once(sheet: Page) -> None:
    """Errors beside the patch, contrast below the picture, loading below the chapter."""
    field(sheet, "lamp-2", "lamp", "l").fill("201.5")
    field(sheet, "lamp-2", "lamp", "x").fill("0.3127")
    field(sheet, "lamp-2", "lamp", "y").fill("0.3290")
    assert "+0.0 % | 0.0000" == result(sheet, "lamp-2", "lamp")
    contrast = sheet.locator("#clip-lamp-2 .contrast")
    expect(contrast).to_be_hidden()
    field(sheet, "lamp-2", "night", "l").fill("0.1")
    expect(contrast).to_contain_text("2015 : 1")
    field(sheet, "lamp-2", "night", "l").fill("0.00")
    expect(contrast).to_contain_text("more than 40300 : 1")  # 201.5 over half of 0.01
    loading = sheet.locator('[data-loading="lamps"]')
    expect(loading).to_be_hidden()
    field(sheet, "lamp-50", "lamp", "l").fill("100.75")
    assert [["2", "201.5", "100.0"], ["50", "100.8", "50.0"]] == [
        row.locator("td").all_text_contents() for row in loading.locator("tbody tr").all()
    ]
    expect(loading.get_by_role("img", name="Loading of 2160p60-pq, codes 572 512 512")).to_be_visible()


def test_windows_of_one_area_are_one_point_of_loading(sheet: Page) -> None:
    """What whole pixels make of 10 %, 1 % or 0.01 % is known by its round figure."""
    groups = sheet.evaluate(
        """Figures.loading([[9.99479, "90"], [10, "100"], [1.0006, "200"], [0.0098, "210"], [2.04, "150"]]
            .map(([area, l]) => ({ signal: "s", code: [1], area, readings: [{ l }] })))"""
    )
    assert [[0.01, 210], [1, 200], [2, 150], [10, 95]] == [
        [point["area"], point["luminance"]] for point in groups[0]["points"]
    ]


def test_targets_follow_the_display(sheet: Page) -> None:
    """White of SDR and peak of PQ change targets, their marks and the errors at once, and are kept."""
    white = sheet.locator('[data-display="sdr"]').get_by_label("White")
    target = sheet.locator("#clip-buoys tr[data-patch='0'] .target")
    field(sheet, "buoys", "white-buoy", "l").fill("100")
    expect(target).to_contain_text("100.0")
    white.fill("200")
    expect(target).to_contain_text("200.0")
    assert "\u221250.0 %" == result(sheet, "buoys", "white-buoy")
    sheet.locator('[data-display="pq"]').get_by_label("Peak").fill("150")
    expect(sheet.locator("#clip-lamp-2 tr[data-patch='0'] .target")).to_contain_text("above peak")
    white.fill("two hundred")
    expect(sheet.locator('[data-display="sdr"] .complaint')).to_contain_text("10 to 10000")
    expect(target).to_contain_text("200.0")
    white.fill("200")
    sheet.reload()
    expect(target).to_contain_text("200.0")


def test_what_is_typed_is_checked_for_sense(sheet: Page) -> None:
    """Wrong things are marked, odd ones only asked about; both are read out, nothing is blocked."""
    luminance = field(sheet, "lamp-2", "lamp", "l")
    row = sheet.locator("#clip-lamp-2")
    for typed, words, wrong in (
        ("bright", "“bright” is not a number.", True),
        ("-3", "never below 0", True),
        ("2", "More than ten times off the target of 201.5 cd/m²", False),
        ("3000", "More than ten times off", False),
    ):
        luminance.fill(typed)
        luminance.blur()
        complaint = row.locator(".complaints p")
        expect(complaint).to_contain_text(words)
        expect(sheet.locator("#announce")).to_contain_text(words)
        assert ("true" if wrong else None) == luminance.get_attribute("aria-invalid")
        assert luminance.get_attribute("aria-describedby") == complaint.get_attribute("id")
        assert typed == luminance.input_value()
    luminance.fill("200")
    luminance.blur()
    expect(row.locator(".complaints")).to_have_count(0)
    for typed, asked in (("0.9", 0), ("1.1", 1)):  # a target of 0: a set's own black is nothing to ask about
        field(sheet, "lamp-2", "night", "l").fill(typed)
        field(sheet, "lamp-2", "night", "l").blur()
        expect(row.locator(".complaints")).to_have_count(asked)
    field(sheet, "lamp-2", "night", "l").fill("")
    field(sheet, "lamp-2", "night", "l").blur()
    field(sheet, "lamp-2", "lamp", "x").fill("0.6")
    field(sheet, "lamp-2", "lamp", "y").fill("0.5")
    field(sheet, "lamp-2", "lamp", "y").blur()
    expect(row.locator(".complaints p")).to_have_text("x and y together are never more than 1.")
    field(sheet, "lamp-2", "lamp", "x").fill("-0.1")
    field(sheet, "lamp-2", "lamp", "x").blur()
    expect(row.locator(".complaints p")).to_have_text("x lies between 0 and 1.")
    field(sheet, "lamp-2", "lamp", "at").fill("yesterday")
    field(sheet, "lamp-2", "lamp", "at").blur()
    expect(row.locator(".complaints p").last).to_contain_text("Write the time as")


def test_a_typing_error_is_no_reading(sheet: Page) -> None:
    """Only what an export holds counts as read."""
    for typed, read in (("20..1", 0), ("-3", 0), ("", 0), ("0", 1), ("201,5", 1)):
        field(sheet, "lamp-2", "lamp", "l").fill(typed)
        expect(sheet.locator("#progress")).to_have_text(f"{read} of 13 readings")
    field(sheet, "lamp-2", "lamp", "l").fill("")
    field(sheet, "lamp-2", "lamp", "x").fill("0.31")
    expect(sheet.locator("#progress")).to_have_text("0 of 13 readings")
    field(sheet, "lamp-2", "lamp", "y").fill("0.33")
    expect(sheet.locator("#progress")).to_have_text("1 of 13 readings")


def test_enter_leads_down_the_column(sheet: Page) -> None:
    """To the same part of the next region or reading, and with Shift back; at the end it stays."""
    field(sheet, "lamp-2", "lamp", "x").focus()
    label = "document.activeElement.getAttribute('aria-label')"
    for key, stop in (("Enter", "x, night"), ("Enter", "x, night"), ("Shift+Enter", "x, lamp")):
        sheet.keyboard.press(key)
        assert stop == sheet.evaluate(label)
    sheet.get_by_role("button", name="Another reading of lamp").first.click()
    sheet.keyboard.press("Shift+Enter")
    assert "Read, cd/m², lamp" == sheet.evaluate(label)
    sheet.keyboard.press("Enter")
    assert "Read, cd/m², lamp, reading 2" == sheet.evaluate(label)


def test_a_reading_is_judged_while_it_is_typed(sheet: Page) -> None:
    """Without leaving the field, after a moment; not at the first figure of a number."""
    field(sheet, "lamp-2", "lamp", "l").press_sequentially("2")
    assert 0 == sheet.locator(".complaints").count()
    expect(sheet.locator("#clip-lamp-2 .complaints p")).to_contain_text("ten times off")


def test_a_hold_is_counted_down(open_sheet: Callable[..., Page]) -> None:
    """The button counts the hold, then asks for moving pictures and a rest, and ends; it can be stopped."""
    page = open_sheet()
    page.clock.install()
    page.reload()
    hold = page.locator("#clip-searchlight").get_by_role("button")
    status = page.locator("#clip-searchlight .left")
    hold.click()
    expect(hold).to_have_text("Stop: 0:02 left")
    page.clock.run_for(2100)
    expect(status).to_contain_text("show moving pictures now")
    expect(hold).to_contain_text("Rest: 0:0")
    page.clock.run_for(2300)
    expect(status).to_have_text("Rested.")
    expect(hold).to_have_text("Start the countdown")
    hold.click()
    hold.click()
    expect(status).to_have_text("Stopped.")


def test_the_list_can_be_narrowed(sheet: Page) -> None:
    """By kind of signal and to what is measured; a chapter without a clip is not shown."""
    sheet.get_by_label("PQ", exact=True).uncheck()
    expect(sheet.locator("#chapter-lamps")).to_be_hidden()
    sheet.get_by_label("PQ", exact=True).check()
    expect(sheet.locator("#clip-beacon")).to_be_visible()
    sheet.get_by_label("only what is measured").check()
    expect(sheet.locator("#clip-beacon")).to_be_hidden()
    expect(sheet.locator("#clip-lamp-2")).to_be_visible()


@pytest.mark.parametrize("zone", ["Asia/Kolkata", "America/St_Johns"])
def test_times_have_the_offset_of_the_place(open_sheet: Callable[..., Page], zone: str) -> None:
    """Local time with its offset, summer and winter, as Python's zoneinfo has it."""
    page = open_sheet(timezone_id=zone)
    for month in (1, 7):
        moment = datetime(2031, month, 9, 4, 5, 6, tzinfo=UTC)
        stamp = page.evaluate("(ms) => Record.stamp(new Date(ms))", moment.timestamp() * 1000)
        assert moment.astimezone(ZoneInfo(zone)).isoformat() == stamp
