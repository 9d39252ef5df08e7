"""Checks a book whose files are each sound: comparisons are of one kind, rules that fail have a firm source, no two
consequences contradict.
"""

from collections.abc import Iterable, Iterator

from validator.facts.observing import OBSERVATION
from validator.facts.vocabulary import Vocabulary
from validator.language.forms import listed
from validator.language.source import Complaint
from validator.rulebook.book import Book
from validator.rulebook.conditions import (
    Comparison,
    Condition,
    Constant,
    FromLimit,
    FromSchedule,
    Group,
    IsStated,
    IsThere,
    facts_read,
    leaves,
)
from validator.rulebook.dependencies import derivation_order
from validator.rulebook.fusing import NO, things_named
from validator.rulebook.rule import Consequence, Rule
from validator.rulebook.sets import OPPOSITE
from validator.rulebook.sources import FIRM


def check_consistency(book: Book, complaints: list[Complaint]) -> None:
    """What is wrong with a book though each of its files is right."""
    for condition in _every_condition(book):
        check_kinds(condition, book, complaints)
        _refuse_seen(condition, book, complaints)
    for consequence in book.consequences.values():
        _refuse_stated(leaves(consequence.when), complaints)
    for said in (*book.cautions, *book.outside):
        _refuse_stated(leaves(said.when), complaints)
    for rule in book.rules.values():
        if not list(leaves(rule.requires)):
            complaints.append(Complaint(rule.where, f"`{rule.name}` requires nothing", "`requires:` with what must be so"))
        check_stated_tests(rule, complaints)
        _check_one_thing(rule, book.vocabulary, complaints)
        _check_standing(rule, book, complaints)
    _check_givers(book, complaints)
    _check_thresholds(book, complaints)
    derivation_order(book, complaints)


def _every_condition(book: Book) -> Iterator[Condition]:
    for rule in book.rules.values():
        yield from rule.conditions()
    for other in (*book.consequences.values(), *book.cautions, *book.outside):
        yield other.when
    for said in (*book.beyond.values(), *book.no_faults.values()):
        yield said.where


def check_kinds(condition: Condition, book: Book, complaints: list[Complaint]) -> None:
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


def _refuse_seen(condition: Condition, book: Book, complaints: list[Complaint]) -> None:
    """What is seen to be wrong is explained by rules, and judged by none."""
    for leaf in leaves(condition):
        if isinstance(leaf, Comparison) and book.vocabulary.fact(leaf.fact).thing == OBSERVATION:
            complaints.append(Complaint(leaf.where, f"`{leaf.fact}` is what is seen to be wrong, and no condition reads it",
                                        "`shows as:` of a rule, with what its breach is seen as"))  # fmt: skip


def check_stated_tests(rule: Rule, complaints: list[Complaint]) -> None:
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
    if rule.severity != "fail" or rule.own_authority:
        return
    if not any(cited.firm for cited in rule.cited):
        complaints.append(
            Complaint(rule.where, f"`{rule.name}` would fail on a source that is only remembered or trade practice",
                      f"`severity: warn`, or a source with `known by:` {listed(sorted(FIRM))}")  # fmt: skip
        )
    for leaf in leaves(rule.requires):
        if isinstance(leaf, Comparison) and isinstance(leaf.against, FromLimit):
            limit = book.limits[leaf.against.name]
            if not limit.firm:
                # A limit laid upon the rule is its own book's to mend, not the rule's.
                above = limit.book != rule.book
                complaints.append(
                    Complaint(limit.where if above else leaf.where,
                              f"the limit `{limit.name}` is only remembered or trade practice, and may warn"
                              + (f"; `{rule.name}` of the book {rule.book}, which is compared with it, fails" if above else ""),
                              "a source that was read, or `own authority: yes` in book.yaml" if above
                              else "`severity: warn`, or a limit whose source was read")  # fmt: skip
                )


def _check_thresholds(book: Book, complaints: list[Complaint]) -> None:
    """Two rules about one fact, split at one threshold, would both stay open for a value that may lie on either side."""
    sides: dict[tuple, dict[str, Rule]] = {}
    for rule in book.rules.values():
        members = rule.applies.members if isinstance(rule.applies, Group) and rule.applies.how == "all of" else (rule.applies,)
        required = frozenset(facts_read(rule.requires))
        for split in members:
            if not isinstance(split, Comparison) or not book.vocabulary.fact(split.fact).is_amount:
                continue
            rest = frozenset(_said(member) for member in members if member is not split)
            at = sides.setdefault((required, rest, split.fact, _against(split)), {})
            other = at.get(OPPOSITE[split.compare])
            at[split.compare] = rule
            if other is not None:
                complaints.append(
                    Complaint(rule.where, f"`{rule.name}` and `{other.name}` require the same of the two sides of one threshold "
                              f"of `{split.fact}`", "one rule against a schedule")  # fmt: skip
                )


def _said(condition: Condition) -> tuple:
    """A condition without the places where it is written, and without regard to order."""
    if isinstance(condition, Group):
        return (condition.how, frozenset(_said(member) for member in condition.members))
    if isinstance(condition, Comparison):
        return (condition.fact, condition.compare, _against(condition))
    return (condition.thing, condition.there) if isinstance(condition, IsThere) else (condition.fact,)


def _against(comparison: Comparison) -> object:
    return comparison.against.value if isinstance(comparison.against, Constant) else comparison.against


def _check_givers(book: Book, complaints: list[Complaint]) -> None:
    """Two consequences that narrow one stated fact to different words may not both apply."""
    contributions: dict[str, list[tuple[Consequence, int]]] = {}
    for consequence in book.consequences.values():
        for fact, mask, _ in consequence.gives:
            if not book.vocabulary.fact(fact).concluded and not book.vocabulary.fact(fact).is_together:
                contributions.setdefault(fact, []).append((consequence, mask))
    for fact, pairs in contributions.items():
        for number, (first, mask) in enumerate(pairs):
            for second, other in pairs[number + 1 :]:
                if not mask & other and book.fuser.all_of(first.when, second.when) != NO:
                    complaints.append(
                        Complaint(second.where, f"`{second.name}` and `{first.name}` give different words to `{fact}`, "
                                  "and both could hold", "conditions that cannot both hold")  # fmt: skip
                    )
