"""A submittal and two resubmissions, from end to end: what was changed, and the numbers that stay for ever."""

import json
import re
from pathlib import Path

import html5lib
import pytest
from resubmitted import FIRST, SECOND, THIRD, next_of
from typer.testing import CliRunner

from validator.assembly import read_assembly
from validator.cli import app
from validator.judging.loading import LoadedBook
from validator.submittals.changes import Change, changes_between, stated_in
from validator.submittals.register import Revision

@pytest.fixture(scope="module")
def three(loaded: LoadedBook) -> tuple[Revision, Revision, Revision]:
    first = next_of(FIRST, loaded)
    second = next_of(SECOND, loaded, first.register)
    return first, second, next_of(THIRD, loaded, second.register)


def numbers(entries) -> list[str]:
    return [entry.number for entry in entries]


def about(revision: Revision) -> dict[str, str]:
    return {finding.number: finding.rule for finding in revision.report.as_told.findings}


def test_the_first_submission_counts_from_one(three):
    first = three[0]
    assert numbers(first.register.entries) == ["D1", "D2", "D3", "D4", "D5"]
    assert (first.changes, first.opened, first.stays, first.closed) == ((), (), (), ())


def test_a_larger_floor_and_longer_screws_renumber_nothing(three):
    first, second, _ = three
    assert {number: rule for number, rule in about(second).items() if number != "D6"}.items() < about(first).items()
    assert numbers(second.closed) == ["D2"] and numbers(second.stays) == ["D1", "D3", "D4", "D5"]


def test_what_is_new_takes_the_number_after_the_last(three):
    _, second, _ = three
    assert numbers(second.opened)[:1] == ["D6"]
    (entry,) = [each for each in second.opened if each.number == "D6"]
    assert entry.opened == 1 and all(place.startswith("inside corners") for place in entry.places)


def test_what_is_found_again_has_its_first_number_and_is_called_open_again(three):
    third = three[2]
    (screws,) = [entry for entry in third.stays if entry.number == "D2"]
    assert (screws.opened, screws.closed, set(screws.how.values())) == (0, None, {"open again"})


def test_what_is_no_longer_shown_is_never_called_closed(three):
    """Nobody says any more how the floor was measured: the deviation is not put right by silence."""
    third = three[2]
    (fall,) = [entry for entry in third.register.entries if entry.number == "D1"]
    assert fall.closed is None and set(fall.how.values()) == {"not shown now"}


def test_what_is_put_right_keeps_its_number_as_closed(three):
    third = three[2]
    closed = {entry.number: (entry.closed, set(entry.how.values())) for entry in third.register.entries if entry.closed is not None}
    assert closed["D3"] == (2, {"met"}) and closed["D4"] == (2, {"met"})
    assert not {"D3", "D4"} & set(about(third))


def test_what_was_changed_is_told_by_place_and_layer(three):
    assert three[1].changes[:2] == (
        Change(("shower floor",), "place", "changed", "size", "36 x 60 in", "40 x 60 in"),
        Change(("back wall", "side walls"), "screw", "changed", "length", "1-1/4 in", "1-3/4 in"),
    )
    ways = {(change.thing, change.fact, change.way) for change in three[2].changes}
    assert {("tile mortar", "kind", "changed"), ("screw", "length", "changed"), ("junction", "coats", "changed")} <= ways


def test_a_layer_added_and_a_place_left_out_are_told(loaded: LoadedBook):
    def stated(text: str):
        return stated_in(read_assembly(text, "a.yaml", loaded.vocabulary, loaded.catalogue))

    before = stated("places: {wall: {kind: shower wall, built up: [board: {material: foam}]}, niche wall: {kind: shower wall}}")
    after = stated("places: {wall: {kind: shower wall, built up: [board: {material: foam}, membrane: {kind: liquid, coats: 2}]}}")
    told = changes_between(before, after)
    assert Change(("wall",), "membrane", "added", "", "", "kind liquid; coats 2") in told
    assert Change(("niche wall",), "", "taken out") in told
    assert changes_between(after, after) == ()


def test_a_number_never_means_another_thing_over_all_submissions(three):
    meant: dict[str, set] = {}
    for revision in three:
        for entry in revision.register.entries:
            meant.setdefault(entry.number, set()).add((entry.about, entry.places))
        told = [*revision.report.as_told.findings, *(q for q in revision.report.as_told.questions if q.would_be in ("fail", "warn"))]
        assert {each.number for each in told} <= {entry.number for entry in revision.register.entries if entry.open_at}
    assert all(len(each) == 1 for each in meant.values())


# -- a place that is called otherwise -------------------------------------------------------------------------------------------


def renamed(text: str, old: str, new: str) -> str:
    assert f"  {old}:\n" in text
    return text.replace(f"  {old}:\n", f"  {new}:\n").replace(f"like: {old}", f"like: {new}")


def test_a_place_called_otherwise_keeps_its_numbers_and_those_of_its_junctions(three, loaded: LoadedBook):
    """The floor is renamed and nothing else: nothing opens, nothing closes, and every number stands at the new name."""
    again = next_of(renamed(FIRST, "shower floor", "wet floor").replace("  wet floor:\n", "  wet floor:\n    kind: shower floor\n"), loaded, three[0].register)
    assert (numbers(again.opened), numbers(again.closed), numbers(again.stays)) == ([], [], ["D1", "D2", "D3", "D4", "D5"])
    assert Change(("wet floor",), "", "renamed", "", "shower floor", "wet floor") in again.changes
    places = {entry.number: entry.places for entry in again.register.entries}
    assert places["D1"] == ("wet floor",)
    assert places["D5"] == ("floor to wall, wet floor to back wall", "floor to wall, wet floor to side walls")


def test_a_place_called_otherwise_and_changed_a_little_is_the_same_place(three, loaded: LoadedBook):
    text = renamed(FIRST, "back wall", "long wall").replace("  long wall:\n    kind: shower wall\n", "  long wall:\n    kind: shower wall\n", 1)
    again = next_of(text.replace("length: 1-1/4 in", "length: 1-3/4 in"), loaded, three[0].register)
    assert numbers(again.closed) == ["D2"] and not numbers(again.opened)
    assert ("long wall", "renamed", "back wall") in [(change.places[0], change.way, change.before) for change in again.changes]


ALIKE = "places:\n" + "".join(
    f"  {name}: {{kind: shower wall, on: studs, built up: [board: {{material: foam}}, screws: {{length: 1 in}}, tile: porcelain]}}\n" for name in ("ONE", "OTHER")
) + "framing: {studs: {material: wood}}\n"  # fmt: skip


def test_of_two_places_alike_nobody_guesses_which_is_which_and_the_writer_may_say(loaded: LoadedBook):
    first = next_of(ALIKE.replace("ONE", "left wall").replace("OTHER", "right wall"), loaded)
    guess = next_of(ALIKE.replace("ONE", "west wall").replace("OTHER", "east wall"), loaded, first.register)
    assert "renamed" not in {change.way for change in guess.changes}
    told = ALIKE.replace("ONE: {", "west wall: {formerly: left wall, ").replace("OTHER: {", "east wall: {formerly: right wall, ")
    said = next_of(told, loaded, first.register)
    assert [(change.places, change.before) for change in said.changes] == [(("west wall",), "left wall"), (("east wall",), "right wall")]
    assert not numbers(said.opened) and not numbers(said.closed)


def test_what_a_place_was_called_is_not_copied_to_one_like_it(loaded: LoadedBook):
    first = next_of(FIRST, loaded)
    text = renamed(FIRST, "back wall", "long wall").replace("  long wall:\n", "  long wall:\n    formerly: back wall\n")
    again = next_of(text, loaded, first.register)
    assert [change.places for change in again.changes if change.way == "renamed"] == [("long wall",)]


def test_a_place_that_is_only_a_little_like_one_that_is_gone_is_new(loaded: LoadedBook):
    first = next_of(ALIKE.replace("ONE", "left wall").replace("OTHER", "right wall"), loaded)
    other = ALIKE.replace("ONE", "left wall").replace("OTHER: {kind: shower wall, on: studs, built up: [board: {material: foam}", "niche wall: {kind: shower wall, on: studs, built up: [board: {material: cement, thickness: 1/2 in}, membrane: liquid")
    again = next_of(other, loaded, first.register)
    assert {(change.places, change.way) for change in again.changes} >= {(("niche wall",), "added"), (("right wall",), "taken out")}


# -- as it is typed -------------------------------------------------------------------------------------------------------------


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


@pytest.fixture
def files(tmp_path: Path) -> list[str]:
    for turn, text in enumerate((FIRST, SECOND, THIRD)):
        (tmp_path / f"r{turn}.yaml").write_text(text, encoding="utf-8")
    return [str(tmp_path / f"r{turn}.yaml") for turn in range(3)]


def test_a_chain_of_registers_and_a_chain_of_files_come_to_the_same_sheet(files, tmp_path):
    register, sheets = str(tmp_path / "register.json"), []
    for turn, file in enumerate(files):
        since = ("--since", register) if turn else ()
        assert run("review", file, "--spec", "09 30 13", "--register", register, "-o", str(tmp_path / "sheet.html"), *since)[0] == 1
        sheets.append((tmp_path / "sheet.html").read_text(encoding="utf-8"))
    status, _ = run("review", files[2], "--spec", "09 30 13", "--since", files[0], "--since", files[1], "-o", str(tmp_path / "other.html"))
    assert status == 1 and (tmp_path / "other.html").read_text(encoding="utf-8") == sheets[2]
    said = " ".join(" ".join(html5lib.parse(sheets[2], namespaceHTMLElements=False).itertext()).split())
    assert "Revision 2. Since revision 1:" in said
    assert re.search(r"D3 back wall; side walls Porcelain is set in modified mortar closed in revision 2: met 0", said)
    assert "back wall; side walls screw length: 1-1/4 in, was 1-3/4 in" in said


def test_check_tells_what_closed_opened_and_stays_on_paper_and_as_json(files):
    said = " ".join(run("check", files[1], "--since", files[0])[1].split())
    assert "CHANGED back wall; side walls: screw length: 1-3/4 in, was 1-1/4 in" in said and "CLOSED D2 back wall; side walls" in said
    told = json.loads(run("check", files[1], "--since", files[0], "--format", "json")[1])["since"]
    assert (told["revision"], [each["number"] for each in told["closed"]]) == (1, ["D2"])
    assert {"places", "thing", "way", "fact", "before", "after", "in_words"} == set(told["changes"][0])


@pytest.mark.parametrize("words", [("page",), ("card",), ("card", "--format", "text")])
def test_a_page_and_a_card_say_what_was_changed_and_mark_what_is_new(files, tmp_path, words):
    made = str(tmp_path / "made.txt")
    assert run(words[0], files[1], *words[1:], "--since", files[0], "-o", made)[0] == 1
    text = Path(made).read_text(encoding="utf-8")
    said = " ".join(" ".join(html5lib.parse(text, namespaceHTMLElements=False).itertext()).split())
    said = said.replace(" :", ":")
    assert re.search(r"revision 1\. since revision 0: 3 things changed; 1 closed, 1 opened, 4 stay", said, re.IGNORECASE)
    assert "back wall; side walls: screw length: 1-3/4 in, was 1-1/4 in" in said
    assert "D2 back wall; side walls: Board screws reach far enough into the framing (met)" in said
    new = re.findall(r"(?:! New:|D\d+ New) .{0,200}", said)
    assert new and all("first coat over the tape is dry" in each or "inside corners" in each for each in new)


def test_a_page_of_no_older_submission_says_nothing_of_one(files, tmp_path):
    made = str(tmp_path / "made.html")
    run("page", files[1], "-o", made)
    text = Path(made).read_text(encoding="utf-8")
    assert "Since revision" not in text and 'class="new"' not in text


def test_why_takes_the_numbers_of_the_submittal(files):
    told = json.loads(run("why", files[1], "D5", "--since", files[0], "--format", "json")[1])["judgements"]
    listed = json.loads(run("check", files[1], "--since", files[0], "--format", "json")[1])["as_told"]["findings"]
    (meant,) = [each for each in listed if each["number"] == "D5"]
    assert [(each["rule"], each["place"]) for each in told] == [(meant["rule"], place) for place in meant["place"].split("; ")]


@pytest.mark.parametrize("spoilt", ["", "{", '{"form": "register of a submittal"}', '{"form": "register of a submittal", "parts": [{"name": 3}]}',
                                    '{"form": "register of a submittal", "parts": [{"name": "", "submissions": [], "stated": {}, "entries": [{}]}]}'])  # fmt: skip
def test_a_register_that_was_altered_is_refused_and_told(files, tmp_path, spoilt):
    (tmp_path / "register.json").write_text(spoilt, encoding="utf-8")
    status, said = run("check", files[1], "--since", str(tmp_path / "register.json"))
    assert status == 2 and "register.json" in said and "Accepted: " in said


def test_strict_reading_and_a_register_are_not_mixed(files):
    assert run("review", files[1], "--spec", "09 30 13", "--strict", "--since", files[0]) == (
        2, "a submittal's numbers follow what is read as told. Accepted: --strict, or --since and --register\n",
    )  # fmt: skip
