"""The site in Chromium: on a phone and at a desk, with the keyboard alone, without a script, light, dark and printed."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from look_at_pages import AXE, node_modules
from paths import ROOT
from served import Served, served_on

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1366, "height": 900}
PAGES = ("", "?further=yes", "/rest", "/trouble", "/build-up", "/verdict", "/papers", "/submittal", "/history", "/left", "/thing?place=back+wall&thing=board&layer=0", "/at/1",
         "/compare?before=1&after=1", "/papers/buying")  # fmt: skip


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address, with its key, of a server of our own."""
    with served_on(str(tmp_path_factory.mktemp("served") / "c.sqlite")) as address:
        yield address


@pytest.fixture(scope="module")
def kept(browser, served: str) -> dict:
    """The cookie that the key became."""
    context = browser.new_context()
    context.new_page().goto(served)
    return context.storage_state()


@pytest.fixture(scope="module")
def case(browser, kept: dict, served: str) -> str:
    """The address of a case from a file: the shower with five mistakes."""
    page = browser.new_context(storage_state=kept).new_page()
    page.goto(served.split("?")[0])
    page.click("text=From a file")
    page.fill("#text", (ROOT / "samples" / "five-mistakes.yaml").read_text())
    page.click("text=Judge it")
    page.wait_for_url("**/verdict")
    return page.url.removesuffix("/verdict")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_fits_breaks_no_policy_and_is_read_by_everybody(browser, kept: dict, case: str, size: dict, scheme: str) -> None:
    context = browser.new_context(storage_state=kept, viewport=size, color_scheme=scheme)
    page, said = context.new_page(), []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda fault: said.append(str(fault)))
    for address in (case.partition("/cases/")[0] + "/", *(case + each for each in PAGES)):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], address
        assert page.locator("h1").count() == 1, address
        small = page.evaluate(SMALL_TARGETS)
        assert small == [], (address, small)
        assert complaints_of(page) == [], address
    assert said == []


def complaints_of(page) -> list[str]:
    """What axe says of a page."""
    page.evaluate((node_modules() / "axe-core" / "axe.min.js").read_text() + ";0")
    return page.evaluate(AXE)


SMALL_TARGETS = """() => [...document.querySelectorAll('button, select, input:not([type=hidden]):not([type=radio]):not([type=checkbox])')]
  .filter(each => each.checkVisibility() && !each.classList.contains('away') && each.getBoundingClientRect().height < 43)
  .map(each => each.outerHTML.slice(0, 80))"""


def test_a_question_is_answered_with_the_keyboard_alone(browser, kept: dict, served: str) -> None:
    page = browser.new_context(storage_state=kept, viewport=PHONE).new_page()
    page.goto(served.split("?")[0])
    pressed = 0
    while page.evaluate("document.activeElement.textContent.trim()") != "Shower":
        page.keyboard.press("Tab")
        pressed += 1
        assert pressed < 12
    page.keyboard.press("Enter")
    page.wait_for_url("**/cases/*")
    first = page.inner_text("#question")
    while not page.evaluate("document.activeElement.matches('button[name=rest]')"):
        page.keyboard.press("Tab")
        pressed += 1
        assert pressed < 40
    page.keyboard.press("Enter")
    page.wait_for_function("first => document.querySelector('#question').textContent !== first", arg=first)


@pytest.mark.parametrize("script", [True, False], ids=["with the script", "without a script"])
def test_a_fraction_is_entered_by_taps_and_read_as_the_trade_writes_it(browser, kept: dict, case: str, script: bool) -> None:
    page = browser.new_context(storage_state=kept, viewport=PHONE, java_script_enabled=script).new_page()
    page.goto(f"{case}/thing?place=back+wall&thing=screw&layer=0")
    form = page.locator("details:has(> summary b:text-is('length'))")
    form.locator("summary").first.click()
    form.locator("input[name=inches]").fill("2")
    form.locator("label:has-text('3/8')").click()
    form.locator("button.main").click()
    page.wait_for_load_state()
    assert "2-3/8 in" in page.locator("details:has(> summary b:text-is('length')) > summary").inner_text()


def test_a_printed_verdict_holds_what_is_folded_and_no_form(browser, kept: dict, case: str, tmp_path: Path) -> None:
    page = browser.new_context(storage_state=kept).new_page()
    page.goto(f"{case}/verdict")
    page.emulate_media(media="print")
    assert page.locator("nav").first.is_hidden()
    assert page.locator("text=licensed practice come first").first.is_visible()


@pytest.mark.parametrize("paper", ["card", "page", "review"])
def test_a_paper_keeps_its_own_style_behind_the_policy(browser, kept: dict, case: str, paper: str) -> None:
    page, said = browser.new_context(storage_state=kept).new_page(), []
    page.on("console", lambda message: said.append(message.text))
    page.goto(f"{case}/papers/{paper}")
    assert said == [] and page.evaluate("getComputedStyle(document.querySelector('h1')).fontWeight") == "700"


def test_a_pdf_is_made_of_a_paper(browser, kept: dict, case: str) -> None:
    context = browser.new_context(storage_state=kept)
    answer = context.request.get(f"{case}/papers/card/pdf", timeout=90_000)
    assert answer.status == 200 and answer.body().startswith(b"%PDF")


def test_without_a_signal_the_form_goes_on_and_sends_what_it_kept(browser, kept: dict, served: str) -> None:
    context = browser.new_context(storage_state=kept, viewport=PHONE)
    page = context.new_page()
    page.goto(served.split("?")[0])
    with page.expect_response(lambda answer: answer.url.endswith("/ahead")):
        page.click("button:has-text('Tub surround')")
    page.wait_for_function("() => Object.keys(localStorage).some(each => each.includes('ahead'))")
    address = page.url
    context.set_offline(True)
    asked = []
    for _ in range(4):
        asked.append(page.locator("#answer input[name=key]").first.input_value())
        page.locator("#answer button[name=rest], #answer button[value='not known']").first.click()
        page.wait_for_function("before => document.querySelector('#answer input[name=key]')?.value !== before", arg=asked[-1])
    assert len(set(asked)) == 4 and "4 answers on this phone" in page.inner_text("#strip")
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_function("() => !document.querySelector('#strip')")
    page.goto(f"{address}/history")
    assert page.locator(".events > li").count() == 5
    assert "the job: building house" in page.inner_text(".events")


def test_what_two_people_answered_otherwise_is_told_when_the_signal_is_back(browser, kept: dict, served: str) -> None:
    context, other = (browser.new_context(storage_state=kept, viewport=PHONE) for _ in range(2))
    page, beside = context.new_page(), other.new_page()
    page.goto(served.split("?")[0])
    with page.expect_response(lambda answer: answer.url.endswith("/ahead")):
        page.click("button:has-text('Deck, balcony')")
    beside.goto(page.url)
    context.set_offline(True)
    page.click("#answer button[name=rest]")
    page.wait_for_selector("#strip")
    beside.locator("details.folded > summary").first.click()
    beside.click("#answer label:has(input[value='hotel'])")
    beside.click("text=Only what I entered")
    beside.wait_for_selector(".changed")
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_selector("#strip:has-text('needs you')")
    assert "You said: house new" in page.inner_text("#strip")


def test_a_page_that_was_opened_opens_again_without_a_server_and_says_of_when_it_is(browser, tmp_path: Path) -> None:
    with Served(tmp_path) as served:
        opened_again(browser, served)


def opened_again(browser, served: Served) -> None:
    case = served.begin()
    context = browser.new_context(viewport=PHONE)
    name, _, value = served.cookie.partition("=")
    context.add_cookies([{"name": name, "value": value, "url": f"http://127.0.0.1:{served.port}"}])
    page, said = context.new_page(), []
    page.on("console", lambda message: said.append(message.text))
    address = f"http://127.0.0.1:{served.port}/cases/{case}"
    page.goto(address)
    page.wait_for_function("() => navigator.serviceWorker.controller")
    page.goto(f"{address}/verdict")
    page.goto(address)
    page.wait_for_function("() => Object.keys(localStorage).some(each => each.includes('ahead'))")
    first = page.locator("#answer input[name=key]").first.input_value()
    assert said == []
    served.kill()
    page.goto(f"{address}/verdict")
    assert "No signal. This page is as it was" in page.inner_text("#as-it-was") and page.inner_text("h1") == "Verdict"
    assert page.evaluate("getComputedStyle(document.body).maxWidth") != "none", "its style is kept too"
    page.goto(f"{address}/history")
    assert page.inner_text("h1") == "No signal" and "not opened on this phone" in page.inner_text("body")
    page.goto(address)
    page.locator("#answer button[name=rest]").click()
    page.wait_for_selector("#strip:has-text('1 answer on this phone')")
    assert page.locator("#answer input[name=key]").first.input_value() != first
    assert [each for each in said if not each.startswith("Failed to load resource")] == []


# -- the picture of the README ----------------------------------------------------------------------------------------------------

PICTURE = ROOT / "samples" / "in-the-browser.webp"
DIFFER, MUCH = 40, 0.06  # of 255, and of all points of the small picture: fonts differ from one machine to another


def pictured(browser, kept: dict, served: str, folder: Path):
    """The form on a phone beside the drawing that it speaks of."""
    from PIL import Image

    page = browser.new_context(storage_state=kept, viewport={"width": 400, "height": 800}, device_scale_factor=2).new_page()
    page.goto(served.split("?")[0])
    page.click("text=From a file")
    page.fill("#text", (ROOT / "samples" / "half-known.yaml").read_text())
    page.click("text=Judge it")
    page.wait_for_url("**/verdict")
    page.goto(page.url.removesuffix("/verdict"))
    page.evaluate("document.querySelector('span.kept').textContent = ''")  # the hour
    page.screenshot(path=folder / "form.png")
    page.set_viewport_size({"width": 560, "height": 800})
    page.locator("figure.sheet img").screenshot(path=folder / "drawing.png")
    form, drawing = (Image.open(folder / f"{part}.png").convert("RGB") for part in ("form", "drawing"))
    whole = Image.new("RGB", (form.width + drawing.width + 100, form.height), "#fff")
    whole.paste(form, (0, 0))
    whole.paste("#b9bcbd", (form.width, 0, form.width + 2, form.height))
    whole.paste(drawing.crop((0, 0, drawing.width, min(drawing.height, form.height - 80))), (form.width + 50, 40))
    return whole.resize((whole.width // 2, whole.height // 2))


def test_the_picture_of_the_readme_is_how_it_looks(browser, kept: dict, served: str, tmp_path: Path) -> None:
    from PIL import Image, ImageChops

    now = pictured(browser, kept, served, tmp_path)
    if not PICTURE.exists():  # taken away to be made anew
        now.save(PICTURE, quality=70, method=6)
    with Image.open(PICTURE) as kept_picture:
        assert kept_picture.size == now.size
        small = [each.convert("L").resize((64, 48)) for each in (kept_picture, now)]
    different = sum(count for grey, count in enumerate(ImageChops.difference(*small).histogram()) if grey > DIFFER)
    assert different / (64 * 48) < MUCH, "take the picture away, run this test, and look at the new one"
