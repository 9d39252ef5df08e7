"""The site in Chromium: on a phone and at a desk, with the keyboard alone, without a script, light, dark and printed; and a whole
story from nothing to the card of the sample shower, counted in taps."""

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from chromium import chromium_program
from look_at_pages import AXE, node_modules
from paths import ROOT

from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder

playwright = pytest.importorskip("playwright.sync_api")
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1366, "height": 900}
PAGES = ("", "/build-up", "/verdict", "/papers", "/history", "/left", "/thing?place=back+wall&thing=board&layer=0", "/at/1",
         "/compare?before=1&after=1", "/papers/buying")  # fmt: skip


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address, with its key, of a server of our own."""
    folder = tmp_path_factory.mktemp("served")
    started = [sys.executable, "-u", "-m", "validator", "serve", "--database", str(folder / "c.sqlite"), "--port", "0", "--no-open"]
    with subprocess.Popen(started, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        yield re.search(r"http://\S+key=\S+", process.stdout.readline())[0]
        process.terminate()


@pytest.fixture(scope="module")
def browser() -> Iterator["playwright.Browser"]:
    with playwright.sync_playwright() as one:
        opened = one.chromium.launch(executable_path=chromium_program(), args=["--no-sandbox"])
        yield opened
        opened.close()


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
    while not page.evaluate("document.activeElement.matches('button.usual')"):
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
        asked.append(page.inner_text("#question"))
        page.click("#answer button.usual")
        page.wait_for_function("before => document.querySelector('#question').textContent !== before", arg=asked[-1])
    assert len(set(asked)) == 4 and "4 answers on this phone" in page.inner_text("#strip")
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_function("() => !document.querySelector('#strip')")
    page.goto(f"{address}/history")
    assert page.locator(".events > li").count() == 5
    assert "job building: house" in page.inner_text(".events")


def test_what_two_people_answered_otherwise_is_told_when_the_signal_is_back(browser, kept: dict, served: str) -> None:
    context, other = (browser.new_context(storage_state=kept, viewport=PHONE) for _ in range(2))
    page, beside = context.new_page(), other.new_page()
    page.goto(served.split("?")[0])
    with page.expect_response(lambda answer: answer.url.endswith("/ahead")):
        page.click("button:has-text('Deck, balcony')")
    beside.goto(page.url)
    context.set_offline(True)
    page.click("#answer button.usual")
    page.wait_for_selector("#strip")
    beside.click("#answer button[value='hotel']")
    beside.wait_for_selector(".changed")
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_selector("#strip:has-text('needs you')")
    assert "You said: house" in page.inner_text("#strip")


# -- from nothing to the card ---------------------------------------------------------------------------------------------------


class Foreman:
    """Somebody who knows the sample shower, and no word of the file's format: answers what is asked, in taps."""

    def __init__(self) -> None:
        from validator.assembly import read_assembly_file

        loaded = load_book(book_folder("us"))
        assembly = read_assembly_file(ROOT / "samples" / "second-floor-shower.yaml", loaded.vocabulary, loaded.catalogue)
        self.subjects = {each.name: each for each in assembly.subjects}

    def knows(self, place: str, fact: str) -> str:
        """What the sample says of a fact there; nothing where it says nothing."""
        kind = place.split(",")[0]
        name = place.replace("walls", "back wall") if "," not in place else ""
        subject = self.subjects.get(name) or next((each for each in self.subjects.values() if kind in (each.kind, each.name)), None)
        if subject is None:
            return ""
        thing = fact.partition(".")[0]
        layers = subject.layers.get(thing, ())
        if fact == thing:
            return "there" if layers else {1: "none", 2: "there"}.get(getattr(subject.known.get(fact), "value", 0), "")
        known = next((each.known[fact] for each in layers if fact in each.known), subject.known.get(fact))
        return known.text if known is not None else ""


LENGTH = re.compile(r"(?:(\d+) ft ?)?(?:(\d+)(?:-(\d/\d))?|(\d/\d))? in")


def tapped(page, said: str) -> tuple[int, int]:
    """Enters an answer as somebody would with a thumb; returns the taps and the letters that it took."""
    form = page.locator("#answer")
    exact = form.locator(f'button[name=pressed][value="{said}"]')
    if exact.count():
        exact.click()
        return 1, 0
    if form.locator("fieldset.several").count():
        words = said.split(" and ")
        for word in words:
            form.locator(f"fieldset.several label:has(input[value='{word}'])").click()
        form.locator("button.main").click()
        return len(words) + 1, 0
    parts = LENGTH.fullmatch(said)
    if parts and form.locator("input[name=inches]").count() and not parts[1]:
        whole, part = parts[2], parts[3] or parts[4]
        taps = 1
        if whole:
            form.locator("input[name=inches]").fill(whole)
            taps += 1
        if part and form.locator(f".eighths label:has(input[value='{part}'])").count():
            form.locator(f".eighths label:has(input[value='{part}'])").click()
            taps, part = taps + 1, ""
        if not part:
            form.locator("button.main").click()
            return taps, len(whole or "")
    if form.locator("input[name=says]:not([type=radio])").count():
        form.locator("input[name=says]").fill(said)
        form.locator("button.main").click()
        return 2, len(said)
    form.locator("details.freely > summary").click()
    form.locator("input[name=typed]").fill(said)
    form.locator("details.freely button, button.main").first.click()
    return 3, len(said)


def test_from_nothing_to_the_card_of_the_sample_shower(browser, kept: dict, served: str, capsys) -> None:
    foreman, taps, letters, asked = Foreman(), 2, 0, 0
    page = browser.new_context(storage_state=kept, viewport=PHONE).new_page()
    page.goto(served.split("?")[0])
    page.fill("#words", "shower on joists, second floor, foam pan")
    page.click("text=Take what is in these words")
    page.wait_for_url("**/cases/*")
    address = page.url.partition("?")[0]
    while page.locator("#answer").count():
        asked += 1
        assert asked < 150
        place, fact = page.input_value("#answer input[name=place]"), page.input_value("#answer input[name=fact]")
        seen = page.input_value("#answer input[name=op]")
        said = ("membrane" if place == "walls" else "") if fact == "place.waterproofed" else foreman.knows(place, fact)
        if said:
            more = tapped(page, said)
            taps, letters = taps + more[0], letters + more[1]
        else:
            page.click("#answer button[value='not known']")
            taps += 1
        page.wait_for_function("seen => document.querySelector('main input[name=op]')?.value !== seen", arg=seen)
        assert not page.locator("#wrong").count(), (fact, said, page.inner_text("#wrong"))
    assert page.inner_text("h1") == "Nothing more to ask", page.inner_text("body")
    page.click("main a:has-text('card for the crew')")
    card = page.inner_text("body").casefold()
    with capsys.disabled():
        print(f"\n{asked} questions, {taps + 1} taps and {letters} letters from nothing to the card")
    assert "photograph" in card and "put right" not in card and "flood" in card
    page.goto(f"{address}/verdict")
    assert page.locator("article.found").count() == 0
