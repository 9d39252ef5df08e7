"""Takes a rule without cases, returns those that its boundary grid gives: met, on each limit, past it, not stated, not applicable.

What each comes to is only what the program says. It is for the author to hold against the source, one by one.
"""

from collections.abc import Iterable, Iterator
from itertools import islice

from validator.engines.closures import SURELY
from validator.engines.deciding import CompiledRule
from validator.judging.loading import LoadedBook
from validator.proving.case_to_add import Facts, text_of_cell, texts_near
from validator.proving.coming import derive_case, expected_word
from validator.proving.grid import cells_of
from validator.proving.row_changes import changed_rows
from validator.rulebook.conditions import Comparison, Condition, Constant, FromLimit, FromSchedule, Group, IsThere, leaves
from validator.rulebook.rule import Case
from validator.rulebook.schedules import Row, Schedule

MOST_CASES = 40
BREACHES = ("fail", "warn", "advice")
FirstCase = tuple[str, Facts, str, tuple[str, ...]]


def first_cases(loaded: LoadedBook, compiled: CompiledRule) -> tuple[Facts, list[FirstCase]]:
    """What all cases say, and each case: its name, what it says otherwise, what it comes to, what it asks."""
    return _Grid(loaded, compiled).cases()


class _Grid:
    def __init__(self, loaded: LoadedBook, compiled: CompiledRule) -> None:
        self.loaded, self.compiled, self.rule = loaded, compiled, compiled.rule

    def cases(self) -> tuple[Facts, list[FirstCase]]:
        usual: Facts = {}
        for condition in (self.rule.applies, self.rule.requires):
            self._meet(condition, usual)
        found: list[FirstCase] = [("as it should be", {}, self._word(usual), ())]
        for name, change in self._changes(usual):
            word = self._word({**usual, **change})
            if (name, change) not in [(each, facts) for each, facts, *_ in found]:
                found.append((name, change, word, tuple(change) if word == "open" else ()))
        return usual, found[:MOST_CASES]

    def _word(self, facts: Facts) -> str:
        return expected_word(self.loaded.engine.judge_rule(self.compiled, derive_case(self.loaded, self.compiled, self._case(facts))))

    def _case(self, facts: Facts) -> Case:
        return Case(name="", facts=facts, expect="pass", where=self.rule.where)

    # -- a place that meets the rule ------------------------------------------------------------------------------------------

    def _meet(self, condition: Condition, facts: Facts) -> None:
        """Adds to the facts what a condition needs to hold."""
        if isinstance(condition, Group):
            members = condition.members[:1] if condition.how != "all of" else condition.members
            for member in members:
                self._meet(member, facts)
        elif isinstance(condition, IsThere):
            facts.setdefault(condition.thing, "there" if condition.there else "none")
        elif isinstance(condition, Comparison):
            self._answer_keys(condition, facts)
            for text in self._texts(condition):
                tried = {**facts, condition.fact: text}
                place = derive_case(self.loaded, self.compiled, self._case(tried))
                if self.loaded.explainer.holds(condition, place.vector) == SURELY:
                    facts[condition.fact] = text
                    return

    def _answer_keys(self, comparison: Comparison, facts: Facts) -> None:
        schedule = self._schedule(comparison)
        if schedule is not None:
            bands = next(schedule.questions_of(0), ())
            for key, band in zip(schedule.keys, bands):
                if text := text_of_cell(key, band):
                    facts.setdefault(key.name, text)

    def _schedule(self, comparison: Condition) -> Schedule | None:
        match getattr(comparison, "against", None):
            case FromSchedule(name):
                return self.loaded.book.schedules[name]
            case FromLimit(name):
                return self.loaded.book.limits[name].by
        return None

    def _printed(self, comparison: Comparison) -> tuple[str, ...]:
        """The limit of a comparison, as its source prints it."""
        match comparison.against:
            case Constant(_, text):
                return (text,)
            case FromLimit(name):
                return (self.loaded.book.limits[name].text,)
        return ()

    def _texts(self, condition: Condition) -> Iterator[str]:
        """What could be said of the fact of a comparison, what lies well on one side of a limit first."""
        vocabulary = self.loaded.vocabulary
        fact, slot = vocabulary.fact(condition.fact), vocabulary.slot(condition.fact)
        values = cells_of((self.loaded.book.fuser.fuse(condition),), vocabulary).get(slot, [])
        texts = dict.fromkeys(text for value in values for text in texts_near(fact, value))
        yield from (*list(texts)[1:], *list(texts)[:1]) if fact.is_amount else texts

    # -- what is told apart ---------------------------------------------------------------------------------------------------

    def _changes(self, usual: Facts) -> Iterator[tuple[str, Facts]]:
        for leaf in leaves(self.rule.requires):
            yield from self._beside(leaf, usual)
        for leaf in leaves(self.rule.requires):
            name = leaf.thing if isinstance(leaf, IsThere) else leaf.fact
            yield f"{_called(name)} not stated", {name: "not stated"}
        for leaf in leaves(self.rule.applies):
            yield from self._outside(leaf, usual)

    def _beside(self, leaf: Condition, usual: Facts) -> Iterator[tuple[str, Facts]]:
        """On the limit and past it, row by row; each word that comes to something else."""
        if isinstance(leaf, IsThere):
            yield f"{leaf.thing} otherwise", {leaf.thing: "none" if leaf.there else "there"}
            return
        if not isinstance(leaf, Comparison):
            return
        fact, schedule = self.loaded.vocabulary.fact(leaf.fact), self._schedule(leaf)
        if schedule is None:
            printed = self._printed(leaf) if fact.is_amount else ()
            yield from self._told_apart(leaf.fact, (*printed, *self._texts(leaf)), usual)
            return
        for keys, rows in _asked(schedule):
            near = (text for row in rows for text in (row.texts[0], *texts_near(fact, row.answers[0])))
            for _, change in self._told_apart(leaf.fact, near if fact.is_amount else self._texts(leaf), {**usual, **keys}):
                whole = {**keys, **change}
                yield " and ".join(f"{_called(name)} {text}" for name, text in whole.items()), whole

    def _told_apart(self, name: str, texts: Iterable[str], usual: Facts) -> Iterator[tuple[str, Facts]]:
        """The first of its values that comes to each outcome."""
        seen: set[str] = set()
        for text in dict.fromkeys(texts):
            if usual.get(name) == text:
                continue  # tried already
            word = self._word({**usual, name: text})
            if word not in seen and word in (*BREACHES, "pass"):
                seen.add(word)
                yield f"{_called(name)} {text}", {name: text}

    def _outside(self, leaf: Condition, usual: Facts) -> Iterator[tuple[str, Facts]]:
        if isinstance(leaf, IsThere):
            yield f"{leaf.thing} {'none' if leaf.there else 'there'}", {leaf.thing: "none" if leaf.there else "there"}
        elif isinstance(leaf, Comparison):
            words = self.loaded.vocabulary.fact(leaf.fact).words if isinstance(leaf.against, Constant) else ()
            for bit, word in enumerate(words):  # each word of a list is needed, or it is struck
                if leaf.against.value >> bit & 1 and usual.get(leaf.fact) != word:
                    yield f"{_called(leaf.fact)} {word}", {leaf.fact: word}
            for text in self._texts(leaf):
                if self._word({**usual, leaf.fact: text}) == "not applicable":
                    yield f"{_called(leaf.fact)} {text}", {leaf.fact: text}
                    return


def _asked(schedule: Schedule) -> Iterator[tuple[Facts, list[Row]]]:
    """What a case says to ask for each row of a table, then on the ends of its rows and past them, with the rows that could answer."""
    ends = ((change.rows, dict(change.keys)) for change in changed_rows(schedule) if change.keys)
    for numbers, on in (*(((number,), {}) for number in range(len(schedule.rows))), *ends):
        for bands in islice(schedule.questions_of(numbers[0]), 1):
            keys = {key.name: text for key, band in zip(schedule.keys, bands) if (text := text_of_cell(key, band))}
            yield {**keys, **on}, [schedule.rows[number] for number in numbers]


def _called(name: str) -> str:
    return name.partition(".")[2] or name
