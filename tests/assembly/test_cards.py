"""Product cards bring in what a product declares, and say so when a statement is against them."""


import pytest

from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts.possible import in_words
from validator.facts.vocabulary_reading import read_vocabulary

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)
IN = 25_400_000


def wall(layer):
    text = f"places: {{shower wall: {{built up: [{layer}, tile]}}}}"
    assembly = read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE)
    return assembly, assembly.subjects[0]


def test_a_card_declares_what_nobody_wrote():
    _, place = wall("board: {product: harrow  Foam Board}")
    board = place.layers["board"][0].known
    assert board["board.thickness"].value == (IN // 2, IN // 2)
    assert board["board.thickness"].origin == "product card"


def test_a_products_name_alone_names_the_layer():
    _, place = wall("board: Harrow foam board")
    assert in_words(VOCABULARY.fact("board.material"), place.layers["board"][0].known["board.material"].value) == "foam"


def test_a_cards_words_together_are_complete_and_a_persons_are_not():
    _, place = wall("tile mortar: {product: Harrow modified mortar}")
    surely, possibly = place.layers["tile mortar"][0].known["tile mortar.meets"].value
    assert surely == possibly
    _, place = wall("tile mortar: {meets: A118.4 and A118.11}")
    surely, possibly = place.layers["tile mortar"][0].known["tile mortar.meets"].value
    assert surely != possibly


def test_a_statement_against_its_card_is_any_of_both_and_a_disagreement():
    _, place = wall("board: {product: Harrow foam board, thickness: 5/8 in}")
    known = place.layers["board"][0].known["board.thickness"]
    assert known.value == (IN // 2, IN * 5 // 8)
    assert known.origin not in ("stated", "product card")
    (found,) = place.disagreements
    assert (found.fact, found.place) == ("board.thickness", "shower wall")
    assert found.said == (("stated", "5/8 in"), ("Harrow foam board", "1/2 in"))


@pytest.mark.parametrize("thickness", ["1/2 in", "13 mm", "12.7 mm", "1/2 to 5/8 in", "17/32 in"])
def test_two_roundings_of_one_thickness_do_not_disagree(thickness):
    _, place = wall(f"board: {{product: Harrow foam board, thickness: {thickness}}}")
    assert place.disagreements == []


@pytest.mark.parametrize("thickness", ["14 mm", "5/8 in", "at least 9/16 in"])
def test_a_thickness_further_off_disagrees(thickness):
    _, place = wall(f"board: {{product: Harrow foam board, thickness: {thickness}}}")
    assert len(place.disagreements) == 1


def test_a_product_without_a_card_counts_only_as_written_and_is_noted():
    assembly, place = wall("board: {product: Harow foam board, material: cement}")
    assert "board.thickness" not in place.layers["board"][0].known
    assert [str(note) for note in assembly.notes] == [
        "bath.yaml:1:35: there is no card for `Harow foam board`: only what is written here counts. Accepted: did you mean `Harrow foam board`?"
    ]


def test_every_invented_product_says_it_is_for_demonstration_only():
    assert len(CATALOGUE) >= 6
    for card in CATALOGUE.values():
        assert card.name.startswith("Harrow ")
        assert card.about.endswith("for demonstration only.")


def test_what_is_said_of_a_whole_room_may_be_against_a_card_too():
    text = """\
places: {shower wall: {built up: [board: {product: Harrow foam board}, tile]}}
everywhere in: {shower: [board: {thickness: 5/8 in}]}
"""
    place = read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE).subjects[0]
    assert place.layers["board"][0].known["board.thickness"].value == (IN // 2, IN * 5 // 8)
    assert [each.fact for each in place.disagreements] == ["board.thickness"]
