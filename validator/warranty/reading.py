"""Takes a programme's file, returns the programme; every complaint at once: misspelt keys, a life that nobody owns, a maker
judged.
"""

import hashlib
import re
from dataclasses import replace
from pathlib import Path

from validator.facts.vocabulary import Fact
from validator.language import amounts
from validator.language.amounts import Amount
from validator.language.files import written_in
from validator.language.forms import Complaints, choice_of, complain, fields, listed, text_of, texts_of
from validator.language.slips import did_you_mean
from validator.language.source import BadBook, Complaint, Items, Node, Where, read_file, read_source
from validator.rulebook.book import Book
from validator.rulebook.conditions import FromSchedule, Names, leaves, read_condition
from validator.rulebook.consistency import check_kinds, check_stated_tests
from validator.rulebook.rule import MATTERS, Rule
from validator.rulebook.shelf import shelf
from validator.warranty.programme import (
    ADMINISTRATIVE,
    EVIDENCE,
    KINDS,
    STANDARD,
    TIED,
    Clear,
    Document,
    EarlierTerm,
    Enough,
    Programme,
    Stated,
    Term,
    Test,
    Within,
)

GIVES = ("materials only", "labor and materials", "refund of the price")
HEADINGS = ("limited", "full")
ONLY_A_WORD = frozenset(("life", "lifetime", "a lifetime", "for life", "limited lifetime", "limited life", "yes"))

PROGRAMME_KEYS = ("programme", "about", "document", "holder", "places", "every term", "terms", "note")
DOCUMENT_KEYS = ("title", "revision", "headed", "in force")
TERM_KEYS = ("term", "gives", "years", "life of", "starts", "conditions", "note")
TESTS = ("clear", "requires", "within", "enough", "earlier term")
CONDITION_KEYS = ("needs", "kind", "clause", *TESTS, "applies when", "shown by", "note")
# Which kinds of condition each test may stand in.
MAY_TEST = {
    "clear": (STANDARD,),
    "requires": tuple(kind for kind in KINDS if kind not in TIED),
    "within": (ADMINISTRATIVE, EVIDENCE),
    "enough": (EVIDENCE,),
}


def programme_names() -> list[str]:
    """The programmes on the shelf."""
    return [path.stem for path in written_in(shelf() / "programmes")]


def programme_file(name: str) -> Path:
    """The file of a programme, by its name on the shelf or by a path. Raises BadBook."""
    for path in (shelf() / "programmes" / f"{name}.yaml", Path(name)):
        if path.is_file():
            return path
    hint = did_you_mean(name, programme_names())
    accepted = f"{hint}{listed(programme_names())}; or a file"
    raise BadBook([Complaint(Where(name, 0, 1), f"there is no programme `{name}`", accepted)])


def read_programme(source: Path | str, book: Book, file: str = "programme") -> Programme:
    """The programme of a file or of a text, read by a book's vocabulary. Raises BadBook with every complaint at once."""
    complaints = Complaints(BadBook)
    node = read_source(source, file, complaints) if isinstance(source, str) else read_file(source, complaints)
    programme = _Reader(book, complaints).programme(node) if node is not None else None
    if complaints or programme is None:
        raise BadBook(complaints)
    written = source.encode() if isinstance(source, str) else source.read_bytes().replace(b"\r\n", b"\n")
    return replace(programme, fingerprint=hashlib.sha256(written).hexdigest()[:16])


class _Reader:
    def __init__(self, book: Book, complaints: list[Complaint]) -> None:
        self.book, self.complaints = book, complaints
        self.vocabulary = book.vocabulary
        self.slots = frozenset(book.vocabulary.slots)  # a fact named only here has no place in what was judged
        self.names = Names(frozenset(book.limits), {s.name: s.columns for s in book.schedules.values()})
        self.kinds_of_place = book.vocabulary.facts["place.kind"].words

    def programme(self, node: Node) -> Programme:
        lines = fields(node, "a programme", PROGRAMME_KEYS, ("programme", "document", "places", "terms"), self.complaints)
        terms: list[Term] = []
        for item in self._items(lines.get("terms"), "terms", "- term: ..."):
            terms.append(self._term(item, terms))
        return Programme(
            name=self._text(lines, "programme"),
            about=self._text(lines, "about"),
            document=self._document(lines.get("document")),
            holder=self._text(lines, "holder"),
            places=self._places(lines.get("places"), "places"),
            every_term=self._conditions(lines.get("every term"), "every term", []),
            terms=tuple(terms),
        )

    def _text(self, lines: dict[str, Node], key: str) -> str:
        return text_of(lines.get(key), key, self.complaints)

    def _items(self, node: Node | None, what: str, example: str) -> tuple[Node, ...]:
        if node is None:
            return ()
        if isinstance(node, Items) and node.items:
            return node.items
        complain(self.complaints, node, f"`{what}` holds a list", f"a line `{example}` for each")
        return ()

    def _places(self, node: Node | None, what: str) -> tuple[str, ...]:
        kinds = texts_of(node, what, self.complaints)
        for kind in kinds:
            if kind not in self.kinds_of_place:
                hint = did_you_mean(kind, self.kinds_of_place)
                complain(self.complaints, node, f"`{kind}` is no kind of place", hint + listed(self.kinds_of_place, 20))
        return kinds

    # -- the document -----------------------------------------------------------------------------------------------------

    def _document(self, node: Node | None) -> Document:
        lines = fields(node, "the document", DOCUMENT_KEYS, ("title", "revision", "in force"), self.complaints)
        force = fields(lines.get("in force"), "`in force`", ("from", "to", "on"), ("from", "on"), self.complaints)
        first, last = self._day(force.get("from"), "from"), self._day(force.get("to"), "to")
        if first is not None and last is not None and last < first:
            complain(self.complaints, force["to"], "the document ends before it begins", "a day after `from`")
        return Document(
            title=self._text(lines, "title"),
            revision=self._text(lines, "revision"),
            headed=choice_of(lines.get("headed"), "headed", HEADINGS, self.complaints),
            on=self._fact_of(force.get("on"), "on", "moment"),
            first=first or 0,
            last=last,
        )

    def _day(self, node: Node | None, key: str) -> int | None:
        read = self._amount(node, key, "moment")
        if read is None:
            return None
        first, last = read.least // 86_400, read.greatest // 86_400
        if first != last:
            complain(self.complaints, node, f"`{key}: {read.text}` is more than one day", "one day, such as 2026-01-01")
        return first

    def _amount(self, node: Node | None, key: str, kind: str) -> Amount | None:
        text = text_of(node, key, self.complaints)
        if not text:
            return None
        try:
            return amounts.read(text, kind)
        except amounts.AmountProblem as problem:
            complain(self.complaints, node, problem.what, problem.accepted)
            return None

    def _fact_of(self, node: Node | None, key: str, *kinds: str) -> str:
        """The name of a fact that is an amount of one of some kinds."""
        name = text_of(node, key, self.complaints)
        if not name:
            return name
        fact = self._fact(node, name)
        if fact is not None and kinds and fact.kind not in kinds:
            complain(self.complaints, node, f"`{name}` is a {fact.kind}", f"a fact that is a {' or '.join(amounts.KINDS[kind].noun for kind in kinds)}")
        return name

    def _fact(self, node: Node, name: str) -> Fact | None:
        fact = self.vocabulary.fact(name)
        if fact is None:
            complain(self.complaints, node, f"`{name}` is no fact of the vocabulary", self.vocabulary.nearest_fact(name))
        return fact

    # -- terms ------------------------------------------------------------------------------------------------------------

    def _term(self, node: Node, earlier: list[Term]) -> Term:
        lines = fields(node, "a term", TERM_KEYS, ("term", "gives", "starts", "conditions"), self.complaints)
        name = self._text(lines, "term")
        if name and name in [term.name for term in earlier]:
            complain(self.complaints, lines["term"], f"there are two terms `{name}`", "a name of its own for each")
        years, life_of = self._how_long(node, name, lines)
        return Term(
            name=name,
            gives=choice_of(lines.get("gives"), "gives", GIVES, self.complaints, GIVES[0]),
            starts=self._text(lines, "starts"),
            years=years,
            life_of=life_of,
            conditions=self._conditions(lines.get("conditions"), "conditions", earlier),
        )

    def _how_long(self, node: Node, name: str, lines: dict[str, Node]) -> tuple[int, str]:
        """Years, or whose or which life; `lifetime` alone says neither."""
        years, life_of = self._text(lines, "years"), self._text(lines, "life of")
        whose = "`life of: the original owner's ownership`, or whichever life the document names"
        if life_of:
            if life_of.casefold() in ONLY_A_WORD:
                complain(self.complaints, lines["life of"], f"`life of: {life_of}` does not say whose life", whose)
            if years:
                complain(self.complaints, lines["years"], f"the term `{name}` gives both years and a life", "one of the two")
            return 0, life_of
        if "life" in years.casefold() or ("life" in name.casefold() and not years):
            complain(self.complaints, lines.get("years", node), f"the term `{name}` does not say whose life", whose)
        elif not years:
            complain(self.complaints, node, f"the term `{name}` does not say how long", "`years: 10`, or `life of: ...`")
        elif not years.isdecimal() or int(years) == 0:
            complain(self.complaints, lines["years"], f"`years: {years}` is not a whole number of years", "a whole number such as 10")
        else:
            return int(years), ""
        return 0, ""

    # -- conditions -------------------------------------------------------------------------------------------------------

    def _conditions(self, node: Node | None, what: str, earlier: list[Term]) -> tuple[Stated, ...]:
        return tuple(self._condition(item, earlier) for item in self._items(node, what, "- needs: ..."))

    def _condition(self, node: Node, earlier: list[Term]) -> Stated:
        lines = fields(node, "a condition", CONDITION_KEYS, ("needs",), self.complaints)
        kind = choice_of(lines.get("kind"), "kind", KINDS, self.complaints)
        return Stated(
            needs=self._text(lines, "needs"),
            kind=kind,
            test=self._test(node, lines, kind, earlier) if lines else None,
            clause=self._text(lines, "clause"),
            shown_by=self._text(lines, "shown by"),
        )

    def _test(self, node: Node, lines: dict[str, Node], kind: str, earlier: list[Term]) -> Test | None:
        written = [key for key in TESTS if key in lines]
        if "kind" not in lines and written != ["earlier term"]:
            complain(self.complaints, node, "a condition lacks `kind`", listed(KINDS))
            return None
        if kind in TIED:
            for key in written:
                complain(self.complaints, lines[key], f"a condition {kind} is never judged here: it goes to a person",
                       f"leave `{key}` out; what is technical in it is a condition of its own")  # fmt: skip
            return None
        if len(written) != 1:
            said = f"holds {' and '.join(f'`{key}`' for key in written)}" if written else "holds nothing that could show it"
            complain(self.complaints, node, f"a condition {said}", "exactly one of " + listed(TESTS))
            return None
        key = written[0]
        if kind and kind not in MAY_TEST.get(key, KINDS):
            complain(self.complaints, lines[key], f"`{key}` does not go with `kind: {kind}`", "`kind: " + "`, `kind: ".join(MAY_TEST[key]) + "`")
        if "applies when" in lines and key != "requires":
            complain(self.complaints, lines["applies when"], f"`applies when` stands beside `{key}`", "only beside `requires`")
        return self._read_test(key, lines, earlier)

    def _read_test(self, key: str, lines: dict[str, Node], earlier: list[Term]) -> Test:
        node = lines[key]
        match key:
            case "clear":
                return self._clear(node)
            case "within":
                return self._within(node)
            case "enough":
                return self._enough(node)
            case "earlier term":
                return self._earlier(node, earlier)
        return self._judged(lines)

    def _clear(self, node: Node) -> Clear:
        matters = texts_of(node, "clear", self.complaints)
        for matter in matters:
            if matter not in MATTERS:
                hint = did_you_mean(matter, MATTERS)
                complain(self.complaints, node, f"`{matter}` is no warranty matter", hint + listed(MATTERS))
        return Clear(matters)

    def _judged(self, lines: dict[str, Node]) -> Rule:
        """A condition in the rulebook's own grammar, as the rule that says the same."""
        before = len(self.complaints)
        applies, requires = (
            read_condition(lines.get(key), self.vocabulary, self.names, self.complaints) for key in ("applies when", "requires")
        )
        needs = self._text(lines, "needs")
        rule = Rule(
            name=needs, title=needs, severity="fail", applies=applies, requires=requires, because="", put_right="",
            where=lines["requires"].where,
        )  # fmt: skip
        check_stated_tests(rule, self.complaints)
        for condition in (applies, requires):
            check_kinds(condition, self.book, self.complaints)
        if not list(leaves(requires)) and len(self.complaints) == before:
            complain(self.complaints, lines["requires"], "a condition requires nothing", "`requires:` with what must be so")
        for name in self._facts(rule):
            if name not in self.slots:
                complain(self.complaints, lines["requires"], f"no rule of this book works out `{name}`", "a fact of the vocabulary itself")
        return rule

    def _facts(self, rule: Rule) -> list[str]:
        keys = [
            key.name for condition in (rule.applies, rule.requires) for leaf in leaves(condition)
            if isinstance(getattr(leaf, "against", None), FromSchedule) for key in self.book.schedules[leaf.against.name].keys
        ]  # fmt: skip
        return [*rule.facts(), *keys]

    def _within(self, node: Node) -> Within:
        lines = fields(node, "`within`", ("days", "from", "to"), ("days", "from", "to"), self.complaints)
        days = self._text(lines, "days")
        if "days" in lines and not days.isdecimal():
            complain(self.complaints, lines["days"], f"`days: {days}` is not a whole number of days", "a whole number such as 90")
            days = "0"
        start, end = (self._fact_of(lines.get(key), key, "moment") for key in ("from", "to"))
        return Within(int(days or 0), start, end)

    def _enough(self, node: Node) -> Enough:
        keys = ("bought", "one", "does", "in")
        lines = fields(node, "`enough`", (*keys, "asks above"), keys, self.complaints)
        bought = self._fact_of(lines.get("bought"), "bought", "volume", "mass", "area", "length", "count")
        fact = self.vocabulary.fact(bought) if bought else None
        one = self._amount(lines.get("one"), "one", fact.kind if fact is not None else "count")
        does = self._amount(lines.get("does"), "does", "area")
        for key, amount in (("one", one), ("does", does)):
            if amount is not None and not 0 < amount.least <= amount.greatest < amounts.NO_GREATEST:
                complain(self.complaints, lines[key], f"`{key}: {amount.text}` has no end, or is nothing", "an amount, or a range with two ends")
        if one is not None and one.least != one.greatest:
            complain(self.complaints, lines["one"], f"`one: {one.text}` is a range", "one amount, such as 1 gal")
        nothing = Amount("area", 1, 1, "", "")
        return Enough(bought, one or nothing, does or nothing, self._places(lines.get("in"), "in"), self._times(lines.get("asks above")))

    def _times(self, node: Node | None) -> int:
        """`3 times`; 0 where nothing is written."""
        if node is None:
            return 0
        text = text_of(node, "asks above", self.complaints)
        if re.fullmatch(r"[1-9][0-9]{0,3} times", text):
            return int(text.removesuffix(" times"))
        complain(self.complaints, node, f"`asks above: {text}` is not a whole number of times", "a whole number such as `3 times`")
        return 0

    def _earlier(self, node: Node, earlier: list[Term]) -> EarlierTerm:
        name = text_of(node, "earlier term", self.complaints)
        names = [term.name for term in earlier]
        if name not in names:
            hint = did_you_mean(name, names)
            complain(self.complaints, node, f"no earlier term is named `{name}`", hint + (listed(names) or "a term written above this one"))
        return EarlierTerm(name)
