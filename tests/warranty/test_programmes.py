"""A programme is read with every complaint at once, and refuses what a document may not leave unsaid."""

import pytest

from validator.judging.loading import load_book
from validator.language.source import BadBook
from validator.rulebook.shelf import book_folder
from validator.warranty.reading import programme_file, programme_names, read_programme

DOCUMENT = "document: {title: A paper, revision: 1, in force: {from: 2026-01-01, on: purchases.bought on}}\n"
HEAD = f"programme: A programme\n{DOCUMENT}places: [shower floor]\n"
TERM = "terms:\n  - term: one year\n    gives: materials only\n    years: 1\n    starts: completion\n    conditions:\n"
INVOICE = "      - {needs: An invoice, kind: evidence, requires: {purchases.invoice: yes}}\n"


@pytest.fixture(scope="module")
def book():
    return load_book(book_folder("us")).book


def complaints(text: str, book) -> list[str]:
    with pytest.raises(BadBook) as bad:
        read_programme(text, book, "p.yaml")
    return [str(complaint) for complaint in bad.value.complaints]


def with_condition(line: str) -> str:
    return f"{HEAD}{TERM}      - {{{line}}}\n"


def with_term(lines: str) -> str:
    return f"{HEAD}terms:\n  - {{{lines}, conditions: [{{needs: An invoice, kind: evidence, requires: {{purchases.invoice: yes}}}}]}}\n"


@pytest.mark.parametrize("name", programme_names())
def test_a_programme_of_the_shelf_is_found_sound(name, book):
    programme = read_programme(programme_file(name), book)
    assert programme.terms
    assert "demonstration" in programme.name


def test_the_shelf_holds_two_styles_of_programme(book):
    read = [read_programme(programme_file(name), book) for name in programme_names()]
    kinds = {condition.kind for programme in read for term in programme.terms for condition in term.conditions}
    assert len(read) == 2
    assert {"by standard", "by general qualification", "tied to one maker", "tied to a named service", "administrative", "evidence"} <= kinds


def test_a_programme_that_is_not_there_is_answered_with_the_nearest():
    with pytest.raises(BadBook) as bad:
        programme_file("milrace-handover")
    assert str(bad.value.complaints[0]) == (
        "milrace-handover: there is no programme `milrace-handover`. Accepted: did you mean "
        "`millrace-handover`? millrace-handover, tilers-circle-wet-rooms; or a file"
    )


def test_a_sound_programme_changes_its_fingerprint_with_a_word(book):
    first, second = (read_programme(f"{HEAD}{TERM}{INVOICE}".replace("A paper", title), book) for title in ("A paper", "A letter"))
    assert first.fingerprint != second.fingerprint


BAD = [
    (
        "a misspelt key",
        f"{HEAD}{TERM}{INVOICE}".replace("gives:", "give:"),
        [
            "p.yaml:5:5: a term lacks `gives`. Accepted: a line `gives: ...`",
            ("p.yaml:6:5: `give` is not a key of a term. Accepted: did you mean `gives`? term, gives, years, life of, starts, "
            "conditions, note"),
        ],
    ),
    (
        "a lifetime that is nobody's",
        with_term("term: lifetime warranty, gives: materials only, starts: completion"),
        [("p.yaml:5:5: the term `lifetime warranty` does not say whose life. Accepted: `life of: the original owner's ownership`, "
         "or whichever life the document names")],
    ),
    (
        "life instead of years",
        with_term("term: long, gives: materials only, years: lifetime, starts: completion"),
        [("p.yaml:5:48: the term `long` does not say whose life. Accepted: `life of: the original owner's ownership`, or "
         "whichever life the document names")],
    ),
    (
        "a life of a life",
        with_term("term: long, gives: materials only, life of: lifetime, starts: completion"),
        [("p.yaml:5:50: `life of: lifetime` does not say whose life. Accepted: `life of: the original owner's ownership`, or "
         "whichever life the document names")],
    ),
    (
        "no length at all",
        with_term("term: long, gives: materials only, starts: completion"),
        ["p.yaml:5:5: the term `long` does not say how long. Accepted: `years: 10`, or `life of: ...`"],
    ),
    (
        "a life and years",
        with_term("term: long, gives: materials only, life of: the first owner's stay, years: 5, starts: completion"),
        ["p.yaml:5:81: the term `long` gives both years and a life. Accepted: one of the two"],
    ),
    (
        "half a year",
        with_term("term: short, gives: materials only, years: 1/2, starts: completion"),
        ["p.yaml:5:49: `years: 1/2` is not a whole number of years. Accepted: a whole number such as 10"],
    ),
    (
        "a kind that is no kind",
        with_condition("needs: A card, kind: administration, requires: {purchases.invoice: yes}"),
        [("p.yaml:10:31: kind cannot be `administration`. Accepted: did you mean `administrative`? by standard, "
         "by general qualification, tied to one maker, tied to a named service, administrative, evidence, scope")],
    ),
    (
        "a maker judged",
        with_condition("needs: One maker, kind: tied to one maker, requires: {purchases.invoice: yes}"),
        [("p.yaml:10:63: a condition tied to one maker is never judged here: it goes to a person. Accepted: leave `requires` out; "
         "what is technical in it is a condition of its own")],
    ),
    (
        "a technical matter that is only administrative",
        with_condition("needs: Clear, kind: administrative, clear: [water escapes]"),
        ["p.yaml:10:53: `clear` does not go with `kind: administrative`. Accepted: `kind: by standard`"],
    ),
    (
        "a matter that is none",
        with_condition("needs: Clear, kind: by standard, clear: [water escape]"),
        [("p.yaml:10:50: `water escape` is no warranty matter. Accepted: did you mean `water escapes`? water escapes, "
         "bond and support, lasting, looks")],
    ),
    (
        "nothing that could show it",
        with_condition("needs: Something, kind: evidence"),
        [("p.yaml:10:9: a condition holds nothing that could show it. Accepted: exactly one of clear, requires, within, enough, "
         "earlier term")],
    ),
    (
        "two tests in one condition",
        with_condition("needs: Both, kind: by standard, clear: [looks], requires: {purchases.invoice: yes}"),
        [("p.yaml:10:9: a condition holds `clear` and `requires`. Accepted: exactly one of clear, requires, within, enough, "
         "earlier term")],
    ),
    (
        "a fact that is none",
        with_condition("needs: A bill, kind: evidence, requires: {purchases.invoce: yes}"),
        ["p.yaml:10:52: `purchases.invoce` is no fact of the vocabulary. Accepted: did you mean `purchases.invoice`?"],
    ),
    (
        "a date of a fact that is no date",
        with_condition("needs: In time, kind: administrative, within: {days: 90, from: purchases.invoice, to: registration.received}"),
        ["p.yaml:10:73: `purchases.invoice` is a yes or no. Accepted: a fact that is a date"],
    ),
    (
        "days that are no number",
        with_condition("needs: In time, kind: administrative, within: {days: 3 months, from: job.completion, to: registration.received}"),
        ["p.yaml:10:63: `days: 3 months` is not a whole number of days. Accepted: a whole number such as 90"],
    ),
    (
        "a quantity without an end",
        with_condition("needs: Enough, kind: evidence, enough: {bought: purchases.tile, one: 1 sq ft, does: at least 1 sq ft, in: room floor}"),
        ["p.yaml:10:94: `does: at least 1 sq ft` has no end, or is nothing. Accepted: an amount, or a range with two ends"],
    ),
    (
        "how many times too much is",
        with_condition("needs: Enough, kind: evidence, enough: "
                       "{bought: purchases.tile, one: 1 sq ft, does: 1 sq ft, in: room floor, asks above: 1/2 times}"),
        ["p.yaml:10:131: `asks above: 1/2 times` is not a whole number of times. Accepted: a whole number such as `3 times`"],
    ),
    (
        "a later term",
        with_condition("needs: The other, earlier term: two years"),
        ["p.yaml:10:42: no earlier term is named `two years`. Accepted: a term written above this one"],
    ),
    (
        "a document that ends before it begins",
        f"{HEAD}{TERM}{INVOICE}".replace("from: 2026-01-01", "from: 2026-01-01, to: 2025-12-31"),
        ["p.yaml:2:74: the document ends before it begins. Accepted: a day after `from`"],
    ),
    (
        "a date that is none",
        f"{HEAD}{TERM}{INVOICE}".replace("2026-01-01", "2026-02-30"),
        [("p.yaml:2:58: `2026-02-30` is not a day and hour of the calendar. Accepted: year-month-day, then hours 00:00 to 23:59, "
         "such as 2026-03-01 14:30")],
    ),
    (
        "a kind of place that is none",
        f"{HEAD}{TERM}{INVOICE}".replace("[shower floor]", "[shower flor]"),
        [("p.yaml:3:9: `shower flor` is no kind of place. Accepted: did you mean `shower floor`? shower floor, shower wall, "
         "shower ceiling, tub surround wall, tub deck, room floor, room wall, room ceiling, curb, bench, niche, exterior deck, exterior wall, counter, pool")],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), [(text, said) for _, text, said in BAD], ids=[name for name, _, _ in BAD])
def test_what_is_wrong_is_said_where_it_stands(text, said, book):
    assert complaints(text, book) == said


def test_every_complaint_is_made_at_once(book):
    text = with_term("term: lifetime, give: money, starts: completion").replace("places: [shower floor]", "places: [flor]")
    assert len(complaints(text, book)) == 4


def test_an_empty_file_is_refused(book):
    assert complaints("", book)
