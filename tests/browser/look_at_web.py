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
from served import Served

from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder

playwright = pytest.importorskip("playwright.sync_api")
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1366, "height": 900}
PAGES = ("", "?further=yes", "/rest", "/trouble", "/build-up", "/verdict", "/papers", "/submittal", "/history", "/left", "/thing?place=back+wall&thing=board&layer=0", "/at/1",
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


LENGTH = re.compile(r"(?:(\d+) ft ?)?(?:(\d+)(?:-(\d+/\d+))?|(\d+/\d+))? in")


class Thumb:
    """Enters answers as somebody would with a thumb, and counts the taps and the letters."""

    def __init__(self, page) -> None:
        self.page, self.taps, self.letters = page, 0, 0

    def tap(self, where) -> None:
        where.click()
        self.taps += 1

    def typed(self, box, words: str) -> None:
        box.fill(words)
        self.taps, self.letters = self.taps + 1, self.letters + len(words)

    def alone(self, said: str) -> None:
        """The one question of a page."""
        form = self.page.locator("#answer")
        exact = form.locator(f'button[name=pressed][value="{said}"]')
        if exact.count():
            self.tap(exact)
            return
        if not self.entered(form, said, ""):
            self.tap(form.locator("details.freely > summary").first)
            self.typed(form.locator("input[name=typed]"), said)
        self.tap(form.locator("button.main, details.freely button").first)

    def one_of_several(self, part, said: str, after: str) -> None:
        """One question among several; a folded one is opened first."""
        if part.locator("details.folded").count():
            self.tap(part.locator("details.folded > summary"))
        if not self.entered(part, said, after):
            self.tap(part.locator("details.freely > summary"))
            self.typed(part.locator(f"input[name='typed{after}']"), said)

    def entered(self, form, said: str, after: str) -> bool:
        """Whether there are boxes that hold an answer; then it stands in them."""
        for name, words in (("says", [said]), ("word", said.split(" and "))):
            chips = [form.locator(f"label:has(input[name='{name}{after}'][value='{word}'])") for word in words]
            if all(each.count() for each in chips):
                for each in chips:
                    self.tap(each)
                return True
        parts = LENGTH.fullmatch(said)
        inches = form.locator(f"input[name='inches{after}']")
        if parts and inches.count() and not parts[1]:
            if parts[2]:
                self.typed(inches, parts[2])
            if part := parts[3] or parts[4]:
                choose = form.locator(f"select[name='eighths{after}']")
                if choose.count():
                    choose.select_option(part)
                    self.taps += 2
                else:
                    self.tap(form.locator(f".eighths label:has(input[value='{part}'])"))
            return True
        number, _, unit = said.partition(" ")
        box, units = form.locator(f"input[name='number{after}']"), form.locator(f"[name='unit{after}']")
        if box.count() and units.count() and unit and units.first.input_value() == unit:
            self.typed(box, number)
            return True
        says = form.locator(f"input[name='says{after}']:not([type=radio])")
        if says.count():
            self.typed(says, said)
            return True
        return False


def answered_by(foreman: Foreman, thumb: Thumb) -> int:
    """Everything that a page asks answered, as far as the foreman knows it; returns how many questions that were."""
    form = thumb.page.locator("#answer")
    facts = [each.input_value() for each in form.locator("input[name^=fact]").all()]
    said, usual = [], []
    for turn, fact in enumerate(facts):
        after = f".{turn}" if turn else ""
        place, usually = form.locator(f"input[name='place{after}']").first.input_value(), form.locator(f"input[name='usual{after}']")
        said.append(("membrane" if place == "walls" else "") if fact == "place.waterproofed" else foreman.knows(place, fact))
        usual.append(usually.input_value() if usually.count() else "")
    if len(facts) == 1:
        thumb.alone(said[0]) if said[0] else thumb.tap(form.locator("button[value='not known']"))
        return 1
    unknown = any(not words for words in said)
    leave_to_the_usual = any(usual) and not unknown
    for turn, (words, takes) in enumerate(zip(said, usual)):
        if words and not (leave_to_the_usual and words == takes):
            thumb.one_of_several(form.locator("fieldset.one-of-several").nth(turn), words, f".{turn}" if turn else "")
    button = "button[value='not known']" if unknown else "button[name=rest]" if leave_to_the_usual else "button.main"
    thumb.tap(form.locator(button))
    return len(facts)


def test_from_nothing_to_the_card_of_the_sample_shower(browser, kept: dict, served: str, capsys) -> None:
    foreman, pages, questions = Foreman(), 0, 0
    page = browser.new_context(storage_state=kept, viewport=PHONE).new_page()
    thumb = Thumb(page)
    page.goto(served.split("?")[0])
    thumb.typed(page.locator("#words"), "shower on joists, second floor, foam pan")
    thumb.tap(page.locator("text=Take what is in these words"))
    page.wait_for_url("**/cases/*")
    address = page.url.partition("?")[0]
    while page.locator("#answer").count():
        pages += 1
        assert pages < 60
        seen = page.input_value("#answer input[name=op]")
        questions += answered_by(foreman, thumb)
        page.wait_for_function("seen => document.querySelector('main input[name=op]')?.value !== seen", arg=seen)
        assert not page.locator("#wrong").count(), page.inner_text("#wrong")
    assert page.inner_text("h1") == "What you left open could still change the verdict", page.inner_text("body")
    thumb.tap(page.locator("main a:has-text('card for the crew')"))
    card = page.inner_text("body").casefold()
    with capsys.disabled():
        print(f"\n{pages} pages with {questions} questions, {thumb.taps} taps and {thumb.letters} letters from nothing to the card")
    assert "photograph" in card and "put right" not in card and "flood" in card
    page.goto(f"{address}/verdict")
    assert page.locator("article.found").count() == 0
