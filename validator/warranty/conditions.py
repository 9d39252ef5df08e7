"""Takes one stated condition and a judged assembly, returns where it stands, why, and what would show it.

A requirement is in the rulebook's own grammar and is judged by its engine, wherever it applies; what a place lacks, it
does not meet. What is only asked for, such as a registration, a document or a quantity, is never turned against anybody.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.vocabulary import NONE
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, show_range
from validator.rulebook.conditions import facts_read
from validator.rulebook.rule import Rule
from validator.rulebook.trees import RuleTrees, sort_of
from validator.warranty import days, law
from validator.warranty.evidence import Leant, evidence_for
from validator.warranty.matters import Matter
from validator.warranty.products import products_on
from validator.warranty.programme import ADMINISTRATIVE, EVIDENCE, ONE_MAKER, SCOPE, Clear, EarlierTerm, Enough, Stated, Within
from validator.warranty.quantities import ANOTHER_JOB, ASK_OF_MUCH, NEVER_PROOF, reckon
from validator.warranty.readings import Reading
from validator.warranty.report import BEST_FIRST, SETTLED, Ask, ConditionLine, Standing

MOST_TOLD = 6
OPEN_QUESTIONS = "Answers to these questions."
A_SECOND_LOOK = "A look at each by a person who knows the trade."


@dataclass(slots=True)
class _Found:
    """What one condition came to, while it is gathered."""

    standing: Standing
    reason: str
    shown_by: list[str] = field(default_factory=list)
    asks: list[Ask] = field(default_factory=list)
    facts: list[str] = field(default_factory=list)
    leant: list[Leant] = field(default_factory=list)
    taken: tuple[str, ...] = ()
    to_show: tuple[str, ...] = ()
    later: tuple[str, ...] = ()


def worst(standings: Iterable[Standing]) -> Standing:
    """The worst of several; nothing at all is shown."""
    return max(standings, key=BEST_FIRST.index, default=Standing.SHOWN)


class Judge:
    """Judges the conditions of one programme on one reading of an assembly, already judged by the book's own rules."""

    def __init__(self, loaded: LoadedBook, reading: Reading, headed: str = "", places: tuple[str, ...] = ()) -> None:
        self.loaded, self.reading, self.headed, self.places = loaded, reading, headed, places
        self.looked, self.vocabulary = reading.looked, loaded.vocabulary
        self.job: DerivedPlace = next(derived for derived in reading.stated if derived.subject.sort == "job")
        self.earlier: dict[str, Standing] = {}

    def line(self, stated: Stated) -> ConditionLine:
        """One condition with its standing."""
        found = self._found(stated)
        shown = found.standing in SETTLED
        due = [name for name in found.facts if not self._is_ahead(name)]
        late = law.asks_registration(stated) and found.standing is Standing.NOT_SHOWN and len(due) == len(found.facts)
        asks = [*found.asks, *self.questions(due), *(asks_of(law.ASK_OF_A_REGISTRATION) if late else ())]
        later = [*found.later, *([stated.needs] if len(due) < len(found.facts) else [])]
        by = [stated.shown_by, *found.shown_by]
        evidence = evidence_for(self._leant(stated, found), self.loaded)
        return ConditionLine(
            needs=stated.needs,
            kind=stated.kind,
            clause=stated.clause,
            standing=found.standing,
            strictly=found.standing,
            reason=found.reason,
            shown_by=() if shown else tuple(dict.fromkeys(text for text in by if text)),
            asks=() if shown else tuple(dict.fromkeys(asks)),
            facts=() if shown else tuple(dict.fromkeys(found.facts)),
            cautions=law.cautions_for(stated, found.standing),
            evidence=stated.shown_by,
            offered=evidence.offered,
            only_stated=evidence.only_stated if found.standing is Standing.SHOWN else (),
            products=products_on(self.looked, self.places, self.vocabulary) if stated.kind == ONE_MAKER else (),
            taken=found.taken,
            to_show=() if shown else found.to_show,
            later=() if shown else tuple(dict.fromkeys(later)),
        )

    def _is_ahead(self, name: str) -> bool:
        """Whether it is surely too early, at every place, to know a fact."""
        stages, fact = self.reading.stages, self.vocabulary.fact(name)
        here = [derived.vector for derived, _ in self.looked if derived.subject.sort == "place"]
        return stages is not None and bool(here) and all(stages.is_ahead(fact, vector) for vector in here)

    def _found(self, stated: Stated) -> _Found:
        if self.headed == "full" and law.asks_registration(stated):
            return _Found(Standing.PERSON, law.FULL, asks=asks_of(law.ASK_OF_A_REGISTRATION))
        match stated.test:
            case Clear(matters):
                return self._clear(matters)
            case Rule() as rule:
                return self._required(rule, stated.kind)
            case Within() as within:
                return self._within(within)
            case Enough() as enough:
                return self._enough(enough)
            case EarlierTerm(term):
                return _Found(self.earlier[term], f"The term `{term}` stands at: {self.earlier[term]}.")
        reason = f"This condition is {stated.kind}. It is never judged here."
        return _Found(Standing.PERSON, reason, asks=asks_of(law.ASK_OF_A_TIE))

    # -- technical matters ------------------------------------------------------------------------------------------------

    def _clear(self, wanted: tuple[str, ...]) -> _Found:
        """No failed and no open matter. A warning rests on a source that may not decide, so a person looks at it; and so does one
        at whatever the book judges nothing of."""
        here = [each for each in self.reading.matters if each.matter in wanted]
        failed = [each for each in here if each.outcome == "fail"]
        could = [each for each in here if each.could_fail]
        warned = [each for each in here if each.outcome == "warn"]
        open_ = [each for each in here if each.outcome == "open"]
        counts = f"{_rules(failed)} failed, {_rules(open_)} open, {_rules(warned)} for a second look"
        asks, to_show, later = self.reading.settling({each.rule for each in open_}, self.vocabulary)
        more = {"asks": list(asks), "to_show": to_show, "later": later, "taken": self._taken_by_rules(wanted)}
        if failed:
            fixes = [self.loaded.book.rules[name].put_right for name in dict.fromkeys(each.rule for each in failed)]
            rest = f" {_rules(open_)} more are open." if open_ else ""
            return _Found(Standing.NOT_MET, f"{_told(failed, self._found_and_needed(failed))}{rest}", fixes, **more)
        if open_:
            says = f"Could fail: {_told(could)}" if could else f"Open: {_told(open_)}"
            return _Found(Standing.NOT_SHOWN, f"{counts}. {says}", [OPEN_QUESTIONS] if asks else [], **more)
        if self.reading.outside:
            return _Found(Standing.PERSON, f"This book judges nothing of: {'; '.join(sorted(self.reading.outside))}.", [A_SECOND_LOOK], **more)
        if warned:
            return _Found(Standing.PERSON, f"{counts}. A person looks at: {_told(warned)}", [A_SECOND_LOOK], **more)
        return _Found(Standing.SHOWN, f"No failed and no open matter here: {counts}.", **more)

    def _taken_by_rules(self, wanted: tuple[str, ...]) -> tuple[str, ...]:
        """What was taken as usual where it settles a rule of these matters."""
        rules = self.loaded.book.rules
        return tuple(dict.fromkeys(text for name, texts in self.reading.leans.items() if rules[name].warranty in wanted for text in texts))

    def _found_and_needed(self, failed: list[Matter]) -> dict[str, str]:
        """Of each failed rule what was read and what is needed, as at the first place where it fails."""
        names, said = {each.rule for each in failed}, {}
        for derived, judgements in self.looked:
            for judgement in judgements:
                rule = judgement.compiled.rule
                if rule.name in names and rule.name not in said and judgement.outcome is Outcome.BREACH:
                    found, needed = self.loaded.explainer.found_and_needed(rule, judgement.vector, derived)
                    said[rule.name] = f"read {found}; needed {needed}"
        return said

    # -- requirements in the rulebook's grammar ---------------------------------------------------------------------------

    def _required(self, rule: Rule, kind: str) -> _Found:
        compiled = CompiledRule.of(trees_of_condition(rule, self.loaded, rule.name), rule)
        judged = [
            (derived, self.loaded.engine.judge_rule(compiled, derived))
            for derived, _ in self.looked
            if derived.subject.sort == compiled.sort
        ]
        told = [(self._standing(judgement, kind, rule), derived, judgement) for derived, judgement in judged]
        standing = worst([Standing.NOT_ARISING, *(each for each, _, _ in told)])
        taken = self.reading.taken_for((rule.applies, rule.requires), self.loaded)
        if standing is Standing.NOT_ARISING:
            return _Found(standing, "Nothing described here is what this condition speaks of.", taken=taken)
        deciding = [(derived, judgement) for each, derived, judgement in told if each is standing]
        found = self._with_trail(rule, standing, deciding)
        found.taken = taken
        return found

    def _standing(self, judgement: Judgement, kind: str, rule: Rule) -> Standing:
        match judgement.outcome:
            case Outcome.NOT_APPLICABLE:
                return Standing.NOT_ARISING
            case Outcome.PASS | Outcome.NOTHING | Outcome.BY_EXCEPTION:
                return Standing.SHOWN
            case outcome if outcome in OPEN_OUTCOMES:
                return Standing.NOT_SHOWN
        if kind == SCOPE:
            return Standing.OUTSIDE
        if kind == ADMINISTRATIVE or (kind == EVIDENCE and self._absent(rule, judgement)):
            return Standing.NOT_SHOWN
        return Standing.NOT_MET

    def _absent(self, rule: Rule, judgement: Judgement) -> bool:
        """Whether what is asked for is only not at hand, so that other evidence may still take its place."""
        facts = [self.vocabulary.fact(name) for name in facts_read(rule.requires)]
        if all(fact.kind in ("yes or no", "presence") for fact in facts):
            return True
        records = {fact.thing for fact in facts if self.vocabulary.things[fact.thing].sort == "record"}
        return any(judgement.vector[self.vocabulary.slot(thing)] == NONE for thing in records)

    def _with_trail(self, rule: Rule, standing: Standing, deciding: list[tuple[DerivedPlace, Judgement]]) -> _Found:
        said: dict[str, list[str]] = {}
        facts: list[str] = []
        leant: list[Leant] = []
        for derived, judgement in deciding:
            leant += (Leant(name, derived, judgement.vector, judgement.layer) for name in facts_read(rule.requires))
            trail = self.loaded.explainer.explain(rule, judgement.vector, derived)
            said.setdefault(f"Found: {trail.found}. Needed: {trail.needed}.", []).append(derived.subject.name)
            facts += [fact for name in trail.asks for fact in self._asked_for(name, rule)]
        once = deciding[0][0].subject.sort == "job"
        reason = " ".join(text if once else f"{', '.join(places)}: {text}" for text, places in said.items())
        if standing is Standing.NOT_SHOWN and not facts:
            reason += " Asked about, and not held against anybody."
        return _Found(standing, reason, facts=facts, leant=leant)

    def _asked_for(self, name: str, rule: Rule) -> list[str]:
        """A record of which yes or no is wanted is asked for by that: whether the record is there says less, and may be beside the point."""
        fact = self.vocabulary.fact(name)
        if fact.kind != "presence" or self.vocabulary.things[fact.thing].sort != "record":
            return [name]
        read = [self.vocabulary.fact(each) for each in facts_read(rule.requires)]
        return [each.name for each in read if each.thing == fact.thing and each.kind == "yes or no" and each.ask] or [name]

    def _leant(self, stated: Stated, found: _Found) -> list[Leant]:
        """The facts behind what was found: those a requirement reads where it decides, dates and purchases of the job."""
        names: tuple[str, ...] = ()
        match stated.test:
            case Within() as within:
                names = (within.start, within.end)
            case Enough() as enough if found.standing is not Standing.NOT_ARISING:
                names = (enough.bought,)
        return [*found.leant, *(Leant(name, self.job, self.job.vector) for name in names)]

    def questions(self, facts: Iterable[str]) -> list[Ask]:
        asked = []
        for name in dict.fromkeys(facts):
            fact = self.vocabulary.fact(name)
            asked.append(Ask(says=f"{fact.ask} {fact.look}".strip() or f"What is the {name.replace('.', ' ')}?"))
        return asked

    # -- dates ------------------------------------------------------------------------------------------------------------

    def day(self, name: str) -> tuple[int, int]:
        """What is known of a date of the job."""
        return self.job.vector[self.vocabulary.slot(name)]

    def _within(self, within: Within) -> _Found:
        start, end = self.day(within.start), self.day(within.end)
        unknown = [name for name in (within.start, within.end) if self._is_open(name)]
        gone = days.between(start, end)
        sum_ = (
            f"{self.dated(within.start)}; {self.dated(within.end)}: {days.in_words(gone)} between them. "
            f"The document asks at most {days.in_words(days.Days(within.days, within.days))}."
        )
        if gone.greatest is not None and gone.greatest < 0:
            return _Found(Standing.NOT_SHOWN, f"{sum_} The second lies before the first: look at both again.", facts=[within.start, within.end])
        if gone.greatest is not None and gone.greatest <= within.days:
            return _Found(Standing.SHOWN, sum_)
        if gone.least is not None and gone.least > within.days:
            return _Found(Standing.NOT_SHOWN, f"{sum_} That is late, which is asked about and not held against anybody.")
        return _Found(Standing.NOT_SHOWN, f"{sum_} Not known closely enough.", facts=unknown)

    def _is_open(self, name: str) -> bool:
        first, last = self.day(name)
        return last - first >= days.DAY

    def dated(self, name: str) -> str:
        value = show_range(*self.day(name), "moment")
        what = self.vocabulary.fact(name).what
        return f"{what}: {value}"

    # -- quantities -------------------------------------------------------------------------------------------------------

    def _enough(self, enough: Enough) -> _Found:
        fact = self.vocabulary.fact(enough.bought)
        areas = self._areas(enough.places, self.reading.stated)
        if not areas:
            return _Found(Standing.NOT_ARISING, "Nothing described here is what this condition speaks of.")
        bought = self.job.vector[self.vocabulary.slot(fact.name)]
        reckoned = reckon(enough, fact.kind, bought, tuple((name, span) for name, span, _ in areas))
        sum_ = " ".join(reckoned.steps)
        if reckoned.far_above:
            return _Found(Standing.NOT_SHOWN, f"{sum_} {ANOTHER_JOB} {NEVER_PROOF}", asks=asks_of(ASK_OF_MUCH))
        if reckoned.answer:
            return _Found(Standing.SHOWN, f"{sum_} Enough at any of these values. {NEVER_PROOF}")
        asks = [fact.name] if bought[1] >= NO_GREATEST or bought[0] != bought[1] else []
        asks += ["place.size"] if any(span[1] >= NO_GREATEST for _, span, _ in areas) else []
        says = "Less than that." if reckoned.answer is False else "It may or may not be enough."
        return _Found(Standing.NOT_SHOWN, f"{sum_} {says} {NEVER_PROOF}", facts=asks)

    def _areas(self, kinds: tuple[str, ...], places: Iterable[DerivedPlace]) -> list[tuple[str, tuple[int, int], bool]]:
        """The places of some kinds with their areas; one that may be of another kind may add nothing."""
        kind = self.vocabulary.facts["place.kind"]
        wanted = sum(1 << kind.words.index(word) for word in kinds)
        found = []
        for derived in places:
            mask = derived.vector[self.vocabulary.slot(kind.name)]
            if derived.subject.sort != "place" or not mask & wanted:
                continue
            least, greatest = derived.vector[self.vocabulary.slot("place.area")]
            sure = not mask & ~wanted
            found.append((derived.subject.name, (least if sure else 0, greatest), sure))
        return found

    # -- what the document speaks of --------------------------------------------------------------------------------------

    def speaks_of(self, kinds: tuple[str, ...]) -> ConditionLine:
        """Whether any place described is of a kind that the document speaks of."""
        areas = self._areas(kinds, [derived for derived, _ in self.looked])
        needs = f"The work is of a kind the document speaks of: {', '.join(kinds)}"
        standing = Standing.SHOWN if any(sure for _, _, sure in areas) else Standing.NOT_SHOWN if areas else Standing.OUTSIDE
        named = ", ".join(name for name, _, _ in areas)
        reason = f"Described: {named}." if areas else "No place of these kinds is described."
        facts = ("place.kind",) if standing is Standing.NOT_SHOWN else ()
        return ConditionLine(
            needs=needs, kind=SCOPE, clause="", standing=standing, strictly=standing, reason=reason, facts=facts, asks=tuple(self.questions(facts))
        )


def _rules(matters: list[Matter]) -> int:
    return len({each.rule for each in matters})


def _told(matters: list[Matter], read: dict[str, str] | None = None) -> str:
    """Matters with their places; `read`: of a rule, what was found and needed."""
    places: dict[str, list[str]] = {}
    for each in matters:
        places.setdefault(each.title, []).append(each.place)
    words = {each.title: f": {read[each.rule]}" for each in matters if read and each.rule in read}
    said = [f"{title} ({', '.join(dict.fromkeys(where))}){words.get(title, '')}" for title, where in places.items()]
    more = len(said) - MOST_TOLD
    return "; ".join(said[:MOST_TOLD]) + (f"; and {more} more." if more > 0 else ".")


def trees_of_condition(rule: Rule, loaded: LoadedBook, name: str) -> RuleTrees:
    """A rule is limited to where its things are; a condition of a document is not, so that an absent thing does not meet it."""
    fuser = loaded.book.fuser
    return RuleTrees(
        name=name, severity=rule.severity, sort=sort_of(rule, loaded.vocabulary), things=tuple(rule.things(loaded.vocabulary)),
        applies=fuser.fuse(rule.applies), requires=fuser.fuse(rule.requires), exceptions=(), met=None,
        breached=fuser.all_of(rule.applies, negated=(rule.requires,)), parts=(),
    )  # fmt: skip


def asks_of(texts: Iterable[str]) -> list[Ask]:
    """Questions that are not about the work."""
    return [Ask(says=text) for text in texts]
