"""The reading as told: what nobody states is narrowed to what is usual, what is stated never is, and nothing is unsettled.

Whatever the strict reading settles, the narrowed description settles alike: that is tried on made-up books with made-up
usual readings.
"""

import json
from dataclasses import replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from books import Plain, condition_text, consequence, rule, small_books, write_book
from described import subject
from hypothesis import given, settings
from oracle import STANDS_FOR, everything, half_known

from validator.engines.as_told import USUAL
from validator.facts.own_words import stands_in
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.possible import NOT_STATED, STATED, Known, read
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE
from validator.judging.loading import LoadedBook
from validator.rulebook.reading import read_book

ASKED = {"ask": "What is it?", "look": "Look.", "answers": ["installer"]}
KINDS = {"kind": "word", "words": ["soft", "hard", "wet"]}


def vocabulary(**more: object) -> str:
    """A small vocabulary; the keys given are those of the facts and things that a test is about."""
    lines: dict[str, dict[str, object]] = {
        "place": {"what": "The place", "sort": "place"},
        "place.kind": {"what": "Kind", "kind": "word", "words": ["floor", "wall"]},
        "place.a": {"what": "A", **KINDS, **ASKED},
        "place.b": {"what": "B", **KINDS, **ASKED},
        "place.c": {"what": "C", **KINDS, **ASKED},
        "place.depth": {"what": "Depth", "kind": "length", **ASKED},
        "tape": {"what": "Tape", "sort": "part", "when not written": "ask", **ASKED},
        "tape.width": {"what": "Width", "kind": "length", **ASKED},
        "board": {"what": "Board", "sort": "layer", "body": "yes", "when not written": "ask", **ASKED},
        "board.k": {"what": "K", **KINDS, **ASKED},
    }
    for name, keys in more.items():
        lines[name.replace("__", ".")] |= keys
    return json.dumps(lines)


RULES = {
    "all/a": rule("a", requires={"place.a": "hard"}), "all/b": rule("b", requires={"place.b": "hard"}),
    "all/c": rule("c", requires={"place.c": "hard"}), "all/deep": rule("deep", requires={"place.depth": {"at least": "2 in"}}),
    "all/tape": rule("tape", requires={"tape.width": {"at least": "2 in"}}, applies_when={"tape": "there"}),
    "all/board": rule("board", requires={"board.k": "hard"}),
}  # fmt: skip


def book(folder: Path, *, consequences: dict[str, str] | None = None, **more: object) -> LoadedBook:
    return LoadedBook(read_book(write_book(folder, vocabulary=vocabulary(**more), rules=RULES, consequences=consequences)))


def described(loaded: LoadedBook, **facts: str) -> Subject:
    """A place of which some facts are said; tape and board may be there, unwritten."""
    known = {"place": Known(THERE), "tape": Known(MAYBE, NOT_STATED), "board": Known(MAYBE, NOT_STATED)}
    for name, text in facts.items():
        fact = loaded.vocabulary.fact(name.replace("__", "."))
        known[fact.name] = read(fact, text)
    return Subject("a place", "place", "", known)


def told(loaded: LoadedBook, place: Subject, words: str = ""):
    (found,) = loaded.as_told.all_told([loaded.engine.derive(place)], words)
    return found


def value(loaded: LoadedBook, found, name: str) -> str:
    fact = loaded.vocabulary.fact(name)
    mask = found.derived.vector[loaded.vocabulary.slot(name)]
    return " or ".join(word for bit, word in enumerate(fact.words) if mask >> bit & 1)


def test_what_nobody_states_is_taken_as_usual_and_says_so(tmp_path: Path) -> None:
    loaded = book(tmp_path, place__a={"usually": [{"is": "hard or wet", "because": "Mostly."}]})
    found = told(loaded, described(loaded))
    assert value(loaded, found, "place.a") == "hard or wet"
    assert [(each.fact, each.text, each.because) for each in found.taken] == [("place.a", "hard or wet", "Mostly.")]
    assert found.subject.known["place.a"].origin == USUAL


@pytest.mark.parametrize("said", ["soft", "soft or wet"])
def test_what_is_stated_is_never_narrowed_however_vaguely(tmp_path: Path, said: str) -> None:
    loaded = book(tmp_path, place__a={"usually": [{"is": "hard or wet", "because": "Mostly."}]})
    found = told(loaded, described(loaded, place__a=said))
    assert value(loaded, found, "place.a") == said
    assert found.taken == ()


@pytest.mark.parametrize("said", ["probably soft", "soft?", "soft, I think", "said to be soft"])
def test_what_a_person_supposes_comes_before_what_is_usual(tmp_path: Path, said: str) -> None:
    loaded = book(tmp_path, place__a={"usually": [{"is": "hard or wet", "because": "Mostly."}]})
    found = told(loaded, described(loaded, place__a=said))
    assert value(loaded, found, "place.a") == "soft"
    assert [(each.text, each.because) for each in found.taken] == [(said, "It was written as a guess.")]


def test_what_a_person_supposes_of_a_fact_that_is_always_asked_is_asked(tmp_path: Path) -> None:
    loaded = book(tmp_path, place__a={"usually": [{"is": "asked"}]})
    assert value(loaded, told(loaded, described(loaded, place__a="probably soft")), "place.a") == "soft or hard or wet"


ROWS = [{"when": {"place.kind": "floor"}, "is": "hard", "because": "Floors."}, {"is": "wet", "because": "Else."}]
ASKING = [{"when": {"place.kind": "floor"}, "is": "asked"}, {"is": "wet", "because": "Else."}]


@pytest.mark.parametrize(
    ("rows", "kind", "comes"),
    [
        (ROWS, "floor", "hard"), (ROWS, "wall", "wet"), (ROWS, "", "hard or wet"),
        (ASKING, "floor", "soft or hard or wet"), (ASKING, "wall", "wet"), (ASKING, "", "soft or hard or wet"),
    ],
)  # fmt: skip
def test_a_row_that_only_may_hold_is_not_passed_over(tmp_path: Path, rows: list, kind: str, comes: str) -> None:
    loaded = book(tmp_path, place__a={"usually": rows})
    found = told(loaded, described(loaded, **({"place__kind": kind} if kind else {})))
    assert value(loaded, found, "place.a") == comes


@pytest.mark.parametrize(
    ("words", "comes"),
    [("a steam shower", "hard"), ("a shower", "soft or hard or wet"), ("no steam here", "soft or hard or wet"), ("steamed", "soft or hard or wet")],
)
def test_a_reading_may_hang_on_the_words_of_the_description(tmp_path: Path, words: str, comes: str) -> None:
    loaded = book(tmp_path, place__a={"usually": [{"said": ["steam"], "is": "hard", "because": "Says so."}, {"is": "asked"}]})
    assert value(loaded, told(loaded, described(loaded), words), "place.a") == comes


def test_a_word_counts_where_it_stands_undenied() -> None:
    assert stands_in("floor drain", "bath with a floor drain")
    assert not stands_in("floor drain", "bath without floor drain")
    assert stands_in("drain", "no drain in the hall, a drain in the bath")


def test_a_reading_rests_on_what_is_written_or_usual_and_no_further(tmp_path: Path) -> None:
    """B rests on A's own reading; C rests on B's, which rests on another's, and is left open."""
    loaded = book(
        tmp_path,
        place__a={"usually": [{"is": "hard", "because": "Mostly."}]},
        place__b={"usually": [{"when": {"place.a": "hard"}, "is": "hard", "because": "Since A."}, {"is": "asked"}]},
        place__c={"usually": [{"when": {"place.b": "hard"}, "is": "hard", "because": "Since B."}, {"is": "asked"}]},
    )
    found = told(loaded, described(loaded))
    assert [value(loaded, found, name) for name in ("place.a", "place.b", "place.c")] == ["hard", "hard", "soft or hard or wet"]


@pytest.mark.parametrize(
    ("mentioned", "there", "missing"), [("usual", THERE, ()), ("not there", NONE, ()), ("missing", MAYBE, ("tape",)), ("asked", MAYBE, ())]
)
def test_what_is_not_mentioned_is_there_or_not_or_missed(tmp_path: Path, mentioned: str, there: int, missing: tuple) -> None:
    loaded = book(tmp_path, tape={"when not mentioned": mentioned})
    found = told(loaded, described(loaded))
    assert found.derived.vector[loaded.vocabulary.slot("tape")] == there
    assert found.not_mentioned == missing


@pytest.mark.parametrize("known", [Known(MAYBE, NOT_STATED, "written"), Known(THERE, STATED, "written")])
def test_what_is_written_is_mentioned(tmp_path: Path, known: Known) -> None:
    loaded = book(tmp_path, tape={"when not mentioned": "not there"})
    place = described(loaded)
    found = told(loaded, replace(place, known={**place.known, "tape": known}))
    assert found.derived.vector[loaded.vocabulary.slot("tape")] == known.value


def test_each_layer_is_narrowed_by_itself_and_one_that_a_gap_hides_is_not(tmp_path: Path) -> None:
    loaded = book(tmp_path, board__k={"usually": [{"is": "hard", "because": "Mostly."}]})
    soft = Layer("board", "one", {"board.k": read(loaded.vocabulary.fact("board.k"), "soft")})
    silent = Layer("board", "two", {"board.lies on": Known(1)})
    hidden = Layer("board", "not described", {}, MAYBE)
    place = replace(described(loaded), layers={"board": [soft, silent, hidden]})
    layers = told(loaded, place).subject.layers["board"]
    assert [layer.known.get("board.k", Known(0, NOT_STATED)).origin for layer in layers] == [STATED, USUAL, NOT_STATED]


def test_what_follows_from_the_description_stands_over_what_is_usual(tmp_path: Path) -> None:
    """A says hard by usage, from which B follows; but B was stated otherwise, so A is not taken."""
    follows = {"follows": consequence("follows", {"place.a": "hard"}, {"place.b": ["hard"]})}
    loaded = book(tmp_path, consequences=follows, place__a={"usually": [{"is": "hard", "because": "Mostly."}]})
    found = told(loaded, described(loaded, place__b="soft"))
    assert found.derived.disagreements == []
    assert found.taken == ()


def test_the_layers_of_a_place_are_the_same_layers_where_it_meets_another(tmp_path: Path) -> None:
    loaded = book(tmp_path, board__k={"usually": [{"is": "hard", "because": "Mostly."}]})
    layers = {"board": [Layer("board", "one", {"board.lies on": Known(1)})]}
    place = replace(described(loaded), layers=layers)
    meeting = replace(described(loaded), name="a meeting", layers={"board": layers["board"]})
    at, met = loaded.as_told.all_told([loaded.engine.derive(place), loaded.engine.derive(meeting)], "")
    assert at.subject.layers["board"] is met.subject.layers["board"]


# -- the law of it ------------------------------------------------------------------------------------------------------------


def with_usual(plain: Plain, chance: Random) -> LoadedBook:
    """A made-up book whose stated facts have made-up usual readings, some of them hanging on other facts."""
    texts = plain.texts()
    lines = json.loads(texts["vocabulary"])
    for fact in plain.facts.values():
        if fact.comes in ("stated", "narrowed") and chance.random() < 0.7:
            lines[fact.name] |= ASKED | {"usually": [*(row for row in [_row(plain, fact, chance)] if chance.random() < 0.6), _plain_row(fact, chance)]}
    for thing in ("tape", "board"):
        lines[thing] |= ASKED | {"when not mentioned": chance.choice(("usual", "not there", "missing", "asked"))}
    with TemporaryDirectory() as folder:
        return LoadedBook(read_book(write_book(Path(folder), **{**texts, "vocabulary": json.dumps(lines)})))


def _plain_row(fact, chance: Random) -> dict[str, object]:
    values = everything(fact)
    if fact.kind == "together" or chance.random() < 0.2:
        return {"is": "asked"}
    picked = sorted(chance.sample(values, chance.choice((1, min(2, len(values))))), key=values.index)
    text = f"{picked[0]} to {picked[-1]}" if fact.kind == "amount" and len(picked) > 1 else " or ".join(map(str, picked))
    return {"is": text, "because": "Made up."}


def _row(plain: Plain, fact, chance: Random) -> dict[str, object]:
    others = [f for f in plain.facts.values() if f.kind == "word" and f.comes == "stated" and f.thing == "place" and f.name != fact.name]
    if not others:
        return {"said": ["never said"], **_plain_row(fact, chance)}
    other = chance.choice(others)
    return {"when": condition_text(("is", other.name, "is", ("value", other.words[0]))), **_plain_row(fact, chance)}


@settings(max_examples=80, deadline=None)
@given(small_books(wild=True))
def test_as_told_settles_what_is_settled_strictly_and_alike(made) -> None:
    seed, plain = made
    loaded = with_usual(plain, Random(seed))
    for number in range(4):
        place = subject(plain, half_known(plain, Random(f"{seed} {number}"), 10_000), loaded.vocabulary)
        strict = loaded.engine.derive(place)
        (found,) = loaded.as_told.all_told([strict], "")
        strictly = {each.compiled.name: each.outcome for each in loaded.engine.judge(strict)}
        as_told = {each.compiled.name: each.outcome for each in loaded.engine.judge(found.derived)}
        for name, outcome in strictly.items():
            if outcome not in OPEN_OUTCOMES and outcome is not Outcome.NOTHING:
                assert STANDS_FOR[as_told[name]] == STANDS_FOR[outcome], (plain, place, name)
        assert [each.fact for each in found.derived.disagreements] == [each.fact for each in strict.disagreements]


@settings(max_examples=60, deadline=None)
@given(small_books(wild=True))
def test_saying_what_was_taken_as_usual_changes_no_judgement(made) -> None:
    """What was taken, said in so many words, leaves the same verdict, and saying it leaves less to be taken."""
    seed, plain = made
    loaded = with_usual(plain, Random(seed))
    for number in range(3):
        place = subject(plain, half_known(plain, Random(f"{seed} {number}"), 10_000), loaded.vocabulary)
        (found,) = loaded.as_told.all_told([loaded.engine.derive(place)], "")
        said = {n: k.from_(STATED) if k.origin == USUAL else k for n, k in found.subject.known.items()}
        layers = {
            thing: [replace(layer, known={n: k.from_(STATED) if k.origin == USUAL else k for n, k in layer.known.items()}) for layer in each]
            for thing, each in found.subject.layers.items()
        }
        again = loaded.engine.derive(replace(found.subject, known=said, layers=layers))
        (twice,) = loaded.as_told.all_told([again], "")
        outcomes = [(j.compiled.name, j.outcome) for j in loaded.engine.judge(found.derived) if j.outcome not in OPEN_OUTCOMES]
        after = {j.compiled.name: j.outcome for j in loaded.engine.judge(twice.derived)}
        assert {name: STANDS_FOR[after[name]] for name, _ in outcomes} == {name: STANDS_FOR[outcome] for name, outcome in outcomes}
        assert {each.fact for each in twice.taken} <= {each.fact for each in found.taken}
