"""A whole story in Chromium: from nothing to the card of the sample shower, counted in taps, with a script and without, on both
databases."""

import re
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path

import pytest
from paths import ROOT
from postgres import postgres
from served import served_on

from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder

PHONE = {"width": 390, "height": 844}


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


@pytest.fixture(params=["SQLite", "SQLite, without a script", "PostgreSQL"])
def site(request, browser, tmp_path: Path) -> Iterator:
    """A page at a site of its own, and the address of its start."""
    with postgres() if request.param == "PostgreSQL" else nullcontext() as server, served_on(server.address if server else str(tmp_path / "c.sqlite")) as address:
        page = browser.new_context(viewport=PHONE, java_script_enabled="without" not in request.param).new_page()
        page.goto(address)
        yield page


def moved_on(page, seen: str) -> None:
    """Waits for the next page, with a script or without."""
    box = page.locator("main input[name=op]").first
    for _ in range(1_500):
        if box.count() and box.input_value() != seen or not page.locator("#answer").count() and page.locator("#question").count():
            return
        page.wait_for_timeout(20)
    raise AssertionError("the next page did not come")


def test_from_nothing_to_the_card_of_the_sample_shower(site, capsys) -> None:
    foreman, pages, questions, page = Foreman(), 0, 0, site
    thumb = Thumb(page)
    thumb.typed(page.locator("#words"), "shower on joists, second floor, foam pan")
    thumb.tap(page.locator("text=Take what is in these words"))
    page.wait_for_url("**/cases/*")
    address = page.url.partition("?")[0]
    while page.locator("#answer").count():
        pages += 1
        assert pages < 60
        seen = page.input_value("#answer input[name=op]")
        questions += answered_by(foreman, thumb)
        moved_on(page, seen)
        assert not page.locator("#wrong").count(), page.inner_text("#wrong")
    assert page.inner_text("h1") == "What you left open could still change the verdict", page.inner_text("body")
    thumb.tap(page.locator("main a:has-text('card for the crew')"))
    card = page.inner_text("body").casefold()
    with capsys.disabled():
        print(f"\n{pages} pages with {questions} questions, {thumb.taps} taps and {thumb.letters} letters from nothing to the card")
    assert "photograph" in card and "put right" not in card and "flood" in card
    page.goto(f"{address}/verdict")
    assert page.locator("article.found").count() == 0
