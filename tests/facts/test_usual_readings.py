"""What an unwritten fact is taken to be: how it is written, what is refused, and what the shelf's vocabulary never presumes."""

import graphlib
from pathlib import Path

import pytest
from books import VOCABULARY as SMALL, write_book

from validator.facts import possible
from validator.facts.usual_reading import ASKING_KEYS
from validator.facts.vocabulary import ASKED, Fact, Reading, Thing, Vocabulary
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.record import record
from validator.language.source import BadBook, Complaint, Entries, Text, read_file
from validator.rulebook.cache_format import decoded, encoded
from validator.rulebook.conditions import Comparison, IsThere, Names, leaves, read_condition
from validator.rulebook.reading import read_book
from validator.rulebook.shelf import shelf

WORDS = """\
job: {what: The job, sort: job}
job.building: {what: Building, kind: word, words: [house, hotel], ask: What building is it?, known from: design, matters: later,
  usually: [{is: house, because: Most are.}]}
place: {what: The place, sort: place}
place.dry: {what: Dry, kind: yes or no, ask: Is the place dry?%s}
tape: {what: Tape, sort: seal, when not written: ask, ask: Is there tape?%s}
"""


def words(folder: Path, fact: str = "", thing: str = "") -> Vocabulary:
    (folder / "words.yaml").write_text(WORDS % (fact and f", {fact}", thing and f", {thing}"))
    return read_vocabulary(folder)


def as_read(readings: tuple[Reading, ...]) -> list[tuple[list[str], tuple[str, ...], str, str]]:
    return [(list(each.when.keys()) if each.when else [], each.said, each.is_.text, each.because) for each in readings]


def test_usual_readings_are_kept_in_their_order_with_what_they_rest_on(tmp_path):
    fact = words(tmp_path, "usually: [{when: {job.building: hotel}, said: [spa, pool], is: asked}, {is: yes, because: Rooms are.}]").facts["place.dry"]
    assert as_read(fact.usually) == [(["job.building"], ("spa", "pool"), "asked", ""), ([], (), "yes", "Rooms are.")]


def test_a_fact_without_a_usual_reading_is_asked(tmp_path):
    assert words(tmp_path).facts["place.dry"].usually == ()


def test_one_word_of_said_is_a_list_of_one(tmp_path):
    fact = words(tmp_path, "usually: [{said: spa, is: no, because: Spas are wet.}, {is: asked}]").facts["place.dry"]
    assert fact.usually[0].said == ("spa",)


def test_what_is_taken_of_a_thing_is_one_word_or_a_list_of_readings(tmp_path):
    assert as_read(words(tmp_path, "", "when not mentioned: usual").things["tape"].when_not_mentioned) == [([], (), "usual", "")]
    listed = "when not mentioned: [{when: {job.building: hotel}, is: missing, because: None is mentioned.}, {is: not there, because: No seams.}]"
    found = words(tmp_path, "", listed).things["tape"].when_not_mentioned
    assert [each.is_.text for each in found] == ["missing", "not there"]


def test_what_is_said_of_asking_for_a_thing_is_said_of_its_presence(tmp_path):
    known = words(tmp_path, "", "known from: work, can be seen until: tile set, matters: first")
    presence = known.facts["tape"]
    assert (presence.known_from, presence.can_be_seen_until, presence.matters) == ("work", "tile set", "first")


def test_a_book_of_one_s_own_may_leave_out_whence_and_until_when(tmp_path):
    fact = words(tmp_path).facts["place.dry"]
    assert (fact.known_from, fact.can_be_seen_until, fact.matters) == ("site", "always", "later")


@pytest.mark.parametrize(
    "fact, thing, what, accepted",
    [
        ("known from: labell", "", "known from cannot be `labell`", "did you mean `label`? design, label, work, record, site"),
        ("can be seen until: tile sett", "", "can be seen until cannot be `tile sett`",
         "did you mean `tile set`? always, board hung, membrane on, tile set, grouted, covered below, never afterwards"),
        ("matters: frist", "", "matters cannot be `frist`", "did you mean `first`? first, later, seldom"),
        ("usualy: [{is: asked}]", "", "`usualy` is not a key of the fact `place.dry`", "did you mean `usually`?"),
        ("usually: yes", "", "the usual readings of `place.dry` are a list", "a line `- {when: ..., is: ..., because: ...}` for each"),
        ("usually: []", "", "the usual readings of `place.dry` are a list", "a line `- {when: ..., is: ..., because: ...}` for each"),
        ("usually: [{iss: yes, is: no, because: b}]", "", "`iss` is not a key of a usual reading of `place.dry`",
         "did you mean `is`? when, said, is, because"),
        ("usually: [{said: [spa], because: b}]", "", "a usual reading of `place.dry` lacks `is`", "a line `is: ...`"),
        ("usually: [{is: [yes], because: b}]", "", "what `place.dry` usually is, is one piece of text",
         "`is: ...`, as an assembly would say it, or `is: asked`"),
        ("usually: [{is: yes}]", "", "no reason is given why `place.dry` is taken as `yes`", "`because: ...`"),
        ("usually: [{when: hotel, is: no, because: b}, {is: asked}]", "", "`when` is a condition", "`when: {fact: what it must be}`"),
        ("usually: [{is: yes, because: b}, {is: asked}]", "",
         "this reading of `place.dry` always holds, so that none behind it is looked at", "write it last"),
        ("usually: [{said: [spa], is: no, because: b}]", "", "the last reading of `place.dry` holds only sometimes", "a last line `- {is: asked}`"),
        ("", "when not mentioned: mising", "when not mentioned cannot be `mising`", "did you mean `missing`? missing, usual, not there, asked"),
        ("", "when not mentioned: [{is: gone, because: b}]", "what is not mentioned cannot be `gone`", "missing, usual, not there, asked"),
        ("", "usually: [{is: yes, because: b}]", "`usually` is not a key of the thing `tape`", None),
        ("when not mentioned: usual", "", "`when not mentioned` is not a key of the fact `place.dry`", None),
    ],
)  # fmt: skip
def test_a_slip_in_what_is_usual_is_refused_in_words(tmp_path, fact, thing, what, accepted):
    with pytest.raises(BadBook) as refused:
        words(tmp_path, fact, thing)
    [complaint] = refused.value.complaints
    assert complaint.what == what
    assert accepted is None or complaint.accepted.startswith(accepted)


def test_what_nobody_is_asked_for_has_no_usual_reading(tmp_path):
    (tmp_path / "more.yaml").write_text("place.wet: {what: Wet, kind: yes or no, concluded: flag, usually: [{is: no, because: b}]}\n")
    with pytest.raises(BadBook) as refused:
        words(tmp_path)
    assert [each.what for each in refused.value.complaints] == ["nobody is asked for `place.wet`, so it has no usual reading"]


def test_a_kept_book_carries_what_is_usual(tmp_path):
    depth = "place.depth: {what: Depth, kind: length, ask: How deep is it?, look: Look., answers: [installer]"
    assert depth in SMALL
    usual = depth + ", known from: label, matters: first, usually: [{when: {tape: there}, said: [deep], is: 2 in, because: b}, {is: asked}]"
    book = read_book(write_book(tmp_path, vocabulary=SMALL.replace(depth, usual)))
    kept = decoded(encoded(book))
    rows = [[(each.said, each.value, each.text, each.because) for each in made.usual.facts["place.depth"]] for made in (book, kept)]
    assert rows[0] == rows[1] == [(("deep",), (50_800_000, 50_800_000), "2 in", "b"), ((), None, "asked", "")]
    after = kept.vocabulary.facts["place.depth"]
    assert (after.known_from, after.can_be_seen_until, after.matters) == ("label", "always", "first")


# -- the shelf's own vocabulary -------------------------------------------------------------------------------------------------

VOCABULARY = shelf() / "vocabulary"
SHELF = read_vocabulary(VOCABULARY)
WALLS = {"shower wall", "shower ceiling", "tub surround wall", "room wall"}


@record
class Usual:
    """One row of the shelf: whose it is, and what its condition reads."""

    of: Fact | Thing
    reading: Reading
    reads: tuple[Comparison | IsThere, ...]


def rows() -> list[Usual]:
    complaints: list[Complaint] = []
    found = []
    for of in (*SHELF.things.values(), *list(SHELF.facts.values())):
        for reading in of.when_not_mentioned if isinstance(of, Thing) else of.usually:
            condition = read_condition(reading.when, SHELF, Names(frozenset(), {}), complaints)
            found.append(Usual(of=of, reading=reading, reads=tuple(leaves(condition))))
    assert complaints == []  # every condition is one that a rule could have, and names what there is
    return found


ROWS = rows()
OF_FACTS = [row for row in ROWS if isinstance(row.of, Fact)]


def test_whatever_is_asked_says_whence_it_is_known_until_when_it_is_seen_and_how_much_it_matters():
    lacking = []
    for path in sorted(VOCABULARY.glob("*.yaml")):
        for name, node in read_file(path, []).pairs:
            if node.get("ask") is not None:
                lacking += [(name.text, key) for key in ASKING_KEYS if node.get(key) is None]
    assert lacking == []


def test_what_nobody_is_asked_for_says_nothing_of_asking():
    for path in sorted(VOCABULARY.glob("*.yaml")):
        for name, node in read_file(path, []).pairs:
            assert node.get("ask") is not None or name.text == "framing" or not set(ASKING_KEYS) & set(node.keys()), name.text


def test_a_thing_that_may_be_left_unwritten_says_what_is_taken_when_nobody_mentions_it():
    assert [thing.name for thing in SHELF.things.values() if thing.when_not_written == "ask" and not thing.when_not_mentioned] == []


@pytest.mark.parametrize("row", OF_FACTS, ids=lambda row: f"{row.of.name}: {row.reading.is_.text}")
def test_a_usual_reading_can_be_read_and_narrows_what_the_fact_may_be(row):
    if row.reading.is_.text != ASKED:
        known = possible.read(row.of, row.reading.is_.text)
        assert known.origin == possible.STATED
        assert possible.both(row.of, known.value, row.of.anything) == known.value != row.of.anything
        if row.of.slip_below:  # within what a person could state without a slip
            least, greatest = (possible.read(row.of, text).value for text in (row.of.slip_below, row.of.slip_above))
            assert possible.both(row.of, known.value, (least[0], greatest[1])) is not None


def test_a_fact_that_is_only_asked_has_no_usual_reading():
    assert [fact.name for fact in SHELF.facts.values() if fact.usually and {each.is_.text for each in fact.usually} == {ASKED}] == []


def test_nothing_is_presumed_of_what_the_book_concludes():
    """It is presumed of what the conclusion rests on, so that a reading never stands against a consequence."""
    assert [row.of.name for row in OF_FACTS if row.of.concluded] == []
    assert [row.of.name for row in ROWS for leaf in row.reads if isinstance(leaf, Comparison) and SHELF.facts[leaf.fact].concluded] == []


STRENGTH = ["framing.joist", "framing.species", "framing.grade", "framing.span", "framing.live deflection",
            "framing.total deflection", "framing.dead load", "framing.notch depth", "subfloor panel.thickness",
            "subfloor panel.category", "subfloor panel.span rating", "subfloor panel.material", "subfloor panel.grade"]  # fmt: skip
REACH = ["screw.length"]
WATERPROOFING = ("membrane", "isolation membrane", "liner", "vapour retarder", "film check", "flood test", "junction", "corner piece", "collar")
NOT_A_LAYER_S_OWN = {"membrane.loss"}  # what stays in the pail, not what is on the wall


@pytest.mark.parametrize("name", [*STRENGTH, *REACH])
def test_what_decides_strength_and_how_far_a_fastener_reaches_is_always_asked(name):
    assert SHELF.facts[name].ask and SHELF.facts[name].usually == ()


def test_no_fall_is_presumed():
    falls = [fact for fact in SHELF.facts.values() if fact.kind == "slope" and fact.ask]
    assert len(falls) >= 10
    assert [fact.name for fact in falls if fact.usually] == []


def test_no_height_lap_coat_or_film_of_waterproofing_is_presumed():
    amounts = [fact for fact in SHELF.facts.values() if fact.thing in WATERPROOFING and fact.is_amount and fact.ask]
    assert len(amounts) >= 30
    assert [fact.name for fact in amounts if fact.usually and fact.name not in NOT_A_LAYER_S_OWN] == []


def test_no_waterproofing_is_presumed_to_be_there_or_to_be_whole():
    for name in ("membrane.covers", "membrane.continuous", "membrane.reinforced at corners", "isolation membrane.waterproof", "foam pan.waterproof",
                 "place.waterproofed", "liner.corners", "tape.continuous", "junction.sealed"):  # fmt: skip
        assert SHELF.facts[name].usually == (), name
    assert {each.is_.text for each in SHELF.facts["board.waterproof"].usually} == {"no", ASKED}
    assert "usual" not in {each.is_.text for each in SHELF.things["membrane"].when_not_mentioned}


def test_only_the_studs_of_walls_have_a_usual_spacing():
    taken = [row for row in OF_FACTS if row.of.name == "framing.spacing" and row.reading.is_.text != ASKED]
    assert len(taken) == 1
    [leaf] = taken[0].reads
    kind = SHELF.facts["place.kind"]
    assert leaf.against.value & ~possible.word_mask(kind, tuple(WALLS)) == 0


def test_no_usual_reading_rests_on_itself():
    """A condition asks of a thing whether it is written; of a fact it takes the usual reading too, and there it may not go in a circle."""
    rests_on: dict[str, set[str]] = {}
    for row in OF_FACTS:
        rests_on.setdefault(row.of.name, set()).update(leaf.fact for leaf in row.reads if isinstance(leaf, Comparison) and SHELF.facts[leaf.fact].usually)
    graphlib.TopologicalSorter(rests_on).prepare()


def test_words_that_are_listened_for_are_written_as_they_are_looked_up():
    for row in ROWS:
        for word in row.reading.said:
            assert word == " ".join(word.split()) and word, (row.of.name, word)
        assert len(set(row.reading.said)) == len(row.reading.said), row.of.name
        assert isinstance(row.reading.is_, Text) and (row.reading.when is None or isinstance(row.reading.when, Entries))
