"""The run sheet for every reader: axe-core's rules, phones, paper, the keyboard, no scripts."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.knownlight.sheet.harbour import harbour

LAPTOP = {"width": 1366, "height": 900}
PHONE = {"width": 390, "height": 844}
PAPER = {"A4": 180.0, "Letter": 186.0}  # mm between the margins of @page
PIXELS_PER_MM = 96 / 25.4  # of CSS


def spoil(page: Page) -> None:
    """Type wrong and odd things, and show every figure."""
    for field, text in ((0, "bright"), (1, "0.8"), (2, "0.9"), (4, "0.1")):
        page.locator("#clip-lamp-2 .patches input").nth(field).fill(text)
    page.locator("#clip-lamp-10 .patches input").first.fill("2000")
    page.locator("#clip-lamp-50 .patches input").first.fill("150")
    page.get_by_role("button", name="Another reading of lamp").first.click()
    page.locator('[data-display="sdr"]').get_by_label("Black").fill("-1")
    page.locator("#clip-lamp-50 .patches input").first.blur()
    expect(page.locator(".complaints")).not_to_have_count(0)
    expect(page.locator(".loading svg")).to_be_visible()


def violations(page: Page, *rules: str) -> list[tuple[str, str]]:
    """Rules of axe-core that are broken, of some or of all, each with the first element that breaks it."""
    options: dict[str, object] = {"resultTypes": ["violations"]}
    if rules:
        options["runOnly"] = list(rules)
    found = Axe().run(page, options=options)
    return [(each["id"], each["nodes"][0]["html"][:200]) for each in found.response["violations"]]


def draw_all(page: Page) -> None:
    """Clips that are far from sight are not drawn; here all are, or the rules would pass them over."""
    page.evaluate(
        "document.styleSheets[0].insertRule('.card { content-visibility: visible !important }', "
        "document.styleSheets[0].cssRules.length)"
    )


@pytest.mark.parametrize("viewport", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_axe_finds_nothing(open_sheet: Callable[..., Page], viewport: dict[str, int]) -> None:
    """No rule of axe-core is broken, empty and with complaints; in the dark none of those of colours."""
    page = open_sheet(viewport=viewport)
    draw_all(page)
    for prepare in (None, spoil):
        if prepare:
            prepare(page)
        assert [] == violations(page)
        page.emulate_media(color_scheme="dark")
        assert [] == violations(page, "color-contrast", "link-in-text-block")
        page.emulate_media(color_scheme="light")


def test_axe_finds_nothing_in_the_dialog(sheet: Page) -> None:
    """The question whether to delete a set is sound as well; Escape is its safe answer."""
    sheet.get_by_role("button", name="Delete this set").click()
    assert [] == violations(sheet)
    sheet.keyboard.press("Escape")
    expect(sheet.get_by_role("dialog")).to_be_hidden()
    assert ["Set 1"] == sheet.locator("#set-list option").all_text_contents()


def test_nothing_scrolls_sideways(sheet: Page) -> None:
    """Long words break, tables fold; on the narrowest phone as on a laptop, with complaints shown."""
    draw_all(sheet)
    spoil(sheet)
    for width in (1366, 1100, 768, 390):
        sheet.set_viewport_size({"width": width, "height": 844})
        whole = "Math.max(document.documentElement.scrollWidth, document.body.scrollWidth)"
        assert width == sheet.evaluate(whole)
        over = sheet.evaluate(
            "(w) => [...document.querySelectorAll('main *')].filter((e) => e.checkVisibility() && "
            "!e.closest('.unseen, thead') && e.getBoundingClientRect().right > w + 1)"
            ".map((e) => e.outerHTML.slice(0, 80))",
            width,
        )
        assert [] == over


def test_paper_is_wide_enough(open_sheet: Callable[..., Page]) -> None:
    """In print nothing passes the right margin, nothing of a screen is there, and it is black on white."""
    page = open_sheet(color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    for paper in PAPER.values():
        width = int(paper * PIXELS_PER_MM)
        page.set_viewport_size({"width": width, "height": 1000})
        assert width >= page.evaluate("document.documentElement.scrollWidth")
    seen = (
        "() => [...document.querySelectorAll('button, .bar, nav')].filter((e) => e.checkVisibility()).length"
    )
    assert 0 == page.evaluate(seen)
    style = "getComputedStyle(document.documentElement)"
    assert ["rgb(255, 255, 255)", "rgb(0, 0, 0)"] == page.evaluate(
        f"[{style}.backgroundColor, {style}.color]"
    )


def test_paper_tells_what_the_screen_folds(sheet: Page) -> None:
    """The clips of a joined file stand on paper with their times; on the screen at a click."""
    mark = sheet.locator(".joined li", has_text="lamp-10")
    expect(mark).to_be_hidden()
    sheet.emulate_media(media="print")
    expect(mark).to_be_visible()
    box = mark.bounding_box()
    assert box is not None
    assert box["height"] > 0.0
    sheet.emulate_media(media="null")


def test_small_pictures_are_dim_in_the_dark(sheet: Page) -> None:
    """A white field would light a dark room; under the pointer, in the light and on paper it is as it is."""
    picture = sheet.locator("#clip-lamp-2 figure img")
    expect(picture).to_have_css("filter", "none")
    sheet.emulate_media(color_scheme="dark")
    expect(picture).to_have_css("filter", "brightness(0.6)")
    picture.hover()
    expect(picture).to_have_css("filter", "none")
    sheet.mouse.move(0, 0)
    sheet.emulate_media(media="print", color_scheme="dark")
    expect(picture).to_have_css("filter", "none")
    sheet.emulate_media(media="null", color_scheme="null")


def test_it_prints_on_both_papers(sheet: Page) -> None:
    """Chromium makes a PDF of each: title and two chapters, each of which begins a page."""
    for paper in PAPER:
        data = sheet.pdf(format=paper, prefer_css_page_size=False)
        pages = data.count(b"/Type /Page\n") or data.count(b"/Type/Page\n") or data.count(b"/Type /Page ")
        assert 3 <= pages <= 6


def test_without_scripts_it_is_a_sheet_to_write_on(open_sheet: Callable[..., Page]) -> None:
    """All clips, cautions, targets and fields are there, and no button that would do nothing."""
    page = open_sheet(java_script_enabled=False)
    expect(page.get_by_role("article")).to_have_count(7)
    expect(page.locator(".caution")).to_have_count(4)
    expect(page.get_by_label("Read, cd/m², lamp", exact=True).first).to_be_visible()
    assert [] == [button for button in page.get_by_role("button").all() if button.is_visible()]


def test_the_keyboard_reaches_everything(sheet: Page) -> None:
    """The first stop skips to the clips; Tab leads from luminance to x, y, time and a further reading."""
    sheet.keyboard.press("Tab")
    expect(sheet.get_by_role("link", name="To the clips")).to_be_focused()
    sheet.keyboard.press("Enter")
    stops = []
    sheet.locator("#clip-lamp-2 .patches input").first.focus()
    for _ in range(5):
        stops.append(sheet.evaluate("document.activeElement.getAttribute('aria-label')"))
        sheet.keyboard.press("Tab")
    parts = ["Read, cd/m²", "x", "y", "Time"]
    assert [*(f"{part}, lamp" for part in parts), "Another reading of lamp"] == stops
    sheet.keyboard.press("Shift+Tab")
    sheet.keyboard.press("Enter")
    assert "Read, cd/m², lamp, reading 2" == sheet.evaluate(
        "document.activeElement.getAttribute('aria-label')"
    )


def test_a_long_sheet_answers_at_once(open_sheet: Callable[..., Page]) -> None:
    """400 clips of ten patches: a key is taken in within a tenth of a second, a new white within a second."""
    page = open_sheet(harbour(cards=400))
    spent = page.evaluate(
        """() => ['#clip-mooring-200 [data-f="l"]', '[data-display="sdr"] [data-part="peak"]'].map((path) => {
          const field = document.querySelector(path), start = performance.now();
          field.value = '120';
          field.dispatchEvent(new InputEvent('input', { bubbles: true }));
          return performance.now() - start;
        })"""
    )
    assert spent[0] < 100.0  # ms; measured 2
    assert spent[1] < 1000.0  # ms; measured 30
    expect(page.locator("#progress")).to_have_text("1 of 4013 readings")


def test_a_jump_ends_where_it_should(open_sheet: Callable[..., Page]) -> None:
    """Contents lead to a far heading, below the bar, though the tall clips above it were never drawn."""
    page = open_sheet(harbour(cards=40, rungs=40), viewport={"width": 1366, "height": 400})
    page.get_by_role("link", name="How the figures are made").click()
    page.wait_for_timeout(400)
    top = page.locator("#figures-title").bounding_box()
    bar = page.locator(".bar").bounding_box()
    assert top is not None
    assert bar is not None
    assert bar["height"] <= top["y"] <= bar["height"] + 60.0


def test_a_jump_to_what_the_filter_hides_shows_it(sheet: Page) -> None:
    """A clip alone, the others stay hidden; a chapter with its clips."""
    articles = sheet.get_by_role("article")
    sheet.locator(".joined summary").click()
    sheet.get_by_label("PQ", exact=True).uncheck()
    sheet.get_by_label("HLG", exact=True).uncheck()
    sheet.get_by_label("SDR", exact=True).uncheck()
    expect(articles).to_have_count(0)
    sheet.get_by_role("link", name="What does the fog hide?").click()
    expect(articles).to_have_count(3)
    sheet.get_by_label("SDR", exact=True).check()
    expect(articles).to_have_count(1)
    sheet.evaluate("document.getElementById('chapter-lamps').hidden = false")  # to reach its list of marks
    sheet.get_by_role("link", name="lamp-10", exact=True).click()
    expect(articles).to_have_count(2)
    expect(sheet.locator("#clip-lamp-10")).to_be_in_viewport()


@pytest.mark.parametrize("size", [(1366, 700), (683, 450), (390, 700)])
def test_the_bar_never_hides_the_focus(open_sheet: Callable[..., Page], size: tuple[int, int]) -> None:
    """WCAG 2.2, 2.4.11 Focus Not Obscured: going back by the keyboard, zoomed and on a phone, too."""
    page = open_sheet(viewport={"width": size[0], "height": size[1]})
    page.locator("textarea").last.focus()
    hidden = []
    for _ in range(40):
        page.keyboard.press("Shift+Tab")
        hidden += page.evaluate(
            """() => {
                const focus = document.activeElement, box = focus.getBoundingClientRect();
                const bar = document.querySelector(".bar").getBoundingClientRect();
                return box.top < bar.bottom || box.bottom > innerHeight ? [focus.outerHTML] : [];
            }"""
        )
    assert [] == hidden
