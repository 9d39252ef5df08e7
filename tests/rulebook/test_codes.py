"""The code in force decides: `in force` by edition, and limits whose values each have a source of their own."""

import json

import pytest
from books import VOCABULARY, rule, write_book
from described import outcome, place

from validator.judging.loading import LoadedBook
from validator.language.source import BadBook
from validator.rulebook.reading import read_book

WITH_CODES = VOCABULARY + """\
job: {what: The job, sort: job}
job.code family: {what: Family, kind: word, words: [residential, international, uniform], ask: Which code?, look: The permit.}
job.code edition: {what: Edition, kind: word, words: [2000, 2003, 2006, 2009, 2012], order: yes, ask: Which edition?, look: The permit.}
"""
SEEN = {"from": "big code", "edition": "1", "known by": "read second-hand"}
REMEMBERED = {"from": "big code", "edition": "1", "known by": "remembered"}


def book(folder, limits=None, **keys) -> LoadedBook:
    text = json.dumps(limits) if limits else ""
    return LoadedBook(read_book(write_book(folder, vocabulary=WITH_CODES, limits=text, rules={"all/deep-enough": rule(**keys)})))


@pytest.mark.parametrize(
    ("in_force", "edition", "expected"),
    [
        ("from 2006", "2006", "breach"),
        ("from 2006", "2012", "breach"),
        ("from 2006", "2003", "not applicable"),
        ("before 2006", "2003", "breach"),
        ("before 2006", "2006", "not applicable"),
        ("2003 to 2009", "2003", "breach"),
        ("2003 to 2009", "2009", "breach"),
        ("2003 to 2009", "2012", "not applicable"),
        ("2003 to 2009", "2000", "not applicable"),
        ("from 2006", "2003 or 2006", "open, if"),
        ("from 2006", "not stated", "open, if"),
        (None, "not stated", "breach"),
    ],
)
def test_a_rule_applies_while_it_is_in_force(tmp_path, in_force, edition, expected):
    loaded = book(tmp_path, in_force=in_force)
    assert outcome(loaded, place(loaded, {"place.depth": "1 in", "job.code edition": edition})) == expected


def test_a_rule_met_either_way_asks_for_no_edition(tmp_path):
    loaded = book(tmp_path, in_force="from 2006")
    assert outcome(loaded, place(loaded, {"place.depth": "3 in"})) == "nothing"


@pytest.mark.parametrize("text", ["from 2007", "lately", "2006 to", "before"])
def test_an_edition_that_is_none_is_refused(tmp_path, text):
    with pytest.raises(BadBook) as raised:
        book(tmp_path, in_force=text)
    assert f"`in force: {text}` names no edition. Accepted: `from 2006`, `before 2006` or `2006 to 2015`" in str(raised.value)


BY_FAMILY = {
    "least depth": {
        "kind": "length",
        "by": "job.code family",
        "values": {
            "residential or uniform": {"value": "3 in", "printed also": ["76 mm"], "source": SEEN},
            "international": {"value": "2 in", "source": REMEMBERED},
        },
    }
}
BY_LIMIT = {"place.depth": {"at least": {"limit": "least depth"}}}


@pytest.mark.parametrize(
    ("depth", "family", "expected"),
    [
        ("76 mm", "residential", "pass fail"),
        ("2-1/2 in", "uniform", "breach fail"),
        ("2 in", "international", "pass warn"),
        ("1 in", "international", "breach warn"),
        ("3 in", "not stated", "pass fail"),
        ("2-1/2 in", "not stated", "open fail"),
        # Every code agrees that it is too shallow; only some of them by a source that was seen.
        ("1 in", "not stated", "breach warn"),
    ],
)
def test_each_value_of_a_limit_has_the_weight_of_its_own_source(tmp_path, depth, family, expected):
    loaded = book(tmp_path, BY_FAMILY, requires=BY_LIMIT)
    (judgement,) = loaded.engine.judge(loaded.engine.derive(place(loaded, {"place.depth": depth, "job.code family": family})))
    word, severity = expected.split()
    assert str(judgement.outcome) == word
    if word != "pass":
        assert judgement.severity == severity


def test_words_in_order_may_be_named_by_one_side(tmp_path):
    values = {"before 2006": {"value": "1 in", "source": SEEN}, "from 2006": {"value": "2 in", "source": SEEN}}
    limits = {"least depth": {"kind": "length", "by": "job.code edition", "values": values}}
    loaded = book(tmp_path, limits, requires=BY_LIMIT)
    came = [outcome(loaded, place(loaded, {"place.depth": "1 in", "job.code edition": each})) for each in ("2003", "2006", "2003 or 2006")]
    assert came == ["pass", "breach", "open"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"international": {"value": "2 in"}}, "`international` names no source"),
        ({"international": {"source": SEEN}}, "the value for international lacks `value`"),
        ({"international": {"value": "2 in", "sourse": SEEN, "source": SEEN}}, "`sourse` is not a key of the value for international"),
        ({"residential": {"value": "2 in", "source": SEEN}, "international": {"value": "2 in", "source": SEEN}}, "both answer for"),
    ],
)
def test_a_value_that_says_too_little_is_refused(tmp_path, change, said):
    limits = {"least depth": {**BY_FAMILY["least depth"], "values": {**BY_FAMILY["least depth"]["values"], **change}}}
    with pytest.raises(BadBook) as raised:
        book(tmp_path, limits, requires=BY_LIMIT)
    assert said in str(raised.value)


def test_a_finding_cites_the_value_that_decided_and_no_other(tmp_path):
    loaded = book(tmp_path, BY_FAMILY, requires=BY_LIMIT)
    found = loaded.engine.derive(place(loaded, {"place.depth": "1 in", "job.code family": "international"}))
    (judgement,) = loaded.engine.judge(found)
    trail = loaded.explainer.explain(judgement.compiled.rule, judgement.vector, found)
    assert [cited.known_by for cited in trail.cited] == ["remembered"]
