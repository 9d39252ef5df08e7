"""The vocabulary: what may be said, with every slip of its author refused in words."""

import re
from pathlib import Path

import pytest
from paths import ROOT

from validator.facts import possible
from validator.facts.vocabulary import Vocabulary
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadBook

SOUND = """\
place: {what: The place, sort: place}
place.depth: {what: Depth, kind: length}
board: {what: Board, sort: layer, body: yes, when not written: ask, named by: material}
board.material: {what: Material, kind: word, words: [foam, cement], also said: {backer: foam or cement}}
board.thickness: {what: Thickness, kind: length, from: 1/4 in, to: 3 in, spread: 1/16 in}
board.heat: {what: Heat, kind: temperature}
membrane: {what: Membrane, sort: layer, body: no}
tape: {what: Tape, sort: seal}
tape.width: {what: Width, kind: length}
"""


def vocabulary(folder: Path, text: str = SOUND) -> Vocabulary:
    (folder / "all.yaml").write_text(text)
    return read_vocabulary(folder)


def test_a_thing_s_presence_is_a_fact_of_its_own(tmp_path):
    presence = vocabulary(tmp_path).facts["tape"]
    assert (presence.kind, presence.words) == ("presence", ("none", "there"))


@pytest.mark.parametrize(
    "name, kind, thing",
    [
        ("board.count", "count", "place"), ("board.total thickness", "length", "place"), ("board.least thickness", "length", "board"),
        ("board.greatest thickness", "length", "board"), ("membrane.count", "count", "place"), ("board.material as stated", "word", "board"),
    ],
)  # fmt: skip
def test_folds_and_what_was_stated_exist_without_being_declared(tmp_path, name, kind, thing):
    fact = vocabulary(tmp_path).fact(name)
    assert (fact.kind, fact.thing) == (kind, thing)


@pytest.mark.parametrize(
    "name", ["tape.count", "board.total material", "board.sum thickness", "board.total heat", "bored.count", "place.deepest"]
)
def test_nothing_else_exists_without_being_declared(tmp_path, name):
    assert vocabulary(tmp_path).fact(name) is None


def test_every_layer_has_a_position_and_a_state(tmp_path):
    known = vocabulary(tmp_path)
    assert known.facts["membrane.lies on"].words == ("nothing", "board")
    assert known.facts["board.state"].words == ("new", "existing", "damaged", "to be removed", "planned")


def test_not_stated_is_everything(tmp_path):
    known = vocabulary(tmp_path)
    assert known.facts["board.material"].anything == 0b11
    assert known.facts["board.thickness"].anything == (-(1 << 62), 1 << 62)  # from and to catch slips and never reason


def test_every_fact_has_a_slot_of_its_own(tmp_path):
    known = vocabulary(tmp_path)
    known.fact("board.count")
    slots = [known.slot(name) for name in known.facts]
    assert sorted(slots) == list(range(1, len(slots) + 1))


@pytest.mark.parametrize(
    "line, what, accepted",
    [
        ("bord.depth: {what: x, kind: length}", "`bord.depth` is said of `bord`, which is no thing of this vocabulary", "did you mean `board`?"),
        ("tape: {what: Tape, sort: seal}", None, None),
        ("primer: {what: x, sort: layer, asked with: bord}", "`primer` is asked with `bord`, which is no thing asked by itself",
         "did you mean `board`?"),
        ("place.x: {what: x, kind: lenght}", "kind cannot be `lenght`", "did you mean `length`?"),
        ("place.x: {what: x, kind: word}", "`place.x` has no words", "`words: [one, another]`"),
        ("place.x: {what: x, kind: word, words: [a, a]}", "`place.x` lists a word twice", ""),
        ("place.x: {what: x, kind: word, words: [none, a]}", "`none` is not a word of `place.x`: whether a thing is there is a fact of its own",
         "leave it out; write `thing: none`"),
        ("place.x: {what: x, kind: word, words: [a, b], also said: {c: d}}", "`d` is not one of the words", "a, b"),
        ("place.x: {what: x, kind: length, spread: 3}", "`3` says no unit", "3 in or 3 mm"),
        ("place.x: {what: x, kind: length, colour: red}", "`colour` is not a key of the fact `place.x`", None),
        ("place.x: {kind: length}", "the fact `place.x` lacks `what`", "a line `what: ...`"),
        ("place.x: {what: x, kind: word, words: [a, b], concluded: flag}", "`place.x` is a word, which is not concluded as `flag`", "kind: yes or no"),
        ("place.x: {what: x, kind: word, words: [a, b], concluded: greatest holds, otherwise: c}", "otherwise cannot be `c`", "a, b"),
        ("place.x: {what: x, kind: length, concluded: words}", "`place.x` is a length, which is not concluded as `words`", "kind: words together"),
        ("pane: {what: x, sort: layr}", "sort cannot be `layr`", "did you mean `layer`?"),
        ("pane: {what: x, sort: part, there when: {place.depth: deep}}",
         "`there when` of `pane` names `place.depth: deep`, which nobody can say", "a fact of words together"),
        ("pane: {what: x, sort: layer, when not written: perhaps}", "when not written cannot be `perhaps`", "there, ask, not there"),
        ("place.x: {what: x, kind: words together, words: [a, b], gives: {a: {also: c, source: s}}}", "`c` is not one of the words", "a, b"),
    ],
)  # fmt: skip
def test_a_slip_in_the_vocabulary_is_refused_in_words(tmp_path, line, what, accepted):
    if what is None:
        (tmp_path / "again.yaml").write_text(line + "\n")
        what, accepted, line = "the thing `tape` is declared twice", "", ""
    with pytest.raises(BadBook) as refused:
        vocabulary(tmp_path, SOUND + line + "\n")
    [complaint] = refused.value.complaints
    assert complaint.what == what
    assert accepted is None or complaint.accepted.startswith(accepted)


def test_sixty_three_words_are_allowed_and_no_more(tmp_path):
    words = ", ".join(f"w{n}" for n in range(63))
    assert (
        len(vocabulary(tmp_path, SOUND + f"place.x: {{what: x, kind: word, words: [{words}]}}\n").facts["place.x"].words) == 63
    )
    with pytest.raises(BadBook) as refused:
        vocabulary(tmp_path, SOUND + f"place.x: {{what: x, kind: word, words: [{words}, one more]}}\n")
    assert [c.what for c in refused.value.complaints] == ["`place.x` has 64 words"]


SHELF = read_vocabulary(ROOT / "rulebooks" / "vocabulary")
NO_SUBJECT = re.compile(r"^(Is|Are|Was|Were|Does|Do|Did|Can|Has|Had) (it|its|they|that|there no)\b|\b(at|of|in|over|under) (it|that)\b")


def test_every_amount_that_a_person_is_asked_for_says_from_what_to_what_is_usual():
    """A moment has no usual range; every other amount can be mistyped."""
    asked = [fact for fact in SHELF.facts.values() if fact.is_amount and fact.kind != "moment" and fact.ask and fact.stated]
    assert len(asked) > 150
    assert [fact.name for fact in asked if not fact.slip_below or not fact.slip_above] == []


@pytest.mark.parametrize("each", [*SHELF.things.values(), *SHELF.facts.values()], ids=lambda each: each.name)
def test_every_question_names_what_it_asks_about(each):
    if each.ask:
        assert each.ask.endswith("?")
        assert not NO_SUBJECT.search(each.ask)
        assert len(each.ask.split()) > 3


def test_the_trade_s_word_for_an_amount_is_that_amount():
    offset = SHELF.facts["tile.offset"]
    assert possible.read(offset, "half offset").value == possible.read(offset, "1/2").value
    assert possible.read(offset, "Third").value == possible.read(offset, "1/3").value


def test_a_word_for_an_amount_is_an_amount_or_the_book_is_refused(tmp_path):
    wrong = SOUND + "board.weight: {what: Weight, kind: load, also said: {heavy: many}}\n"
    with pytest.raises(BadBook, match="`many`"):
        vocabulary(tmp_path, wrong)
