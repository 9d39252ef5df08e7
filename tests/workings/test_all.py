"""What every sum owes: the directions it declares, steps that give their own results, and a source."""

import random
import re
from fractions import Fraction
from math import ceil, exp, floor, log

import pytest
from worked import NAMES, TRIED, points, summed, tried, worked

from validator.rulebook.sources import KNOWN_BY
from validator.workings import WORKINGS, Input, Step, Working, WorkingProblem
from validator.workings.intervals import to_steps, work_over
from validator.workings.lumber import GRADES, JOISTS, SPECIES

WORDS_ONLY = ("panel thickness", "joist breadth", "joist depth", "live load of the floor")
MOVES = {"up", "down", "either way", "turns at", "words", "exact only", "instead"}


@pytest.mark.parametrize("name", NAMES)
def test_a_sum_says_what_it_gives_what_it_needs_and_where_it_is_from(name: str) -> None:
    working = WORKINGS[name]
    assert working.name == name
    assert working.source["from"]
    assert working.source["known by"] in KNOWN_BY
    assert len({each.fact for each in working.inputs}) == len(working.inputs)
    for each in working.inputs:
        assert each.moves in MOVES
        assert (each.unit == "word") == (each.moves == "words")
        assert (each.turns_at is not None) == (each.moves == "turns at")


def unlike_its_declaration(working: Working, times: int) -> str:
    """Three values of one input, in rising order, whose answers do not move as declared; nothing when all do."""
    chance = random.Random(working.name)
    met = 0
    for facts in points(working, times):
        for each in working.inputs:
            if each.moves in ("words", "exact only", "instead"):
                continue
            three = sorted({tried(each, chance) for _ in range(3)})
            answers = [worked(working, {**facts, each.fact: value}) for value in three]
            values = [answer.value for answer in answers if answer is not None]
            if len(values) < 3:
                continue
            met += 1
            if not moves_as_declared(each, three, values):
                return f"{each.fact} at {three} with {facts} gives {values}"
    return "" if met > 20 or all(each.moves in ("words", "exact only") for each in working.inputs) else "too few tried"


def moves_as_declared(each: Input, three: list[Fraction | str], values: list[Fraction]) -> bool:
    rising, falling = values == sorted(values), values == sorted(values, reverse=True)
    match each.moves:
        case "up":
            return rising
        case "down":
            return falling
        case "either way":
            return rising or falling
    sides = (
        [value for at, value in zip(three, values, strict=True) if at <= each.turns_at],
        [value for at, value in zip(three, values, strict=True) if at >= each.turns_at],
    )
    return all(side in (sorted(side), sorted(side, reverse=True)) for side in sides)


@pytest.mark.parametrize("name", NAMES)
def test_a_sum_moves_as_it_declares(name: str) -> None:
    assert not unlike_its_declaration(WORKINGS[name], 120)


@pytest.mark.parametrize(
    ("name", "fact"),
    [(name, each.fact) for name in NAMES for each in WORKINGS[name].inputs if each.moves in ("up", "down")],
)
def test_a_false_direction_is_noticed(name: str, fact: str) -> None:
    working = WORKINGS[name]
    turned = tuple(
        each._replace(moves="down" if each.moves == "up" else "up") if each.fact == fact else each
        for each in working.inputs
    )
    assert unlike_its_declaration(working._replace(inputs=turned), 120)


KIND_OF_UNIT = {
    "in": "length", "mil": "length", "psf": "load", "sq ft": "area", "gal": "volume", "cu in": "volume", "lb": "force",
    "°F": "temperature", "part": "proportion", "of span": "deflection", "slope": "slope", "count": "count",
    "perm": "permeance", "h": "duration", "lb per 1000 sq ft per 24 h": "moisture emission", "word": "word",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_for_a_range_holds_every_point_tried_inside_it(name: str) -> None:
    working = WORKINGS[name]
    chance = random.Random(name)
    kinds = {each.fact: KIND_OF_UNIT[each.unit] for each in working.inputs}
    kinds[working.gives] = KIND_OF_UNIT[working.unit]
    held = 0
    for _ in range(40):
        possible: dict[str, tuple[int, int] | tuple[str, ...]] = {}
        inside: list[dict[str, Fraction | str]] = [{}, {}, {}]
        for each in summed(working):
            one, other = tried(each, chance), tried(each, chance)
            if isinstance(one, str) or isinstance(other, str):
                both = tuple(dict.fromkeys((str(one), str(other))))
                if each.usual is not None and set(both) >= set(each.every):
                    both = both[:1]  # all of its words would be not stated, and the usual word taken
                possible[each.fact] = both
                for facts in inside:
                    facts[each.fact] = chance.choice(both)
                continue
            low, high = (one, one) if each.moves == "exact only" else sorted((one, other))
            kind = kinds[each.fact]
            possible[each.fact] = floor(to_steps(low, kind, each.unit)), ceil(to_steps(high, kind, each.unit))
            parts = 1 if each.unit == "count" else 7
            for facts in inside:
                along = Fraction(chance.randint(0, parts), parts)
                facts[each.fact] = low + (high - low) * along
        try:
            found = work_over(working, possible, kinds)
        except WorkingProblem:
            continue
        for facts in inside:
            answer = worked(working, facts)
            if answer is not None:
                held += 1
                assert found.least <= to_steps(answer.value, kinds[working.gives], working.unit) <= found.greatest
    assert held > 10


FEET = re.compile(r"(?<![\w.])(\d+)-(\d+)/(\d+)(?![\w.])")
PART = re.compile(r"(?<![\w.])(\d+)/(\d+)(?![\w.])")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def figured(text: str) -> float | None:
    """What a line of numbers comes to; none when it holds words."""
    bare = text.removeprefix("L/") if text.startswith("L/") else text
    bare = FEET.sub(r"(\1+\2/\3)", bare)
    bare = PART.sub(r"(\1/\2)", bare)
    bare = bare.replace(" x ", " * ").replace("^", "**")
    if not re.fullmatch(r"[\d\s.+\-*/()]+", re.sub(r"\b(exp|ln|greatest|least)\b|,", "", bare)):
        return None
    known = {"exp": exp, "ln": log, "greatest": max, "least": min, "__builtins__": {}}
    return float(eval(bare, known))  # noqa: S307 - the line is a sum that this project printed


def result_of(step: Step) -> float | None:
    """The number a step ends with, units and words left off."""
    if step.result.startswith("L/"):
        return 1 / float(step.result.removeprefix("L/"))
    first = step.result.split(" ")[0]
    return figured(first)


@pytest.mark.parametrize("name", NAMES)
def test_each_step_figured_again_gives_its_own_result(name: str) -> None:
    working = WORKINGS[name]
    done = [answer for facts in points(working, 60) if (answer := worked(working, facts))]
    again = 0
    for answer in done:
        for step in answer.steps:
            left, right = figured(step.numbers), result_of(step)
            if left is None or right is None:
                continue
            again += 1
            assert left == pytest.approx(right, rel=3e-4, abs=3e-5), str(step)
    assert done
    assert again or name in WORDS_ONLY


@pytest.mark.parametrize("name", [name for name in NAMES if WORKINGS[name].value_only is not None])
def test_the_value_alone_is_the_value_with_its_steps(name: str) -> None:
    working = WORKINGS[name]
    assert working.value_only is not None
    for facts in points(working, 60):
        answer = worked(working, facts)
        if answer is not None:
            assert working.value_only(facts) == answer.value


def test_every_word_of_the_lumber_tables_is_tried() -> None:
    assert (TRIED["framing.joist"], TRIED["framing.species"], TRIED["framing.grade"]) == (JOISTS, SPECIES, GRADES)


def test_what_somebody_stated_in_place_of_a_sum_is_its_answer() -> None:
    kinds = {each.fact: KIND_OF_UNIT[each.unit] for each in WORKINGS["joist live deflection"].inputs} | {"framing.live deflection": "deflection"}
    stated = floor(to_steps(Fraction(1, 343), "deflection", "of span"))
    found = work_over(WORKINGS["joist live deflection"], {"framing.deflection": (stated, stated), "framing.kind": ("I-joist",)}, kinds)
    assert (found.least, found.greatest) == (stated, stated)
    assert found.assumed == ("the load it was figured for is not said, so it is read as that under live load",)


def test_what_only_its_maker_knows_is_asked_of_nobody_else() -> None:
    kinds = {each.fact: KIND_OF_UNIT[each.unit] for each in WORKINGS["joist live deflection"].inputs} | {"framing.live deflection": "deflection"}
    found = work_over(WORKINGS["joist live deflection"], {"framing.kind": ("I-joist", "floor truss")}, kinds)
    assert (found.known, found.narrows, found.why_not) == (False, (), "joist live deflection: of I-joist or floor truss only its maker knows")
