"""Orders derived facts so that each comes after the facts it is made from (a cycle is a complaint), and says what depends on
what.
"""

from collections.abc import Iterable, Iterator, Mapping

from validator.language.forms import complain
from validator.language.source import Complaint, Text
from validator.rulebook import formulas
from validator.rulebook.book import Book
from validator.rulebook.conditions import Comparison, Condition, FromLimit, FromSchedule, facts_read, leaves
from validator.rulebook.derived import Contribution, DerivedFact


def derivation_order(
    book: Book, complaints: list[Complaint], inputs: Mapping[str, tuple[str, ...]] | None = None
) -> list[DerivedFact]:
    """Every derived fact of a book in an order that works. `inputs`: what each working reads."""
    derived = _derived(book, complaints, inputs or {})
    ordering = _Ordering(book, derived, complaints)
    for name in derived:
        ordering.visit(name)
    return ordering.order


class _Ordering:
    """Puts derived facts in order, each after those it reads; every circle is a complaint, and the rest is ordered all the same."""

    def __init__(self, book: Book, derived: dict[str, DerivedFact], complaints: list[Complaint]) -> None:
        self.book, self.derived, self.complaints = book, derived, complaints
        self.reads = {name: reads_of(book, each) for name, each in derived.items()}
        self.order: list[DerivedFact] = []
        self.done: set[str] = set()

    def visit(self, name: str, path: tuple[str, ...] = ()) -> None:
        """Put a fact in order after those it reads; `path` leads to it from the fact that was asked for."""
        if name in self.done or name not in self.derived:
            return
        if name in path:
            self._complain(path[path.index(name):])
            self.done.add(name)
            return
        for needed in sorted(self.reads[name]):
            self.visit(needed, (*path, name))
        if name not in self.done:
            self.done.add(name)
            self.order.append(self.derived[name])

    def _complain(self, circle: tuple[str, ...]) -> None:
        name = circle[0]
        where = next((self.book.consequences[each].where for one in circle for each in self.derived[one].consequences), None)
        node = Text("", where) if where else self.derived[name].fact.worked_out_by
        complain(self.complaints, node, f"facts follow from each other in a circle: {' -> '.join((*circle, name))}",
                 f"a condition on `{name} as stated`, or one consequence less")  # fmt: skip


def needed_facts(book: Book, order: list[DerivedFact], sort: str = "") -> set[str]:
    """The facts that some rule or caution leans on, themselves or through what they follow from; of a sort, its own rules."""
    derived = {each.fact.name: each for each in order}
    named = [name for name, guard in book.guards.items() if sort in ("", guard.sort)]
    conditions = [condition for name in named for condition in book.rules[name].conditions()]
    conditions += [said.when for said in (*book.cautions, *book.outside)]
    waiting = {name for condition in conditions for name in condition_reads(book, condition)}
    # What people state and a consequence narrows may contradict itself, and is followed though no rule reads it.
    waiting |= {each.fact.name for each in order if each.contributions and not each.fact.concluded}
    needed: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in needed:
            needed.add(name)
            waiting |= reads_of(book, derived[name]) if name in derived else set()
    return needed


def _derived(
    book: Book, complaints: list[Complaint], inputs: Mapping[str, tuple[str, ...]]
) -> dict[str, DerivedFact]:
    contributions: dict[str, list[Contribution]] = {}
    fuser = book.fuser
    for consequence in book.consequences.values():
        things = {book.vocabulary.fact(name).thing for name in condition_reads(book, consequence.when)}
        kinds = tuple(sorted(t for t in things if book.vocabulary.things[t].sort in ("layer", "framing")))
        when = fuser.fuse(consequence.when)
        for fact, mask, _ in consequence.gives:
            contributions.setdefault(fact, []).append(Contribution(consequence.name, when, kinds, mask))
    derived: dict[str, DerivedFact] = {}
    for fact in list(book.vocabulary.facts.values()):
        formula, working = None, ""
        if isinstance(fact.worked_out_by, Text):
            working = fact.worked_out_by.text
        elif fact.worked_out_by is not None:
            formula = formulas.read_sum(fact, fact.worked_out_by, book.vocabulary, complaints)
        given = tuple(contributions.get(fact.name, ()))
        if fact.aggregate or formula or working or given or fact.concluded:
            read = inputs.get(working, ())
            things = formulas.things_of(formula, fact.thing) if formula else _things_of(read, fact.thing, book)
            derived[fact.name] = DerivedFact(fact, formula, working, read, given, tuple(dict.fromkeys(things)))
    # Reading a formula may name an aggregate for the first time.
    for fact in list(book.vocabulary.facts.values()):
        if fact.aggregate and fact.name not in derived:
            derived[fact.name] = DerivedFact(fact, None, "", (), ())
    return derived


def _things_of(read: Iterable[str], own: str, book: Book) -> Iterator[str]:
    """The things, beside the one a working's fact is said of, that must be there for what it reads to mean anything."""
    for fact in filter(None, map(book.vocabulary.fact, read)):
        if not fact.aggregate and fact.thing != own and not book.vocabulary.things[fact.thing].always:
            yield fact.thing


class Dependencies:
    """Which facts bear on a rule or on a fact, through everything it follows from; kept as they are found."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._derived = {each.fact.name: each for each in book.order}
        self._of_rules: dict[str, frozenset[str]] = {}
        self._upstream: dict[str, frozenset[str]] = {}

    def of_rule(self, rule: str) -> frozenset[str]:
        """Takes a rule's name, returns every fact that could bear on it, with the things those facts are said of."""
        known = self._of_rules.get(rule)
        if known is None:
            names = {n for condition in self.book.rules[rule].conditions() for n in condition_reads(self.book, condition)}
            known = self._of_rules[rule] = frozenset(names).union(*(self.upstream_of(name) for name in names))
        return known

    def upstream_of(self, name: str) -> frozenset[str]:
        """Takes a fact's name, returns it with every fact that it follows from, and the things they are said of."""
        known = self._upstream.get(name)
        if known is None:
            waiting, seen = [name], {name}
            while waiting:
                each = waiting.pop()
                names = set(reads_of(self.book, self._derived[each])) if each in self._derived else set()
                if each.endswith(" as stated"):
                    names.add(each.removesuffix(" as stated"))
                names.add(self.book.vocabulary.fact(each).thing)
                waiting += names - seen
                seen |= names
            known = self._upstream[name] = frozenset(seen)
        return known


def condition_reads(book: Book, condition: Condition) -> set[str]:
    """Every fact that a condition reads: its own, the things they are said of, and the keys of limits and schedules."""
    names = set(facts_read(condition))
    for leaf in leaves(condition):
        if isinstance(leaf, Comparison):
            if isinstance(leaf.against, FromSchedule):
                names |= {key.name for key in book.schedules[leaf.against.name].keys}
            elif isinstance(leaf.against, FromLimit) and book.limits[leaf.against.name].by:
                names |= {key.name for key in book.limits[leaf.against.name].by.keys}
    return names | {book.vocabulary.fact(name).thing for name in names}


def reads_of(book: Book, derived: DerivedFact) -> set[str]:
    """Every fact that a derived fact is made from."""
    names: set[str] = {*derived.inputs, *derived.things}
    if derived.fact.aggregate:
        how, base = derived.fact.aggregate
        names |= {base} if how == "count" else {base, book.vocabulary.fact(base).thing}
    if derived.formula:
        names |= set(formulas.facts_of(derived.formula))
    for name in derived.consequences:
        names |= condition_reads(book, book.consequences[name].when)
    return names
