"""What is offered for a word that is not known: what may have been meant, and never the opposite or another hazard."""

import pytest

from validator.language.slips import did_you_mean, near_ones, nearest, or_a_book_is_missing

ALLOWED = ["board.thickness", "board.fixed with", "membrane", "fiber cement", "applies when", "except when"]


@pytest.mark.parametrize(("word", "meant"), [
    ("board.thicknes", "board.thickness"), ("board.fixed_with", "board.fixed with"), ("Membrain", "membrane"),
    ("fibre-cement", "fiber cement"), ("apply when", "applies when"), ("grout", None), ("", None), ("x" * 1_000_000, None)])
def test_the_nearest_allowed_word_is_found_only_when_it_is_near(word, meant):
    assert nearest(word, ALLOWED) == meant


@pytest.mark.parametrize(("word", "opposite"), [
    ("cracked", "uncracked"), ("uncracked", "cracked"), ("bonded", "not bonded"), ("sealed", "unsealed"), ("modified", "unmodified"),
    ("combustible", "noncombustible"), ("sanded", "unsanded"), ("fitted", "none fitted")])
def test_a_word_is_never_offered_for_what_denies_it(word, opposite):
    assert near_ones(word, [opposite]) == ()


@pytest.mark.parametrize(("word", "other"), [
    ("mortar board", "MR board"), ("latex thinset", "epoxy thinset"), ("4x6", "2x6"), ("1/2 in", "1/4 in"), ("A118.4", "A118.1"),
    ("exterior wall", "interior wall"), ("gypsum board", "cement board"), ("pipe hole", "pinhole")])
def test_a_name_is_not_offered_for_another_that_only_looks_like_it(word, other):
    assert near_ones(word, [other]) == ()


@pytest.mark.parametrize(("word", "allowed", "both"), [
    ("3/8 in notch", ["3/8 in U notch", "3/8 x 3/8 in square notch", "1/2 in U notch"], {"3/8 in U notch", "3/8 x 3/8 in square notch"}),
    ("underlayment", ["self-leveling underlayment", "gypsum underlayment"], {"self-leveling underlayment", "gypsum underlayment"}),
    ("unmodifed", ["modified", "unmodified"], {"unmodified"}), ("grot", ["grout", "tile"], {"grout"})])
def test_what_is_about_as_near_is_offered_too(word, allowed, both):
    assert set(near_ones(word, allowed)) == both


def test_what_a_word_means_is_told_beside_it():
    means = {"SLU": "self-leveling underlayment", "grout": ""}
    assert did_you_mean("SLUU", means, means.get) == "did you mean `SLU` (self-leveling underlayment)? "
    assert did_you_mean("grouts", means, means.get) == "did you mean `grout`? "
    assert did_you_mean("marble", means, means.get) == ""


@pytest.mark.parametrize(("word", "near", "asked"), [
    ("hled", "held", False), ("board.thicknes", "board.thickness", False), ("thermostat limit", "thermostat", True), ("watched", None, True)])
def test_whether_a_book_is_missing_is_asked_unless_it_is_surely_a_slip(word, near, asked):
    assert or_a_book_is_missing(word, near) == ("; or is a book missing that has it? `--book` names each" if asked else "")
