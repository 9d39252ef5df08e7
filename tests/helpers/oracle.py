"""What a rule comes to where everything is known, by trying: two-valued, from the author's tree, one completion at a time.

Written from the meaning of the forms, not from the code under test. A half-known place is every completion that agrees
with what is known; what an engine prints for it must hold for all of them.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations, product
from random import Random

from books import LARGEST, F, Plain, R

DOMAIN = range(LARGEST + 1)
# What each printed outcome stands for: P is met, B is not met, N is that the rule does not apply.
STANDS_FOR = {
    "pass": "P", "pass, by exception": "P", "breach": "B", "not applicable": "N", "nothing": "PN", "open": "PB",
    "open, unless": "PB", "open, if": "BN", "open, if, unless": "PBN", "waits": "PBN",
}  # fmt: skip


@dataclass
class Piece:
    """One board, maybe there, with what is known of it."""

    sure: bool
    known: dict[str, object] = field(default_factory=dict)


@dataclass
class Half:
    """A half-known place. A fact that is left out is not stated. `tape` is there, none or maybe; `boards` is none, maybe or a list."""

    known: dict[str, object] = field(default_factory=dict)
    tape: str = "maybe"
    boards: object = "none"


@dataclass
class Whole:
    """One completion: every fact of the place and of every board that is there."""

    facts: dict[str, object]
    tape: bool
    boards: list[dict[str, object]]


# -- completions --------------------------------------------------------------------------------------------------------------


def everything(fact: F) -> list[object]:
    """Every value a stated fact could have."""
    if fact.kind == "amount":
        return list(DOMAIN)
    if fact.kind == "word":
        return list(fact.words)
    sets = [frozenset(c) for n in range(len(fact.words) + 1) for c in combinations(fact.words, n)]
    return [s for s in sets if not (fact.gives and fact.gives[0] in s and fact.gives[1] not in s)]


def possible(fact: F, known: object) -> list[object]:
    """The values that agree with what is known: a pair for an amount, a set of words, `at least these` for words together."""
    if known is None:
        return everything(fact)
    if fact.kind == "amount":
        return [v for v in DOMAIN if known[0] <= v <= known[1]]
    if fact.kind == "word":
        return [w for w in fact.words if w in known]
    return [s for s in everything(fact) if known <= s]


def completions(plain: Plain, half: Half) -> Iterator[Whole]:
    """Every completion that agrees with what is known, and in which no sure consequence is contradicted."""
    base = [f for f in plain.facts.values() if f.comes in ("stated", "narrowed") and f.thing != "board"]
    of_board = [f for f in plain.facts.values() if f.thing == "board" and f.comes == "stated"]
    choices = [possible(f, half.known.get(f.name)) for f in base]
    tapes = {"there": (True,), "none": (False,), "maybe": (True, False)}[half.tape]
    for values in product(*choices):
        facts = {f.name: v for f, v in zip(base, values)}
        for tape, boards in product(tapes, _boards(of_board, half.boards)):
            whole = Whole(dict(facts), tape, [dict(board) for board in boards])
            if derive(plain, whole):
                yield whole


def _boards(facts: list[F], boards: object) -> list[list[dict[str, object]]]:
    if boards == "none" or not facts:
        return [[]]
    if boards == "maybe":
        boards = [Piece(False)]
    ways: list[list[list[dict[str, object]]]] = []
    for piece in boards:
        there = [
            [dict(zip((f.name for f in facts), values))]
            for values in product(*(possible(f, piece.known.get(f.name)) for f in facts))
        ]
        ways.append(there if piece.sure else [*there, []])
    return [[board for part in chosen for board in part] for chosen in product(*ways)]


def size(plain: Plain, half: Half) -> int:
    """How many completions there are, more or less."""
    number = 1
    for fact in plain.facts.values():
        if fact.comes in ("stated", "narrowed") and fact.thing != "board":
            number *= len(possible(fact, half.known.get(fact.name)))
    of_board = [f for f in plain.facts.values() if f.thing == "board" and f.comes == "stated"]
    return number * len(_boards(of_board, half.boards)) * (2 if half.tape == "maybe" else 1)


# -- what follows ---------------------------------------------------------------------------------------------------------------


def derive(plain: Plain, whole: Whole) -> bool:
    """Writes what follows into a completion. False when a consequence contradicts it."""
    thick = [b["board.t"] for b in whole.boards if "board.t" in b]
    whole.facts["board.count"] = len(whole.boards)
    whole.facts["board.total t"] = sum(thick)
    if thick:
        whole.facts["board.least t"], whole.facts["board.greatest t"] = min(thick), max(thick)
    for fact in plain.facts.values():
        if fact.sum and fact.thing == "place":
            whole.facts[fact.name] = _worked(fact.sum, whole.facts)
    _derive_boards(plain, whole)
    given: dict[str, list[frozenset]] = {}
    for each in plain.consequences:
        if plain.facts[each.fact].thing == "place" and somewhere(plain, each.when, whole):
            given.setdefault(each.fact, []).append(frozenset(each.words))
    for fact in (f for f in plain.facts.values() if f.thing == "place"):
        words = given.get(fact.name, [])
        match fact.comes:
            case "flag":
                whole.facts[fact.name] = "yes" if words else "no"
            case "ladder":
                each_word = [w for s in words for w in s]
                whole.facts[fact.name] = max([fact.words[0], *each_word], key=fact.words.index)
            case "marks":
                true = frozenset().union(*words)
                if fact.gives and fact.gives[0] in true:
                    true |= {fact.gives[1]}
                whole.facts[fact.name] = true
            case "narrowed":
                if any(whole.facts[fact.name] not in s for s in words):
                    return False
    return True


def _derive_boards(plain: Plain, whole: Whole) -> None:
    """What follows of each board by itself."""
    for board in whole.boards:
        for fact in plain.facts.values():
            if fact.thing == "board" and fact.sum:
                board[fact.name] = _worked(fact.sum, board)
    for board in whole.boards:
        for fact in plain.facts.values():
            if fact.thing == "board" and fact.comes == "flag":
                follows = (c.when for c in plain.consequences if c.fact == fact.name)
                given = any(holds(plain, when, whole, board, lambda leaf: False) for when in follows)
                board[fact.name] = "yes" if given else "no"


def _worked(term: object, known: dict[str, object]) -> Fraction:
    if isinstance(term, int):
        return Fraction(term)
    if isinstance(term, str):
        return Fraction(known[term])
    how, *parts = term
    values = [_worked(part, known) for part in parts]
    if how.endswith("times"):
        return Fraction(how.split()[0]) * values[0]
    match how:
        case "sum of":
            return sum(values)
        case "less":
            return values[0] - values[1]
        case "greatest of":
            return max(values)
        case "least of":
            return min(values)
    raise ValueError(how)


def somewhere(plain: Plain, condition: tuple, whole: Whole) -> bool:
    """A consequence holds of a place when it holds of any board there; with no board, of the place without one."""
    views = whole.boards if "board" in _things(plain, condition) and whole.boards else [None]
    return any(holds(plain, condition, whole, board, lambda leaf: False) for board in views)


# -- two-valued -----------------------------------------------------------------------------------------------------------------


def leaves(condition: tuple) -> Iterator[tuple]:
    if condition[0] in ("all", "any", "not both"):
        for member in condition[1:]:
            yield from leaves(member)
    else:
        yield condition


def _things(plain: Plain, condition: tuple) -> set[str]:
    names: set[str] = set()
    for leaf in leaves(condition):
        if leaf[0] == "there":
            names.add(leaf[1])
        else:
            names.add(plain.facts[leaf[1]].thing)
    return names - {"place"}


def holds(plain: Plain, condition: tuple, whole: Whole, board: dict | None, no_row) -> bool:
    """Whether a condition is true. `no_row` answers for a comparison with a schedule that has no row."""
    match condition:
        case ("all", *members):
            return all(holds(plain, m, whole, board, no_row) for m in members)
        case ("any", *members):
            return any(holds(plain, m, whole, board, no_row) for m in members)
        case ("not both", first, second):
            return not (holds(plain, first, whole, board, no_row) and holds(plain, second, whole, board, no_row))
        case ("there", thing, yes):
            there = whole.tape if thing == "tape" else (board is not None or bool(whole.boards))
            return there == yes
        case ("is", name, compare, against):
            fact = plain.facts[name]
            if fact.thing == "tape" and not whole.tape or fact.thing == "board" and board is None:
                return False
            value = _value(name, whole, board)
            return _compared(plain, condition, fact, value, compare, against, whole, board, no_row)
    raise TypeError(condition)


def _value(name: str, whole: Whole, board: dict | None) -> object:
    return board[name] if board is not None and name in board else whole.facts[name]


def _compared(plain, leaf, fact, value, compare, against, whole, board, no_row) -> bool:
    how, what = against
    least = greatest = what
    if how == "limit":
        least, greatest = min(plain.limits[what]), max(plain.limits[what])
    elif how == "fact":
        least = greatest = _value(what, whole, board)
    elif how == "schedule":
        answer = _answer(plain, what, whole, board)
        if answer is None:
            return no_row(leaf)
        least = greatest = answer
    if fact.kind == "amount":
        return {
            "is": least <= value <= greatest, "is not": not least <= value <= greatest, "at least": value >= least,
            "at most": value <= greatest, "more than": value > greatest, "less than": value < least,
        }[compare]  # fmt: skip
    words = frozenset((least,)) if isinstance(least, str) else least
    if fact.kind == "together":
        return {
            "has at least one of": bool(value & words), "has all of": words <= value, "has none of": not value & words,
        }[compare]  # fmt: skip
    if compare in ("is", "one of"):
        return value in words
    if compare in ("is not", "none of"):
        return value not in words
    ranks = [fact.words.index(w) for w in words]
    rank = fact.words.index(value)
    return {
        "at least": rank >= min(ranks), "at most": rank <= max(ranks), "more than": rank > max(ranks),
        "less than": rank < min(ranks),
    }[compare]  # fmt: skip


def _answer(plain: Plain, name: str, whole: Whole, board: dict | None) -> object:
    schedule = plain.schedules[name]
    for cells, answer, _ in schedule.rows:
        for key, cell in zip(schedule.keys, cells):
            value = _value(key, whole, board)
            if isinstance(cell, tuple):
                # The first and the last band run on for ever.
                if not (value >= cell[0] and (value <= cell[1] or cell[1] == LARGEST)):
                    break
            elif value not in cell:
                break
        else:
            return answer
    return schedule.other


# -- outcomes -------------------------------------------------------------------------------------------------------------------


def limits_to(plain: Plain, condition: tuple) -> set[str]:
    """The things on which every branch of a requirement depends."""
    match condition:
        case ("all", *members):
            asked = {m[1] for m in members if m[0] == "there" and m[2]}
            return set().union(*(limits_to(plain, m) for m in members)) - asked
        case ("any", *members):
            return set.intersection(*(limits_to(plain, m) for m in members))
        case ("is", name, *_):
            return {plain.facts[name].thing} - {"place"}
    return set()


def rule_things(plain: Plain, rule: R) -> set[str]:
    names: set[str] = set()
    for part in (rule.applies, rule.requires, *rule.ways):
        names |= {plain.facts[leaf[1]].thing for leaf in leaves(part) if leaf[0] == "is"}
    return names


def outcomes(plain: Plain, rule: R, whole: Whole) -> set[str]:
    """What a rule comes to in one completion; more than one only where a schedule has no row."""
    several = "board" in rule_things(plain, rule) and len(whole.boards) > 0
    views = whole.boards if several else [None]
    folded: set[str] = {""}
    for board in views:
        here = _outcomes_at(plain, rule, whole, board)
        folded = {max(a, b, key=["", "N", "P", "B"].index) for a in folded for b in here}
    return folded


def _outcomes_at(plain: Plain, rule: R, whole: Whole, board: dict | None) -> set[str]:
    found: set[str] = set()
    without_row: list[tuple] = []

    def note(leaf: tuple) -> bool:
        if leaf not in without_row:
            without_row.append(leaf)
        return True

    for part in (rule.applies, rule.requires, *rule.ways):
        for leaf in leaves(part):
            holds(plain, leaf, whole, board, note)
    for answers in product((True, False), repeat=len(without_row)):
        free = dict(zip(without_row, answers))
        found.add(_outcome(plain, rule, whole, board, free.__getitem__))
    return found


def _outcome(plain: Plain, rule: R, whole: Whole, board: dict | None, no_row) -> str:
    for thing in limits_to(plain, rule.requires):
        if not (whole.tape if thing == "tape" else board is not None):
            return "N"
    if not holds(plain, rule.applies, whole, board, no_row):
        return "N"
    met = any(holds(plain, part, whole, board, no_row) for part in (rule.requires, *rule.ways))
    return "P" if met else "B"


# -- half-known places, at random ---------------------------------------------------------------------------------------------


def half_known(plain: Plain, chance: Random, most: int) -> Half:
    """A half-known place with at most so many completions."""
    while True:
        half = Half(tape=chance.choice(("there", "there", "none", "maybe")))
        for fact in plain.facts.values():
            if (
                fact.comes in ("stated", "narrowed")
                and fact.thing != "board"
                and not (fact.thing == "tape" and half.tape == "none")
            ):
                known = _some_knowledge(fact, chance)
                if known is not None:
                    half.known[fact.name] = known
        if "board.t" in plain.facts:
            half.boards = chance.choice(("none", "maybe", 1, 1, 2, 2, 3))
            if isinstance(half.boards, int):
                half.boards = [_piece(plain, chance) for _ in range(half.boards)]
        if size(plain, half) <= most:
            return half


def _piece(plain: Plain, chance: Random) -> Piece:
    facts = [f for f in plain.facts.values() if f.thing == "board" and f.comes == "stated"]
    known = {f.name: _some_knowledge(f, chance) for f in facts}
    return Piece(chance.random() < 0.7, {name: value for name, value in known.items() if value is not None})


def _some_knowledge(fact: F, chance: Random) -> object:
    if chance.random() < 0.25:
        return None
    if fact.kind == "amount":
        low = chance.choice(DOMAIN)
        return (low, low if chance.random() < 0.5 else chance.randint(low, LARGEST))
    if fact.kind == "word":
        number = 1 if chance.random() < 0.6 else len(fact.words) - 1
        return frozenset(chance.sample(fact.words, number))
    return chance.choice(everything(fact))


def narrowed(plain: Plain, half: Half, chance: Random) -> Half:
    """The same place with one more thing known of it."""
    known, tape = dict(half.known), half.tape
    boards = half.boards
    facts = [f for f in plain.facts.values() if f.comes in ("stated", "narrowed") and f.thing != "board"]
    if tape == "maybe" and chance.random() < 0.3:
        tape = chance.choice(("there", "none"))
    elif isinstance(boards, list) and boards and chance.random() < 0.4:
        boards = [Piece(p.sure, dict(p.known)) for p in boards]
        piece = chance.choice(boards)
        if not piece.sure and chance.random() < 0.5:
            piece.sure = True
        elif not piece.sure and chance.random() < 0.4:
            boards.remove(piece)
        else:
            fact = chance.choice([f for f in plain.facts.values() if f.thing == "board" and f.comes == "stated"])
            piece.known[fact.name] = _less(fact, piece.known.get(fact.name), chance)
    else:
        fact = chance.choice(facts)
        known[fact.name] = _less(fact, known.get(fact.name), chance)
    return Half(known, tape, boards if boards else "none")


def _less(fact: F, known: object, chance: Random) -> object:
    values = possible(fact, known)
    kept = chance.choice(values)
    if fact.kind == "amount":
        other = chance.choice(values)
        return (min(kept, other), max(kept, other))
    if fact.kind == "word":
        return frozenset((kept, chance.choice(values)))
    return kept
