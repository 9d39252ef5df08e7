"""Takes the judgements of places as told, returns what is open: questions in order, and checks.

An open matter is one of three things. A *question* can be answered now and could change the verdict. A *check* hangs on
how the work is done, or on a record that is kept: it is made before the step that hides it. What may not even apply *waits*
behind the question that decides whether it does, and is no item of its own.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from validator.engines.as_told import Told
from validator.engines.closures import POSSIBLY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import ALWAYS_THERE, NOT_EXCUSED, OPEN_OUTCOMES, Outcome
from validator.facts.possible import CARD, STATED
from validator.facts.usual_reading import MATTERS as IMPORTANCE, SEEN_UNTIL
from validator.facts.vocabulary import Fact, Vocabulary
from validator.judging.loading import LoadedBook
from validator.judging.report import Check, OpenQuestion
from validator.rulebook.conditions import Comparison, Condition, facts_read, leaves
from validator.rulebook.english import name_of
from validator.rulebook.rule import MATTERS, SEVERITIES, Rule

MAY_APPLY = (Outcome.WAITS, Outcome.FAILS_IF, Outcome.FAILS_IF_UNLESS)
QUESTION, CHECK, WAITS = "question", "check", "waits"
WORK_OR_RECORD = ("work", "record")
STAGE = "place.stage"
NEVER_AFTERWARDS = "never afterwards"
# By until when a fact can be seen: the stage at which it surely no longer can.
HIDDEN_AT = {
    "board hung": "board hung", "membrane on": "membrane on", "tile set": "tile set", "grouted": "grouted",
    "covered below": "finished", NEVER_AFTERWARDS: "finished",
}  # fmt: skip
FIRST_STEP = 2  # the bit of the first stage at which something is done


Roles = dict[str, tuple[str, ...]]  # those that a rule asks for at a place, each with what is asked of things written there that may fill it


class Matter(NamedTuple):
    """One open rule at one place: what kind of matter it is, and the facts that it asks."""

    rule: Rule
    place: str
    severity: str
    kind: str
    asks: tuple[str, ...]
    past: frozenset[str]  # of what it asks, what a step that is done hides
    ahead: bool  # it is surely too early for all that it asks
    written: int  # how many of the facts that it reads were stated: people ask about what they mention
    decides: frozenset[str]  # of what it asks, what an experienced reader wants to know first


class OpenMatters:
    """Sorts what is open as told into questions and checks."""

    def __init__(self, loaded: LoadedBook, unread: frozenset[str] = frozenset()) -> None:
        """Of the things and facts `unread`, somebody said what could not be read."""
        self.unread = unread
        self.vocabulary, self.explainer = loaded.vocabulary, loaded.explainer
        self.role_flags = loaded.vocabulary.role_flags()
        self.role_facts = {fact.name: fact.role for fact in self.vocabulary.facts.values() if fact.role and fact.kind != "presence"}
        self.matters: list[Matter] = []
        self.one_size = sizes_of(self.vocabulary)
        self.missing: dict[str, None] = {}

    # -- one judgement ---------------------------------------------------------------------------------------------------

    def outcome(self, judgement: Judgement, derived: DerivedPlace) -> Outcome:
        """What a rule comes to as told: a way out that nobody mentions is not there."""
        outcome = judgement.outcome
        if outcome in NOT_EXCUSED and not self._way_out_is_mentioned(judgement, derived):
            return NOT_EXCUSED[outcome]
        return outcome

    def _way_out_is_mentioned(self, judgement: Judgement, derived: DerivedPlace) -> bool:
        """Whether part of another way to meet the rule is told, or may have been: then the rest of it is asked, and nothing fails yet."""
        rule, vector = judgement.compiled.rule, judgement.vector
        own = {*facts_read(rule.applies), *facts_read(rule.requires)}
        ways = [way.when for way in rule.other_ways if self.explainer.holds(way.when, vector) == POSSIBLY]
        read = {name: self.vocabulary.fact(name).thing for way in ways for name in facts_read(way) if name not in own}
        things = set(read.values()) - {self.vocabulary.fact(name).thing for name in own}  # a membrane told, and not what it covers
        names = {name for name, thing in read.items() if thing not in ALWAYS_THERE} | things.difference(ALWAYS_THERE)
        return not self.unread.isdisjoint(names) or any(self._stated(name, vector, derived) for name in names)

    def _stated(self, name: str, vector: list, derived: DerivedPlace) -> bool:
        known = derived.known.get(name)
        return bool(vector[0] >> self.vocabulary.slot(name) & 1) or known is not None and known.origin in (STATED, CARD)

    def add(self, told: Told, judgements: Iterable[Judgement]) -> None:
        """What is open at one place."""
        derived = told.derived
        opened = [(each, self.outcome(each, derived)) for each in judgements if each.outcome in OPEN_OUTCOMES and each.severity != "advice"]
        opened = [(each, outcome) for each, outcome in opened if outcome in OPEN_OUTCOMES]
        roles: Roles = {}
        for each, _ in opened:
            for role in self._leads(each.compiled.rule):
                roles[role] = self._written_fillers(role, each, derived)
        if self._build_up_is_told(told):
            played = {self.vocabulary.things[thing].role for thing in told.subject.layers}
            played |= {role for role in self.role_flags if self._spoken_of(role, derived)}
            missed = (name for name in told.not_mentioned if not self.vocabulary.things[name].role or self.vocabulary.things[name].role not in played)
            self.missing |= dict.fromkeys(self._flag(name, roles) or name for name in missed)
        first = told.deciding.union(*(names for role, names in roles.items() if self.role_flags[role] in told.deciding))
        self.matters += [self._matter(judgement, outcome, told, roles, first) for judgement, outcome in opened]

    def _build_up_is_told(self, told: Told) -> bool:
        """Whether anything under the finish is described there: else what is not mentioned was nobody's matter."""
        things = self.vocabulary.things
        return any(things[name].body and things[name].when_not_written != "there" for name in told.subject.layers if name in things)

    def _matter(self, judgement: Judgement, outcome: Outcome, told: Told, roles: Roles, first: frozenset[str]) -> Matter:
        rule, vector, derived = judgement.compiled.rule, judgement.vector, told.derived
        kind, conditions = QUESTION, rule.conditions()
        if outcome in MAY_APPLY:
            # What surely fails if it applies is decided by the one question whether it does.
            kind, conditions = WAITS if outcome is Outcome.WAITS else QUESTION, (rule.applies,)
        else:
            now = [leaf for leaf in self.explainer.open_leaves(rule.requires, vector) if not self._is_work(leaf, vector, derived)]
            kind, conditions = (QUESTION, tuple(now)) if now else (CHECK, conditions)
        asked = self.explainer.asks(conditions, vector, derived)
        if kind == QUESTION:
            # Part of a sum may hang on the work; then the rest of it is asked, or all of it is a check.
            answerable = [name for name in asked if not self._hangs_on_the_work(name)]
            kind, asked = (QUESTION, answerable) if answerable or not asked else (CHECK, asked)
        fillers = [name for role in self._leads(rule) for name in roles.get(role, ())]
        if fillers and kind != WAITS:
            kind, asked = QUESTION, fillers  # though it is of the work: else who fills the role would be asked
        asks = tuple(dict.fromkeys(key for name in asked for key in self._keys(name, roles)))
        if kind == QUESTION and asks and not self._leads(rule) and all(name in self.role_flags.values() for name in asks):
            kind = WAITS  # on a role's own question
        decides = first.intersection(asks)
        written = sum(self._stated(n, vector, derived) for n in rule.facts() if self.vocabulary.fact(n).thing not in ALWAYS_THERE)
        facts = [self.vocabulary.fact(name) for name in asks]
        past = frozenset(fact.name for fact in facts if self.is_past(fact, vector))
        ahead = not past and all(self.is_ahead(fact, vector) for fact in facts)
        return Matter(rule, told.subject.name, judgement.severity, kind, asks, past, ahead, written, decides)

    def is_past(self, fact: Fact, vector: list) -> bool:
        """Whether the step that hides what is asked is surely done."""
        done, hidden = self._stages(fact.can_be_seen_until, vector)
        return hidden is not None and done & -done >= hidden

    def is_ahead(self, fact: Fact, vector: list) -> bool:
        """Whether it is surely too early to know what is asked: how a step is done, or what is noted of it."""
        if not self._hangs_on_the_work(fact.name):
            return False
        seen = fact.can_be_seen_until
        done, hidden = self._stages(self.vocabulary.fact(fact.thing).can_be_seen_until if seen == NEVER_AFTERWARDS else seen, vector)
        return done < (FIRST_STEP if hidden is None else hidden)

    def _stages(self, seen_until: str, vector: list) -> tuple[int, int | None]:
        """The stages that may be reached, as bits, and the one at which what is seen until then is hidden."""
        slot = self.vocabulary.slots.get(STAGE)
        if slot is None:
            return FIRST_STEP, None  # nothing is said of stages here
        hidden = HIDDEN_AT.get(seen_until)
        return vector[slot], None if hidden is None else 1 << self.vocabulary.fact(STAGE).words.index(hidden)

    def _is_work(self, leaf: Condition, vector: list, derived: DerivedPlace) -> bool:
        """Whether a comparison hangs on how the work is done or on a record, so that nobody can answer it beforehand."""
        own = set(self.explainer.facts_of_leaf(leaf))
        asks = self.explainer.asks((leaf,), vector, derived)
        first = [name for name in asks if name in own] or asks
        return bool(first) and self._hangs_on_the_work(first[0])

    def _hangs_on_the_work(self, name: str) -> bool:
        """Of a record, or of how a step is done; whether a layer or a part is to be there at all can be said at any time."""
        fact = self.vocabulary.fact(name)
        if fact.kind == "presence":
            return self.vocabulary.things[fact.thing].sort == "record"
        return fact.known_from in WORK_OR_RECORD

    def _leads(self, rule: Rule) -> list[str]:
        """The roles that a rule is about: it requires the role's own conclusion."""
        required = {leaf.fact for leaf in leaves(rule.requires) if isinstance(leaf, Comparison)}
        return [role for role, flag in self.role_flags.items() if flag in required]

    def _written_fillers(self, role: str, judgement: Judgement, derived: DerivedPlace) -> tuple[str, ...]:
        """What is open of things written at a place that may fill a role: how much a membrane covers, not whether there is one; of a
        board that is said to be waterproof, what fills its seams."""
        asked = [self.vocabulary.fact(name) for name in self.explainer.asks((judgement.compiled.rule.requires,), judgement.vector, derived)]
        own = (fact for fact in asked if fact.kind != "presence" and fact.thing in derived.subject.layers)
        spoken_of = {self.vocabulary.fact(name).thing for name in self._spoken_of(role, derived)}
        return tuple(fact.name for fact in own if role in (fact.role, self.vocabulary.things[fact.thing].role) or fact.thing in spoken_of)

    def _spoken_of(self, role: str, derived: DerivedPlace) -> list[str]:
        """The facts stated of a role: a board that is said to be waterproof is spoken of as waterproofing, whatever else it needs."""
        return [name for name, own in self.role_facts.items() if own == role and self._stated(name, derived.vector, derived)]

    def _flag(self, name: str, roles: Roles) -> str:
        """The conclusion that a role is filled, of a fact of a role that is asked for; nothing of any other."""
        role = self.vocabulary.fact(name).role
        return self.role_flags[role] if role in roles else ""

    def _keys(self, name: str, roles: Roles) -> tuple[str, ...]:
        """What a fact is asked as: whether a membrane is there is asked as waterproofing, or as what the board written there is."""
        flag = self._flag(name, roles)
        return roles[self.vocabulary.fact(name).role] or (flag,) if flag else (name,)

    # -- all of them -----------------------------------------------------------------------------------------------------

    def questions(self) -> list[OpenQuestion]:
        """The questions, those first that could change most; what the same rules ask together is one question, and so are the edges
        of one size.
        """
        by_fact: dict[str, _Gathered] = {}
        for matter in self.matters:
            for name in matter.asks if matter.kind == QUESTION else ():
                by_fact.setdefault(name, _Gathered()).matters.append(matter)
        for matter in self.matters:
            for name in matter.asks if matter.kind == WAITS else ():
                waits = by_fact.setdefault(name, _Gathered())
                if name in matter.decides:
                    waits.matters.append(matter)  # whether it applies is among the first things to know
                else:
                    waits.waiting.add((matter.rule.name, matter.place))
        joined: dict[object, _Gathered] = {}
        for name, each in by_fact.items():
            same = tuple((m.rule.name, m.place) for m in each.matters)
            first = joined.setdefault((self.vocabulary.fact(name).thing, self.one_size.get(name) or same or name), each)
            first.facts.append(name)
            first.waiting |= each.waiting
            if first is not each:
                first.matters += [matter for matter in each.matters if matter not in first.matters]
        return [self._question(each) for each in sorted(joined.values(), key=self._order)]

    def _order(self, asked: "_Gathered") -> tuple[object, ...]:
        """What decides, then what could change the verdict, the gravest first; then what was written about; then how much it
        matters, the harm, and how much it settles."""
        matters = asked.matters
        severity = max((SEVERITIES.index(each.severity) for each in matters), default=-1)
        harm = min((MATTERS.index(each.rule.warranty) for each in matters if each.rule.warranty), default=len(MATTERS))
        written = max((each.written for each in matters), default=0)
        importance = min(IMPORTANCE.index(self.vocabulary.fact(name).matters) for name in asked.facts)
        return (not self._is_missing(asked), not self._decides(asked), -severity, written == 0, importance, harm, -written, -len(matters) - len(asked.waiting))

    def _is_missing(self, asked: "_Gathered") -> bool:
        return bool(asked.matters) and not self.missing.keys().isdisjoint(asked.facts)

    def _decides(self, asked: "_Gathered") -> bool:
        """Whether nobody would commit before it is answered: what is needed and not mentioned, or is known first there."""
        return self._is_missing(asked) or any(not each.decides.isdisjoint(asked.facts) for each in asked.matters)

    def _question(self, asked: "_Gathered") -> OpenQuestion:
        facts = asked_together([self.vocabulary.fact(name) for name in asked.facts], self.vocabulary)
        gravest = max((each.severity for each in asked.matters), key=SEVERITIES.index, default="")
        places = dict.fromkeys([*(each.place for each in asked.matters), *(place for _, place in sorted(asked.waiting))])
        rules = dict.fromkeys([*(each.rule.name for each in asked.matters), *(rule for rule, _ in sorted(asked.waiting))])
        return OpenQuestion(
            facts=tuple(asked.facts),
            place="; ".join(places),
            asks=in_words(facts, self.vocabulary),
            look=places_to_look(facts),
            answers=tuple(dict.fromkeys(who for fact in facts for who in fact.answers)),
            would_be=gravest,
            rules=tuple(rules),
            waiting=len(asked.waiting),
            not_mentioned=self._is_missing(asked),
            decides=self._decides(asked),
            too_late=bool(asked.matters) and all(each.past.issuperset(asked.facts) for each in asked.matters),
        )

    def gravest(self) -> str:
        """The gravest that an answer could make of it, at once or by way of what waits behind it; `advice` where nothing."""
        return max((each.severity for each in self.matters if each.kind != CHECK), key=SEVERITIES.index, default="advice")

    def checks(self) -> list[Check]:
        """What is to be seen or kept, the gravest first; each rule once, with every place."""
        by_rule: dict[str, list[Matter]] = {}
        for matter in self.matters:
            if matter.kind == CHECK:
                by_rule.setdefault(matter.rule.name, []).append(matter)
        checks = [self._check(matters) for matters in by_rule.values()]
        return sorted(checks, key=lambda each: (not each.too_late, -SEVERITIES.index(each.would_be), SEEN_UNTIL.index(each.before)))

    def _check(self, matters: list[Matter]) -> Check:
        first = matters[0]
        names = tuple(dict.fromkeys(name for each in matters for name in each.asks))
        asking = [self.vocabulary.fact(name) for name in names]
        work = [each for each in asking if each.known_from in WORK_OR_RECORD] or asking
        fact = self.vocabulary.fact(names[0]) if names else None
        return Check(
            rule=first.rule.name, title=first.rule.title, place="; ".join(dict.fromkeys(each.place for each in matters)),
            would_be=max((each.severity for each in matters), key=SEVERITIES.index), facts=names, look=fact.look if fact else "",
            before=work[0].can_be_seen_until if work else "always",
            paper=bool(work) and all(each.known_from == "record" for each in work),
            too_late=any(each.past for each in matters), ahead=all(each.ahead for each in matters),
        )  # fmt: skip


def sizes_of(vocabulary: Vocabulary) -> dict[str, str]:
    """The edges that a size gives, each with that size: one measurement of whoever is asked."""
    return {edge: fact.name for fact in vocabulary.facts.values() if fact.kind == "size" for edge in fact.gives}


def asked_together(facts: Sequence[Fact], vocabulary: Vocabulary) -> Sequence[Fact]:
    """What is asked for facts: for several edges of one size, that size."""
    if len(facts) < 2:
        return facts  # most questions: the vocabulary is not gone through for them
    sizes = sizes_of(vocabulary)
    of = {sizes.get(fact.name) for fact in facts}
    return [vocabulary.fact(of.pop())] if len(of) == 1 and None not in of else facts


def in_words(facts: Sequence[Fact], vocabulary: Vocabulary) -> str:
    """The question that asks for facts together."""
    return " ".join(dict.fromkeys(fact.ask or f"What is the {name_of(vocabulary, fact.name)}?" for fact in facts))


def places_to_look(facts: Sequence[Fact]) -> str:
    """Where the answers are found."""
    return " ".join(dict.fromkeys(fact.look for fact in facts if fact.look))


@dataclass(slots=True, eq=False, repr=False)
class _Gathered:
    """One question while it is gathered."""

    facts: list[str] = field(default_factory=list)
    matters: list[Matter] = field(default_factory=list)
    waiting: set[tuple[str, str]] = field(default_factory=set)
