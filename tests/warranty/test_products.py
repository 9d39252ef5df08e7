"""What was bought, and by which product: far too much is asked about, and a person sees what is on the job."""


import pytest
from drawn import shelf
from stated import ENOUGH, MAKER, SERVICE, condition_on, small

from paths import ROOT

from validator.assembly import read_assembly_file
from validator.warranty import stand
from validator.warranty.reading import programme_file, read_programme

REGISTERED_SHOWER = ROOT / "samples" / "registered-shower.yaml"


@pytest.fixture(scope="module")
def loaded():
    return shelf()


# -- far more than the area takes -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bought", "standing", "said"),
    [
        # 35 sq ft takes 1 gal at most, so three times the need is 3 gal.
        ("3 gal", "shown", "Enough at any of these values."),
        ("12.1 qt", "not shown", "The document asks above 3 times what the area takes: 3 gal"),
        ("2 to 9 gal", "shown", "Enough at any of these values."),
    ],
)
def test_far_more_than_the_area_takes_is_asked_about_where_the_document_names_how_many_times(bought, standing, said, loaded):
    asking = ENOUGH.replace("in: [shower wall]", "in: [shower wall], asks above: 3 times")
    line = condition_on(small(records=f"purchases: {{liquid membrane: {bought}}}"), asking, loaded)
    assert line.standing == standing
    assert said in line.reason
    if standing == "not shown":
        assert "asked about, and not held against anybody" in line.reason
        assert "Was some of it bought for another job, or for places that are not described here?" in [ask.says for ask in line.asks]


@pytest.mark.parametrize(("bought", "size"), [("40 gal", "60 x 84 in"), ("40 gal", "unknown")])
def test_how_much_is_far_too_much_is_never_this_programs_own_opinion(bought, size, loaded):
    line = condition_on(small(size=size, records=f"purchases: {{liquid membrane: {bought}}}"), ENOUGH, loaded)
    assert "another job" not in " ".join((line.reason, *(ask.says for ask in line.asks)))


def test_an_area_that_is_not_known_makes_nothing_too_much(loaded):
    asking = ENOUGH.replace("in: [shower wall]", "in: [shower wall], asks above: 3 times")
    line = condition_on(small(size="unknown", records="purchases: {liquid membrane: 40 gal}"), asking, loaded)
    assert "asks above" not in line.reason


# -- what is on the job, for who decides on one maker ---------------------------------------------------------------------------

NAMED = "membrane: {product: %s}"


def products(membrane: str, loaded) -> list[tuple]:
    line = condition_on(small(membrane=membrane), MAKER, loaded)
    return [(each.thing, each.product, each.card, each.places) for each in line.products]


@pytest.mark.parametrize(
    ("membrane", "product", "card"),
    [
        (NAMED % "Harrow liquid membrane", "Harrow liquid membrane", True),
        (NAMED % "harrow  LIQUID membrane", "Harrow liquid membrane", True),
        (NAMED % "Pail without a label", "Pail without a label", False),
        ("membrane: {kind: liquid}", "", False),
    ],
)
def test_the_product_of_a_layer_is_kept_with_whether_a_card_stands_behind_it(membrane, product, card, loaded):
    assert products(membrane, loaded) == [("membrane", product, card, ("wall",))]


def test_what_is_not_there_is_not_on_the_job(loaded):
    assert products("membrane: none", loaded) == []


def test_a_place_the_document_does_not_speak_of_adds_no_product(loaded):
    text = small().replace("  wall:", "  room floor: {built up: [{tile mortar: {product: Another mortar}}]}\n  wall:")
    line = condition_on(text, MAKER, loaded)
    assert [each.thing for each in line.products] == ["membrane"]


def test_parts_and_seals_are_on_the_job_as_layers_are(loaded):
    programme = read_programme(programme_file("millrace-handover"), loaded.book)
    report = stand(read_assembly_file(REGISTERED_SHOWER, loaded.vocabulary, loaded.catalogue), programme, loaded)
    line = next(line for line in report.terms[1].conditions if line.kind == "tied to one maker")
    found = [(each.thing, each.product, each.card, each.places) for each in line.products]
    assert ("tape", "Harrow seam tape", True, ("board seams",)) in found
    assert ("drain", "", False, ("shower floor",)) in found


@pytest.mark.parametrize(
    ("own", "product", "card"),
    [("{coats: 2}", "Harrow liquid membrane", True), ("{product: Pail without a label}", "Pail without a label", False)],
)
def test_a_product_written_once_for_the_room_is_that_of_a_layer_that_names_none(own, product, card, loaded):
    text = small(membrane=f"membrane: {own}") + "everywhere in: {wall: [{membrane: {product: Harrow liquid membrane}}]}\n"
    line = condition_on(text, MAKER, loaded)
    assert [(each.product, each.card) for each in line.products] == [(product, card)]


def test_a_copied_build_up_keeps_its_products(loaded):
    text = small(membrane=NAMED % "Harrow liquid membrane").replace("records:", "  other:\n    kind: shower wall\n    like: wall\nrecords:")
    line = condition_on(text, MAKER, loaded)
    assert [(each.product, each.places) for each in line.products] == [("Harrow liquid membrane", ("wall", "other"))]


def test_a_named_service_lists_no_product(loaded):
    assert condition_on(small(membrane=NAMED % "Harrow liquid membrane"), SERVICE, loaded).products == ()
