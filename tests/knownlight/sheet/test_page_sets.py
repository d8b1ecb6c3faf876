"""Several sets under test with one stick, older packs, and browsers that keep nothing."""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.knownlight.sheet.driving import exported, field, imported, of_kind

NO_STORE = """
Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('', 'SecurityError'); } })
"""
FULL_STORE = """
Storage.prototype.setItem = (key, value) => { if (value) throw new DOMException('', 'QuotaExceededError'); }
"""


def test_sets_are_kept_apart(sheet: Page) -> None:
    """A new set is empty, the old one is there again; a name must be free; deleting asks first."""
    name = sheet.get_by_label("Name", exact=True)
    name.fill("Lantern 55")
    name.blur()
    field(sheet, "lamp-2", "lamp", "l").fill("200")
    sheet.get_by_role("button", name="Start another set").click()
    assert "" == field(sheet, "lamp-2", "lamp", "l").input_value()
    expect(sheet.locator("#progress")).to_have_text("0 of 13 readings")
    name.fill("Lantern 55")
    name.blur()
    expect(sheet.locator("#kept")).to_contain_text("There is a set “Lantern 55” already.")
    assert "Set 1" == name.input_value()
    sheet.locator("#set-list").select_option("Lantern 55")
    assert "200" == field(sheet, "lamp-2", "lamp", "l").input_value()
    sheet.reload()
    assert "Lantern 55" == name.input_value()
    for answer, left in (("Keep it", ["Lantern 55", "Set 1"]), ("Delete it", ["Set 1"])):
        sheet.get_by_role("button", name="Delete this set").click()
        sheet.get_by_role("dialog").get_by_role("button", name=answer).click()
        expect(sheet.get_by_role("dialog")).to_be_hidden()
        assert left == sheet.locator("#set-list option").all_text_contents()
    assert "" == field(sheet, "lamp-2", "lamp", "l").input_value()


def test_two_tabs_lose_nothing_of_one_set(sheet: Page) -> None:
    """What another tab keeps appears here, beside what was typed here and is not kept yet; then both are."""
    field(sheet, "lamp-2", "lamp", "l").fill("200")
    sheet.reload()
    sheet.evaluate(
        """() => {
          const key = "knownlight:readings:harbour:Set 1", kept = JSON.parse(localStorage.getItem(key));
          const type = (name, text) => {
            const field = document.querySelector(`#clip-${name} [data-f="l"]`);
            field.value = text;
            field.dispatchEvent(new InputEvent("input", { bubbles: true }));
          };
          type("lamp-10", "190"); // not kept for 300 ms yet
          kept.clips["lamp-2"].regions.lamp[0].l = "201"; // as the other tab does
          kept.clips["lamp-50"] = { regions: { lamp: [{ l: "150", x: "", y: "", at: "" }] } };
          localStorage.setItem(key, JSON.stringify(kept));
          dispatchEvent(new StorageEvent("storage", { key, newValue: localStorage.getItem(key) }));
        }"""
    )
    for _ in range(2):
        assert ["201", "190", "150"] == [
            field(sheet, f"lamp-{area}", "lamp", "l").input_value() for area in (2, 10, 50)
        ]
        sheet.reload()


def test_readings_of_an_older_pack_are_kept(sheet: Page) -> None:
    """Clips that are not on this stick stay in the store and in the export, whatever is typed since."""
    imported(
        sheet,
        "kind,clip,region,measured_luminance,note\nreading,old-lamp,wick,12.5,\nobservation,old-lamp,,,dim\n",
        answer="Import",
    )
    field(sheet, "lamp-2", "lamp", "l").fill("200")
    sheet.reload()
    _, rows = exported(sheet)
    assert ["12.5"] == [
        row["measured_luminance"] for row in of_kind(rows, "reading", clip="old-lamp", region="wick")
    ]
    assert ["dim"] == [row["note"] for row in of_kind(rows, "observation", clip="old-lamp")]


def test_what_is_damaged_in_the_store_is_set_aside(sheet: Page) -> None:
    """The page says so, begins empty and keeps the damaged text under another key."""
    sheet.evaluate("localStorage.setItem('knownlight:readings:harbour:Set 1', '{oh')")
    sheet.reload()
    expect(sheet.get_by_role("alert")).to_contain_text("set aside")
    assert "{oh" == sheet.evaluate("localStorage.getItem('knownlight:aside:harbour:Set 1')")
    assert "" == field(sheet, "lamp-2", "lamp", "l").input_value()


def test_it_works_where_the_browser_keeps_nothing(open_sheet: Callable[..., Page]) -> None:
    """It says so plainly; typing, figures and export go on."""
    page = open_sheet(before=NO_STORE)
    expect(page.get_by_role("alert")).to_contain_text("keeps nothing")
    field(page, "lamp-2", "lamp", "l").fill("200")
    page.get_by_role("button", name="Start another set").click()
    page.locator("#set-list").select_option("Set 1")
    assert "200" == field(page, "lamp-2", "lamp", "l").input_value()
    _, rows = exported(page)
    assert "200" == of_kind(rows, "reading", clip="lamp-2", region="lamp")[0]["measured_luminance"]


def test_it_works_where_the_store_is_full(open_sheet: Callable[..., Page]) -> None:
    """It says so plainly and goes on."""
    page = open_sheet(before=FULL_STORE)
    field(page, "lamp-2", "lamp", "l").fill("200")
    expect(page.get_by_role("alert")).to_contain_text("store is full")
    _, rows = exported(page)
    assert "200" == of_kind(rows, "reading", clip="lamp-2", region="lamp")[0]["measured_luminance"]
