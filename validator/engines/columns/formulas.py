"""Works formulas as arithmetic on columns, and a working once for each different thing it is given."""

from fractions import Fraction

import polars as pl

from validator.engines.columns.bits import Bit, Number, either, literal, pick
from validator.engines.columns.places import columns_of
from validator.engines.columns.plan import Frames, Sheet
from validator.engines.deriving import Work
from validator.facts.vocabulary import THERE, Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import formulas
from validator.rulebook.derived import DerivedFact
from validator.rulebook.formulas import FactValue, Formula, Term, Value

INT = pl.Int64()
Ends = tuple[Number, Number]
ROOM = 64  # how much a sum may multiply what it is given and still fit the column
NARROW = frozenset(("rise over run",))  # whose products outgrow a column; done once for each different input instead


def in_columns(term: Term) -> bool:
    """Whether a sum can be done on whole columns without outgrowing them."""
    return _growth(term) <= ROOM


def _growth(term: Term) -> Fraction:
    if not isinstance(term, Formula):
        return Fraction(1)
    if term.how in NARROW:
        return Fraction(ROOM + 1)
    inner = [_growth(part) for part in term.parts]
    if term.how == "N times":
        return inner[0] * max(abs(term.times.numerator), 1)
    if term.how == "part steps of":
        _, _, each, adds = term.parts
        return inner[0] * 2 * max(1, Fraction(adds.span[0], each.span[0]))
    return sum(inner) if term.how in ("sum of", "less", "hours between") else max(inner)


def summed(term: Term, own: str, sheet: Sheet) -> Ends:
    """Both ends of a sum, as expressions over a frame; `own` is the thing that the sum is said of."""
    match term:
        case Value(span):
            return span
        case FactValue(slot=slot, thing=thing, there=there):
            least, greatest = sheet.parts(slot)
            sure = thing in ("", own) or sheet.parts(there)[0] == THERE
            return pick(sure, least, NO_LEAST, INT), pick(sure, greatest, NO_GREATEST, INT)
        case Formula("either of", parts):
            return _either(parts, sheet)
        case Formula(how, parts, _, times):
            ends = [summed(part, own, sheet) for part in parts]
            return _times(ends[0], times) if how == "N times" else OPERATIONS[how](ends)
    raise TypeError(term)


def _add(ends: list[Ends]) -> Ends:
    lows, highs = [e[0] for e in ends], [e[1] for e in ends]
    return (
        pick(either(*(low == NO_LEAST for low in lows)), NO_LEAST, _plus(lows), INT),
        pick(either(*(high == NO_GREATEST for high in highs)), NO_GREATEST, _plus(highs), INT),
    )


def _plus(values: list[Number]) -> Number:
    total: Number = 0
    for value in values:
        total = total + value
    return total


def _less(ends: list[Ends]) -> Ends:
    (a, b), (c, d) = ends
    return (
        pick(either(a == NO_LEAST, d == NO_GREATEST), NO_LEAST, a - d, INT),
        pick(either(b == NO_GREATEST, c == NO_LEAST), NO_GREATEST, b - c, INT),
    )


def _times(ends: Ends, times: Fraction) -> Ends:
    least, greatest = ends
    up, down = times.numerator, times.denominator
    return (
        pick(least == NO_LEAST, NO_LEAST, (least * up) // down, INT),
        pick(greatest == NO_GREATEST, NO_GREATEST, -((-(greatest * up)) // down), INT),
    )


def most(values: list[Number]) -> Number:
    """The greatest of some numbers."""
    if all(isinstance(value, int) for value in values):
        return max(values)
    return pl.max_horizontal(literal(value, INT) for value in values)


def fewest(values: list[Number]) -> Number:
    """The least of some numbers."""
    if all(isinstance(value, int) for value in values):
        return min(values)
    return pl.min_horizontal(literal(value, INT) for value in values)


def _greatest(ends: list[Ends]) -> Ends:
    return most([e[0] for e in ends]), most([e[1] for e in ends])


def _least(ends: list[Ends]) -> Ends:
    return fewest([e[0] for e in ends]), fewest([e[1] for e in ends])


def _same(ends: list[Ends]) -> Ends:
    """Several names for one amount: what agrees with all of them; when they disagree, any of them."""
    least, greatest = most([e[0] for e in ends]), fewest([e[1] for e in ends])
    agree = least <= greatest
    return (
        pick(agree, least, fewest([e[0] for e in ends]), INT),
        pick(agree, greatest, most([e[1] for e in ends]), INT),
    )


def _either(parts: tuple[FactValue, ...], sheet: Sheet) -> Ends:
    """Any of those whose thing may be there; anything where none surely is."""
    presences = [sheet.parts(part.there)[0] if part.thing else THERE for part in parts]
    ends = [sheet.parts(part.slot) for part in parts]
    least = fewest([pick((there & THERE) != 0, e[0], NO_GREATEST, INT) for there, e in zip(presences, ends)])
    greatest = most([pick((there & THERE) != 0, e[1], NO_LEAST, INT) for there, e in zip(presences, ends)])
    sure = either(*(there == THERE for there in presences))
    return pick(sure, least, NO_LEAST, INT), pick(sure, greatest, NO_GREATEST, INT)


def _part_steps(ends: list[Ends]) -> Ends:
    (low, high), (over, _), (each, _), (adds, _) = ends
    return (
        pick(low <= over, 0, -((over - low) // each) * adds, INT),
        pick(high == NO_GREATEST, NO_GREATEST, most([0, -((over - high) // each)]) * adds, INT),
    )


OPERATIONS = {
    "sum of": _add, "less": _less, "greatest of": _greatest, "least of": _least, "same as": _same,
    "part steps of": _part_steps, "hours between": lambda ends: _less([ends[1], ends[0]]),
}  # fmt: skip


# -- once for each different input ------------------------------------------------------------------------------------------


Answers = dict[tuple[int, ...], tuple[int, int, bool]]  # by what a working was given, its ends and whether they are firm


def worked_once_each(derived: DerivedFact, sheet: Sheet, work: Work, remembered: dict[tuple[object, ...], Answers]) -> tuple[Ends, Bit]:
    """The ends of a working, or of a sum too wide for columns, done for each different input and joined back; and whether they are firm."""
    facts = [sheet.vocabulary.fact(name) for name in _inputs(derived)]
    slots = [sheet.slots[fact.name] for fact in facts]
    held = [sheet.parts(slot) for slot in slots]
    sums_of = formulas.compiled(derived.formula, derived.fact.thing) if derived.formula else None

    def worked(values: list[object]) -> tuple[int, int, bool]:
        if sums_of is not None:
            return (*sums_of(dict(zip(slots, values))), True)
        sure = {fact.name for fact, value in zip(facts, values) if fact.name in derived.things and value == THERE}
        unsure = [fact.thing in derived.things and fact.thing not in sure and not fact.aggregate for fact in facts]
        found = work(derived.working, {
            fact.name: _possible(fact, fact.anything if is_unsure else value)
            for fact, value, is_unsure in zip(facts, values, unsure) if fact.name in derived.inputs
        })  # fmt: skip
        return found.least, found.greatest, found.firm

    names = [name for fact, parts in zip(facts, held) for name, part in zip(columns_of(fact), parts) if not isinstance(part, int)]
    if not names:
        *ends, firm = worked([_value(fact, parts, {}) for fact, parts in zip(facts, held)])
        return tuple(ends), firm
    *ends, firm = columns = [sheet.plan.fresh() for _ in range(3)]
    # Both readings of a table ask for the same things one after the other, and share what was worked.
    known = remembered.setdefault((derived.fact.name, *names, *(part for parts in held for part in parts if isinstance(part, int))), {})

    def step(frames: Frames) -> None:
        frame = frames[sheet.name]
        asked = frame.select(names).unique()
        new: Answers = {}
        answers: list[tuple[int, int, bool]] = []
        for row in asked.iter_rows():
            answer = known.get(row) or new.get(row)
            if answer is None:
                by_column = dict(zip(names, row))
                answer = new[row] = worked([_value(fact, parts, by_column) for fact, parts in zip(facts, held)])
            answers.append(answer)
        if len(known) + len(new) > MOST_KNOWN:
            known.clear()
        known.update(new)
        asked = asked.with_columns(
            pl.Series(name, [answer[at] for answer in answers], kind) for at, (name, kind) in enumerate(zip(columns, (pl.Int64, pl.Int64, pl.Boolean)))
        )
        joined = frame.select(names).join(asked, on=names, how="left", maintain_order="left")
        frames[sheet.name] = frame.with_columns(joined.select(columns).get_columns())

    sheet.plan.do(step, sheet.name, set(names), set(columns))
    sheet.columns |= set(columns)
    return (pl.col(ends[0]), pl.col(ends[1])), pl.col(firm)


MOST_KNOWN = 30_000  # different inputs remembered from piece to piece


def _inputs(derived: DerivedFact) -> list[str]:
    read = formulas.facts_of(derived.formula) if derived.formula else derived.inputs
    return list(dict.fromkeys((*read, *derived.things)))


def _value(fact: Fact, parts: tuple[Number, ...], row: dict[str, int]) -> object:
    """What is possible of one input in one row."""
    values = tuple(row.get(name, part) for name, part in zip(columns_of(fact), parts))
    return values if fact.is_amount or fact.is_together else values[0]


def _possible(fact: Fact, value: object) -> object:
    """What a working is given: an amount's ends, or the words that are possible."""
    if fact.is_word:
        return tuple(word for bit, word in enumerate(fact.words) if value >> bit & 1)
    return value
