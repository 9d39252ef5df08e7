"""Takes the folder of a book, or of several laid upon each other, returns the book. Every complaint comes at once.

Layout of a book: book.yaml, limits.yaml, schedules/, consequences/, and chapters as folders with one rule a file. A user's
own book may hold a vocabulary/ and a sources.yaml too, which add to those on the shelf, and cases/ for rules beneath it.
"""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from validator.facts import possible
from validator.facts.vocabulary import Vocabulary
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.files import is_own, written_in
from validator.language.forms import Complaints, choice_of, complain, fields, pairs_of, text_of, texts_of
from validator.language.record import proved
from validator.language.source import BadBook, Complaint, Items, Node, Text, Where, read_file
from validator.rulebook import forms
from validator.rulebook.book import Book
from validator.rulebook.book_layers import Stack
from validator.rulebook.conditions import Comparison, Condition, Constant, Group, Names, read_condition
from validator.rulebook.consistency import check_consistency
from validator.rulebook.fingerprint import fingerprint_of, fingerprint_of_all
from validator.rulebook.rule import (
    EXPECTED,
    LAYERS,
    MATTERS,
    SEVERITIES,
    USERS_OWN,
    BookLayer,
    Case,
    Caution,
    Consequence,
    OtherWay,
    Outside,
    Rule,
    TakenOut,
    cases_as_text,
)
from validator.rulebook.shelf import shared_folder
from validator.rulebook.showing_reading import FOLDER, ShowingReader
from validator.rulebook.sources import Source, read_cited, read_sources
from validator.rulebook.table_reading import Tables
from validator.rulebook.texts import put_limits_into_texts
from validator.rulebook.trees import asked_first_of, trees_of
from validator.rulebook.usual import usual_of

NOT_CHAPTERS = ("schedules", "consequences", "vocabulary", "cases", FOLDER)
EDITION = "job.code edition"  # what `in force` is read against


class _Head(NamedTuple):
    """The lines of one book.yaml, and the layer it makes."""

    folder: Path
    lines: dict[str, Node]
    layer: BookLayer


def read_book(*folders: Path) -> Book:
    """The book of a folder, or several laid upon each other, with the vocabulary and sources they share. Raises BadBook."""
    complaints = Complaints(BadBook)
    for folder in folders:
        if not (folder / "book.yaml").is_file():
            raise BadBook([Complaint(Where(str(folder), 1, 1), f"there is no book in {folder}", "a folder that holds book.yaml")])
    shared = shared_folder(folders)
    vocabulary = read_vocabulary(shared / "vocabulary", *(folder / "vocabulary" for folder in folders))
    registers = (shared / "sources.yaml", *(p for f in folders if (p := f / "sources.yaml").is_file()))
    sources = read_sources(registers, complaints)
    heads = sorted((_head(f, sources, complaints) for f in folders), key=lambda head: tuple(LAYERS).index(head.layer.standing))
    stack = Stack(complaints)
    for head in heads:
        _lay(head, stack, vocabulary, sources)
    book = Book(
        layers=tuple(stack.layers), vocabulary=vocabulary, sources=sources, limits=stack.limits, schedules=stack.schedules,
        consequences=stack.consequences, rules=stack.rules, cautions=tuple(stack.cautions), outside=tuple(stack.outside),
        looks=stack.showings.looks, troubles=stack.showings.troubles, beyond=stack.showings.beyond, no_faults=stack.showings.no_faults, opening=stack.showings.opening,
        not_checked=(*stack.not_beneath(), *dict.fromkeys(stack.not_checked)), fingerprint=fingerprint_of_all(folders, shared),
    )  # fmt: skip
    book.usual = usual_of(vocabulary, folders, book.fuser, stack.names(), complaints)
    if not complaints:
        check_consistency(book, complaints)
        put_limits_into_texts(book, complaints)
    if complaints:
        raise BadBook(complaints)
    fuser = book.fuser
    book.trees = {rule.name: trees_of(rule, fuser) for rule in book.rules.values()}
    book.guards = {name: trees.guard for name, trees in book.trees.items()}
    book.asked_first = asked_first_of(book.trees.values())
    return book


def _head(folder: Path, sources: dict[str, Source], complaints: list[Complaint]) -> _Head:
    path = folder / "book.yaml"
    lines = fields(read_file(path, complaints), *forms.BOOK, complaints)
    if lines and "layer" not in lines:
        meant = "; ".join(f"`layer: {word}`, {meaning}" for word, meaning in LAYERS.items())
        complain(complaints, lines.get("book", Text("", Where(str(path), 1, 1))), "book.yaml lacks `layer`, which says what the book is laid upon", meant)
    standing = choice_of(lines.get("layer"), "layer", LAYERS, complaints, "code or standard")
    usual = "yes" if standing in USERS_OWN else "no"
    out = lines.get("takes out")
    layer = proved(
        BookLayer,
        name=text_of(lines.get("book"), "book", complaints),
        title=text_of(lines.get("title"), "title", complaints),
        edition=text_of(lines.get("edition"), "edition", complaints),
        about=text_of(lines.get("about"), "about", complaints),
        folder=folder.resolve(),
        standing=standing,
        own_authority=choice_of(lines.get("own authority"), "own authority", ("yes", "no"), complaints, usual) == "yes",
        takes_out=tuple(_taken_out(item, sources, complaints) for item in (out.items if isinstance(out, Items) else ())),
        fingerprint=fingerprint_of(folder),
    )
    return _Head(folder, lines, layer)


def _taken_out(node: Node, sources: dict[str, Source], complaints: list[Complaint]) -> TakenOut:
    lines = fields(node, *forms.TAKEN_OUT, complaints)
    return proved(
        TakenOut,
        rule=text_of(lines.get("rule"), "rule", complaints),
        because=text_of(lines.get("because"), "because", complaints),
        cited=read_cited(lines.get("source"), sources, complaints),
        where=node.where,
    )


def _lay(head: _Head, stack: Stack, vocabulary: Vocabulary, sources: dict[str, Source]) -> None:
    """One book read upon those already laid; it may name their limits and schedules."""
    folder, layer = head.folder, head.layer
    stack.begin(layer, Where(str(folder / "book.yaml"), 1, 1))
    if layer.own_authority:
        sources = {name: replace(source, own_authority=True) for name, source in sources.items()}
    tables = Tables(vocabulary, sources, stack.complaints)
    stack.lay_tables(tables.limits(folder / "limits.yaml"), tables.schedules(folder / "schedules"))
    showing = ShowingReader(vocabulary, sources, stack.showings, stack.complaints, layer.name)
    reader = BookReader(vocabulary, sources, stack.names(), stack.complaints, layer, showing)
    showing.folder(folder / FOLDER, reader.condition)
    stack.lay_rules(reader.consequences(folder / "consequences"), reader.rules(folder))
    stack.lay_cases(reader.more_cases(folder / "cases"))
    stack.cautions += reader.cautions(head.lines.get("cautions"))
    stack.outside += reader.outside(head.lines.get("outside this book"))
    stack.not_checked += texts_of(head.lines.get("not checked"), "not checked", stack.complaints)


@dataclass(frozen=True, slots=True)
class BookReader:
    """Reads the rules, consequences and cautions of one book, by the vocabulary and the tables it may name."""

    vocabulary: Vocabulary
    sources: dict[str, Source]
    names: Names
    complaints: list[Complaint]
    layer: BookLayer
    showing: ShowingReader

    # -- cautions ---------------------------------------------------------------------------------------------------------

    def cautions(self, node: Node | None) -> list[Caution]:
        return [self._caution(item) for item in (node.items if isinstance(node, Items) else ())]

    def _caution(self, node: Node) -> Caution:
        lines = fields(node, *forms.CAUTION, self.complaints)
        say = text_of(lines.get("say"), "say", self.complaints)
        return proved(
            Caution,
            when=self.condition(lines.get("when")),
            say=say,
            in_short=text_of(lines.get("in short"), "in short", self.complaints) or say.partition(". ")[0].rstrip("."),
            source=text_of(lines.get("source"), "source", self.complaints),
        )

    # -- what stands outside the book -------------------------------------------------------------------------------------

    def outside(self, node: Node | None) -> list[Outside]:
        return [self._outside(item) for item in (node.items if isinstance(node, Items) else ())]

    def _outside(self, node: Node) -> Outside:
        lines = fields(node, *forms.OUTSIDE, self.complaints)
        return proved(
            Outside,
            when=self.condition(lines.get("when")),
            what=text_of(lines.get("what"), "what", self.complaints),
            not_judged=text_of(lines.get("not judged"), "not judged", self.complaints),
            whole=choice_of(lines.get("whole"), "whole", ("yes", "no"), self.complaints, "no") == "yes",
        )

    def condition(self, node: Node | None) -> Condition:
        return read_condition(node, self.vocabulary, self.names, self.complaints)

    # -- rules ------------------------------------------------------------------------------------------------------------

    def rules(self, folder: Path) -> dict[str, Rule]:
        found: dict[str, Rule] = {}
        chapters = sorted(p for p in folder.iterdir() if p.is_dir() and is_own(p.name) and p.name not in NOT_CHAPTERS and self._is_chapter(p))
        for path in (path for chapter in chapters for path in written_in(chapter)):
            node = read_file(path, self.complaints)
            if node is None:
                continue
            rule = self.rule(node, path)
            if rule is not None and rule.name in found:
                complain(self.complaints, node, f"a rule `{rule.name}` stands in {found[rule.name].where.file} too")
            elif rule is not None:
                found[rule.name] = rule
        return found

    def _is_chapter(self, folder: Path) -> bool:
        """Whether a folder holds rules, and is none of the others with a slip in its name."""
        meant = next((name for name in NOT_CHAPTERS if folder.name in (name.removesuffix("s"), f"{name}s")), "")
        if meant:
            self.complaints.append(Complaint(Where(str(folder), 1, 1), f"nothing reads a folder `{folder.name}`", f"did you mean `{meant}`?"))
        return not meant

    def rule(self, node: Node, path: Path) -> Rule | None:
        """Takes what a file says, returns the rule; None where nothing of it can be read."""
        lines = fields(node, *forms.RULE, self.complaints)
        if not lines:
            return None
        name = self._name_like_file(lines, "rule", path)
        usual, each = self._cases(lines.get("cases"))
        rule = proved(
            Rule,
            name=name,
            title=text_of(lines.get("title"), "title", self.complaints),
            severity=choice_of(lines.get("severity"), "severity", SEVERITIES, self.complaints, "warn"),
            chapter=path.parent.name,
            for_each=text_of(lines.get("for each"), "for each", self.complaints),
            applies=self._applies(lines.get("applies when"), lines.get("in force")),
            requires=self.condition(lines.get("requires")),
            other_ways=self._other_ways(lines.get("except when")),
            because=text_of(lines.get("because"), "because", self.complaints),
            put_right=text_of(lines.get("put right"), "put right", self.complaints),
            warranty=choice_of(lines.get("warranty"), "warranty", MATTERS, self.complaints),
            cited=read_cited(lines.get("sources"), self.sources, self.complaints),
            cases_text=cases_as_text(self._case(item, usual) for item in each),
            in_force=text_of(lines.get("in force"), "in force", self.complaints),
            replaces=text_of(lines.get("replaces"), "replaces", self.complaints),
            formerly=texts_of(lines.get("formerly"), "formerly", self.complaints),
            note=text_of(lines.get("note"), "note", self.complaints),
            covers=text_of(lines.get("covers"), "covers", self.complaints),
            book=self.layer.name,
            own_authority=self.layer.own_authority,
            breach=self.showing.of_rule(lines),
            where=node.where,
        )
        if rule.for_each and rule.for_each not in self.vocabulary.things:
            complain(self.complaints, lines["for each"], f"`{rule.for_each}` is no thing of the vocabulary")
        return rule

    def _applies(self, written: Node | None, in_force: Node | None) -> Condition:
        """Where a rule applies, the editions of the code in which it is in force among it."""
        applies = self.condition(written)
        if in_force is None:
            return applies
        members = applies.members if isinstance(applies, Group) and applies.how == "all of" else (applies,)
        return Group("all of", (*members, *self._in_force(in_force)))

    def _in_force(self, node: Node) -> list[Condition]:
        """`from 2006`, `before 2006`, `2006 to 2015`: the editions of the code in force for the work."""
        fact = self.vocabulary.fact(EDITION)
        text = text_of(node, "in force", self.complaints)
        first, _, last = text.partition(" to ")
        sides = [("at least", first), ("at most", last)] if last else [("at least", text.removeprefix("from "))]
        if text.startswith("before "):
            sides = [("less than", text.removeprefix("before "))]
        if fact is None or any(word not in fact.words for _, word in sides):
            editions = ", ".join(fact.words) if fact else f"a vocabulary with the fact `{EDITION}`"
            complain(self.complaints, node, f"`in force: {text}` names no edition",
                   f"`from 2006`, `before 2006` or `2006 to 2015`, of {editions}")  # fmt: skip
            return []
        return [Comparison(EDITION, how, Constant(possible.word_mask(fact, (word,)), word), node.where) for how, word in sides]

    def _name_like_file(self, lines: dict[str, Node], key: str, path: Path) -> str:
        name = text_of(lines.get(key), key, self.complaints)
        if name != path.stem and key in lines:
            complain(self.complaints, lines[key], f"the {key} is called `{name}` in a file called {path.name}",
                   f"`{key}: {path.stem}`: the file's name is its name")  # fmt: skip
        return path.stem

    def _other_ways(self, node: Node | None) -> tuple[OtherWay, ...]:
        if node is None:
            return ()
        if not isinstance(node, Items):
            complain(self.complaints, node, "`except when` holds a list", "- when: {...}\n  because: ...\n  source: {...}")
            return ()
        ways = []
        for item in node.items:
            lines = fields(item, *forms.OTHER_WAY, self.complaints)
            ways.append(
                proved(
                    OtherWay,
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
        lines = fields(node, *forms.CASES, self.complaints)
        each = lines.get("each")
        return self._case_facts(lines.get("usual")), each.items if isinstance(each, Items) else ()

    def _case(self, node: Node, usual: dict[str, str]) -> Case:
        lines = fields(node, *forms.CASE, self.complaints)
        return proved(
            Case,
            name=text_of(lines.get("name"), "name", self.complaints),
            facts={**usual, **self._case_facts(lines.get("with"))},
            expect=choice_of(lines.get("expect"), "expect", EXPECTED, self.complaints, "pass"),
            asks=texts_of(lines.get("asks"), "asks", self.complaints),
            confirmed=choice_of(lines.get("confirmed"), "confirmed", ("yes", "no"), self.complaints, "yes") == "yes",
            book=self.layer.name,
            where=node.where,
        )

    def _case_facts(self, node: Node | None) -> dict[str, str]:
        facts: dict[str, str] = {}
        for key, value in pairs_of(node, "the facts of a case", self.complaints):
            fact = self.vocabulary.fact(key.text)
            if fact is None:
                complain(self.complaints, key, f"`{key.text}` is no fact of the vocabulary",
                       self.vocabulary.nearest_fact(key.text))  # fmt: skip
                continue
            joiner = " and " if fact.is_together else " or "
            text = joiner.join(texts_of(value, key.text, self.complaints))
            try:
                if fact.kind != "presence" or text not in ("maybe", "not stated"):
                    possible.read(fact, text)
            except possible.NotPossible as problem:
                complain(self.complaints, value, problem.what, problem.accepted)
                continue
            facts[key.text] = text
        return facts

    def more_cases(self, folder: Path) -> dict[str, tuple[Case, ...]]:
        """Cases of a book's own for rules beneath it, which a limit or a table that it replaces is tried on."""
        found: dict[str, tuple[Case, ...]] = {}
        for path in written_in(folder):
            node = read_file(path, self.complaints)
            if node is not None:
                lines = fields(node, *forms.MORE_CASES, self.complaints)
                usual, each = self._cases(lines.get("cases"))
                found[self._name_like_file(lines, "rule", path)] = tuple(self._case(item, usual) for item in each)
        return found

    # -- consequences -------------------------------------------------------------------------------------------------------

    def consequences(self, folder: Path) -> dict[str, Consequence]:
        found: dict[str, Consequence] = {}
        for path in written_in(folder):
            node = read_file(path, self.complaints)
            if node is None:
                continue
            lines = fields(node, *forms.CONSEQUENCE, self.complaints)
            name = self._name_like_file(lines, "consequence", path)
            usual, each = self._cases(lines.get("cases"))
            found[name] = proved(
                Consequence,
                name=name,
                when=self.condition(lines.get("when")),
                gives=self._gives(lines.get("gives")),
                because=text_of(lines.get("because"), "because", self.complaints),
                cited=read_cited(lines.get("sources"), self.sources, self.complaints),
                cases_text=cases_as_text(self._case(item, usual) for item in each),
                book=self.layer.name,
                where=node.where,
            )
        return found

    def _gives(self, node: Node | None) -> tuple[tuple[str, int, str], ...]:
        given = []
        for key, value in pairs_of(node, "gives", self.complaints):
            fact = self.vocabulary.fact(key.text)
            if fact is None or not (fact.is_word or fact.is_together):
                complain(self.complaints, key, f"`{key.text}` is not a fact that a consequence can give",
                       self.vocabulary.nearest_fact(key.text) if fact is None else "a fact with words")  # fmt: skip
                continue
            words = texts_of(value, key.text, self.complaints)
            try:
                mask = possible.word_mask(fact, words)
            except possible.NotPossible as problem:
                complain(self.complaints, value, problem.what, problem.accepted)
                continue
            if fact.concluded and (fact.concluded != "words" and mask.bit_count() != 1):
                complain(self.complaints, value, f"`{key.text}` is given one word at a time", ", ".join(fact.words))
            if fact.concluded == "flag" and mask == 1:
                complain(self.complaints, value, f"`{key.text}` is no unless something gives it: nothing can give it no",
                       f"{key.text}: yes, or one consequence less")  # fmt: skip
            given.append((key.text, mask, " or ".join(words)))
        return tuple(given)
