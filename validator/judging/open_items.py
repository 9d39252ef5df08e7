"""Takes the judgements of each place, returns the open questions: each asked once, however many rules wait on it.

What stands in a role, such as waterproofing, is asked as that role.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.judging.report import SAID_TWO_WAYS, OpenItem
from validator.rulebook.conditions import facts_read
from validator.rulebook.english import name_of
from validator.rulebook.rule import SEVERITIES


class PlacedJudgement(NamedTuple):
    """A judgement with the place it was made at and the facts it asks for."""

    judgement: Judgement
    derived: DerivedPlace
    asks: tuple[str, ...]

    @property
    def rule(self) -> str:
        return self.judgement.compiled.name


@dataclass(slots=True, eq=False, repr=False)
class _Question:
    """One question while it is gathered."""

    fact: str
    places: dict[str, None] = field(default_factory=dict)
    rules: dict[str, None] = field(default_factory=dict)
    would_be: str = ""
    why: str = ""  # of a sum: why it could not be done
    waiting: set[tuple[str, str]] = field(default_factory=set)

    def could_be(self, severity: str) -> None:
        """Keep the gravest of what the rules that ask would come to."""
        self.would_be = max((self.would_be or "advice", severity), key=SEVERITIES.index)


class OpenItems:
    """The questions of one assembly, gathered place by place."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded = loaded
        self.vocabulary = loaded.vocabulary
        self.role_flags = loaded.vocabulary.role_flags()
        self.questions: dict[str, _Question] = {}

    def add(self, judgements: list[Judgement], derived: DerivedPlace) -> list[PlacedJudgement]:
        """Takes the judgements of one place, returns each with what it asks; a role is asked by the rule that is about it."""
        placed = [PlacedJudgement(each, derived, self._asks(each, derived)) for each in judgements]
        open_roles = {role for each in placed if each.judgement.outcome in OPEN_OUTCOMES for role in self._leads(each)}
        kept: list[PlacedJudgement] = []
        for each in placed:
            if each.judgement.outcome in OPEN_OUTCOMES and not self._leads(each):
                each = self._waiting_on_roles(each, open_roles)
            kept.append(each)
            self._note(each, open_roles)
        return kept

    def add_disagreement(self, fact: str, place: str, gravest: str) -> None:
        """Ask for a fact of which two things are said; `gravest` is the worst that a rule reading it could come to."""
        item = self.questions.setdefault(fact, _Question(fact))
        item.places[place] = None
        item.rules[SAID_TWO_WAYS] = None
        item.could_be(gravest)

    def items(self) -> tuple[OpenItem, ...]:
        """Every question gathered so far, the gravest first."""
        items = []
        for item in self.questions.values():
            fact = self.vocabulary.fact(item.fact)
            waiting = {(rule, place) for rule, place in item.waiting if rule not in item.rules}
            if not item.rules and not waiting:
                continue
            places = dict.fromkeys([*item.places, *(place for _, place in sorted(item.waiting))])
            items.append(
                OpenItem(
                    fact=item.fact,
                    place="; ".join(places),
                    question=self._in_words(fact, item, len(waiting)),
                    where_to_look=fact.look,
                    answers=fact.answers,
                    would_be=item.would_be,
                    rules=tuple(dict.fromkeys([*item.rules, *sorted({rule for rule, _ in waiting})])),
                    waiting=len(waiting),
                )
            )
        items.sort(key=lambda i: (-(SEVERITIES.index(i.would_be) if i.would_be else -1), -len(i.rules) - i.waiting))
        return tuple(items)

    # -- what one judgement asks ----------------------------------------------------------------------------------------------

    def _asks(self, judgement: Judgement, derived: DerivedPlace) -> tuple[str, ...]:
        """What is written of a role but not in full is asked first; whether something else plays the role comes after."""
        if judgement.outcome not in OPEN_OUTCOMES:
            return ()
        asks = self.loaded.explainer.asks(judgement.compiled.rule.conditions(), judgement.vector, derived)
        written = {self.vocabulary.things[name.partition(".")[0]].role for name in asks if "." in name} - {""}
        return tuple(name for name in asks if self._role(name) not in written or self._role(name) == "")

    def _leads(self, each: PlacedJudgement) -> list[str]:
        """The roles that a rule is about: it requires the role's own conclusion."""
        required = facts_read(each.judgement.compiled.rule.requires)
        return [role for role, flag in self.role_flags.items() if flag in required]

    def _waiting_on_roles(self, each: PlacedJudgement, open_roles: set[str]) -> PlacedJudgement:
        """A matter that only a role's own question could settle waits on that question."""
        others = tuple(name for name in each.asks if self._role(name) not in open_roles)
        if others or not each.asks:
            return each._replace(asks=others)
        judgement = each.judgement
        waiting = Judgement(judgement.compiled, Outcome.WAITS, judgement.vector, judgement.layer, judgement.severity)
        return each._replace(judgement=waiting)

    def _role(self, name: str) -> str:
        """What a fact is asked as: whether a membrane is there is asked as waterproofing, what it is like is not."""
        return self.vocabulary.fact(name).role

    def _note(self, each: PlacedJudgement, open_roles: set[str]) -> None:
        """The questions of one judgement; advice is shown and asks nothing."""
        if each.judgement.severity == "advice":
            return
        outcome, place = each.judgement.outcome, each.derived.subject.name
        for name in each.asks:
            role = self._role(name)
            key = self.role_flags[role] if role in open_roles else name
            item = self.questions.setdefault(key, _Question(key))
            if outcome is Outcome.WAITS:
                item.waiting.add((each.rule, place))
                continue
            item.places[place] = None
            item.rules[each.rule] = None
            item.why = item.why or self._why_not_worked(name, each.derived)
            item.could_be(each.judgement.severity)

    def _why_not_worked(self, name: str, derived: DerivedPlace) -> str:
        """Why a sum could not be done from what is written, if that cannot be or nobody can be asked for its result."""
        how = derived.provenance.get(name)
        worked = how.worked if how is not None else None
        return worked.why_not if worked is not None and (worked.cannot_be or not self.vocabulary.fact(name).ask) else ""

    def _in_words(self, fact: Fact, item: _Question, waiting: int) -> str:
        ask = fact.ask or f"What is the {fact.name.replace('.', ' ')}?"
        if item.why:
            ask = f"The {name_of(self.vocabulary, fact.name)} could not be worked out: {item.why}. What is right?"
        waits = f" {waiting} further {'rule waits' if waiting == 1 else 'rules wait'} on this answer." if waiting else ""
        if fact.role and fact.concluded:
            fails = "this fails" if item.would_be == "fail" else "this is a warning"
            return f"{ask} Not written. If there is none, {fails}. Write what it is, or `{fact.role}: none`.{waits}"
        return ask + waits
