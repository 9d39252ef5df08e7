"""What is new, standing, damaged, planned or on its way out, and how far the work is."""

import jsonschema
import pytest
import yaml

from paths import ROOT, SAMPLES

from validator.assembly import read_assembly
from validator.assembly.schema import schema_of
from validator.facts import possible
from validator.facts.possible import NOT_STATED, STATED
from validator.facts.subjects import Subject
from validator.facts.vocabulary import MAYBE, NONE, STATES, THERE
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly
from validator.rulebook.shelf import shelf

VOCABULARY = read_vocabulary(shelf() / "vocabulary")
STAGES = ("as planned", "board hung", "membrane on", "tile set", "grouted", "finished")


def subject(text: str, name: str) -> Subject:
    found = read_assembly(text, "all.yaml", VOCABULARY, {})
    return next(each for each in found.subjects if each.name == name)


def floor(lines: str, **top: str) -> Subject:
    above = "\n".join(f"{key}: {value}" for key, value in top.items())
    return subject(f"{above}\nplaces: {{shower: {{kind: shower floor, {lines}}}}}", "shower")


def complaint(text: str) -> tuple[str, str]:
    with pytest.raises(BadAssembly) as refused:
        read_assembly(text, "all.yaml", VOCABULARY, {})
    [found] = refused.value.complaints
    return found.what, found.accepted


def words(place: Subject, name: str) -> str:
    return possible.in_words(VOCABULARY.facts[name], place.known[name].value) if name in place.known else "not stated"


# -- states -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", STATES)
def test_a_part_says_its_state_beside_its_facts_or_alone(state):
    place = floor(f"drain: {{kind: clamping ring, state: {state}}}, curb: {state}")
    if state != "to be removed":
        assert words(place, "drain.state") == words(place, "curb.state") == state
        assert place.known["curb"].value == THERE and place.known["curb"].origin == STATED


@pytest.mark.parametrize("thing", [each.name for each in VOCABULARY.things.values() if each.sort in ("layer", "part", "framing", "record")])
def test_every_layer_part_framing_run_and_record_has_a_state(thing):
    assert VOCABULARY.facts[f"{thing}.state"].words == STATES


def test_what_is_no_layer_part_framing_or_record_has_none():
    assert [each.name for each in VOCABULARY.things.values() if f"{each.name}.state" in VOCABULARY.facts and
            each.sort in ("job", "place", "junction", "seal")] == []  # fmt: skip


def test_a_part_to_be_removed_is_not_there_when_the_work_is_done():
    place = floor("niche: none, bench: {fall: 0 in per ft, state: to be removed}")
    assert (place.known["bench"].value, place.known["bench"].origin) == (NONE, STATED)
    assert "bench.fall" not in place.known


def test_of_a_part_that_every_such_place_has_another_takes_its_turn_and_nothing_is_known_of_it():
    place = floor("drain: {kind: clamping ring, state: to be removed}")
    assert (place.known["drain"].value, place.known["drain"].origin) == (THERE, NOT_STATED)
    assert words(place, "drain.kind") == "not stated"


def test_a_part_that_may_be_removed_may_be_there():
    place = floor("bench: {fall: 0 in per ft, state: existing or to be removed}")
    assert place.known["bench"].value == MAYBE
    assert words(place, "bench.fall") == "0 in per ft (0 %)"


@pytest.mark.parametrize("state", ["new", "existing", "damaged", "planned", "unknown"])
def test_a_part_in_any_other_state_is_there_with_what_is_said_of_it(state):
    place = floor(f"drain: {{kind: clamping ring, state: {state}}}")
    assert (place.known["drain"].value, words(place, "drain.kind")) == (THERE, "clamping ring")


def test_the_junctions_of_a_part_to_be_removed_are_not_made():
    def opening(state: str) -> bool:
        wall = f"places: {{wall: {{kind: shower wall, window: {{frame: wood, state: {state}}}}}}}"
        return any(each.kind == "window opening" for each in read_assembly(wall, "a", VOCABULARY, {}).subjects)

    assert (opening("existing"), opening("to be removed")) == (True, False)


RUNS = "framing: {old joists: {joist: 2x6, span: 12 ft, state: %s}, new joists: {joist: 2x10, span: 12 ft}}\n"


def runs(state: str, on: str) -> list[str]:
    place = subject(RUNS % state + f"places: {{floor: {{kind: room floor, on: {on}}}}}", "floor")
    return [layer.name for layer in place.layers.get("framing", [])]


def test_a_framing_run_to_be_removed_carries_nothing():
    assert runs("existing", "[old joists, new joists]") == ["old joists", "new joists"]
    assert runs("to be removed", "[old joists, new joists]") == ["new joists"]


def test_where_the_only_framing_is_to_be_removed_nothing_is_known_of_what_carries_the_floor():
    assert runs("to be removed", "old joists") == []
    place = subject("framing: {joist: 2x6, state: to be removed}\nplaces: {floor: {kind: room floor}}", "floor")
    assert "framing" not in place.layers and "framing.joist" not in place.known and place.known["framing"].value == THERE


def test_framing_that_may_be_removed_is_not_counted_on():
    assert runs("existing or to be removed", "old joists") == []


def test_a_record_that_is_planned_shows_nothing_yet():
    for written in ("planned", "{held: 24 h, state: planned}", "{held: 24 h, state: new or planned}"):
        assert floor(f"flood test: {written}").known["flood test"].value == MAYBE
        whole = subject(f"places: {{a: {{kind: shower floor}}}}\nrecords: {{flood test: {written}}}", "the job")
        assert whole.known["flood test"].value == MAYBE


def test_a_record_that_was_made_is_there():
    assert floor("flood test: {held: 24 h, state: new}").known["flood test"].value == THERE
    assert floor("flood test: {held: 24 h}").known["flood test"].value == THERE


def test_a_layer_keeps_its_state_and_one_to_be_removed_carries_nothing():
    place = floor("built up: [slab, tile: to be removed, membrane: liquid, tile: {body: porcelain, state: planned}]")
    first, second = place.written("tile")
    assert [possible.in_words(VOCABULARY.facts["tile.state"], each.known["tile.state"].value) for each in (first, second)] == ["to be removed", "planned"]
    assert place.layers["tile"] == [second] and place.taken_out == (first,)
    assert possible.in_words(VOCABULARY.facts["tile.lies on"], second.known["tile.lies on"].value) == "slab"


def test_what_is_to_be_removed_was_not_bought_for_the_work():
    products = "drain: {product: old drain, state: %s}, built up: [slab, membrane: {product: old coat, state: %s}]"
    assert [each.name for each in floor(products % ("existing", "new")).products if each.name] == ["old coat", "old drain"]
    assert [each.name for each in floor(products % ("to be removed", "to be removed")).products if each.name] == []


def test_a_place_of_its_own_is_not_judged_when_it_is_to_be_removed():
    assert complaint("places: {old curb: {kind: curb, state: to be removed}}") == (
        "`old curb` is to be removed, and is not judged as a place of its own",
        "leave the place out, or write `curb: {state: to be removed}` in the place that it is a part of",
    )


def test_a_state_that_there_is_not_is_told_in_words():
    what, accepted = complaint("places: {shower: {kind: shower floor, drain: {state: exsting}}}")
    assert what == "`state`: `exsting` is not a word for state of the drain"
    assert accepted.startswith("did you mean `existing`? new, existing, damaged, to be removed, planned")


# -- stages -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", STAGES)
def test_the_job_and_a_place_say_how_far_they_are(stage):
    place = floor(f"stage: {stage}", use="{stage: as planned}")
    assert (words(place, "place.stage"), words(place, "job.stage")) == (stage, "as planned")


def test_stages_are_in_the_order_of_the_work():
    for name in ("job.stage", "place.stage"):
        assert VOCABULARY.facts[name].words == STAGES and VOCABULARY.facts[name].order


def test_a_place_that_does_not_say_how_far_it_is_stands_where_the_job_stands():
    assert words(floor("size: 3 x 5 ft", use="{stage: tiled}"), "place.stage") == "tile set"
    assert words(floor("size: 3 x 5 ft"), "place.stage") == "not stated"


def test_every_step_that_hides_something_is_a_stage():
    hides = {fact.can_be_seen_until for fact in VOCABULARY.facts.values()} - {"always", "covered below", "never afterwards"}
    assert hides == {"board hung", "membrane on", "tile set", "grouted"} < set(STAGES)


def test_a_stage_that_there_is_not_is_told_in_words():
    what, accepted = complaint("places: {shower: {kind: shower floor, stage: tile sett}}")
    assert what.startswith("`stage`: `tile sett` is not a word for how far the work on the place is")
    assert accepted.startswith("did you mean `tile set`?")


# -- an editor, the sample, the README --------------------------------------------------------------------------------------

CHECKER = jsonschema.Draft202012Validator(schema_of(VOCABULARY))


def test_an_editor_offers_states_and_stages():
    definitions = CHECKER.schema["$defs"]

    def offered(form: str, key: str) -> list[str]:
        """The words that an editor offers, in the first of the forms in which a thing may be written with facts."""
        forms = [each for each in (definitions[form], *definitions[form].get("anyOf", ())) if key in each.get("properties", {})]
        return forms[0]["properties"][key]["anyOf"][0]["enum"]

    for thing in ("drain", "framing", "flood test", "tile"):
        assert offered(thing, "state")[: len(STATES)] == list(STATES)
    for thing in ("job", "place"):
        assert offered(thing, "stage")[: len(STAGES)] == list(STAGES)


def test_the_half_known_shower_says_how_far_it_is_and_what_stood_there():
    text = (SAMPLES / "half-known.yaml").read_text()
    assert "stage: " in text and "state: existing" in text
    assert list(CHECKER.iter_errors(yaml.safe_load(text))) == []
    place = subject(text, "shower floor")
    assert words(place, "place.stage") == "membrane on" and words(place, "drain.state") == "existing"


def test_the_readme_names_every_state_and_stage():
    text = (ROOT / "README.md").read_text()
    assert [word for word in (*STATES, *STAGES) if word not in " ".join(text.split())] == []
