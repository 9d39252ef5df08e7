"""The reading as told over columns: places narrowed to what is usual, one expression for what every row says alike.

What `engines/as_told` does to one described place is done here to a table of them, and comes to the same. Only tables without
several layers of a kind are narrowed. A table of registrations has none, since a mapping gives a place one column a fact; so where
columns and closures could name the severity of a rule by different layers of one kind, no screen ever comes.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import polars as pl

from validator.engines.as_told import MOST_TRIES, NEEDS, PRESENCE, YES, AsTold, Usual, spoken_of
from validator.engines.columns.bits import Bit, Number, Pair, both, either, literal, no, pick
from validator.engines.columns.formulas import fewest, most
from validator.engines.columns.judge import Columns, Follows, OutcomeTable
from validator.engines.columns.places import NotInColumns, Places, column_type, columns_of, mask_type, unseen
from validator.engines.columns.plan import PLACES, Plan, Sheet
from validator.engines.columns.trees import answers
from validator.facts.own_words import stands_in
from validator.facts.possible import with_implied
from validator.facts.vocabulary import MAYBE, NONE, Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.fusing import Test
from validator.rulebook.rule import UsualReading

UNREAD = "{}:unread"  # the column that says in which rows somebody said of a fact or thing what could not be read
REFUSED = "{}:refused"  # in which rows nothing is taken of it, since what follows speaks against that


class ToldPart(NamedTuple):
    """Some rows of a table as told: their numbers, what every rule comes to there, and the places with what follows."""

    rows: pl.Series
    outcomes: OutcomeTable
    derived: Follows


class BothReadings(NamedTuple):
    """A table judged strictly and as told. Nearly always it is one part; rows of which less could be taken are others."""

    strictly: OutcomeTable
    told: tuple[ToldPart, ...]
    follows: Follows  # strictly


class _Taken(NamedTuple):
    """Where one fact is narrowed, and to what."""

    fact: Fact
    where: Bit
    parts: tuple[Number, ...]


class _Overlay(Sheet):
    """A sheet on which some facts are known otherwise than on the one beneath it."""

    def __init__(self, beneath: Sheet) -> None:
        super().__init__(beneath.plan, beneath.name, beneath.vocabulary, beneath.slots, ())
        self.columns = beneath.columns
        self.beneath = beneath
        self.over: dict[int, tuple[Number, ...]] = {}

    def parts(self, slot: int) -> tuple[Number, ...]:
        return self.over.get(slot) or self.beneath.parts(slot)

    def stated(self, slot: int) -> Bit:
        return self.beneath.stated(slot)

    def put(self, slot: int, parts: Iterable[Number], new: dict[str, pl.Expr]) -> None:
        """What a fact comes to on this sheet; an expression becomes a column, added by whoever has the rest of them."""
        found: list[Number] = []
        for part in parts:
            if isinstance(part, pl.Expr):
                name = self.plan.fresh()
                new[name] = part.cast(column_type(self.facts[slot]))
                part = pl.col(name)
            found.append(part)
        self.over[slot] = tuple(found)


class ColumnsAsTold:
    """Narrows and judges tables by the usual readings of one book. Plans are kept for a table's other pieces."""

    def __init__(self, columns: Columns, as_told: AsTold) -> None:
        self.columns, self.as_told = columns, as_told
        self._plans: dict[object, _Narrowing] = {}

    def judge(self, places: Places, words: str, unread: dict[str, pl.Series]) -> BothReadings:
        """Every rule in both readings. `words` are the description's own; of what is `unread`, by fact and row, nothing is taken."""
        if places.layers:
            raise NotInColumns("several layers of a kind in one row")
        rows = places.rows.with_columns(where.alias(UNREAD.format(fact)) for fact, where in unread.items())
        places = Places(places.sort, rows, settled=places.settled)
        strictly, derived = self.columns.prepared(places).judge_and_derive(places)
        numbers = pl.Series(range(rows.height), dtype=pl.UInt32)
        return BothReadings(strictly, tuple(self._parts(places, words, numbers, strictly.two_ways, derived, MOST_TRIES)), derived)

    def _parts(
        self, places: Places, words: str, numbers: pl.Series, before: pl.DataFrame, derived: Follows, tries: int
    ) -> Iterator[ToldPart]:
        """Judged as told; where what follows then speaks against something that was taken, once more without it."""
        if not tries:
            yield ToldPart(numbers, *self.columns.prepared(places, as_told=True).judge_and_derive(places))
            return
        told, taken = self._narrowing(places, words).run(places, derived.frame)
        table, follows = self.columns.prepared(told, as_told=True).judge_and_derive(told)
        nowhere = pl.repeat(False, places.rows.height, dtype=pl.Boolean, eager=True)
        against = {fact: table.two_ways[fact] & ~(before[fact] if fact in before.columns else nowhere) for fact in table.two_ways.columns}
        rows = nowhere
        for where in against.values():
            rows = rows | where
        if not rows.any():
            yield ToldPart(numbers, table, follows)
            return
        yield ToldPart(numbers.filter(~rows), OutcomeTable(*(each.filter(~rows) if each.width else each for each in table.frames()), table.same), follows.filter(~rows))
        named = {fact: where & taken[fact] for fact, where in against.items() if fact in taken}
        none_named = rows
        for where in named.values():
            none_named = none_named & ~where
        refused = [
            (none_named | named.get(fact, nowhere) | (places.rows[name] if name in places.rows.columns else nowhere)).alias(name)
            for fact in taken for name in (REFUSED.format(fact),)
        ]  # fmt: skip
        again = Places(places.sort, places.rows.with_columns(refused).filter(rows), settled=places.settled)
        strictly = Follows(derived.frame.with_columns(refused).filter(rows), derived.sheet)
        yield from self._parts(again, words, numbers.filter(rows), before.filter(rows) if before.width else before, strictly, tries - 1)

    def _narrowing(self, places: Places, words: str) -> "_Narrowing":
        key = (places.sort, tuple(places.rows.columns), tuple(sorted(places.settled.items())), words)
        if key not in self._plans:
            self._plans[key] = _Narrowing(self, places, words)
        return self._plans[key]


class _Narrowing:
    """The plan that narrows tables with one set of columns."""

    def __init__(self, of: ColumnsAsTold, places: Places, words: str) -> None:
        book = of.columns.book
        self.vocabulary, self.slots, self.flags = book.vocabulary, of.columns.slots, of.as_told.flags
        self.words = words
        self.answered: dict[tuple[Sheet, Test], Pair] = {}
        self.plan = Plan()
        self.initial = Sheet(Plan(), PLACES, self.vocabulary, self.slots, places.rows.columns)
        self.initial.settled |= places.settled
        self.strict = of.columns.prepared(places).as_derived.continued(self.plan)
        self.first = self._with_own_readings(of.as_told, places.sort)
        self._answer((*of.as_told.things[places.sort], *of.as_told.facts[places.sort]), self.first)
        things = [self._of_thing(each) for each in of.as_told.things[places.sort]]
        after = {taken.fact.name: taken for taken in things if taken.where is not False}
        facts = [self._of_fact(each, after) for each in of.as_told.facts[places.sort] if each.fact.worked_out_by is None]
        self.taken = [taken for taken in (*after.values(), *facts) if taken.where is not False]
        self.columns: dict[str, pl.Expr] = {}
        self.settled: dict[str, Number | Bit] = {}
        self.where: dict[str, Bit] = {}
        new: dict[str, pl.Expr] = {}
        for taken in self.taken:
            self._write(taken, new)
        self.strict.add(new)

    def run(self, places: Places, derived: pl.DataFrame) -> tuple[Places, dict[str, pl.Series]]:
        """A table as told, with what was taken beside what was said; and of each fact the rows in which it was."""
        frame = self.plan.run({PLACES: derived})[PLACES]
        # What is taken was worked out on the derived table; what it stands in place of is what was there before that.
        helpers = [name for name in frame.columns if name.startswith("#")]
        rows = places.rows.drop([n for n in helpers if n in places.rows.columns]).hstack(frame.select(helpers))
        rows = rows.with_columns(expr.alias(name) for name, expr in self.columns.items()).drop(helpers)
        taken = frame.select(literal(where, pl.Boolean()).alias(fact) for fact, where in self.where.items())
        everywhere = pl.repeat(True, frame.height, dtype=pl.Boolean, eager=True)
        where = {fact: taken[fact] if taken.height == frame.height else everywhere for fact in self.where}
        told = Places(places.sort, self._seen(rows, where), settled={**places.settled, **self.settled})
        return told, where

    def _seen(self, rows: pl.DataFrame, where: dict[str, pl.Series]) -> pl.DataFrame:
        """A thing of which something is taken is spoken of: nothing hides more of its kind."""
        spoken: dict[str, pl.Series] = {}
        for name, taken in where.items():
            fact = self.vocabulary.fact(name)
            if fact.kind != "presence" and unseen(fact.thing) in rows.columns:
                spoken[fact.thing] = spoken[fact.thing] | taken if fact.thing in spoken else taken
        return rows.with_columns((rows[unseen(thing)] & ~taken).alias(unseen(thing)) for thing, taken in spoken.items())

    def _write(self, taken: _Taken, new: dict[str, pl.Expr]) -> None:
        bits: list[Number | Bit] = []
        kind = column_type(taken.fact)
        for part in (taken.where, *taken.parts):
            if isinstance(part, pl.Expr):
                name = self.plan.fresh()
                new[name] = part
                part = pl.col(name)
            bits.append(part)
        where, *parts = bits
        self.where[taken.fact.name] = where
        names = [taken.fact.name, *([stated] if (stated := f"{taken.fact.name} as stated") in self.slots else [])]
        for name in names:
            fact = self.vocabulary.fact(name)
            for column, part, was in zip(columns_of(fact), parts, self.initial.parts(self.slots[name])):
                value = pick(where, part, was, kind)
                if isinstance(value, pl.Expr):
                    self.columns[column] = value.cast(kind)
                else:
                    self.settled[column] = value

    # -- what is usual -------------------------------------------------------------------------------------------------------

    def _with_own_readings(self, as_told: AsTold, sort: str) -> _Overlay:
        """What `when:` is judged on: what is written, else the reading that follows from what is written alone."""
        written, new = _Overlay(self.strict), {}
        for each in as_told.things[sort]:
            (presence,) = self.strict.parts(each.slot)
            unwritten = both(_is(presence, MAYBE), no(self._unread(each.fact.name)))
            written.put(each.slot, [pick(unwritten, spoken_of(each, self.words), presence, column_type(each.fact))], new)
        self.strict.add(new)
        first, new = _Overlay(written), {}
        self._answer(as_told.facts[sort], written)
        for each in as_told.facts[sort]:
            there = no(_is(self.strict.parts(each.thing)[0], NONE)) if each.thing else True
            where, parts = self._chosen(each, written)
            where, parts = self._cut(each.fact, both(where, there, no(self.strict.stated(each.slot)), no(self._unread(each.fact.name))), parts, each.slot)
            if where is not False:
                kind = column_type(each.fact)
                first.put(each.slot, [pick(where, part, was, kind) for part, was in zip(parts, self.strict.parts(each.slot))], new)
        self.strict.add(new)
        return first

    def _of_thing(self, each: Usual) -> _Taken:
        """Where a thing that nobody mentions is taken to be there, or not to be."""
        (presence,) = self.strict.parts(each.slot)
        open_ = both(_is(presence, MAYBE), no(self._unread(each.fact.name)), no(self._refused(each.fact.name)))
        spoken, seen = self._spoken(each, self.first)
        where: Bit = False
        value: Number = MAYBE
        for text, mask in PRESENCE.items():
            alone = both(spoken, seen.get(text, False), *(no(bit) for other, bit in seen.items() if other != text))
            if mask == NONE:
                alone = both(alone, no(self._is_needed(each.fact.name)))
            here = both(open_, alone)
            value = pick(here, mask, value, column_type(each.fact))
            where = either(where, here)
        return _Taken(each.fact, where, (value,))

    def _is_needed(self, thing: str) -> Bit:
        role = self.vocabulary.things[thing].role
        needs, filled = self.slots.get(NEEDS.format(role)), self.slots.get(self.flags.get(role, ""))
        if not role or needs is None or filled is None:
            return False
        return both(_is(self.strict.parts(needs)[0], YES), no(_is(self.strict.parts(filled)[0], YES)))

    def _of_fact(self, each: Usual, things: dict[str, _Taken]) -> _Taken:
        """Where a fact of what is there, or may be, is narrowed, and to what."""
        name, thing = each.fact.name, each.fact.thing
        there: Bit = True
        if each.thing:
            (was,) = self.initial.parts(each.thing)
            there = no(_is(was, NONE))
            if thing in things:
                there = both(there, no(both(things[thing].where, _is(things[thing].parts[0], NONE))))
        where, parts = self._chosen(each, self.first)
        where = both(where, there, no(self.strict.stated(each.slot)), no(self._refused(name)), no(self._unread(name)))
        where, parts = self._cut(each.fact, where, parts, each.slot)
        changed = either(*(_differ(part, was) for part, was in zip(parts, self.strict.parts(each.slot))))
        return _Taken(each.fact, both(where, changed), parts)

    def _unread(self, name: str) -> Bit:
        return self.strict.flag(UNREAD.format(name))

    def _refused(self, name: str) -> Bit:
        return self.strict.flag(REFUSED.format(name))

    # -- the rows of one fact ----------------------------------------------------------------------------------------------

    def _answer(self, usual: Iterable[Usual], sheet: Sheet) -> None:
        """Every condition of some readings as a column each, since the readings of a fact ask for it over and over."""
        tests = list(dict.fromkeys(row.reading.when for each in usual for row in each.rows))
        new: dict[str, pl.Expr] = {}
        for test, pair in zip(tests, answers(sheet, tests)):
            self.answered[sheet, test] = sheet.kept(pair, new)
        sheet.add(new)

    def _speaking(self, each: Usual, sheet: Sheet) -> tuple[Bit, list[tuple[UsualReading, Bit]]]:
        """Whether some reading surely holds, and where each speaks: the first that surely holds, and those before that may."""
        rows = [row.reading for row in each.rows if not row.reading.said or any(stands_in(word, self.words) for word in row.reading.said)]
        done: Bit = False
        speaking: list[tuple[UsualReading, Bit]] = []
        for reading in rows:
            surely, possibly = self.answered[sheet, reading.when]
            speaking.append((reading, both(possibly, no(done))))
            done = either(done, surely)
        return done, [(reading, bit) for reading, bit in speaking if bit is not False]

    def _spoken(self, each: Usual, sheet: Sheet) -> tuple[Bit, dict[str, Bit]]:
        done, speaking = self._speaking(each, sheet)
        seen: dict[str, Bit] = {}
        for reading, bit in speaking:
            seen[reading.text] = either(seen.get(reading.text, False), bit)
        return done, seen

    def _chosen(self, each: Usual, sheet: Sheet) -> tuple[Bit, tuple[Number, ...]]:
        """Where the readings come to a value, and to which: either of those that may speak."""
        fact, kind = each.fact, column_type(each.fact)
        where, speaking = self._speaking(each, sheet)
        ends: tuple[Number, ...] = (NO_GREATEST, NO_LEAST) if fact.is_amount else (fact.every_word, 0) if fact.is_together else (0,)
        for reading, bit in speaking:
            if reading.value is None:
                where = both(where, no(bit))
                continue
            values = reading.value if isinstance(reading.value, tuple) else (reading.value,)
            ends = tuple(pick(bit, _joined(fact, at, was, value), was, kind) for at, (was, value) in enumerate(zip(ends, values)))
        return where, ends

    def _cut(self, fact: Fact, where: Bit, parts: tuple[Number, ...], slot: int) -> tuple[Bit, tuple[Number, ...]]:
        """What agrees with what is known already; nothing where nothing does."""
        if where is False:
            return False, parts
        known = self.strict.parts(slot)
        if fact.is_amount:
            low, high = most([known[0], parts[0]]), fewest([known[1], parts[1]])
            return both(where, low <= high), (low, high)
        if fact.is_together:
            surely, possibly = _with_implied(fact, known[0] | parts[0]), known[1] & parts[1]
            return both(where, _is(surely | possibly, possibly)), (surely, possibly)
        mask = known[0] & parts[0]
        return both(where, no(_is(mask, 0))), (mask,)


def _is(value: Number, mask: int) -> Bit:
    return value == mask


def _with_implied(fact: Fact, surely: Number) -> Number:
    """A mask of words together with everything those words give."""
    if isinstance(surely, int):
        return with_implied(fact, surely)
    for word in fact.implies:
        bit = 1 << fact.words.index(word)
        surely = surely | pick((surely & bit) != 0, with_implied(fact, bit), 0, mask_type(fact))
    return surely


def _differ(one: Number, other: Number) -> Bit:
    return one != other


def _joined(fact: Fact, at: int, was: Number, value: int) -> Number:
    """One of two, not known which."""
    if fact.is_amount:
        return (fewest if at == 0 else most)([was, value])
    if fact.is_together and at == 0:
        return was & value
    return was | value
