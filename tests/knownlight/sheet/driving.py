"""How tests drive the run sheet: its fields, figures, and files to and fro."""

import csv
import io
import re
from pathlib import Path

from playwright.sync_api import Locator, Page, expect


def field(page: Page, clip: str, region: str, part: str, reading: int = 1) -> Locator:
    """A field of a patch."""
    name = {"l": f"Read, cd/m², {region}", "x": f"x, {region}", "y": f"y, {region}", "at": f"Time, {region}"}[
        part
    ]
    again = f", reading {reading}" if reading > 1 else ""
    return page.locator(f"#clip-{clip}").get_by_label(name + again, exact=True)


def result(page: Page, clip: str, region: str) -> str:
    """The figures beside a patch."""
    row = page.locator(f"#clip-{clip} tr[data-patch]:not(.more)").filter(
        has=page.get_by_role("rowheader", name=re.compile(f"^{region}\\b"))
    )
    return " | ".join(row.locator(".result span span").all_text_contents())


def exported(page: Page) -> tuple[bytes, list[dict[str, str]]]:
    """The bytes of a download of the readings, and its rows as Python's csv module reads them."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Export").click()
    assert waiting.value.suggested_filename == "readings.csv"
    data = Path(waiting.value.path()).read_bytes()
    return data, list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def of_kind(rows: list[dict[str, str]], kind: str, **wanted: str) -> list[dict[str, str]]:
    """Rows of a kind with these cells."""
    return [row for row in rows if row["kind"] == kind and wanted.items() <= row.items()]


def imported(page: Page, text: str, *, answer: str, name: str = "table.csv") -> str:
    """Import a text as a file, give an answer, and return what was asked."""
    page.locator("#import-file").set_input_files(
        {"name": name, "mimeType": "text/csv", "buffer": text.encode("utf-8")}
    )
    dialog = page.get_by_role("dialog")
    expect(dialog).to_be_visible()
    words = dialog.inner_text()
    dialog.get_by_role("button", name=answer, exact=True).click()
    expect(dialog).to_be_hidden()
    expect(page.locator("#import-file")).to_have_value("")  # the last thing that an import does
    return words
