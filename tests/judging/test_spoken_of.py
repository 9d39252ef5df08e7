"""What a title or a name speaks of, and nobody wrote, is never taken as not there."""

import pytest

from validator.assembly import read_assembly
from validator.facts.vocabulary import MAYBE, NONE
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.rulebook.shelf import book_folder

CEILING = """\
assembly: {title}
places:
  ceiling: {{kind: shower ceiling, fall: {fall}, built up: [board: cement, membrane: sheet, tile: porcelain]}}
"""


def told(loaded: LoadedBook, title: str, fall: str = "0 in per ft"):
    assembly = read_assembly(CEILING.format(title=title, fall=fall), "a.yaml", loaded.vocabulary, loaded.catalogue)
    return assembly.subjects[0], check(assembly, loaded, passes=False).as_told


def test_a_steam_shower_is_judged_as_one_though_only_its_title_says_so(loaded: LoadedBook) -> None:
    place, verdict = told(loaded, "Steam shower")
    assert place.known["steam"].value == MAYBE and "steam" not in place.presumed
    assert "steam-ceiling-slopes" in {each.rule for each in verdict.findings if each.outcome == "fail"}


@pytest.mark.parametrize("title", ["A shower", "A shower without steam", "No steam shower"])
def test_where_no_word_speaks_of_it_or_one_denies_it_it_is_not_there(loaded: LoadedBook, title: str) -> None:
    place, verdict = told(loaded, title)
    assert place.known["steam"].value == NONE
    assert not any("steam" in each.rule for each in verdict.findings)


def test_what_its_presence_asks_for_is_asked_and_not_taken_as_if_it_were_not_there(loaded: LoadedBook) -> None:
    _, verdict = told(loaded, "Steam shower", fall="2 in per ft")
    assert "steam-membrane-sold-for-steam" not in {each.rule for each in verdict.findings}
    assert "membrane.steam rated" in {fact for each in verdict.questions for fact in each.facts}


def test_old_tile_that_the_title_speaks_of_is_asked_about(loaded: LoadedBook) -> None:
    text = "assembly: {}\nplaces: {{hall: {{kind: room floor, built up: [slab, tile: porcelain]}}}}"
    known = [read_assembly(text.format(title), "a.yaml", loaded.vocabulary, {}).subjects[0].known["existing finish"].value
             for title in ("Hall tiled over old tile", "Hall")]  # fmt: skip
    assert known == [MAYBE, NONE]


def test_nothing_is_called_not_mentioned_where_something_of_its_kind_is_written(loaded: LoadedBook) -> None:
    _, verdict = told(loaded, "Steam shower")
    assert not any(each.not_mentioned for each in verdict.questions)


def test_a_kept_book_hears_the_same_words(loaded: LoadedBook, tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    for _ in range(2):  # read from its files, and then as it was kept
        things = load_book(book_folder("us")).vocabulary.things
        assert things["steam"].spoken_of_by == loaded.vocabulary.things["steam"].spoken_of_by != ()
