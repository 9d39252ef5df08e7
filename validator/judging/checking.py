"""An assembly judged by a book: every rule at every place, gathered into one report.

The report is the one model that every paper is made from. What no rule could settle becomes questions, each asked once
however many rules wait on it; what stands in a role, such as waterproofing, is asked as that role.
"""

import hashlib
from dataclasses import dataclass, field
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.closures import NOT, POSSIBLY, SURELY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.engines.varying import judge_varying
from validator.facts.subjects import Disagreement, Subject
from validator.facts.vocabulary import Fact
from validator.judging.findings import merged
from validator.judging.loading import LoadedBook
from validator.judging.report import BookLine, Counts, FactLine, Finding, OpenItem, Report, SourceLine
from validator.language.source import Complaint
from validator.rulebook.book import SEVERITIES, Book
from validator.rulebook.conditions import facts_read
from validator.rulebook.english import name_of
from validator.rulebook.sources import Cited

COUNTED = ("warn", "fail")
ORDER = ("fail", "open", "warn", "advice", "pass")
DEFERENCE = (
    "Local code, the product's own instructions and licensed practice come first; this report takes the place of none of them."
)


@dataclass(slots=True, eq=False, repr=False)
class _Asked:
    """One question while it is gathered."""

    fact: str
    places: dict[str, None] = field(default_factory=dict)
    rules: dict[str, None] = field(default_factory=dict)
    would_be: str = ""
    why: str = ""  # of a sum: why it could not be done
    waiting: set[tuple[str, str]] = field(default_factory=set)


class _Judged(NamedTuple):
    """A judgement with the place it was made at and what it asks."""

    judgement: Judgement
    found: DerivedPlace
    asks: tuple[str, ...]

    @property
    def rule(self) -> str:
        return self.judgement.compiled.name


def check(assembly: Assembly, loaded: LoadedBook, *, passes: bool = True) -> Report:
    """The report on one assembly. Without `passes` what passes is counted and not told, which saves its trail."""
    return _Checker(loaded, passes).report(assembly)


def books_of(book: Book) -> tuple[BookLine, ...]:
    """Each book that is judged by, with its edition and its fingerprint."""
    return tuple(
        BookLine(name=each.name, edition=each.edition, fingerprint=each.fingerprint, layer=each.standing) for each in book.layers
    )


def fingerprint_of(assembly: Assembly, book: Book) -> str:
    """What every paper on one description by the same books carries."""
    return hashlib.sha256(f"{assembly.fingerprint}{book.fingerprint}".encode()).hexdigest()[:16]


class _Checker:
    def __init__(self, loaded: LoadedBook, passes: bool) -> None:
        self.loaded = loaded
        self.passes = passes
        self.book = loaded.book
        self.vocabulary = loaded.vocabulary
        self.role_flags = loaded.vocabulary.role_flags()
        self.asked: dict[str, _Asked] = {}
        self.anything_shown = False

    def report(self, assembly: Assembly) -> Report:
        judged: list[_Judged] = []
        disagreements: list[Disagreement] = []
        derived: list[DerivedPlace] = []
        self.anything_shown = any(subject.anything_shown() for subject in assembly.subjects)
        for subject in assembly.subjects:
            found, judgements = judge_varying(self.loaded.engine, subject)
            derived.append(found)
            judged += self._asking(judgements, found)
            disagreements += [d for d in found.disagreements if d not in disagreements]
        findings = [finding for each in judged for finding in self._finding(each)]
        findings = [*self._disagreeing(disagreements, derived), *merged(findings)]
        findings.sort(key=lambda f: ORDER.index(f.outcome))
        counts = self._counts(judged, len(disagreements))
        outcome, status = _overall(findings, judged)
        return Report(
            assembly=assembly.name,
            outcome=outcome,
            counts=counts,
            findings=tuple(findings),
            open_items=self._open_items(),
            cautions=self._cautions(derived),
            presumed=self._presumed(assembly.subjects),
            look_again=tuple(map(_to_look_at, assembly.notes)),
            not_checked=self.book.not_checked,
            books=books_of(self.book),
            fingerprint=fingerprint_of(assembly, self.book),
            exit_status=status,
        )

    # -- what is open, and what it asks ---------------------------------------------------------------------------------------

    def _asking(self, judgements: list[Judgement], found: DerivedPlace) -> list[_Judged]:
        """The judgements of one place with their questions; a role is asked once, by the rule that is about it."""
        asking = [self._with_asks(judgement, found) for judgement in judgements]
        open_roles = {
            role for each in asking if each.judgement.outcome in OPEN_OUTCOMES for role in self._leads(each)
        }
        kept: list[_Judged] = []
        for each in asking:
            if each.judgement.outcome in OPEN_OUTCOMES and not self._leads(each):
                each = self._folded_into_roles(each, open_roles)
            kept.append(each)
            self._note(each, open_roles)
        return kept

    def _with_asks(self, judgement: Judgement, found: DerivedPlace) -> _Judged:
        if judgement.outcome not in OPEN_OUTCOMES:
            return _Judged(judgement, found, ())
        rule = judgement.compiled.rule
        asks = self.loaded.explainer.asks(rule.conditions(), judgement.vector, found)
        return _Judged(judgement, found, self._nearest_first(asks))

    def _nearest_first(self, asks: list[str]) -> tuple[str, ...]:
        """What is written of a role but not in full is asked first; whether something else plays the role comes after."""
        written = {self.vocabulary.things[name.partition(".")[0]].role for name in asks if "." in name} - {""}
        return tuple(name for name in asks if self._role(name) not in written or self._role(name) == "")

    def _leads(self, each: _Judged) -> list[str]:
        """The roles that a rule is about: it requires the role's own conclusion."""
        required = facts_read(each.judgement.compiled.rule.requires)
        return [role for role, flag in self.role_flags.items() if flag in required]

    def _folded_into_roles(self, each: _Judged, open_roles: set[str]) -> _Judged:
        """A matter that only a role's own question could settle waits on that question."""
        others = tuple(name for name in each.asks if self._role(name) not in open_roles)
        if others or not each.asks:
            return _Judged(each.judgement, each.found, others)
        waiting = Judgement(
            each.judgement.compiled, Outcome.WAITS, each.judgement.vector, each.judgement.layer,
            each.judgement.severity,
        )  # fmt: skip
        return _Judged(waiting, each.found, each.asks)

    def _role(self, name: str) -> str:
        """What a fact is asked as: whether a membrane is there is asked as waterproofing, what it is like is not."""
        return self.vocabulary.fact(name).role

    def _note(self, each: _Judged, open_roles: set[str]) -> None:
        """The questions of one judgement; advice is shown and asks nothing."""
        if each.judgement.severity == "advice":
            return
        outcome, place = each.judgement.outcome, each.found.subject.name
        for name in each.asks:
            role = self._role(name)
            key = self.role_flags[role] if role in open_roles else name
            item = self.asked.setdefault(key, _Asked(key))
            if outcome is Outcome.WAITS:
                item.waiting.add((each.rule, place))
                continue
            item.places[place] = None
            item.rules[each.rule] = None
            item.why = item.why or self._why_not_worked(name, each.found)
            if not item.would_be or SEVERITIES.index(each.judgement.severity) > SEVERITIES.index(item.would_be):
                item.would_be = each.judgement.severity

    def _open_items(self) -> tuple[OpenItem, ...]:
        items = []
        for item in self.asked.values():
            fact = self.vocabulary.fact(item.fact)
            waiting = {(rule, place) for rule, place in item.waiting if rule not in item.rules}
            if not item.rules and not waiting:
                continue
            places = dict.fromkeys([*item.places, *(place for _, place in sorted(item.waiting))])
            items.append(
                OpenItem(
                    fact=item.fact,
                    place="; ".join(places),
                    question=self._question(fact, item, len(waiting)),
                    where_to_look=fact.look,
                    answers=fact.answers,
                    would_be=item.would_be,
                    rules=tuple(dict.fromkeys([*item.rules, *sorted({rule for rule, _ in waiting})])),
                    waiting=len(waiting),
                )
            )
        items.sort(key=lambda i: (-(SEVERITIES.index(i.would_be) if i.would_be else -1), -len(i.rules) - i.waiting))
        return tuple(items)

    def _why_not_worked(self, name: str, found: DerivedPlace) -> str:
        """Why a sum that nobody can be asked for could not be done from what is written."""
        how = found.how.get(name)
        return how.worked.why_not if how is not None and how.worked is not None and not self.vocabulary.fact(name).ask else ""

    def _question(self, fact: Fact, item: _Asked, waiting: int) -> str:
        ask = fact.ask or f"What is the {fact.name.replace('.', ' ')}?"
        if item.why:
            ask = f"The {name_of(self.vocabulary, fact.name)} could not be worked out: {item.why}. What is right?"
        waits = f" {waiting} further {'rule waits' if waiting == 1 else 'rules wait'} on this answer." if waiting else ""
        if fact.role and fact.concluded:
            fails = "this fails" if item.would_be == "fail" else "this is a warning"
            return f"{ask} Not written. If there is none, {fails}. Write what it is, or `{fact.role}: none`.{waits}"
        return ask + waits

    # -- findings -------------------------------------------------------------------------------------------------------------

    def _finding(self, each: _Judged) -> list[Finding]:
        judgement = each.judgement
        outcome, rule = judgement.outcome, judgement.compiled.rule
        if outcome in (Outcome.NOT_APPLICABLE, Outcome.NOTHING, Outcome.WAITS):
            return []
        if not self.passes and outcome in (Outcome.PASS, Outcome.BY_EXCEPTION):
            return []
        trail = self.loaded.explainer.explain(rule, judgement.vector, each.found)
        is_open = outcome in OPEN_OUTCOMES
        place = each.found.subject.name
        if judgement.layer is not None:
            place = f"{place}, {judgement.layer.name or judgement.layer.thing}"
        return [
            Finding(
                rule=rule.name,
                title=rule.title,
                place=place,
                outcome=_word(judgement),
                would_be=judgement.severity if is_open else "",
                heading=self._heading(judgement),
                found=trail.found,
                needed=trail.needed,
                because=rule.because,
                chain=tuple(trail.chain),
                worked_out=(*trail.worked_out, *(f"Taken as usual: {assumed}" for assumed in trail.assumed)),
                put_right=rule.put_right,
                sources=tuple(dict.fromkeys(_source_line(c) for c in (*rule.cited, *trail.cited))),
                warranty=rule.warranty,
                facts=tuple(
                    FactLine(fact=f, value=v, origin=o, where=w, shown_by=self._shown_by(f, each)) for f, v, o, w in trail.facts
                ),
                asks=each.asks,
                presumes=tuple(t for t in each.found.subject.presumed if self._reads(judgement, t)),
                book=" and ".join(self.book.books_behind(rule)),
            )
        ]

    def _shown_by(self, fact: str, each: _Judged) -> tuple[str, ...]:
        if not self.anything_shown:
            return ()
        return self.loaded.explainer.shown_by(fact, each.judgement.vector, each.found, each.judgement.layer)

    def _reads(self, judgement: Judgement, thing: str) -> bool:
        return any(self.vocabulary.fact(name).thing == thing for name in judgement.compiled.rule.facts())

    def _heading(self, judgement: Judgement) -> str:
        rule = judgement.compiled.rule
        held = [(self.loaded.explainer.holds(way.when, judgement.vector), way.because.rstrip(".")) for way in rule.other_ways]
        surest = max(held, default=(NOT, ""))[0]
        least = surest if judgement.outcome == Outcome.BY_EXCEPTION else POSSIBLY
        ways = "; or: ".join(because for answer, because in held if answer >= least)
        verb = "Fails" if judgement.severity == "fail" else "Warns"
        match judgement.outcome:
            case Outcome.FAILS_UNLESS:
                return f"{verb} unless it is shown: {ways}"
            case Outcome.FAILS_IF:
                return f"{verb} if it applies here"
            case Outcome.FAILS_IF_UNLESS:
                return f"{verb} if it applies here, unless it is shown: {ways}"
            case Outcome.BY_EXCEPTION:
                return f"Met another way: {ways}"
        if judgement.remembered:
            worked = judgement.remembered.replace(".", " ")
            return f"A warning and no more, because {worked} was worked out from remembered values"
        if judgement.outcome is Outcome.BREACH and judgement.softened:
            return "May be a fail, depending on which row of the schedule holds"
        return ""

    def _disagreeing(self, disagreements: list[Disagreement], derived: list[DerivedPlace]) -> list[Finding]:
        """What was said two ways is an open matter of its own, as grave as the gravest rule that reads it."""
        findings = []
        subjects = {found.subject.name: found.subject for found in derived}
        for each in disagreements:
            rules = [rule for rule in self.book.rules.values() if each.fact in rule.facts()]
            gravest = max(("warn", *(rule.severity for rule in rules)), key=SEVERITIES.index)
            said = "; ".join(f"{who}: {what}" for who, what in each.said)
            findings.append(
                Finding(
                    rule="said-two-ways",
                    title="What is written agrees with itself",
                    place=each.place,
                    outcome="open",
                    would_be=gravest,
                    heading="Two things are said of one fact, and both cannot be so",
                    found=f"{each.fact.replace('.', ' ')}: {said}",
                    needed="one of them",
                    because="Until it is known which is so, every rule that reads this fact is judged for both.",
                    put_right="Look again at the material and at what was written, and correct the one that is wrong.",
                    facts=(
                        FactLine(
                            fact=each.fact, value=said, origin="said two ways", shown_by=subjects[each.place].shown_by(each.fact)
                        ),
                    ),
                    asks=(each.fact,),
                    book=self.book.name,
                )
            )
            item = self.asked.setdefault(each.fact, _Asked(each.fact))
            item.places[each.place] = None
            item.rules["said-two-ways"] = None
            item.would_be = max((item.would_be or "advice", gravest), key=SEVERITIES.index)
        return findings

    # -- the rest of the report -----------------------------------------------------------------------------------------------

    def _counts(self, judged: list[_Judged], disagreements: int) -> Counts:
        """How many rules came to each outcome somewhere; a rule that fails at one place and passes at another is in both."""
        rules: dict[str, set[str]] = {}
        for each in judged:
            rules.setdefault(_word(each.judgement), set()).add(each.rule)
        somewhere = set().union(*(names for word, names in rules.items() if word != Outcome.NOT_APPLICABLE))
        number = {word: len(names) for word, names in rules.items()}
        return Counts(
            passed=number.get("pass", 0), warned=number.get("warn", 0), failed=number.get("fail", 0),
            open=number.get("open", 0) + disagreements, advised=number.get("advice", 0),
            waiting=number.get(Outcome.WAITS, 0),
            not_applicable=len(rules.get(Outcome.NOT_APPLICABLE, set()) - somewhere),
        )  # fmt: skip

    def _cautions(self, derived: list[DerivedPlace]) -> tuple[str, ...]:
        """What surely applies is said in full; of what only may apply, the first sentence."""
        said: list[str] = []
        perhaps: list[str] = []
        for caution in self.book.cautions:
            answer = max(self.loaded.explainer.holds(caution.when, found.vector) for found in derived)
            if answer == SURELY:
                said.append(caution.say)
            elif answer != NOT:
                perhaps.append(f"If it applies: {caution.say.partition('. ')[0].rstrip('.')}.")
        return (*said, *perhaps, DEFERENCE)

    def _presumed(self, subjects: tuple[Subject, ...]) -> tuple[str, ...]:
        """Things taken as not there because nobody wrote them, if any rule asks about them."""
        return tuple(dict.fromkeys(t for s in subjects for t in s.presumed if t in self.book.things_read))


def _to_look_at(note: Complaint) -> str:
    """A slip that is suspected, by its line, with what is usual."""
    return f"line {note.where.line}: {note.what}{note.accepted and f'; {note.accepted}'}"


def _word(judgement: Judgement) -> str:
    """What a finding is called: pass, warn, fail, open or advice; what is no finding keeps the outcome's own name."""
    outcome = judgement.outcome
    if outcome in (Outcome.NOT_APPLICABLE, Outcome.NOTHING, Outcome.WAITS):
        return outcome
    if outcome in (Outcome.PASS, Outcome.BY_EXCEPTION):
        return "pass"
    if judgement.compiled.trees.severity == "advice":
        return "advice"
    return "open" if outcome in OPEN_OUTCOMES else judgement.severity


def _source_line(cited: Cited) -> SourceLine:
    return SourceLine(
        title=cited.source.title, section=cited.section, edition=cited.edition, standing=cited.source.standing,
        known_by=cited.known_by,
    )  # fmt: skip


def _overall(findings: list[Finding], judged: list[_Judged]) -> tuple[str, int]:
    """From the greatest sure severity to the greatest possible one; and what the program ends with."""
    sure = ["pass", *(f.outcome for f in findings if f.outcome in COUNTED)]
    possible = [
        *sure,
        *(f.would_be for f in findings if f.outcome == "open" and f.would_be in COUNTED),
        *(e.judgement.severity for e in judged if e.judgement.outcome is Outcome.WAITS and e.judgement.severity in COUNTED),
        *("fail" for e in judged if e.judgement.softened),
    ]
    order = ("pass", *COUNTED)
    least, greatest = max(sure, key=order.index), max(possible, key=order.index)
    status = 1 if least == "fail" else 3 if greatest == "fail" else 0
    return (least if least == greatest else f"at least {least}, open up to {greatest}"), status
