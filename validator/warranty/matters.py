"""Takes the judged places of an assembly, returns every failed, warned or open warranty matter in the order of risk.

Risk is an order and never a sum: the worst matter first, then how much water or weather reaches the place, then whether
it can still be seen or tested. The order was argued from published surveys of wet-room claims: floors leak more than
walls, connections more than open fields, and what escapes costs more than what is ugly. None of them supports a weight.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.vocabulary import Fact, Vocabulary
from validator.judging.loading import LoadedBook
from validator.rulebook.conditions import facts_read
from validator.rulebook.rule import MATTERS, SEVERITIES, Rule
from validator.warranty.report import MatterLine, RiskLine

EXPOSURES = ("under water", "wet floor", "wet wall", "wet room", "dry")  # from the greatest
WET_FLOORS = ("shower floor", "curb", "bench", "exterior deck")
WET_WALLS = ("shower wall", "shower ceiling", "tub surround wall", "tub deck", "niche", "exterior wall")
UNKNOWN_EXPOSURE = "not known, taken as the worst"
SEEN = ("hidden by tile", "a test can show it", "can be seen")  # from the least
TESTED = frozenset(("membrane", "foam pan", "liner", "drain", "curb", "bench", "niche", "junction"))
UNDER_TILE = frozenset(("place.bonding surface",))  # of what else can be seen
VISIBLE = frozenset(("tile", "grout", "movement joint", "place", "job"))
OUTCOMES = ("fail", "open", "warn")
SAID_TWO_WAYS = "What is written agrees with itself"
Looked = tuple[DerivedPlace, list[Judgement]]


@dataclass(frozen=True, slots=True)
class Matter:
    """One rule at one place that fails, warns or may still do so. `waits` when it may not even apply."""

    rule: str
    title: str
    matter: str
    outcome: str  # fail, warn or open
    would_be: str
    place: str
    exposure: str
    seen: str
    waits: bool = False

    @property
    def could_fail(self) -> bool:
        return self.outcome == "open" and self.would_be == "fail"

    @property
    def rank(self) -> tuple[int, ...]:
        exposure = EXPOSURES.index(self.exposure) if self.exposure in EXPOSURES else -1
        worst = SEVERITIES.index(self.would_be or self.outcome)
        return (MATTERS.index(self.matter), exposure, SEEN.index(self.seen), -worst, OUTCOMES.index(self.outcome))


def matters_of(looked: Iterable[Looked], loaded: LoadedBook) -> list[Matter]:
    """Every matter, the gravest first; the same assembly always gives the same order."""
    found: list[Matter] = []
    for derived, judgements in looked:
        exposure = exposure_of(derived, loaded.vocabulary)
        for judgement in judgements:
            found += _matters(judgement, derived.subject.name, exposure, loaded.vocabulary)
        for disagreement in derived.disagreements:
            found += _said_two_ways(disagreement.fact, derived.subject.name, exposure, loaded)
    return sorted(dict.fromkeys(found), key=lambda each: (*each.rank, each.title, each.place))


def _matters(judgement: Judgement, place: str, exposure: str, vocabulary: Vocabulary) -> list[Matter]:
    rule, outcome = judgement.compiled.rule, judgement.outcome
    if not rule.warranty or judgement.severity == "advice":
        return []
    if judgement.layer is not None:
        place = f"{place}, {judgement.layer.name or judgement.layer.thing}"
    seen = seen_of(rule, vocabulary)

    def matter(word: str, would_be: str = "") -> Matter:
        waits = outcome is Outcome.WAITS
        return Matter(rule.name, rule.title, rule.warranty, word, would_be, place, exposure, seen, waits)

    if outcome is Outcome.BREACH:
        return [matter(judgement.severity), *([matter("open", "fail")] if judgement.softened else [])]
    return [matter("open", judgement.severity)] if outcome in OPEN_OUTCOMES else []


def _said_two_ways(fact: str, place: str, exposure: str, loaded: LoadedBook) -> list[Matter]:
    """A disagreement is open in every matter whose rules read the fact."""
    gravest: dict[str, str] = {}
    for rule in loaded.book.rules.values():
        if rule.warranty and rule.severity != "advice" and fact in rule.facts():
            gravest[rule.warranty] = max(gravest.get(rule.warranty, "warn"), rule.severity, key=SEVERITIES.index)
    return [
        Matter("said-two-ways", SAID_TWO_WAYS, matter, "open", severity, place, exposure, SEEN[0])
        for matter, severity in gravest.items()
    ]


# -- the two other axes of the order ------------------------------------------------------------------------------------------


def exposure_of(derived: DerivedPlace, vocabulary: Vocabulary) -> str:
    """How much water or weather reaches a place; of several kinds that it may be, the worst."""
    if derived.subject.sort == "job":
        return UNKNOWN_EXPOSURE
    submerged, wetness, kind = (vocabulary.facts[f"place.{name}"] for name in ("submerged", "exposure", "kind"))
    vector = derived.vector
    if vector[vocabulary.slot(submerged.name)] == 1 << submerged.words.index("yes"):
        return EXPOSURES[0]
    mask = vector[vocabulary.slot(kind.name)]
    kinds = [word for bit, word in enumerate(kind.words) if mask >> bit & 1]
    if len(kinds) == len(kind.words):
        return UNKNOWN_EXPOSURE
    if any(word in WET_FLOORS for word in kinds):
        return EXPOSURES[1]
    if any(word in WET_WALLS for word in kinds):
        return EXPOSURES[2]
    dry = vector[vocabulary.slot(wetness.name)] == 1 << wetness.words.index("dry")
    return EXPOSURES[4] if dry else EXPOSURES[3]


def seen_of(rule: Rule, vocabulary: Vocabulary) -> str:
    """Whether what a rule requires can still be seen or tested once it is tiled; of several things, the least seen."""
    facts = [vocabulary.fact(name) for name in facts_read(rule.requires)]
    of_the_work = [fact for fact in facts if vocabulary.things[fact.thing].sort != "record"]
    return min((_seen(fact) for fact in of_the_work), key=SEEN.index, default=SEEN[2])


def _seen(fact: Fact) -> str:
    if fact.name in UNDER_TILE:
        return SEEN[0]
    if fact.thing in TESTED or fact.role:
        return SEEN[1]
    return SEEN[2] if fact.thing in VISIBLE else SEEN[0]


# -- the paper's part ---------------------------------------------------------------------------------------------------------


def risk_of(strictly: list[Matter], matters: list[Matter]) -> RiskLine:
    """The order with its two ends: what is known as it is read, and what is open strictly gone badly, so that what is only taken
    as usual never counts as low. What waits is counted, not listed.
    """
    told = [each for each in matters if not each.waits]
    lines: dict[MatterLine, list[str]] = {}
    for each in told:
        line = MatterLine(
            matter=each.matter, outcome=each.outcome, would_be=each.would_be, exposure=each.exposure, seen=each.seen,
            title=each.title, place="", rule=each.rule,
        )  # fmt: skip
        lines.setdefault(line, []).append(each.place)
    return RiskLine(
        worst_known=_worst([each for each in told if each.outcome != "open"]),
        worst_possible=_worst(strictly),
        not_assessable=len({(each.rule, each.place) for each in strictly if each.outcome == "open"}),
        matters=tuple(line.model_copy(update={"place": "; ".join(dict.fromkeys(places))}) for line, places in lines.items()),
    )


def _worst(matters: list[Matter]) -> str:
    if not matters:
        return ""
    worst = matters[0]
    return f"{worst.matter}; exposure: {worst.exposure}; {worst.seen}"
