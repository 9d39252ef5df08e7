"""What every sum owes: the directions it declares, steps that give their own results, a source, and speed."""

import random
import re
import time
from collections.abc import Iterator
from fractions import Fraction
from math import ceil, exp, floor, log

import pytest

from validator.workings import WORKINGS, Input, Step, Worked, Working, WorkingProblem
from validator.workings.intervals import to_steps, work_over
from validator.workings.lumber import GRADES, SIZES, SPECIES

# ordinary values of the facts that the sums need: words, or (least, greatest, parts of one)
TRIED: dict[str, tuple[str, ...] | tuple[int, int, int]] = {
    "framing.kind": ("sawn lumber",),
    "framing.joist": ("2x4", "2x6", "2x8", "2x10", "2x12"),
    "framing.species": ("Douglas fir-larch", "hem-fir", "spruce-pine-fir", "southern pine"),
    "framing.grade": ("select structural", "no. 1", "no. 2", "no. 3"),
    "framing.cut or notched": ("no",),
    "framing.material": ("wood", "steel"),
    "framing.spacing": (12, 24, 8),
    "framing.span": (60, 240, 8),
    "framing.live load": (10, 100, 4),
    "framing.dead load": (0, 60, 4),
    "framing.plies": (1, 3, 1),
    "framing.notch depth": (0, 2, 8),
    "screw.length": (1, 4, 8),
    "screw.passes through": (0, 1, 16),
    "screw.penetration": (0, 3, 8),
    "screw.diameter": (0, 1, 100),
    "screw.spacing": (4, 16, 2),
    "board.thickness": (0, 2, 16),
    "board.sheet width": (24, 60, 2),
    "board.sheet height": (24, 60, 2),
    "place.width": (12, 144, 4),
    "place.height": (12, 120, 4),
    "place.greatest dimension": (12, 144, 4),
    "place.fall": (0, 1, 48),
    "place.thickness at drain": (0, 3, 8),
    "place.edge height": (0, 4, 8),
    "place.room build-up": (0, 3, 8),
    "drain.position": ("center", "end"),
    "drain.longest run": (6, 72, 4),
    "drain.shortest run": (6, 72, 4),
    "drain.top above structure": (0, 3, 8),
    "curb.top above structure": (3, 12, 8),
    "curb.height above drain": (0, 9, 8),
    "liner.height above drain": (0, 12, 8),
    "membrane.height above drain": (0, 84, 4),
    "framing.clear gap": (8, 30, 4),
    "subfloor panel.span rating": ("24/16", "40/20", "48/24", "16 oc", "24 oc"),
    "subfloor panel.category": ("15/32", "19/32", "23/32", "1-1/8"),
    "subfloor panel.count": (1, 3, 1),
    "subfloor panel.strength axis across": ("no", "yes"),
    "subfloor panel.total thickness": (0, 2, 32),
    "mortar bed.total thickness": (0, 3, 8),
    "self-leveling underlayment.total thickness": (0, 3, 8),
    "tile mortar.mean bed": (1, 16, 32),
    "tile mortar.bed thickness": (0, 1, 16),
    "tile.load": (1, 20, 4),
    "tile.thickness": (0, 2, 32),
    "tile.body": ("ceramic", "porcelain", "stone"),
    "flood test.depth": (0, 4, 8),
    "membrane.wet film thickness": (1, 100, 2),
    "membrane.dry film called for": (1, 60, 2),
    "membrane.solids": (0, 1, 100),
    "membrane.coats": (1, 5, 1),
    "membrane.loss": (0, 1, 10),
    "membrane.quantity": (1, 10, 4),
    "membrane.permeance": (0, 2, 10),
    "membrane.cure called for": (0, 72, 1),
    "vapour retarder.permeance": (0, 2, 10),
    "steam.air temperature": (60, 125, 2),
    "steam.air humidity": (0, 1, 20),
    "steam.far side temperature": (20, 110, 2),
    "steam.far side humidity": (0, 1, 20),
    "job.surface temperature while setting": (40, 100, 2),
    "tile mortar.trowel": ("1/4 x 3/8 in square notch", "3/16 in V notch", "3/4 in U notch"),
    "tile mortar.cure called for": (1, 168, 1),
    "movement joint.spacing": (12, 150, 2),
    "movement joint.greatest spacing": (60, 300, 2),
    "movement joint.sealant class": ("12-1/2", "25", "35", "50", "100/50"),
    "place.temperature range": (0, 180, 2),
    "place.area": (1, 200, 4),
    "place.least dimension": (12, 144, 4),
    "tile.facial size variation": (0, 1, 32),
    "tile.warpage": (0, 1, 32),
    "tile.longest edge": (1, 48, 4),
    "tile.shortest edge": (1, 24, 4),
    "tile.pattern": ("straight", "offset"),
    "tile.edge": ("rectified", "calibrated"),
    "grout.joint": (0, 1, 32),
    "flood test.depth at drain": (0, 6, 8),
}

NAMES = sorted(WORKINGS)
WORDS_ONLY = ("panel thickness",)
MOVES = {"up", "down", "either way", "turns at", "words", "exact only"}


def tried(each: Input, chance: random.Random) -> Fraction | str:
    """A value that the fact could well have."""
    found = TRIED[each.fact]
    if isinstance(found[0], str):
        return chance.choice(found)
    least, greatest, parts = found
    return Fraction(chance.randint(int(least * parts), int(greatest * parts)), parts)


def points(working: Working, times: int) -> Iterator[dict[str, Fraction | str]]:
    chance = random.Random(working.name)
    for _ in range(times):
        yield {each.fact: tried(each, chance) for each in working.inputs}


def worked(working: Working, facts: dict[str, Fraction | str]) -> Worked | None:
    try:
        return working.work(facts)
    except WorkingProblem:
        return None


@pytest.mark.parametrize("name", NAMES)
def test_a_sum_says_what_it_gives_what_it_needs_and_where_it_is_from(name: str) -> None:
    working = WORKINGS[name]
    assert working.name == name
    assert working.source["from"]
    assert working.source["known by"] in {"seen", "seen-C", "memory", "computed", "common practice", "derived"}
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
            if each.moves in ("words", "exact only"):
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
        for each in working.inputs:
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


@pytest.mark.parametrize("name", NAMES)
def test_a_sum_takes_less_than_a_thousandth_of_a_second(name: str) -> None:
    working = WORKINGS[name]
    many = list(points(working, 50))
    worked(working, many[0])
    best = min(_seconds(working, many) for _ in range(3))
    assert best / len(many) < 0.001


def _seconds(working: Working, many: list[dict[str, Fraction | str]]) -> float:
    begun = time.perf_counter()
    for facts in many:
        worked(working, facts)
    return time.perf_counter() - begun


def test_every_word_of_the_lumber_tables_is_tried() -> None:
    assert (TRIED["framing.joist"], TRIED["framing.species"], TRIED["framing.grade"]) == (SIZES, SPECIES, GRADES)
