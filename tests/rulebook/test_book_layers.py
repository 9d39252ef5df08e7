"""Books laid upon each other: what may be replaced, who decides, what is loosened, and what a user's own book may do."""

import json
from pathlib import Path

import pytest
from books import BOOK, SOURCES, consequence, rule, table, write_book
from described import outcome, place
from paths import ROOT
from typer.testing import CliRunner

from validator.assembly import read_assembly_file
from validator.cli import app
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.language.source import BadBook
from validator.proving import PROOFS, changes_of, prove_cases, reached
from validator.proving.coming import derive_case
from validator.rulebook.cache import SWITCH
from validator.rulebook.reading import read_book

US = ROOT / "rulebooks" / "us"
COUNTY, TOWER = (Path(__file__).parent / "layers" / name for name in ("harrow-county", "harrow-tower"))
LIMITS = json.dumps({"least depth": {"kind": "length", "value": "2 in", "source": {"from": "big code", "edition": "1", "known by": "read second-hand"}}})
BY_LIMIT = rule(requires={"place.depth": {"at least": {"limit": "least depth"}}})
HEARSAY = [{"from": "old hands", "known by": "remembered"}]


def book_above(folder: Path, layer: str = "local amendment", *, name: str = "above", more: str = "", files: dict[str, str] | None = None) -> Path:
    """A second book beside the small one, in a folder of its own."""
    head = f'book: {name}\ntitle: Above\nedition: "1"\nlayer: {layer}\n{more}'
    for path, text in {"book.yaml": head, **(files or {})}.items():
        (folder / name / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / name / path).write_text(text, encoding="utf-8")
    return folder / name


def complaint(*folders: Path) -> str:
    with pytest.raises(BadBook) as raised:
        read_book(*folders)
    assert len(raised.value.complaints) == 1, str(raised.value)
    return str(raised.value.complaints[0])


# -- what is replaced ---------------------------------------------------------------------------------------------------------


def test_a_limit_replaced_above_decides_the_rules_beneath(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": BY_LIMIT}, limits=LIMITS)
    deeper = LIMITS.replace("2 in", "3 in").replace('"kind"', '"replaces": "yes", "kind"')
    above = book_above(tmp_path, files={"limits.yaml": deeper})
    alone, both = LoadedBook(read_book(below)), LoadedBook(read_book(below, above))
    described = {"place.depth": "2-1/2 in"}
    assert (outcome(alone, place(alone, described)), outcome(both, place(both, described))) == ("pass", "breach")
    assert both.book.books_behind(both.book.rules["deep-enough"]) == ("small", "above")


def test_a_schedule_replaced_above_decides_the_rules_beneath(tmp_path):
    rows = "place.kind,answer\nshower wall,2 in\nroom wall,1 in\n"
    schedule = table("depth", "place.depth", ["place.kind"], rows)
    requires = {"place.depth": {"at least": {"schedule": "depth"}}}
    below = write_book(tmp_path, rules={"all/deep-enough": rule(requires=requires)}, schedules=schedule)
    deeper = table("depth", "place.depth", ["place.exposure"], "place.exposure,answer\nany,3 in\n", replaces="yes")
    above = book_above(tmp_path, files={f"schedules/{name}": text for name, text in deeper.items()})
    both = LoadedBook(read_book(below, above))
    assert outcome(both, place(both, {"place.kind": "room wall", "place.depth": "2 in"})) == "breach"


def test_a_rule_replaced_by_another_name_is_gone(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    above = book_above(tmp_path, files={"all/very-deep.yaml": rule("very-deep", replaces="deep-enough")})
    assert list(read_book(below, above).rules) == ["very-deep"]


def test_a_rule_taken_out_is_gone(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule(), "all/deeper": rule("deeper")})
    above = book_above(tmp_path, more="takes out:\n  - {rule: deep-enough, because: It is settled elsewhere.}\n")
    assert list(read_book(below, above).rules) == ["deeper"]


def test_books_are_laid_by_what_they_weigh_and_not_by_the_order_they_are_named_in(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    above = book_above(tmp_path, files={"all/deep-enough.yaml": rule(replaces="deep-enough", severity="warn")})
    assert [layer.name for layer in read_book(above, below).layers] == ["small", "above"]
    assert read_book(above, below).rules["deep-enough"].severity == "warn"


def test_a_book_may_bring_facts_and_sources_of_its_own(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    own = {
        "vocabulary/more.yaml": "place.swept: {what: Swept, kind: yes or no, ask: Swept?, look: Look., answers: [installer]}\n",
        "sources.yaml": "house rules: {title: House rules, standing: project specification}\n",
        "all/swept.yaml": rule("swept", requires={"place.swept": "yes"}, sources=[{"from": "house rules", "known by": "read second-hand"}]),
    }
    loaded = LoadedBook(read_book(below, book_above(tmp_path, files=own)))
    assert outcome(loaded, place(loaded, {"place.swept": "no"}), "swept") == "breach"


# -- what is refused ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("files", "layer", "said"),
    [
        ({"all/deep-enough.yaml": rule()}, "local amendment",
         "a rule `deep-enough` stands in the book small beneath this one. Accepted: `replaces: deep-enough`, or another name"),
        ({"all/x.yaml": rule("x", replaces="deep-enogh")}, "local amendment",
         "there is no rule `deep-enogh` beneath this book, which is local amendment. Accepted: did you mean `deep-enough`?"),
        ({"all/x.yaml": rule("x", replaces="deep-enough")}, "trade practice",
         "there is no rule `deep-enough` beneath this book, which is trade practice. "
         "Accepted: the name of something in a book of less precedence, and none lies beneath here"),
        ({"limits.yaml": LIMITS}, "local amendment",
         "a limit `least depth` stands in the book small beneath this one. Accepted: `replaces: yes`, or another name"),
        ({"limits.yaml": LIMITS.replace("least depth", "least dept").replace('"kind"', '"replaces": "yes", "kind"')}, "local amendment",
         "there is no limit `least dept` beneath this book to replace. Accepted: did you mean `least depth`?"),
        ({"limits.yaml": LIMITS.replace("2 in", "2 %").replace("length", "proportion").replace('"kind"', '"replaces": "yes", "kind"')},
         "local amendment", "the limit `least depth` is a proportion, and beneath it a length. Accepted: length"),
        ({"sources.yaml": "big code: {title: Another, standing: adopted code}\n"}, "local amendment",
         "the source `big code` is declared twice. Accepted: another name for one of them"),
    ],
)  # fmt: skip
def test_what_a_book_may_not_lay_upon_another_is_refused(tmp_path, files, layer, said):
    below = write_book(tmp_path, rules={"all/deep-enough": BY_LIMIT}, limits=LIMITS)
    assert complaint(below, book_above(tmp_path, layer, files=files)).endswith(said)


def test_two_books_of_one_name_are_refused(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    again = book_above(tmp_path / "again", name="small")
    assert "two of the books are called `small`" in complaint(below, again)


# -- a user's own authority ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("layer", ["local amendment", "project specification"])
def test_a_users_own_book_may_fail_on_its_own_word(tmp_path, layer):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    files = {"all/by-word.yaml": rule("by-word", requires={"place.depth": {"at least": "4 in"}}, sources=HEARSAY)}
    loaded = LoadedBook(read_book(below, book_above(tmp_path, layer, files=files)))
    judged = {j.compiled.rule.name: j.severity for j in loaded.engine.judge(loaded.engine.derive(place(loaded, {"place.depth": "3 in"})))}
    assert judged["by-word"] == "fail"


def test_a_books_own_word_fails_by_a_remembered_row_too(tmp_path):
    rows = "place.kind,answer,known by\nany,4 in,remembered\n"
    files = {f"schedules/{n}": t for n, t in table("depth", "place.depth", ["place.kind"], rows).items()}
    files["all/by-word.yaml"] = rule("by-word", requires={"place.depth": {"at least": {"schedule": "depth"}}}, sources=HEARSAY)
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule()}), book_above(tmp_path, files=files)))
    judged = {j.compiled.rule.name: j.severity for j in loaded.engine.judge(loaded.engine.derive(place(loaded, {"place.depth": "3 in"})))}
    assert judged["by-word"] == "fail"


@pytest.mark.parametrize(
    ("layer", "more"), [("code or standard", ""), ("trade practice", ""), ("local amendment", "own authority: no\n")]
)
def test_any_other_book_may_not(tmp_path, layer, more):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    files = {"all/by-word.yaml": rule("by-word", sources=HEARSAY)}
    assert "would fail on a source that is only remembered or trade practice" in complaint(
        below, book_above(tmp_path, layer, more=more, files=files)
    )


def test_a_book_of_trade_practice_may_claim_authority(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    files = {"all/by-word.yaml": rule("by-word", sources=HEARSAY)}
    above = book_above(tmp_path, "trade practice", more="own authority: yes\n", files=files)
    assert read_book(below, above).rules["by-word"].severity == "fail"


# -- what is loosened ---------------------------------------------------------------------------------------------------------

CASES = {"usual": {"place.depth": "2 in"}, "each": [{"name": "shallow", "with": {"place.depth": "1 in"}, "expect": "fail"}]}


def loosenings(folder: Path, below: Path, above: Path) -> list[str]:
    upon = LoadedBook(read_book(below, above))
    layer = next(each for each in upon.book.layers if each.name == "above")
    lines = [line.partition(": ")[2] for line in changes_of(layer, LoadedBook(read_book(below)), upon).loosens]
    return [line.replace(f"{below / 'all'}/", "") for line in lines]


@pytest.mark.parametrize(
    ("files", "more", "lines"),
    [
        ({"all/deep-enough.yaml": rule(replaces="deep-enough", severity="warn")}, "",
         ["replaces deep-enough: warn where it was fail", "deep-enough, shallow: warn where it was fail"]),
        ({"all/deep-enough.yaml": rule(replaces="deep-enough", requires={"place.depth": {"at least": "1 in"}})}, "",
         ["deep-enough, shallow: pass where it was fail"]),
        ({"all/deep-enough.yaml": rule(replaces="deep-enough", **{"applies when": {"place.kind": "room wall"}})}, "",
         ["deep-enough, shallow: open where it was fail"]),
        ({"all/deep-enough.yaml": rule(replaces="deep-enough",
                                       **{"except when": [{"when": {"place.kind": "room wall"}, "because": "Dry."}]})}, "",
         ["replaces deep-enough: met another way too: Dry.", "deep-enough, shallow: open where it was fail"]),
        ({"limits.yaml": LIMITS.replace("2 in", "1 in").replace('"kind"', '"replaces": "yes", "kind"')}, "",
         ["`least depth` decides deep-enough.yaml: deep-enough, shallow: pass where it was fail"]),
        ({}, "takes out:\n  - {rule: deep-enough, because: Settled elsewhere.}\n",
         ["takes out deep-enough (fail): Settled elsewhere."]),
        ({"all/deeper.yaml": rule("deeper", requires={"place.depth": {"at least": "4 in"}})}, "", []),
    ],
)  # fmt: skip
def test_all_that_a_layer_loosens_is_listed(tmp_path, files, more, lines):
    by_limit = rule(requires={"place.depth": {"at least": {"limit": "least depth"}}}, cases=CASES)
    below = write_book(tmp_path, rules={"all/deep-enough": by_limit}, limits=LIMITS)
    assert loosenings(tmp_path, below, book_above(tmp_path, more=more, files=files)) == lines


# -- on the shelf's book ------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def three() -> LoadedBook:
    return LoadedBook(read_book(US, COUNTY, TOWER), ROOT / "rulebooks")


def test_the_example_layers_prove_upon_the_book(three):
    assert [line for name in ("harrow-county", "harrow-tower") for prove in PROOFS for line in prove(three, name)] == []


def test_a_finding_names_the_book_that_decided(three, tmp_path):
    text = """
assembly: Small shower
use: {code family: residential, accessible: no}
places:
  shower floor: {area: 1000 sq in, inspected before tile: no}
"""
    path = tmp_path / "small.yaml"
    path.write_text(text.replace(", accessible: no", ""), encoding="utf-8")
    (described,) = read_assembly_file(str(path), three.vocabulary, three.catalogue).to_judge()
    report = check(described, three)
    decided = {f.rule: (f.outcome, f.book) for f in report.findings}
    assert decided["shower-large-enough"] == ("fail", "us and harrow-county")
    assert decided["pan-is-inspected"] == ("fail", "harrow-county")
    assert decided["shower-wide-enough"][1] == "us"
    assert [(b.name, b.layer) for b in report.books] == [
        ("us", "code or standard"), ("harrow-county", "local amendment"), ("harrow-tower", "project specification"),
    ]  # fmt: skip
    assert len({b.fingerprint for b in report.books}) == 3


def test_the_commands_take_several_books(tmp_path):
    run = CliRunner().invoke(app, ["rulebook", "explain", "pan-is-inspected", "--book", "us", "--book", str(COUNTY)])
    assert run.exit_code == 0 and "Decided by the book harrow-county." in run.stdout
    schema = CliRunner().invoke(app, ["schema", "--book", "us", "--book", str(COUNTY)])
    assert "inspected before tile" in schema.stdout


def test_the_command_lists_what_each_layer_loosens(tmp_path):
    below = write_book(tmp_path, book=BOOK, sources=SOURCES, rules={"all/deep-enough": rule(cases=CASES)})
    files = {"all/deep-enough.yaml": rule(replaces="deep-enough", severity="warn", cases={"each": []})}
    above = book_above(tmp_path, files=files)
    run = CliRunner().invoke(app, ["rulebook", "check", str(below), "--book", str(above)])
    assert "above (local amendment) loosens 2:" in run.stdout


def test_what_a_layer_loosens_by_a_limit_is_said_at_the_limits_line(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": rule(requires={"place.depth": {"at least": {"limit": "least depth"}}}, cases=CASES)},
                       limits=LIMITS)  # fmt: skip
    milder = LIMITS.replace("2 in", "1 in").replace('"kind"', '"replaces": "yes", "kind"')
    above = book_above(tmp_path, files={"limits.yaml": milder})
    upon = LoadedBook(read_book(below, above))
    (line,) = changes_of(upon.book.layers[1], LoadedBook(read_book(below)), upon).loosens
    assert line.startswith(f"{above / 'limits.yaml'}:1:")


def test_a_remembered_limit_laid_on_a_rule_that_fails_is_refused_at_its_own_line(tmp_path):
    below = write_book(tmp_path, rules={"all/deep-enough": BY_LIMIT}, limits=LIMITS)
    hearsay = LIMITS.replace('"read second-hand"', '"remembered"').replace('"kind"', '"replaces": "yes", "kind"')
    above = book_above(tmp_path, more="own authority: no\n", files={"limits.yaml": hearsay})
    said = complaint(below, above)
    assert said.startswith(f"{above / 'limits.yaml'}:1:")
    assert said.endswith("the limit `least depth` is only remembered or trade practice, and may warn; `deep-enough` of the book small, "
                         "which is compared with it, fails. Accepted: a source that was read, or `own authority: yes` in book.yaml")  # fmt: skip


@pytest.mark.parametrize(
    ("files", "expected"),
    [
        ({"all/very-deep.yaml": rule("very-deep")}, {"very-deep"}),
        ({"limits.yaml": LIMITS.replace('"kind"', '"replaces": "yes", "kind"')}, {"deep-enough"}),
        ({"consequences/it-follows.yaml": consequence("it-follows", {"tape": "there"}, {"place.exposure": "wet"})}, {"wet-is-deep"}),
        ({"all/x.yaml": rule("x", replaces="wet-is-deep")}, {"x"}),
    ],
)  # fmt: skip
def test_a_book_reaches_its_own_rules_and_those_that_its_tables_and_consequences_can_change(tmp_path, files, expected):
    wet = rule("wet-is-deep", applies_when={"place.exposure": "wet"}, requires={"place.depth": {"at least": "1 in"}})
    below = write_book(tmp_path, rules={"all/deep-enough": BY_LIMIT, "all/wet-is-deep": wet}, limits=LIMITS)
    assert reached(read_book(below, book_above(tmp_path, files=files)), "above") == expected


@pytest.mark.parametrize("one_of", [10, pytest.param(1, marks=pytest.mark.thorough)])
def test_what_a_layer_does_not_reach_comes_to_the_same_with_it_and_without_it(loaded, one_of):
    """At one of so many cases of all the rules, and thoroughly at each."""
    alone, county = loaded, LoadedBook(read_book(US, COUNTY), ROOT / "rulebooks")
    near = reached(county.book, "harrow-county")
    assert "opening-wide-enough" in near and len(near) < 10
    with_it = {each.name: each for each in county.engine.rules}
    far = [(compiled, case) for compiled in alone.engine.rules if compiled.name in with_it.keys() - near for case in compiled.rule.cases]
    for compiled, case in far[::one_of]:
        judged = [book.engine.judge_rule(each, derive_case(book, each, case))
                  for book, each in ((alone, compiled), (county, with_it[compiled.name]))]  # fmt: skip
        assert judged[0].outcome is judged[1].outcome, (compiled.name, case.name)


def test_a_case_that_stays_open_is_told_with_what_it_waits_on(tmp_path):
    cases = {"each": [{"name": "deep", "with": {"place.kind": "room wall"}, "expect": "pass"}]}
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(cases=cases)})))
    (line,) = prove_cases(loaded)
    assert line.endswith("deep-enough, deep: expected pass, came to open, which waits on place.depth")


@pytest.mark.thorough
def test_a_book_laid_on_the_shelfs_is_proved_alone_and_the_whole_where_it_is_asked(tmp_path):
    run = CliRunner().invoke(app, ["rulebook", "check", "us", str(COUNTY)])
    assert run.exit_code == 0, run.stdout
    assert "Of us only what your book changes was proved, 2 of those rules; --whole proves the rest too." in run.stdout
    assert "/us/backers/" not in run.stdout
    whole = CliRunner().invoke(app, ["rulebook", "check", "us", str(COUNTY), "--whole"])
    cases = sum(len(each.cases) for each in read_book(US, COUNTY).rules.values())
    assert f" rules, {cases} cases, " in whole.stdout and "was proved" not in whole.stdout


def test_a_book_judged_without_the_shelfs_says_what_was_not_checked(tmp_path):
    alone = read_book(write_book(tmp_path, rules={"all/deep-enough": rule()}))
    assert alone.not_checked[0] == (
        "Everything but the 1 rule of small: the shelf's book us does not lie beneath (`--book us` lays it there)."
    )
    assert not any("lie beneath" in said for said in read_book(US, COUNTY).not_checked)


def test_a_kept_book_is_kept_for_its_layers(tmp_path, monkeypatch):
    monkeypatch.delenv(SWITCH, raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    below = write_book(tmp_path, rules={"all/deep-enough": rule()})
    above = book_above(tmp_path, files={"all/very-deep.yaml": rule("very-deep")})
    assert list(load_book(below).book.rules) == ["deep-enough"]
    assert sorted(load_book(below, above).book.rules) == ["deep-enough", "very-deep"]
    assert sorted(load_book(below, above).book.rules) == ["deep-enough", "very-deep"]  # kept from the run before
    (above / "all/very-deep.yaml").write_text(rule("very-deep", severity="warn"), encoding="utf-8")
    assert load_book(below, above).book.rules["very-deep"].severity == "warn"
    assert len(list((tmp_path / "cache").rglob("*.book"))) == 3


def test_a_book_says_what_it_is_laid_upon(tmp_path: Path) -> None:
    small = write_book(tmp_path, book='book: small\ntitle: A small book\nedition: "1"\n')
    assert complaint(small).startswith(
        f"{small / 'book.yaml'}:1:7: book.yaml lacks `layer`, which says what the book is laid upon. "
        "Accepted: `layer: trade practice`, what the trade does; `layer: code or standard`, "
    )


def test_an_ordinance_that_the_author_read_is_first_hand_and_fails(tmp_path: Path) -> None:
    ordinance = {
        "sources.yaml": "city ordinance: {title: Bathing rooms, standing: local amendment}\n",
        "vocabulary/more.yaml": "place.swept: {what: Swept, kind: yes or no, ask: Swept?, look: Look., answers: [installer]}\n",
        "all/swept.yaml": rule("swept", requires={"place.swept": "yes"}, sources=[{"from": "city ordinance", "known by": "read myself"}]),
    }
    book = read_book(write_book(tmp_path), book_above(tmp_path, files=ordinance, more="own authority: no\n"))
    assert all(cited.firm for cited in book.rules["swept"].cited)


def test_what_a_layer_tightens_and_replaces_is_listed_too(tmp_path: Path) -> None:
    by_limit = rule(requires={"place.depth": {"at least": {"limit": "least depth"}}}, cases=CASES | {"each": [{"name": "exact", "expect": "pass"}]})
    below = write_book(tmp_path, rules={"all/deep-enough": by_limit}, limits=LIMITS)
    stricter = LIMITS.replace("2 in", "3 in").replace('"kind"', '"replaces": "yes", "kind"')
    above = book_above(tmp_path, files={"limits.yaml": stricter, "all/deeper.yaml": rule("deeper")})
    upon = LoadedBook(read_book(below, above))
    changes = changes_of(upon.book.layers[1], LoadedBook(read_book(below)), upon)
    assert [line.partition(": ")[2] for line in changes.replaces] == ["the limit `least depth` is 3 in where it was 2 in"]
    assert changes.loosens == ()
    assert [line.rpartition(": ")[2] for line in changes.tightens] == ["fail where it was pass", "Deep enough"]
    assert changes.tightens[0].startswith(f"{above / 'limits.yaml'}:1:")


def test_a_row_that_a_layer_replaces_is_said_row_by_row(tmp_path: Path) -> None:
    by_row = rule(requires={"place.depth": {"at least": {"schedule": "depth"}}}, cases=CASES)
    rows = "place.kind,answer\nshower wall,2 in\nall other,1 in\n"
    below = write_book(tmp_path, rules={"all/deep-enough": by_row}, schedules=table("depth", "place.depth", ["place.kind"], rows))
    other = table("depth", "place.depth", ["place.kind"], rows.replace("2 in", "3 in"), replaces="yes")
    above = book_above(tmp_path, files={f"schedules/{name}": text for name, text in other.items()})
    upon = LoadedBook(read_book(below, above))
    (line,) = changes_of(upon.book.layers[1], LoadedBook(read_book(below)), upon).replaces
    assert line == f"{above / 'schedules' / 'depth.csv'}:2:1: the schedule `depth`, the row for place.kind shower wall: 3 in where it was 2 in"
