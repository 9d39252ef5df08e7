"""Three books as authors write them from the ten steps alone: a city's, a project's, a county's older edition; and their mistakes."""

import shutil
from pathlib import Path

import pytest
from paths import ROOT

from validator.judging.loading import load_book
from validator.language.source import BadBook
from validator.proving import PROOFS, changes_of, unanswered_between, unconfirmed, unheld_consequences, unheld_rows

US = ROOT / "rulebooks" / "us"
AUTHORS = Path(__file__).parent / "authors"
WATCHED = "water-tests/flood-test-is-watched.yaml"
HELD = "water-tests/flood-test-stands-as-long-as-the-city-asks.yaml"
GRIPS = "tile/floor-tile-grips-as-the-specification-asks.yaml"


def told(folder: Path) -> list[str]:
    """Everything that `rulebook check` tells an author of a book laid on the shelf's."""
    try:
        loaded = load_book(US, folder)
    except BadBook as bad:
        return [str(each) for each in bad.complaints]
    own = loaded.book.layers[-1].name
    lines = [line for prove in (*PROOFS, unconfirmed, unheld_rows, unheld_consequences) for line in prove(loaded, own)]
    return [*lines, *unanswered_between([each for each in loaded.book.schedules.values() if each.book == own])]


@pytest.mark.parametrize("book", ["linden-city", *(pytest.param(name, marks=pytest.mark.thorough) for name in ("harbor-hotel", "ashby-county-2012"))])
def test_a_book_written_from_the_ten_steps_proves(book: str) -> None:
    assert told(AUTHORS / book) == []


@pytest.mark.thorough
def test_an_older_edition_says_what_it_loosens_and_tightens() -> None:
    upon = load_book(US, AUTHORS / "ashby-county-2012")
    changes = changes_of(upon.book.layers[-1], load_book(US), upon)
    assert [len(lines) for lines in changes] == [1, 3, 1]


MISTAKES = [
    ("a row off by one step", "linden-city", "schedules/hold-of-a-flood-test.csv", "yes,48 h", "yes,54 h",
     "a shower outdoors for just two days: expected pass, came to fail"),
    ("a replaced row off by one step", "linden-city", "schedules/least-time-from-grout-to-water.csv", "ready-mixed,5 days", "ready-mixed,4 days",
     "ready-mixed after not quite five days: expected warn, came to pass"),
    ("a row without a case", "linden-city", HELD, "    - {name: a shower for most of a day, with: {flood test.held: 23 h}, expect: fail}\n", "",
     "the row for place.exterior no: no case notices 24 h a tenth less; add to "),
    ("a gap in a table", "linden-city", "schedules/hold-of-a-flood-test.csv", "yes,48 h\n", "", "no row answers for place.exterior yes. Accepted: a row for it"),
    ("two rows for one question", "linden-city", "schedules/hold-of-a-flood-test.csv", "yes,48 h\n", "yes,48 h\nyes,24 h\n",
     "rows on lines 3 and 4 both answer for place.exterior yes. Accepted: rows that do not overlap"),
    ("a boundary turned", "linden-city", WATCHED, "{at least: {limit", "{more than: {limit", "told just a day before: expected pass, came to fail"),
    ("a comparison turned round", "linden-city", WATCHED, "{at least: {limit", "{at most: {limit", "watched: expected pass, came to fail"),
    ("a boundary case left out", "linden-city", WATCHED, "    - {name: told just a day before, with: {flood test.notice: 24 h}, expect: pass}\n", "",
     "add a case exactly on 24 h: {name: notice 24 h, with: {place.kind: shower floor, flood test.watched: yes, flood test.notice: 24 h}, expect: pass}"),
    ("a line that nothing needs", "linden-city", WATCHED, "requires:\n", "  flood test: there\nrequires:\n",
     "`flood test there` left out: strike this line, or add a case where it matters"),
    ("a text out of date", "linden-city", WATCHED, "is told {least notice before a watched test} before", "is told 24 h before",
     "`title` types 24 h, which would lie once the limit changes; write `{least notice before a watched test}` in its place"),
    ("a text that names no limit", "linden-city", WATCHED, "is told {least notice before a watched test}", "is told {least notice before a test}",
     "a text names `{least notice before a test}`, which is no limit of this book. Accepted: did you mean `{least notice before a watched test}`?"),
    ("a case that asserts nothing", "linden-city", WATCHED, "{name: watched, expect: pass}", "{name: watched}", "a case lacks `expect`. Accepted: a line `expect: ...`"),
    ("a case that expects what is not so", "linden-city", WATCHED, "{name: watched, expect: pass}", "{name: watched, expect: fail}",
     "watched: expected fail, came to pass"),
    ("no case where it is not known", "linden-city", WATCHED,
     "    - {name: no card found, with: {flood test.watched: not stated}, expect: open, asks: [flood test.watched]}\n", "", "lacks an open among its cases"),
    ("a case that nobody confirmed", "linden-city", WATCHED, "{name: watched, expect: pass}", "{name: watched, expect: pass, confirmed: no}",
     "hold each against the source, then strike its `confirmed: no`"),
    ("a limit that is not there", "linden-city", "limits.yaml", "least opening of a shower:", "least openning of a shower:",
     "there is no limit `least openning of a shower` beneath this book to replace. Accepted: did you mean `least opening of a shower`?"),
    ("a limit that replaces unsaid", "linden-city", "limits.yaml", "  replaces: yes\n", "",
     "a limit `least opening of a shower` stands in the book us beneath this one. Accepted: `replaces: yes`, or another name"),
    ("a replaced limit mistyped", "linden-city", "limits.yaml", "value: 3 in\n  printed also: [76 mm]", "value: 4 in",
     "a curb of just 3 in: expected pass, came to fail"),
    ("knowledge in a word that is none", "linden-city", WATCHED, "known by: read myself", "known by: seen",
     "known by cannot be `seen`. Accepted: read myself, read second-hand, sales literature, computed, derived, remembered, practice"),
    ("a paper that no register has", "harbor-hotel", GRIPS, "from: project specification", "from: project specifications",
     "`project specifications` is no source of sources.yaml. Accepted: did you mean `project specification`?"),
    ("a fact misspelt", "harbor-hotel", GRIPS, "tile.wet DCOF:\n", "tile.wet DCFO:\n", "`tile.wet DCFO` is no fact of the vocabulary. Accepted: did you mean `tile.wet DCOF`?"),
    ("a rule called other than its file", "harbor-hotel", GRIPS, "rule: floor-tile-grips", "rule: floor-tile-holds", "the file's name is its name"),
    ("a layer that nobody named", "ashby-county-2012", "book.yaml", "layer: local amendment\n", "", "book.yaml lacks `layer`, which says what the book is laid upon"),
    ("a rule that replaces nothing", "ashby-county-2012", "tests/flood-test-held-as-the-code-asks.yaml", "replaces: flood-test-held-as-the-code-asks\n", "",
     "a rule `flood-test-held-as-the-code-asks` stands in the book us beneath this one. Accepted: `replaces: flood-test-held-as-the-code-asks`, or another name"),
]  # fmt: skip
QUICK = ("a row off by one step",)


@pytest.mark.parametrize(
    ("book", "file", "right", "wrong", "said"),
    [pytest.param(*rest, id=name, marks=() if name in QUICK else pytest.mark.thorough) for name, *rest in MISTAKES],
)
def test_a_mistake_is_noticed_with_a_line_that_says_what_to_do(tmp_path: Path, book: str, file: str, right: str, wrong: str, said: str) -> None:
    folder = Path(shutil.copytree(AUTHORS / book, tmp_path / book))
    before = (folder / file).read_text(encoding="utf-8")
    assert right in before
    (folder / file).write_text(before.replace(right, wrong, 1), encoding="utf-8")
    lines = told(folder)
    assert any(said in line and line.startswith(str(folder)) for line in lines), "\n".join(lines)


@pytest.mark.thorough
def test_a_source_that_is_only_remembered_may_not_fail_where_the_book_claims_no_authority(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(AUTHORS / "linden-city", tmp_path / "linden-city"))
    for file, right, wrong in (("book.yaml", "layer: local", "own authority: no\nlayer: local"), (WATCHED, "known by: read myself", "known by: remembered")):
        (folder / file).write_text((folder / file).read_text(encoding="utf-8").replace(right, wrong, 1), encoding="utf-8")
    assert any("`flood-test-is-watched` would fail on a source that is only remembered or trade practice. Accepted: `severity: warn`" in line for line in told(folder))
