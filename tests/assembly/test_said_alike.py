"""`none`, `no`, `yes`, `there`, `unknown` and `not built yet` mean the same of every thing that the vocabulary has, wherever it stands."""

import pytest
from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts.possible import in_words
from validator.facts.vocabulary import MAYBE, NONE, STATE, THERE, Thing
from validator.facts.vocabulary_reading import read_vocabulary

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)
KINDS = VOCABULARY.facts["place.kind"].words
SAID = {
    "none": NONE, "no": NONE, "None": NONE, "not there": NONE, "without": NONE,
    "yes": THERE, "there": THERE, "used": THERE, "existing": THERE,
    "unknown": MAYBE, "?": MAYBE, "not sure": MAYBE, "don't know": MAYBE, "probably": MAYBE, "probably none": MAYBE,
}  # fmt: skip
LAYERS, PARTS, RECORDS, SEALS = (
    [thing for thing in VOCABULARY.things.values() if thing.sort == sort] for sort in ("layer", "part", "record", "seal")
)


def kind_for(thing: Thing) -> str:
    """A kind of place in which a thing can be, and which the thing is not itself."""
    return next((kind for kind in thing.in_places if kind not in VOCABULARY.things), "room floor")


def place(thing: Thing, line: str):
    text = f"places:\n  it:\n    kind: {kind_for(thing)}\n    {line}\n"
    return next(s for s in read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE).subjects if s.name == "it")


def named(things: list[Thing]) -> list:
    return [pytest.param(thing, id=thing.name) for thing in things]


@pytest.mark.parametrize("said", SAID)
@pytest.mark.parametrize("thing", named([*LAYERS, *PARTS]))
def test_of_a_layer_and_of_a_part(thing, said):
    line = f"built up: [{thing.name}: {said!r}]" if thing.sort == "layer" else f"{thing.name}: {said!r}"
    assert place(thing, line).known[thing.name].value == SAID[said], said


@pytest.mark.parametrize("said", ["none", "no", "unknown"])
@pytest.mark.parametrize("thing", named(LAYERS))
def test_of_a_layer_beside_the_build_up(thing, said):
    assert place(thing, f"{thing.name}: {said!r}").known[thing.name].value == SAID[said]


@pytest.mark.parametrize("said", SAID)
@pytest.mark.parametrize("thing", named(RECORDS))
def test_of_a_record(thing, said):
    text = f"places: {{it: {{kind: {kind_for(thing)}}}}}\nrecords: {{{thing.name}: {said!r}}}\n"
    job = next(s for s in read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE).subjects if s.sort == "job")
    assert job.known[thing.name].value == SAID[said]
    assert place(thing, f"{thing.name}: {said!r}").known[thing.name].value == SAID[said]


def sealed(line: str, of: str):
    text = f"places: {{it: {{kind: shower wall, built up: [board: cement, tile]}}}}\njunctions: {{board seams: {line}}}\n"
    assembly = read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE)
    return next(s for s in assembly.subjects if s.kind == "board seams").known[of].value


@pytest.mark.parametrize("said", [each for each in SAID if each != "existing"])
@pytest.mark.parametrize("thing", named(SEALS))
def test_of_a_seal(thing, said):
    assert sealed(f"{{{thing.name}: {said!r}}}", thing.name) == SAID[said]


@pytest.mark.parametrize("thing", named([*LAYERS, *PARTS]))
def test_what_is_not_built_yet_is_planned(thing):
    line = "built up: [{}: {}]" if thing.sort == "layer" else "{}: {}"
    subject = place(thing, line.format(thing.name, "not built yet"))
    known = subject.layers[thing.name][0].known if thing.sort == "layer" else subject.known
    state = VOCABULARY.facts[f"{thing.name}.{STATE}"]
    assert subject.known[thing.name].value == THERE and in_words(state, known[state.name].value) == "planned"


@pytest.mark.parametrize("thing", named(RECORDS))
def test_a_record_that_is_not_kept_yet_shows_nothing(thing):
    assert place(thing, f"{thing.name}: not done yet").known[thing.name].value == MAYBE


@pytest.mark.parametrize("said", ["unknown", "not built yet", "probably", "not sure"])
def test_of_every_fact_nothing_is_known(said):
    from validator.facts.possible import NOT_STATED, read

    for fact in VOCABULARY.facts.values():
        if fact.kind != "presence" and fact.stated and not fact.name.endswith(f".{STATE}"):
            assert read(fact, said).origin == NOT_STATED, fact.name
