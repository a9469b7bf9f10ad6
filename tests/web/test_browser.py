"""In a real browser: 360 px without sideways scrolling, large targets, keyboard alone, no script needed."""

import re
from itertools import product

import pytest
from tests.web.test_bring_in import ROSTER
from tests.web.test_pages import PAGES

from loftbook.desk.entry import entry_sheet

WIDTHS = (360, 820, 1280)
UNFOLD = "document.querySelectorAll('details').forEach(one => { one.open = true })"
# What is wider than the window although nothing around it scrolls by itself.
TOO_WIDE = """() => [...document.querySelectorAll('body *')].filter(one =>
    one.getBoundingClientRect().right > innerWidth + 1 && !one.closest('.scroll, .skip, .hidden')
).map(one => one.outerHTML.slice(0, 120))"""
# Everything to touch that is no link inside running text: WCAG 2.2 asks for 24 px, the house for 44.
SMALL = """() => [...document.querySelectorAll('button, select, summary, input:not([type=hidden]), textarea, ' +
    'nav a, a.key, a.rowname, a.rowlink, .queue a, .touch > a, a.bookname')].map(one => {
    const touched = one.closest('.choices label, label.tick') ?? one, box = touched.getBoundingClientRect();
    return [Math.round(box.height * 10) / 10, one.outerHTML.slice(0, 100)];
}).filter(([height]) => height > 0 && height < 44)"""


def path_of(made, name):
    return PAGES[name].format(**{key: getattr(made, key) for key in ("spring", "autumn", "mira", "hostile")})


@pytest.fixture
def open_page(browser):
    """Open a page of a width and look; whatever the browser complains about fails the test."""
    pages = []

    def opening(address, *, width=1280, look="light", **context):
        page = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=look, **context)
        complaints = []
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(address)
        pages.append((page, complaints))
        return page

    yield opening
    for page, complaints in pages:
        page.close()
        assert complaints == []


@pytest.mark.parametrize("name", PAGES)
def test_no_page_scrolls_sideways_and_targets_are_large(served, open_page, name):
    address, made = served
    page = open_page(address + path_of(made, name), width=360)
    page.evaluate(UNFOLD)
    for look, width in product(("light", "dark"), WIDTHS):
        page.emulate_media(color_scheme=look)
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, page.evaluate(TOO_WIDE)
        assert page.evaluate(TOO_WIDE) == [], width
        assert page.evaluate(SMALL) == [], width


def test_the_report_on_a_list_fits_a_phone(served, open_page):
    address, _ = served
    page = open_page(address + "/import", width=360)
    page.get_by_label(re.compile("A roster")).check()
    list_ = {"name": "roster.csv", "mimeType": "text/csv", "buffer": ROSTER.encode()}
    page.set_input_files("input[type=file]", list_)
    page.get_by_role("button", name="Read it").click()
    page.wait_for_url("**/import/*")
    page.evaluate(UNFOLD)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate(TOO_WIDE) == [], width
        assert page.evaluate(SMALL) == [], width


def brightness(colour):
    red, green, blue = (int(part) for part in re.findall(r"\d+", colour)[:3])
    return (red + green + blue) / 3


@pytest.mark.parametrize(
    ("device", "chosen", "dark"),
    [("light", "", False), ("dark", "", True)]
    + [(device, chosen, chosen == "dark") for device in ("light", "dark") for chosen in ("light", "dark")],
)
def test_light_and_dark_are_both_drawn(served, open_page, device, chosen, dark):
    """As the device says, unless the reader chose: then that, on either device."""
    address, _ = served
    page = open_page(address, look=device)
    if chosen:
        with page.expect_navigation():
            page.get_by_role("button", name=chosen, exact=True).click()
    ground, ink = (
        brightness(page.evaluate(f"getComputedStyle(document.body).{what}"))
        for what in ("backgroundColor", "color")
    )
    assert (ground < 64, ink > 192) == (dark, dark)


def test_the_fonts_are_the_books_own(served, open_page):
    address, _ = served
    page = open_page(address)
    page.evaluate("document.fonts.ready")
    loaded = page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family)")
    assert {name.strip('"') for name in loaded} == {"Source Serif 4", "Source Sans 3"}


def test_the_first_tab_skips_to_the_page(served, open_page):
    address, _ = served
    page = open_page(address)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the page"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_focus_is_always_seen(served, open_page):
    """Tabs through the whole entry page: each stop has an outline of its own or on the key around it."""
    address, made = served
    page = open_page(address + path_of(made, "entry"))
    page.evaluate(UNFOLD)
    seen = """() => { const one = document.activeElement, around = one.closest('.choices label, label.tick') ?? one;
        return [getComputedStyle(one), getComputedStyle(around)].some(s => s.outlineStyle !== 'none'
        && parseFloat(s.outlineWidth) >= 2) }"""
    stops = 0
    page.keyboard.press("Tab")
    while page.evaluate("document.activeElement !== document.body"):
        assert page.evaluate(seen), page.evaluate("document.activeElement.outerHTML")
        page.keyboard.press("Tab")
        stops += 1
    assert stops >= 25


def test_a_result_is_written_by_keyboard_alone(served, open_page):
    address, made = served
    page = open_page(f"{address}/camps/{made.spring}/entry/{made.noa}")
    for name, value, steps in (("rung", "double_pike", 1), ("outcome", "tried", 1), ("help", "nobody_in", 0)):
        page.locator(f"input[name={name}]").first.focus()
        page.keyboard.press("Space")
        for _ in range(steps):
            page.keyboard.press("ArrowDown")
        assert page.evaluate(f"document.querySelector('input[name={name}]:checked').value") == value
    page.locator("input[name=rater]").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("K. Board")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("written="))
    (turn,) = entry_sheet(made.desk, made.spring).entered[(made.noa, "double_pike")]
    assert (turn.outcome.value, turn.help.key, turn.rater) == ("tried", "nobody_in", "K. Board")


def test_everything_works_without_script(served, open_page):
    address, made = served
    page = open_page(f"{address}/camps/{made.spring}/entry", java_script_enabled=False)
    page.get_by_role("link", name=re.compile("Bracket")).click()
    page.get_by_label("Double tuck").check()
    page.get_by_label("did it").check()
    page.get_by_label("belt, light").check()
    page.get_by_label("Seen by").fill("No. Script")
    page.get_by_role("button", name="Write it down").click()
    assert page.get_by_role("status").inner_text() == "It is in the book."
    # Her stop of the autumn is there now, behind one touch, which needs no script either.
    earlier = page.locator("details.earlier").first
    assert not earlier.get_by_text("Stopped").is_visible()
    earlier.locator("summary").click()
    assert earlier.get_by_text("Stopped").is_visible()
    with page.expect_navigation():
        page.get_by_role("button", name="dark").click()
    assert page.locator("html").get_attribute("data-look") == "dark"


def test_an_impatient_thumb_writes_once(served, open_page):
    address, made = served
    page = open_page(f"{address}/camps/{made.spring}/entry/{made.formula}")
    page.get_by_label("Double tuck").check()
    page.get_by_label("not tried").check()
    page.get_by_label("Seen by").fill("H. Coach")
    page.get_by_role("button", name="Write it down").dblclick()
    page.wait_for_url(re.compile("written="))
    assert len(entry_sheet(made.desk, made.spring).entered[(made.formula, "double_tuck")]) == 1


def test_state_is_told_without_colour(served, open_page):
    """Every form in the squad's list stands beside a word; a reader of the page hears the word once."""
    address, _ = served
    page = open_page(address)
    states = page.locator("table .state")
    assert states.count() > 0
    for number in range(states.count()):
        assert states.nth(number).inner_text().strip()
    assert page.locator("table .mark:not([aria-hidden=true])").count() == 0


def test_the_letter_hides_nothing_on_a_phone(served, open_page):
    """No table or picture to be pushed sideways: each cell of what was seen lies within the window."""
    address, made = served
    page = open_page(f"{address}{path_of(made, 'letter')}?camp={made.autumn}", width=360)
    assert page.evaluate("document.querySelectorAll('.sheet .scroll').length") == 0
    outside = """() => [...document.querySelectorAll('.sheet th[scope=row], .sheet td, .sheet p')].filter(one => {
        const box = one.getBoundingClientRect();
        return box.width > 0 && (box.left < 0 || box.right > innerWidth);
    }).map(one => one.outerHTML)"""
    assert page.evaluate(outside) == []
    shown = page.evaluate("[...document.querySelectorAll('.sheet td')].map(one => one.innerText.trim())")
    assert "trampoline, soft flat mat" in " ".join(shown)
    named = page.evaluate(
        "[...document.querySelectorAll('.sheet td')].map(one => getComputedStyle(one, '::before').content)"
    )
    assert {'"From, onto"', '"Done, of turns"', '"Marked by"'} <= set(named)
