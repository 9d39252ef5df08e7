"""Two engines side by side: the one that decides, and the one over columns, compared rule by rule and place by place."""

from collections.abc import Iterable
from random import Random

from validator.engines.columns import Columns, Places, places_of
from validator.engines.columns.places import LARGEST, packed
from validator.engines.deciding import RANK, CompiledRule, outcome_of
from validator.engines.outcomes import Outcome
from validator.facts import possible
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE, Fact
from validator.judging.loading import LoadedBook
from validator.rulebook.fusing import ByRow, Test


def differences(loaded: LoadedBook, subjects: list[Subject], sort: str = "place") -> tuple[int, list[str]]:
    """How many outcomes were compared, and a line for each that differs in outcome or severity.

    Severity is not compared where a rule does not apply, since it has none there; nor where a kind has several layers: which of
    them lets a sum rest on remembered values is told otherwise over columns, which screening never asks, since a row has one
    layer of a kind.
    """
    engine = loaded.engine
    judged = Columns(loaded.book, loaded.engine.deriver.work).judge(places_of(engine.deriver, subjects, sort))
    outcomes = judged.outcomes.to_dict(as_series=False)
    standings = judged.standings.to_dict(as_series=False)
    compared, differ = 0, []
    for row, subject in enumerate(subjects):
        one_of_each = not subject.several()
        for judgement in engine.judge(engine.derive(subject)):
            name = judgement.compiled.rule.name
            compared += 1
            fails = [judgement.compiled.rule.severity == "fail"] * len(subjects)
            decided = [RANK[judgement.outcome], judgement.severity == "fail", judgement.softened]
            found = [outcomes[name][row], standings.get(f"{name}:fails", fails)[row], standings.get(f"{name}:softened", [False] * len(subjects))[row]]
            has_severity = one_of_each and judgement.outcome is not Outcome.NOT_APPLICABLE
            if decided != found if has_severity else decided[0] != found[0]:
                differ.append(f"{subject.name}, {name}: meaning {decided}, columns {found}")
    return compared, differ


def grid_outcomes(loaded: LoadedBook, compiled: CompiledRule, rows: list[list]) -> list[int]:
    """What columns make of judged vectors, for one rule."""
    names = {slot: name for name, slot in loaded.engine.deriver.slots.items()}
    facts = [loaded.vocabulary.fact(names[slot]) for slot in sorted(slots_of(compiled.trees.every()))]
    places = Places(compiled.sort, packed(rows, facts, loaded.engine.deriver.slots))
    columns = Columns(loaded.book, loaded.engine.deriver.work, trees=[compiled.trees])
    return columns.judge(places, derived=True).outcomes[compiled.rule.name].to_list()


def slots_of(tests: Iterable[Test]) -> set[int]:
    """The slots that some fused trees read."""
    found: set[int] = set()
    for test in tests:
        found |= {getattr(test, key) for key in ("slot", "other") if hasattr(test, key)}
        if isinstance(test, ByRow):
            found |= set(test.keys)
        found |= slots_of((*getattr(test, "members", ()), *getattr(test, "tests", ())))
    return found


def decided(compiled: CompiledRule, rows: list[list]) -> list[int]:
    return [RANK[outcome_of(compiled, row)] for row in rows]


# -- places of the real book, at random -----------------------------------------------------------------------------------------


class ChancePlaces:
    """Made-up places of a real book: facts unstated, ranges across its limits, sets of words, several layers of a kind."""

    def __init__(self, loaded: LoadedBook, seed: int) -> None:
        self.vocabulary = loaded.vocabulary
        self.chance = Random(seed)
        self.cuts = loaded.engine.cuts
        self.own: dict[str, list[Fact]] = {}
        for name in loaded.engine.deriver.slots:
            fact = self.vocabulary.fact(name)
            if fact.kind != "presence" and not fact.aggregate and not name.endswith(" as stated"):
                self.own.setdefault(fact.thing, []).append(fact)

    def place(self, number: int, sort: str = "place") -> Subject:
        known: dict[str, Known] = {}
        layers: dict[str, list[Layer]] = {}
        for thing in self.vocabulary.things.values():
            presence = self.chance.choice((NONE, MAYBE, THERE, THERE))
            if thing.sort in ("layer", "framing") and presence != NONE and self.chance.random() < 0.6:
                layers[thing.name] = [
                    Layer(thing.name, f"{thing.name} {n}", self.facts(thing.name), self.chance.choice((THERE, THERE, MAYBE)))
                    for n in range(self.chance.choice((1, 1, 1, 2, 3)))
                ]
                continue
            known[thing.name] = Known(THERE if thing.always or thing.sort == "junction" else presence, STATED)
            if presence != NONE or thing.always:
                known |= self.facts(thing.name)
        return Subject(f"place {number}", sort, "", known, layers)

    def facts(self, thing: str) -> dict[str, Known]:
        stated = [fact for fact in self.own.get(thing, ()) if self.chance.random() < 0.55]
        return {fact.name: Known(value, STATED) for fact in stated if (value := self.value(fact)) is not None}

    def value(self, fact: Fact) -> object:
        if fact.is_amount:
            return self.amount(fact)
        if fact.is_together:
            surely = possible.with_implied(fact, self.chance.getrandbits(len(fact.words)) & self.chance.getrandbits(len(fact.words)))
            return (surely, surely | (fact.every_word if self.chance.random() < 0.6 else 0))
        if not fact.is_word:
            return None
        mask = 1 << self.chance.randrange(len(fact.words))
        return mask if self.chance.random() < 0.7 else mask | 1 << self.chance.randrange(len(fact.words))

    def amount(self, fact: Fact) -> tuple[int, int]:
        points = [p + step for p in self.cuts.get(self.vocabulary.slot(fact.name), ()) for step in (-1, 0, 1, 2)]
        for slip in (fact.slip_below, fact.slip_above):
            points += possible.read(fact, slip).value if slip else ()
        low, high = fact.always
        points = sorted(p for p in points or [1_000_000, 25_400_000] if low <= p <= high and abs(p) < LARGEST)
        first = self.chance.choice(points or [0])
        if self.chance.random() < 0.6:
            return (first, first)
        last = self.chance.choice([p for p in points if p >= first] or [first])
        return self.chance.choice(((first, last), (first, last), (first, high), (low, first)))
