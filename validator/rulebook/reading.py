"""A book read from its folder: every complaint at once, or a book found sound.

Layout of a book: book.yaml, limits.yaml, schedules/, consequences/, and chapters as folders with one rule a file.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from validator import possible
from validator.forms import choice_of, fields, pairs_of, refuse, text_of, texts_of
from validator.reading import BadBook, Complaint, Items, Node, Where, read_file
from validator.rulebook.conditions import (
    Comparison,
    Condition,
    FromLimit,
    FromSchedule,
    Group,
    IsStated,
    Names,
    leaves,
    read_condition,
)
from validator.rulebook.fingerprint import fingerprint_of
from validator.rulebook.fusing import NO, things_named
from validator.rulebook.records import EXPECTED, MATTERS, SEVERITIES, Book, Case, Caution, Consequence, OtherWay, Rule
from validator.rulebook.sources import Source, read_cited, read_sources
from validator.rulebook.strata import strata_of
from validator.rulebook.tables import Tables
from validator.rulebook.trees import trees_of
from validator.vocabulary import Vocabulary, read_vocabulary

RULE_KEYS = (
    "rule", "title", "severity", "for each", "applies when", "requires", "except when", "because", "put right",
    "warranty", "sources", "cases", "in force", "replaces", "formerly", "note", "covers",
)  # fmt: skip
CONSEQUENCE_KEYS = ("consequence", "when", "gives", "because", "sources", "cases", "note")
NOT_CHAPTERS = ("schedules", "consequences")


def read_book(folder: Path, vocabulary: Vocabulary | None = None) -> Book:
    """The book of a folder, with the vocabulary and sources that stand beside it. Raises BadBook."""
    complaints: list[Complaint] = []
    if not (folder / "book.yaml").is_file():
        raise BadBook([Complaint(Where(str(folder), 1, 1), f"there is no book in {folder}", "a folder that holds book.yaml")])
    vocabulary = vocabulary or read_vocabulary(folder.parent / "vocabulary")
    sources = read_sources(folder.parent / "sources.yaml", complaints)
    tables = Tables(vocabulary, sources, complaints)
    limits, schedules = tables.limits(folder / "limits.yaml"), tables.schedules(folder / "schedules")
    names = Names(frozenset(limits), {s.name: s.columns for s in schedules.values()})
    reader = _BookReader(vocabulary, sources, names, complaints)
    consequences = reader.consequences(folder / "consequences")
    rules = reader.rules(folder)
    head = reader.head(folder / "book.yaml")
    book = Book(
        **head, vocabulary=vocabulary, sources=sources, limits=limits, schedules=schedules,
        consequences=consequences, rules=rules, fingerprint=fingerprint_of(folder),
    )  # fmt: skip
    if not complaints:
        _check_together(book, complaints)
    if complaints:
        raise BadBook(complaints)
    book.trees = {rule.name: trees_of(rule, book) for rule in rules.values()}
    return book


@dataclass(frozen=True, slots=True)
class _BookReader:
    vocabulary: Vocabulary
    sources: dict[str, Source]
    names: Names
    complaints: list[Complaint]

    # -- the head of the book ---------------------------------------------------------------------------------------------

    def head(self, path: Path) -> dict[str, object]:
        keys = ("book", "title", "edition", "about", "not checked", "cautions")
        lines = fields(read_file(path, self.complaints), "book.yaml", keys, ("book", "title", "edition"), self.complaints)
        cautions = lines.get("cautions")
        items = cautions.items if isinstance(cautions, Items) else ()
        return {
            "name": text_of(lines.get("book"), "book", self.complaints),
            "title": text_of(lines.get("title"), "title", self.complaints),
            "edition": text_of(lines.get("edition"), "edition", self.complaints),
            "about": text_of(lines.get("about"), "about", self.complaints),
            "not_checked": texts_of(lines.get("not checked"), "not checked", self.complaints),
            "cautions": tuple(self._caution(item) for item in items),
        }

    def _caution(self, node: Node) -> Caution:
        lines = fields(node, "a caution", ("when", "say", "source"), ("say",), self.complaints)
        return Caution(
            when=self.condition(lines.get("when")),
            say=text_of(lines.get("say"), "say", self.complaints),
            source=text_of(lines.get("source"), "source", self.complaints),
        )

    def condition(self, node: Node | None) -> Condition:
        return read_condition(node, self.vocabulary, self.names, self.complaints)

    # -- rules ------------------------------------------------------------------------------------------------------------

    def rules(self, folder: Path) -> dict[str, Rule]:
        found: dict[str, Rule] = {}
        chapters = sorted(p for p in folder.iterdir() if p.is_dir() and p.name not in NOT_CHAPTERS)
        for path in (path for chapter in chapters for path in sorted(chapter.glob("*.yaml"))):
            node = read_file(path, self.complaints)
            if node is None:
                continue
            rule = self._rule(node, path, folder.name)
            if rule is not None and rule.name in found:
                refuse(self.complaints, node, f"a rule `{rule.name}` stands in {found[rule.name].where.file} too")
            elif rule is not None:
                found[rule.name] = rule
        return found

    def _rule(self, node: Node, path: Path, book: str) -> Rule | None:
        required = ("rule", "title", "severity", "requires", "because", "put right", "sources", "cases")
        lines = fields(node, "a rule", RULE_KEYS, required, self.complaints)
        if not lines:
            return None
        name = self._name_like_file(lines, "rule", path)
        usual, each = self._cases(lines.get("cases"))
        rule = Rule(
            name=name,
            title=text_of(lines.get("title"), "title", self.complaints),
            severity=choice_of(lines.get("severity"), "severity", SEVERITIES, self.complaints, "warn"),
            chapter=path.parent.name,
            for_each=text_of(lines.get("for each"), "for each", self.complaints),
            applies=self.condition(lines.get("applies when")),
            requires=self.condition(lines.get("requires")),
            other_ways=self._other_ways(lines.get("except when")),
            because=text_of(lines.get("because"), "because", self.complaints),
            put_right=text_of(lines.get("put right"), "put right", self.complaints),
            warranty=choice_of(lines.get("warranty"), "warranty", MATTERS, self.complaints),
            cited=read_cited(lines.get("sources"), self.sources, self.complaints),
            cases=tuple(self._case(item, usual) for item in each),
            in_force=text_of(lines.get("in force"), "in force", self.complaints),
            replaces=text_of(lines.get("replaces"), "replaces", self.complaints),
            formerly=texts_of(lines.get("formerly"), "formerly", self.complaints),
            note=text_of(lines.get("note"), "note", self.complaints),
            covers=text_of(lines.get("covers"), "covers", self.complaints),
            book=book,
            where=node.where,
        )
        if rule.for_each and rule.for_each not in self.vocabulary.things:
            refuse(self.complaints, lines["for each"], f"`{rule.for_each}` is no thing of the vocabulary")
        return rule

    def _name_like_file(self, lines: dict[str, Node], key: str, path: Path) -> str:
        name = text_of(lines.get(key), key, self.complaints)
        if name != path.stem and key in lines:
            refuse(self.complaints, lines[key], f"the {key} is called `{name}` in a file called {path.name}",
                   f"`{key}: {path.stem}`: the file's name is its name")  # fmt: skip
        return path.stem

    def _other_ways(self, node: Node | None) -> tuple[OtherWay, ...]:
        if node is None:
            return ()
        if not isinstance(node, Items):
            refuse(self.complaints, node, "`except when` holds a list", "- when: {...}\n  because: ...\n  source: {...}")
            return ()
        ways = []
        for item in node.items:
            lines = fields(item, "an exception", ("when", "because", "source"), ("when", "because"), self.complaints)
            ways.append(
                OtherWay(
                    when=self.condition(lines.get("when")),
                    because=text_of(lines.get("because"), "because", self.complaints),
                    cited=read_cited(lines.get("source"), self.sources, self.complaints),
                    where=item.where,
                )
            )
        return tuple(ways)

    # -- cases ------------------------------------------------------------------------------------------------------------

    def _cases(self, node: Node | None) -> tuple[dict[str, str], tuple[Node, ...]]:
        if node is None:
            return {}, ()
        lines = fields(node, "the cases", ("usual", "each"), ("each",), self.complaints)
        each = lines.get("each")
        return self._case_facts(lines.get("usual")), each.items if isinstance(each, Items) else ()

    def _case(self, node: Node, usual: dict[str, str]) -> Case:
        keys = ("name", "with", "expect", "asks")
        lines = fields(node, "a case", keys, ("name", "expect"), self.complaints)
        return Case(
            name=text_of(lines.get("name"), "name", self.complaints),
            facts={**usual, **self._case_facts(lines.get("with"))},
            expect=choice_of(lines.get("expect"), "expect", EXPECTED, self.complaints, "pass"),
            asks=texts_of(lines.get("asks"), "asks", self.complaints),
            where=node.where,
        )

    def _case_facts(self, node: Node | None) -> dict[str, str]:
        facts: dict[str, str] = {}
        for key, value in pairs_of(node, "the facts of a case", self.complaints):
            fact = self.vocabulary.fact(key.text)
            if fact is None:
                refuse(self.complaints, key, f"`{key.text}` is no fact of the vocabulary",
                       self.vocabulary.nearest_fact(key.text))  # fmt: skip
                continue
            joiner = " and " if fact.is_together else " or "
            text = joiner.join(texts_of(value, key.text, self.complaints))
            try:
                if fact.kind != "presence" or text not in ("maybe", "not stated"):
                    possible.read(fact, text)
            except possible.NotPossible as problem:
                refuse(self.complaints, value, problem.what, problem.accepted)
                continue
            facts[key.text] = text
        return facts

    # -- consequences -------------------------------------------------------------------------------------------------------

    def consequences(self, folder: Path) -> dict[str, Consequence]:
        found: dict[str, Consequence] = {}
        for path in sorted(folder.glob("*.yaml")):
            node = read_file(path, self.complaints)
            if node is None:
                continue
            required = ("consequence", "when", "gives", "because", "sources")
            lines = fields(node, "a consequence", CONSEQUENCE_KEYS, required, self.complaints)
            name = self._name_like_file(lines, "consequence", path)
            usual, each = self._cases(lines.get("cases"))
            found[name] = Consequence(
                name=name,
                when=self.condition(lines.get("when")),
                gives=self._gives(lines.get("gives")),
                because=text_of(lines.get("because"), "because", self.complaints),
                cited=read_cited(lines.get("sources"), self.sources, self.complaints),
                cases=tuple(self._case(item, usual) for item in each),
                where=node.where,
            )
        return found

    def _gives(self, node: Node | None) -> tuple[tuple[str, int, str], ...]:
        given = []
        for key, value in pairs_of(node, "gives", self.complaints):
            fact = self.vocabulary.fact(key.text)
            if fact is None or not (fact.is_word or fact.is_together):
                refuse(self.complaints, key, f"`{key.text}` is not a fact that a consequence can give",
                       self.vocabulary.nearest_fact(key.text) if fact is None else "a fact with words")  # fmt: skip
                continue
            words = texts_of(value, key.text, self.complaints)
            try:
                mask = possible.word_mask(fact, words)
            except possible.NotPossible as problem:
                refuse(self.complaints, value, problem.what, problem.accepted)
                continue
            if fact.concluded and (fact.concluded != "words" and mask.bit_count() != 1):
                refuse(self.complaints, value, f"`{key.text}` is given one word at a time", ", ".join(fact.words))
            if fact.concluded == "flag" and mask == 1:
                refuse(self.complaints, value, f"`{key.text}` is no unless something gives it: nothing can give it no",
                       f"{key.text}: yes, or one consequence less")  # fmt: skip
            given.append((key.text, mask, " or ".join(words)))
        return tuple(given)


# -- what only the whole book shows -----------------------------------------------------------------------------------------


def _check_together(book: Book, complaints: list[Complaint]) -> None:
    for condition in _every_condition(book):
        _check_kinds(condition, book, complaints)
    for consequence in book.consequences.values():
        _refuse_stated(leaves(consequence.when), complaints)
    for caution in book.cautions:
        _refuse_stated(leaves(caution.when), complaints)
    for rule in book.rules.values():
        if not list(leaves(rule.requires)):
            complaints.append(Complaint(rule.where, f"`{rule.name}` requires nothing", "`requires:` with what must be so"))
        _check_stated_tests(rule, complaints)
        _check_one_thing(rule, book.vocabulary, complaints)
        _check_standing(rule, book, complaints)
    _check_givers(book, complaints)
    strata_of(book, complaints)


def _every_condition(book: Book) -> Iterator[Condition]:
    for rule in book.rules.values():
        yield from rule.conditions()
    for other in (*book.consequences.values(), *book.cautions):
        yield other.when


def _check_kinds(condition: Condition, book: Book, complaints: list[Complaint]) -> None:
    """A fact is compared with a limit or a schedule of its own kind, or steps of one kind would be taken for another's."""
    for leaf in leaves(condition):
        if not isinstance(leaf, Comparison):
            continue
        fact = book.vocabulary.fact(leaf.fact)
        match leaf.against:
            case FromLimit(name) if book.limits[name].kind != fact.kind:
                what = f"the limit `{name}` is a {book.limits[name].kind}"
            case FromSchedule(name) if (gives := book.schedules[name].gives).kind != fact.kind or gives.words != fact.words:
                what = f"the schedule `{name}` answers with {gives.name}, a {gives.kind}"
            case _:
                continue
        complaints.append(Complaint(leaf.where, f"{what}, and `{fact.name}` a {fact.kind}", "two of one kind and the same words"))


def _check_stated_tests(rule: Rule, complaints: list[Complaint]) -> None:
    _refuse_stated(leaves(rule.applies), complaints)
    for condition in (rule.requires, *(way.when for way in rule.other_ways)):
        _refuse_stated(_negated(condition), complaints)


def _refuse_stated(wrong: Iterable[Condition], complaints: list[Complaint]) -> None:
    for leaf in wrong:
        if isinstance(leaf, IsStated):
            complaints.append(
                Complaint(leaf.where, f"whether `{leaf.fact}` is stated is asked where it could switch the rule off",
                          "`stated` only in `requires` or `except when`, and not inside `not both`")  # fmt: skip
            )


def _negated(condition: Condition) -> list:
    """The comparisons that stand under a `not both`."""
    if not isinstance(condition, Group):
        return []
    if condition.how == "not both":
        return [leaf for member in condition.members for leaf in leaves(member)]
    return [leaf for member in condition.members for leaf in _negated(member)]


def _check_one_thing(rule: Rule, vocabulary: Vocabulary, complaints: list[Complaint]) -> None:
    required = things_named(rule.requires, vocabulary)
    applied = things_named(rule.applies, vocabulary)
    applied += [leaf.thing for leaf in leaves(rule.applies) if not isinstance(leaf, (Comparison, IsStated))]
    loose = [thing for thing in required if thing not in applied and thing != rule.for_each]
    inside_any = isinstance(rule.requires, Group) and rule.requires.how == "any of"
    if len(loose) > 1 and not inside_any:
        complaints.append(
            Complaint(rule.where, f"`requires` names {' and '.join(loose)}: two things, two rules",
                      "one thing, or things that `applies when` already names")  # fmt: skip
        )


def _check_standing(rule: Rule, book: Book, complaints: list[Complaint]) -> None:
    if rule.severity != "fail":
        return
    if not any(cited.firm for cited in rule.cited):
        complaints.append(
            Complaint(rule.where, f"`{rule.name}` would fail on a source that is only remembered or trade practice",
                      "`severity: warn`, or a source known by seen, computed or derived")  # fmt: skip
        )
    for leaf in leaves(rule.requires):
        if isinstance(leaf, Comparison) and isinstance(leaf.against, FromLimit):
            limit = book.limits[leaf.against.name]
            if not limit.firm:
                complaints.append(
                    Complaint(leaf.where, f"the limit `{limit.name}` is only remembered or trade practice, and may warn",
                              "`severity: warn`, or a limit whose source was seen")  # fmt: skip
                )


def _check_givers(book: Book, complaints: list[Complaint]) -> None:
    """Two consequences that narrow one stated fact to different words may not both apply."""
    givers: dict[str, list[tuple[Consequence, int]]] = {}
    for consequence in book.consequences.values():
        for fact, mask, _ in consequence.gives:
            if not book.vocabulary.fact(fact).concluded:
                givers.setdefault(fact, []).append((consequence, mask))
    for fact, pairs in givers.items():
        for number, (first, mask) in enumerate(pairs):
            for second, other in pairs[number + 1 :]:
                if not mask & other and book.fuser.all_of(first.when, second.when) != NO:
                    complaints.append(
                        Complaint(second.where, f"`{second.name}` and `{first.name}` give different words to `{fact}`, "
                                  "and both could hold", "conditions that cannot both hold")  # fmt: skip
                    )
