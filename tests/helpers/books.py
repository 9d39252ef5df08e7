"""Small books for tests: written out as files from a plain description, and made up at random from a seed.

The plain description is what the oracle reads. It knows nothing of the code under test:

* a fact is a `F`; a place's facts are said of `place`, of a part `tape` that may be absent, or of layers `board`;
* a condition is a tuple: ("all", ...), ("any", ...), ("not both", a, b), ("there", thing, yes), ("stated", fact),
  ("is", fact, comparison, against) with against ("value", v), ("fact", name), ("limit", name) or ("schedule", name);
* an amount is a whole number, a word a text, words together a frozenset of texts.
"""

import json
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from hypothesis import strategies as st

from validator.judging.loading import LoadedBook
from validator.rulebook.reading import read_book

LARGEST = 6  # amounts run from 0 to this; constants from 1 to one less
ALWAYS_THERE = ("place",)
AMOUNT_COMPARISONS = ("is", "is not", "at least", "at most", "more than", "less than")
TOGETHER_COMPARISONS = ("has at least one of", "has all of", "has none of")
FOLDS = ("board.count", "board.total t", "board.least t", "board.greatest t")

SOURCES = """\
big code: {title: A code of this test, standing: adopted code}
old hands: {title: What people say, standing: trade practice}
"""
BOOK = """\
book: small
title: A small book
edition: "1"
layer: code or standard
"""
SEEN = {"from": "big code", "known by": "read second-hand"}
REMEMBERED = {"from": "big code", "known by": "remembered"}

VOCABULARY = """\
place: {what: The place, sort: place}
place.kind: {what: Kind of place, kind: word, words: [shower wall, room wall]}
place.depth: {what: Depth, kind: length, ask: How deep is it?, look: Look., answers: [installer]}
place.fall: {what: Fall, kind: slope}
place.share: {what: Share, kind: proportion}
place.exposure: {what: Exposure, kind: word, words: [dry, damp, wet], order: yes}
place.marks: {what: Marks, kind: words together, words: [A, B, C]}
place.needs lining: {what: Whether it needs a lining, kind: yes or no, concluded: flag}
tape: {what: Tape, sort: part, when not written: ask}
tape.width: {what: Width of the tape, kind: length}
tape.kind: {what: Kind of tape, kind: word, words: [mesh, paper]}
seam: {what: Seam, sort: part, when not written: ask}
seam.width: {what: Width of the seam, kind: length}
board: {what: Board, sort: layer, body: yes, when not written: ask, named by: material}
board.material: {what: Material of the board, kind: word, words: [foam, cement]}
board.thickness: {what: Thickness of the board, kind: length}
"""


def rule(name: str = "deep-enough", **keys: object) -> str:
    """A sound rule as a file's text; keys given here (with spaces as `_`) replace or add."""
    written: dict[str, object] = {
        "rule": name, "title": "Deep enough", "severity": "fail", "requires": {"place.depth": {"at least": "2 in"}},
        "because": "Shallow work fails.", "put right": "Dig.", "sources": [SEEN], "cases": {"each": []},
    }  # fmt: skip
    written.update({key.replace("_", " "): value for key, value in keys.items()})
    return json.dumps({key: value for key, value in written.items() if value is not None}, indent=1)


def consequence(name: str, when: dict[str, object], gives: dict[str, object]) -> str:
    """A sound consequence as a file's text."""
    return json.dumps({"consequence": name, "when": when, "gives": gives, "because": "It follows.", "sources": SEEN})


def table(name: str, gives: str, keys: list[str], rows: str, **keys_more: object) -> dict[str, str]:
    """A schedule as its two files; the columns of `rows` are the keys, `answer` and what else its first line names."""
    heading = {"schedule": name, "gives": gives, "keys": keys, "rows": f"{name}.csv", "sources": SEEN, **keys_more}
    return {f"{name}.yaml": json.dumps(heading), f"{name}.csv": rows}


def write_book(
    folder: Path,
    *,
    vocabulary: str = VOCABULARY,
    rules: dict[str, str] | None = None,
    limits: str = "",
    schedules: dict[str, str] | None = None,
    consequences: dict[str, str] | None = None,
    sources: str = SOURCES,
    book: str = BOOK,
) -> Path:
    """A book written out under a folder; `rules` by `chapter/name`, `schedules` by file name. Returns the book's folder."""
    files = {"vocabulary/all.yaml": vocabulary, "sources.yaml": sources, "small/book.yaml": book}
    if limits:
        files["small/limits.yaml"] = limits
    files |= {f"small/{name}.yaml": text for name, text in (rules or {}).items()}
    files |= {f"small/schedules/{name}": text for name, text in (schedules or {}).items()}
    files |= {f"small/consequences/{name}.yaml": text for name, text in (consequences or {}).items()}
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder / "small"


# -- made-up books ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class F:
    """A fact of a made-up book. `comes`: stated, flag, ladder, marks, narrowed, sum or fold."""

    name: str
    kind: str  # amount, word, together
    words: tuple[str, ...] = ()
    order: bool = False
    gives: tuple[str, str] | None = None  # the first word gives the second
    comes: str = "stated"
    sum: tuple = ()

    @property
    def thing(self) -> str:
        return "place" if self.name in ("board.count", "board.total t") else self.name.partition(".")[0]


@dataclass(frozen=True)
class R:
    """A rule of a made-up book."""

    name: str
    severity: str
    applies: tuple
    requires: tuple
    ways: tuple = ()
    short: bool = False  # one or two comparisons with constants in each part, no exceptions


@dataclass(frozen=True)
class S:
    """A schedule: rows of (cells, answer, remembered); a cell is None, (low, high) or a set of words."""

    name: str
    gives: str
    keys: tuple[str, ...]
    rows: tuple
    other: object = None


@dataclass(frozen=True)
class C:
    """A consequence."""

    name: str
    when: tuple
    fact: str
    words: tuple[str, ...]


@dataclass
class Plain:
    """A whole made-up book."""

    facts: dict[str, F]
    rules: list[R]
    limits: dict[str, tuple[int, int]] = field(default_factory=dict)
    schedules: dict[str, S] = field(default_factory=dict)
    consequences: list[C] = field(default_factory=list)

    def loaded(self, folder: Path) -> LoadedBook:
        """The book written to files, read back, and made ready to judge."""
        return LoadedBook(read_book(write_book(folder, **self.texts())))

    def texts(self) -> dict[str, object]:
        schedules: dict[str, str] = {}
        for each in self.schedules.values():
            schedules |= self._schedule(each)
        return {
            "vocabulary": self._vocabulary(),
            "limits": json.dumps({name: self._limit(span) for name, span in self.limits.items()}) if self.limits else "",
            "schedules": schedules,
            "consequences": {c.name: self._consequence(c) for c in self.consequences},
            "rules": {f"all/{r.name}": self._rule(r) for r in self.rules},
        }

    def _vocabulary(self) -> str:
        lines: dict[str, object] = {
            "place": {"what": "Place", "sort": "place"},
            "tape": {"what": "Tape", "sort": "part", "when not written": "ask"},
            "board": {"what": "Board", "sort": "layer", "body": "yes", "when not written": "ask"},
        }
        for fact in self.facts.values():
            if fact.comes == "fold":
                continue
            kind = {"amount": "count", "together": "words together"}.get(fact.kind, fact.kind)
            line: dict[str, object] = {"what": fact.name, "kind": kind}
            if fact.comes == "flag":
                line |= {"kind": "yes or no", "concluded": "flag"}
            elif fact.words:
                line["words"] = list(fact.words)
            if fact.order:
                line["order"] = "yes"
            if fact.comes == "ladder":
                line |= {"concluded": "greatest holds", "otherwise": fact.words[0]}
            if fact.comes == "marks":
                line["concluded"] = "words"
            if fact.gives:
                line["gives"] = {fact.gives[0]: {"also": fact.gives[1], "source": "a test"}}
            if fact.sum:
                line["worked out by"] = _sum(fact.sum)
            lines[fact.name] = line
        return json.dumps(lines)

    def _limit(self, span: tuple[int, int]) -> dict[str, object]:
        return {"kind": "count", "value": str(span[0]), "printed also": [str(span[1])], "source": SEEN}

    def _schedule(self, each: S) -> dict[str, str]:
        heading = {
            "schedule": each.name, "gives": each.gives, "keys": list(each.keys), "rows": f"{each.name}.csv",
            "sources": SEEN, "otherwise": "open",
        }  # fmt: skip
        lines = [",".join((*each.keys, "answer", "known by"))]
        for cells, answer, remembered in each.rows:
            written = [self._cell(cell) for cell in cells]
            lines.append(",".join((*written, self._answer(answer), "remembered" if remembered else "read second-hand")))
        if each.other is not None:
            lines.append(",".join(("all other", *("" for _ in each.keys[1:]), self._answer(each.other), "read second-hand")))
        return {f"{each.name}.yaml": json.dumps(heading), f"{each.name}.csv": "\n".join(lines) + "\n"}

    def _cell(self, cell: object) -> str:
        if cell is None:
            return ""
        if isinstance(cell, tuple):
            low, high = cell
            return f"up to {high}" if low == 0 else f"{low} and over" if high == LARGEST else f"{low} to {high}"
        return " or ".join(sorted(cell))

    def _answer(self, answer: object) -> str:
        return str(answer) if isinstance(answer, int) else " or ".join(sorted(answer))

    def _consequence(self, each: C) -> str:
        return consequence(each.name, condition_text(each.when), {each.fact: list(each.words)})

    def _rule(self, each: R) -> str:
        ways = [{"when": condition_text(way), "because": "Another way.", "source": SEEN} for way in each.ways]
        return rule(
            each.name, severity=each.severity, applies_when=condition_text(each.applies),
            requires=condition_text(each.requires), except_when=ways or None,
        )  # fmt: skip


def _sum(term: object) -> object:
    if isinstance(term, tuple):
        how, *parts = term
        written = [_sum(part) for part in parts]
        return {how: written[0] if how.endswith("times") else written}
    return str(term)


def condition_text(condition: tuple) -> dict[str, object]:
    """A condition in the form an author would write."""
    match condition:
        case ("all" | "any" as how, *members):
            return {f"{how} of": [condition_text(m) for m in members]}
        case ("not both", first, second):
            return {"not both": [condition_text(first), condition_text(second)]}
        case ("there", thing, yes):
            return {thing: "there" if yes else "none"}
        case ("stated", fact):
            return {fact: "stated"}
        case ("is", fact, compare, ("value", value)):
            return {fact: {compare: sorted(value) if isinstance(value, frozenset) else str(value)}}
        case ("is", fact, compare, (how, name)):
            return {fact: {compare: {how: name}}}
    raise TypeError(condition)


def facts_named(condition: tuple) -> set[str]:
    """Every fact that a condition compares, or compares with."""
    match condition:
        case ("all" | "any" | "not both", *members):
            return set().union(*(facts_named(member) for member in members))
        case ("is", fact, _, ("fact", other)):
            return {fact, other}
    return {condition[1]}


# -- chance -------------------------------------------------------------------------------------------------------------------


@dataclass
class Maker:
    """Makes a book up. `wild` allows groups in groups, other facts, schedules, exceptions, consequences, layers."""

    chance: Random
    wild: bool

    def book(self) -> Plain:
        plain = Plain({}, [])
        for name in ("place.a", "place.b", "place.c", "tape.n", "board.t", "board.k")[: None if self.wild else 4]:
            plain.facts[name] = self.fact(name)
        if self.wild:
            self.add_tables(plain)
            self.add_derived(plain)
        required: list[set[str]] = []
        while len(plain.rules) < 3:
            made = self.rule(plain, f"rule-{len(plain.rules)}")
            # Two rules about one fact, split at one threshold, are no sound book.
            if (names := facts_named(made.requires)) not in required:
                plain.rules.append(made)
                required.append(names)
        return plain

    def fact(self, name: str) -> F:
        if name in ("board.t", "tape.n"):
            return F(name, "amount")
        kind = (
            "word" if name in ("board.k", "place.c") else self.chance.choice(("amount", "amount", "word", "word", "together"))
        )
        if kind == "amount":
            return F(name, kind)
        words = ("low", "mid", "top")[: self.chance.choice((2, 3))]
        if kind == "together":
            return F(name, kind, words, gives=(words[1], words[0]) if self.chance.random() < 0.6 else None)
        return F(name, kind, words, order=self.chance.random() < 0.5)

    def add_tables(self, plain: Plain) -> None:
        low = self.chance.randint(1, LARGEST - 2)
        plain.limits["a limit"] = (low, self.chance.choice((low, low + 1)))
        stated = [f.name for f in plain.facts.values() if f.kind != "together" and f.thing != "board"]
        for name in ("first table", "second table"):
            keys = tuple(self.chance.sample(stated, self.chance.choice((1, 1, 2))))
            gives = self.chance.choice([f for f in plain.facts.values() if f.thing == "place"])
            plain.schedules[name] = self.schedule(plain, name, gives, keys)

    def schedule(self, plain: Plain, name: str, gives: F, keys: tuple[str, ...]) -> S:
        """Cells cut each key into parts; each part of the product is a row, and some rows are left out."""
        rows: list[tuple] = [()]
        for key in keys:
            fact = plain.facts[key]
            if fact.kind == "amount":
                cut = self.chance.randint(1, LARGEST - 2)
                cells: list = [(0, cut), (cut + 1, LARGEST)]
            else:
                cells = [frozenset((fact.words[0],)), frozenset(fact.words[1:])]
            rows = [(*row, cell) for row in rows for cell in cells]
        kept = [row for row in rows if self.chance.random() < 0.85] or rows[:1]
        other = self.value(gives) if self.chance.random() < 0.3 else None
        return S(name, gives.name, keys, tuple((row, self.value(gives), self.chance.random() < 0.3) for row in kept), other)

    def value(self, fact: F) -> object:
        if fact.kind == "amount":
            return self.chance.randint(1, LARGEST - 1)
        return frozenset(self.chance.sample(fact.words, self.chance.choice((1, 1, 2))))

    def add_derived(self, plain: Plain) -> None:
        base = list(plain.facts.values())
        amounts = [f.name for f in base if f.kind == "amount" and f.thing == "place"]
        plain.facts["place.flag"] = F("place.flag", "word", ("no", "yes"), comes="flag")
        plain.facts["place.ladder"] = F("place.ladder", "word", ("dry", "damp", "wet"), order=True, comes="ladder")
        plain.facts["place.marks"] = F("place.marks", "together", ("P", "Q"), comes="marks",
                                       gives=("Q", "P") if self.chance.random() < 0.5 else None)  # fmt: skip
        for name in FOLDS:
            plain.facts[name] = F(name, "amount", comes="fold")
        plain.facts["board.twice"] = F("board.twice", "amount", comes="sum", sum=("2 times", "board.t"))
        plain.facts["board.flag"] = F("board.flag", "word", ("no", "yes"), comes="flag")
        if amounts:
            parts = [self.chance.choice([*amounts, "board.total t", 2, 1]) for _ in range(2)]
            parts[0] = amounts[0]
            how = self.chance.choice(("sum of", "less", "greatest of", "least of", "2 times", "1/2 times"))
            term = (how, parts[0]) if how.endswith("times") else (how, *parts)
            if len(set(parts)) == 2 or how.endswith("times"):
                plain.facts["place.sum"] = F("place.sum", "amount", comes="sum", sum=term)
        givers = []
        follows = ("place.flag", "place.flag", "place.ladder", "place.ladder", "place.marks", "board.flag")
        for number, fact in enumerate(follows):
            words = plain.facts[fact].words
            word = self.chance.choice(words if fact == "place.marks" else words[1:])
            read = [*base, plain.facts["board.flag"], plain.facts["board.twice"]] if fact != "board.flag" else base
            givers.append(C(f"follows-{number}", self.tree(plain, read, 1), fact, (word,)))
        narrowed = [f for f in base if f.kind == "word" and f.thing == "place"]
        if narrowed and self.chance.random() < 0.7:
            fact = narrowed[0]
            others = [f for f in base if f.name != fact.name]
            keep = tuple(self.chance.sample(fact.words, len(fact.words) - 1))
            plain.facts[fact.name] = F(fact.name, "word", fact.words, fact.order, comes="narrowed")
            givers.append(C("narrows", self.tree(plain, others, 1, tables=False), fact.name, keep))
        plain.consequences = givers

    def rule(self, plain: Plain, name: str) -> R:
        severity = self.chance.choice(("warn", "fail"))
        facts = list(plain.facts.values())
        if not self.wild:

            def group() -> tuple:
                leaves = [self.leaf(plain, facts, constants=True) for _ in range(self.chance.choice((1, 2)))]
                return leaves[0] if len(leaves) == 1 else ("all", *leaves)

            return R(name, severity, group(), group(), short=True)
        depth = self.chance.choice((0, 1, 2))
        things = self.chance.choice((("place",), ("place", "tape"), ("place", "board")))
        near = [f for f in facts if f.thing in things]
        ways = tuple(self.tree(plain, near, 1) for _ in range(self.chance.choice((0, 0, 0, 1, 2))))
        return R(name, severity, self.tree(plain, near, depth), self.tree(plain, near, depth), ways)

    def tree(self, plain: Plain, facts: list[F], depth: int, tables: bool = True) -> tuple:
        if depth == 0 or self.chance.random() < 0.2:
            return self.leaf(plain, facts, constants=False, tables=tables)
        how = self.chance.choice(("all", "any", "not both"))
        members = [self.tree(plain, facts, depth - 1, tables) for _ in range(2)]
        return (how, *members)

    def leaf(self, plain: Plain, facts: list[F], constants: bool, tables: bool = True) -> tuple:
        if not constants and self.chance.random() < 0.08:
            things = sorted({f.thing for f in facts} - {"place"})
            if things:
                return ("there", self.chance.choice(things), self.chance.random() < 0.6)
        fact = self.chance.choice(facts)
        if fact.kind == "amount":
            return (
                "is",
                fact.name,
                self.chance.choice(AMOUNT_COMPARISONS),
                self.against(plain, fact, facts, constants, tables),
            )
        if fact.kind == "together":
            against = self.against(plain, fact, (), constants, tables)
            return ("is", fact.name, self.chance.choice(TOGETHER_COMPARISONS), against)
        compares = ("is", "is not", "one of", "none of")
        if fact.order:
            compares = ("one of", "none of", "at least", "at most", "more than", "less than")
        return ("is", fact.name, self.chance.choice(compares), self.against(plain, fact, facts, constants, tables))

    def against(self, plain: Plain, fact: F, facts: object, constants: bool, tables: bool) -> tuple:
        roll = self.chance.random()
        if constants or roll < 0.55:
            return ("value", self.value(fact))
        if tables:
            answering = [s.name for s in plain.schedules.values() if s.gives == fact.name]
            if answering and roll < 0.8:
                return ("schedule", self.chance.choice(answering))
        if fact.kind == "amount" and roll < 0.9 and plain.limits:
            return ("limit", "a limit")
        others = [
            f.name for f in facts
            if f.kind == fact.kind != "together" and f.words == fact.words and f.name != fact.name and f.thing == "place"
        ]  # fmt: skip
        return ("fact", self.chance.choice(others)) if others else ("value", self.value(fact))


def made_up(seed: int, wild: bool) -> Plain:
    """The made-up book of a seed."""
    return Maker(Random(seed), wild).book()


def small_books(wild: bool) -> st.SearchStrategy[tuple[int, Plain]]:
    """Made-up books, each with its seed."""
    return st.integers(0, 10**9).map(lambda seed: (seed, made_up(seed, wild)))
