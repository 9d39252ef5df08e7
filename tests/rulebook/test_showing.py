"""What a breach shows as: read with the words of what is seen, refused where it says nothing, and proved of a whole book."""

import json

import pytest
from books import SEEN, VOCABULARY, rule, write_book

from validator.facts.observing import observation_reader
from validator.judging.loading import LoadedBook
from validator.language.source import BadBook
from validator.proving import breaches_unsaid, prove_shown
from validator.rulebook.cache_format import decoded, encoded
from validator.rulebook.reading import read_book
from validator.rulebook.rule import MATTERS
from validator.rulebook.showing import HARMS_THAT_SHOW

OBSERVED = VOCABULARY + """\
observation: {what: What is seen, sort: observation, named by: kind}
observation.kind: {what: What is seen, kind: word, words: [crack, hollow]}
observation.pattern: {what: Where, kind: words together, words: [edge, field]}
"""
TAP = {"tap": {"what": "Tapping", "how": "Tap.", "tells": "Hollow or not.", "opens": "nothing", "takes": "minutes", "source": SEEN}}
TROUBLE = {"it lets go": {"what": "It lets go.", "shows as": [{"usual": "hollow, field"}], "source": SEEN, "told by": "tap"}}


def book_of(folder, *, troubles=TROUBLE, beyond=None, vocabulary=OBSERVED, beside=False, **keys) -> LoadedBook:
    files = {"causes/looks": json.dumps(TAP), "causes/troubles": json.dumps(troubles), "all/deep-enough": rule(**keys)}
    if beside:
        files["all/wide-enough"] = rule("wide-enough", requires={"place.depth": {"at least": "1 in"}}, shows_as=["it lets go"])
    if beyond is not None:
        files["causes/outside"] = json.dumps(beyond)
    return LoadedBook(read_book(write_book(folder, vocabulary=vocabulary, rules=files)))


def complaint_of(folder, **keys) -> str:
    with pytest.raises(BadBook) as refused:
        book_of(folder, **keys)
    [complaint] = refused.value.complaints
    return f"{complaint.what}. Accepted: {complaint.accepted}"


def test_a_rule_shows_as_its_own_observations_and_those_of_its_troubles(tmp_path):
    book = book_of(tmp_path, shows_as=["it lets go", {"sometimes": "crack at the edge", "source": SEEN}]).book
    shown = [(showing.seen, showing.typical, trouble) for showing, trouble in book.shown_by(book.rules["deep-enough"])]
    assert shown == [("crack at the edge", "sometimes", ""), ("hollow, field", "usual", "it lets go")]
    assert book.told_by(book.rules["deep-enough"]) == ("tap",)


def test_a_kept_book_still_knows_what_shows(tmp_path):
    book = book_of(tmp_path, shows_as=["it lets go"]).book
    kept = decoded(encoded(book))
    assert kept.shown_by(kept.rules["deep-enough"])[0][0].seen == "hollow, field"
    assert kept.looks == book.looks


@pytest.mark.parametrize(
    "keys, said",
    [
        ({"shows_as": ["it lets goo"]}, "`it lets goo` is no trouble of these books. Accepted: did you mean `it lets go`?"),
        ({"shows_as": [{"usual": "crak", "source": SEEN}]}, "`crak` names nothing that is seen. Accepted: did you mean `crack`?"),
        ({"shows_as": [{"usual": "crack, sideways", "source": SEEN}]}, "`sideways` is no word for what is seen."),
        ({"shows_as": [{"source": SEEN}]}, "an observation is either usual or only seen sometimes."),
        ({"shows_as": [{"usual": "crack"}]}, "nothing says on whose word a breach shows as this."),
        ({"told_by": ["tapp"]}, "`tapp` is no look of these books. Accepted: did you mean `tap`?"),
        ({"requires": {"observation.kind": "crack"}}, "`observation.kind` is what is seen to be wrong, and no condition reads it."),
        ({"beyond": {"ground": {"what": "It sinks.", "who": "an engineer", "where": {"observation.kind": "crack"}, "source": SEEN,
                                "shows as": [{"usual": "crack"}], "told by": "tap"}}},
         "`observation.kind` is what is seen to be wrong, and no condition reads it."),
    ],
)  # fmt: skip
def test_a_slip_in_what_shows_is_refused_in_words(tmp_path, keys, said):
    assert complaint_of(tmp_path, **keys).startswith(said)


def test_words_for_what_is_seen_are_needed_to_say_what_shows(tmp_path):
    told = complaint_of(tmp_path, vocabulary=VOCABULARY, shows_as=[{"usual": "crack", "source": SEEN}], troubles={})
    assert told.startswith("the vocabulary of these books has no words for what is seen.")


def test_a_harm_whose_rule_does_not_say_what_it_shows_as_is_told(tmp_path):
    untold, *_ = prove_shown(book_of(tmp_path, warranty="water escapes", beside=True), "small")
    assert "`deep-enough` is of the harm `water escapes` and does not say what its breach shows as" in untold


def test_a_rule_may_say_why_its_breach_shows_as_nothing(tmp_path):
    loaded = book_of(tmp_path, warranty="water escapes", shows_as="nothing, because nobody can see it.")
    assert loaded.book.rules["deep-enough"].breach.nothing == "nobody can see it."
    assert not [line for line in prove_shown(loaded, "small") if "deep-enough" in line]


def test_a_kind_that_no_breach_shows_as_is_told(tmp_path):
    told = list(prove_shown(book_of(tmp_path, shows_as=["it lets go"]), "small"))
    assert [line.partition(",")[0] for line in told] == ["`crack` can be seen"]


def test_a_book_that_does_not_speak_of_what_shows_is_left_alone(tmp_path):
    assert list(prove_shown(book_of(tmp_path, warranty="water escapes"), "small")) == []


def test_of_a_user_s_own_book_it_is_only_to_know(tmp_path):
    rules = {"all/deep-enough": rule(warranty="water escapes"),
             "all/wide-enough": rule("wide-enough", shows_as=[{"usual": "crack", "source": SEEN}])}  # fmt: skip
    folder = write_book(tmp_path, vocabulary=OBSERVED, rules=rules,
                        book="book: small\ntitle: t\nedition: '1'\nlayer: project specification\n")  # fmt: skip
    loaded = LoadedBook(read_book(folder))
    assert list(prove_shown(loaded, "small")) == []
    assert [line.split("`")[1] for line in breaches_unsaid(loaded, "small")] == ["deep-enough"]


# -- the book on the shelf ------------------------------------------------------------------------------------------------------


def test_every_kind_that_can_be_seen_is_explained_and_every_harm_shows_or_says_why_not(loaded):
    assert list(prove_shown(loaded, "us")) == []


def test_every_harm_that_shows_is_a_harm_of_rules():
    assert set(HARMS_THAT_SHOW) <= set(MATTERS)


def test_every_cause_outside_the_book_shows_as_something_and_names_a_look(loaded):
    reader = observation_reader(loaded.vocabulary)
    for cause in loaded.book.beyond.values():
        assert cause.told_by, cause.name
        assert all(reader.line(showing.seen) for showing in cause.shows)


def test_every_look_is_used(loaded):
    book = loaded.book
    used = {look for rule in book.rules.values() for look in book.told_by(rule)}
    used |= {look for cause in book.beyond.values() for look in cause.told_by}
    assert set(book.looks) - used == set()
