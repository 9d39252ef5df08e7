"""Judges an assembly for its causes: what each rule comes to at each place, strictly and as told, and what rules it out."""

from collections.abc import Iterator
from typing import NamedTuple

from validator.assembly import Assembly
from validator.troubles.report import NOT_MET, NOT_MET_AS_TOLD, NOT_MET_IF, OPEN
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.engines.varying import judge_varying
from validator.facts.possible import PRESUMED
from validator.judging.loading import LoadedBook
from validator.judging.open_matters import OpenMatters
from validator.rulebook.conditions import IsThere, facts_read, leaves
from validator.rulebook.rule import Rule

MET = (Outcome.PASS, Outcome.BY_EXCEPTION, Outcome.NOTHING)
IF_IT_APPLIES = (Outcome.FAILS_IF, Outcome.FAILS_IF_UNLESS, Outcome.WAITS)


class Stood(NamedTuple):
    """One rule at one place. `standing` is empty where it is surely met by what is stated."""

    rule: Rule
    derived: DerivedPlace  # as told where that decides, else strictly
    judgement: Judgement
    standing: str
    applies: bool  # surely, as told


class Standings:
    """What the rules of a book come to at each place of one assembly."""

    def __init__(self, assembly: Assembly, loaded: LoadedBook) -> None:
        self.loaded = loaded
        self.matters = OpenMatters(loaded, assembly.unread)
        strictly = [judge_varying(loaded.engine, subject) for subject in assembly.subjects]
        told = loaded.as_told.all_told([derived for derived, _ in strictly], assembly.words, loaded.reads.followed_from(assembly.unread))
        self.at: list[tuple[DerivedPlace, list[Stood]]] = []
        for (derived, judgements), one in zip(strictly, told):
            narrowed, judged = derived, judgements
            if one.derived is not derived:
                narrowed, judged = judge_varying(loaded.engine, one.subject, one.derived)
            self.at.append((derived, [stood for pair in zip(judgements, judged) for stood in self._stood(*pair, derived, narrowed)]))

    def _stood(self, strictly: Judgement, told: Judgement, derived: DerivedPlace, narrowed: DerivedPlace) -> Iterator[Stood]:
        """Nothing is told of a rule that surely does not apply, or whose breach shows as nothing."""
        rule = strictly.compiled.rule
        if strictly.outcome is Outcome.NOT_APPLICABLE or not (rule.breach.own or rule.breach.troubles):
            return
        if strictly.outcome is Outcome.BREACH:
            yield Stood(rule, derived, strictly, NOT_MET, True)
        elif self.matters.outcome(told, narrowed) is Outcome.BREACH:
            yield Stood(rule, narrowed, told, NOT_MET_AS_TOLD, True)
        elif self.matters.outcome(strictly, derived) is Outcome.FAILS_IF:
            yield Stood(rule, derived, strictly, NOT_MET_IF, False)
        elif strictly.outcome in OPEN_OUTCOMES:
            asked = told if told.outcome in OPEN_OUTCOMES else strictly
            at = narrowed if asked is told else derived
            yield Stood(rule, at, asked, OPEN, told.outcome not in (*IF_IT_APPLIES, Outcome.NOT_APPLICABLE))
        elif strictly.outcome in MET:
            surely = not self._presumed(rule, derived)
            yield Stood(rule, derived, strictly, "" if surely else OPEN, surely)

    def _presumed(self, rule: Rule, derived: DerivedPlace) -> bool:
        """Whether it is met only because something that nobody wrote was taken as not there: that rules nothing out."""
        things = {self.loaded.vocabulary.fact(name).thing for name in facts_read(rule.requires)}
        things |= {leaf.thing for leaf in leaves(rule.requires) if isinstance(leaf, IsThere)}
        known = derived.known
        return any(thing in known and known[thing].origin == PRESUMED for thing in things)
