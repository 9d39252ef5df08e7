"""Papers as JSON: every command whose answer another program may want tells in JSON what it prints, and nothing else."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from paths import ROOT
from typer.testing import CliRunner

from validator.assembly import read_assembly_file
from validator.cli import app
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.why import traced
from validator.language.amounts import KINDS, read
from validator.papers.why import judged_object
from validator.papers.tape import on_a_tape

SAMPLES = ROOT / "samples"
SCREWS = "board-screw-reaches-framing"
# A 1 in board leaves 1/4 in of a 1-1/4 in screw for the stud, and 5/8 in is asked: 1-5/8 in is the next that is sold.
WALL = {
    "assembly": "A wall",
    "use": {"code family": "residential"},
    "framing": {"material": "wood", "spacing": "16 in"},
    "places": {
        "wall": {
            "kind": "room wall",
            "size": "60 x 84 in",
            "nothing else": "yes",
            "built up": [
                {"board": {"material": "cement", "thickness": "1 in", "fixed with": "screws"}},
                {"screws": {"kind": "board screw", "length": "1-1/4 in", "corrosion resistant": "yes"}},
                {"tile mortar": {"kind": "modified cement", "contact": "95 %"}},
                {"tile": {"body": "ceramic", "size": "4 x 4 in"}},
                {"grout": {"kind": "cement", "joint": "1/8 in"}},
            ],
        }
    },
}
TWO_WAYS = {**WALL, "options": {"A": {}, "B": {"places": {"wall": {"size": "36 x 84 in"}}}}}
ON_A_FILE = {
    "check": ("check", "FILE"),
    "check with margins": ("check", "FILE", "--margins"),
    "why": ("why", "FILE", SCREWS),
    "workings": ("workings", "FILE"),
    "takeoff": ("takeoff", "FILE"),
    "calendar": ("calendar", "FILE", "--start", "2026-03-02"),
    "warranty": ("warranty", "FILE", "--programme", "millrace-handover"),
    "mend": ("mend", "FILE"),
}
COMMANDS = {**ON_A_FILE, "rulebook list": ("rulebook", "list"), "rulebook explain": ("rulebook", "explain", SCREWS)}
every_command = pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)
every_paper = pytest.mark.parametrize("words", ON_A_FILE.values(), ids=ON_A_FILE)


def run(words: tuple[str, ...], file: Path, *more: str) -> tuple[int, str]:
    return _run(words, file, more, file.read_bytes() if file.is_file() else b"")


@cache
def _run(words: tuple[str, ...], file: Path, more: tuple[str, ...], written: bytes) -> tuple[int, str]:
    """Once for a file as it stands, since two runs give the same bytes, which is tried below."""
    done = CliRunner().invoke(app, [str(file) if word == "FILE" else word for word in (*words, *more)])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def told(words: tuple[str, ...], file: Path, *more: str) -> dict:
    return json.loads(run(words, file, "--format", "json", *more)[1])


def inside(value: object) -> Iterator[tuple[str, object]]:
    """Every key with what stands under it, however deep."""
    if isinstance(value, dict):
        yield from value.items()
    for each in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from inside(each)


def written(folder: Path, assembly: dict) -> Path:
    file = folder / "assembly.json"
    file.write_text(json.dumps(assembly), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def wall(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("wall"), WALL)


# -- what each tells of one wall, worked by hand --------------------------------------------------------------------------------


def test_margins_stand_within_the_report_and_are_exact(wall: Path) -> None:
    report = told(COMMANDS["check with margins"], wall)
    assert report["margins"] == [
        {
            "rule": "mortar-contact-is-enough", "title": "Enough of the tile's back is in mortar",
            "places": ["wall"], "fact": "tile mortar.contact", "name": "tile mortar contact", "found": "95 %",
            "compare": "at least", "limit": "80 %", "left": "15 % left", "share": "16/19",
            "in_words": "needs 84 % of what is there",
        },
        {
            "rule": "joint-is-never-under-a-sixteenth", "title": "The grout joint is at least a sixteenth wide",
            "places": ["wall"], "fact": "grout.joint", "name": "grout joint", "found": "1/8 in (3.2 mm)",
            "compare": "at least", "limit": "1.5 mm (about 1/16 in)", "left": "0.0659449 in (1.7 mm) left", "share": "60/127",
            "in_words": "needs 47 % of what is there",
        },
    ]  # fmt: skip
    assert {key: part for key, part in report.items() if key != "margins"} == told(COMMANDS["check"], wall)


def test_every_margin_is_told_and_its_share_is_a_fraction() -> None:
    margins = told(COMMANDS["check with margins"], SAMPLES / "second-floor-shower.yaml")["margins"]
    shares = [Fraction(margin["share"]) for margin in margins]
    assert len(shares) > 5 and shares == sorted(shares, reverse=True) and 0 < shares[-1] < shares[0] == 1
    assert {margin["left"] for margin in margins if margin["share"] == "1"} == {"exactly on the limit"}


def test_why_tells_the_tree_with_what_decided_and_whence_each_fact_is(wall: Path) -> None:
    (judged,) = told(COMMANDS["why"], wall)["judgements"]
    assert (judged["rule"], judged["place"], judged["outcome"], judged["in_full"]) == (SCREWS, "wall", "fail", "breach")
    assert judged["requires"] == {
        "says": "screw penetration at least 5/8 in (16 mm)", "answer": "no", "members": [], "decided": True,
    }  # fmt: skip
    assert [(each["says"], each["answer"]) for each in judged["applies"]["members"]] == [
        ("board fixed with screws", "yes"), ("framing material wood", "yes"),
    ]  # fmt: skip
    penetration = next(fact for fact in judged["facts"] if fact["fact"] == "screw.penetration")
    assert (penetration["value"], penetration["origin"]) == ("1/4 in (6.4 mm)", "worked out")
    assert "penetration = length - board - what lies between = 1-1/4 - 1 - 0 = 1/4 in" in penetration["steps"]
    assert penetration["sources"] == [{
        "title": "Arithmetic on what was stated", "section": "length less what it passes through", "edition": "",
        "standing": "engineering reference", "known_by": "computed", "note": "",
    }]  # fmt: skip
    length = next(fact for fact in penetration["facts"] if fact["fact"] == "screw.length")
    assert (length["value"], length["origin"], length["where"]) == ("1-1/4 in (32 mm)", "stated", "line 1")
    assert [(each["section"], each["edition"], each["known_by"]) for each in judged["sources"]] == [
        ("R702.3.5.1", "not known", "read second-hand"), ("R702.3.5.1", "not known", "derived"),
    ]  # fmt: skip


@pytest.mark.parametrize("sample", ["five-mistakes", "half-known", "metric-wet-room"])
def test_why_comes_to_what_check_comes_to(loaded: LoadedBook, sample: str) -> None:
    assembly = read_assembly_file(SAMPLES / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)
    findings = [each for each in check(assembly, loaded).findings if each.rule in loaded.book.rules]
    for rule in {finding.rule for finding in findings}:
        why = {}
        for each in map(judged_object, traced(assembly, loaded, rule)):
            why[f"{each['place']}, {each['layer']}" if each["layer"] else each["place"]] = each["outcome"]
        for finding in findings:
            if finding.rule == rule:
                assert {why[place] for place in finding.place.split("; ")} == {finding.outcome}, (rule, finding.place)


def test_workings_tell_results_with_their_steps_and_ends_that_can_be_read(wall: Path) -> None:
    (place,) = told(COMMANDS["workings"], wall)["places"]
    sums = {done["fact"]: done for done in place["sums"]}
    assert place["places"] == ["wall"]
    area, screw = sums["place.area"], sums["screw.penetration"]
    assert (area["result"], area["least"], area["greatest"]) == ("35 sq ft (3.25 m2)", "35 sq ft", "35 sq ft")
    (step,) = area["ends"][0]["steps"]
    assert step == {"formula": "area = length x width / 144", "numbers": "84 x 60 / 144", "result": "35 sq ft"}
    assert (screw["least"], screw["greatest"]) == ("1/4 in", "1/4 in")
    joint = sums["grout.least joint as laid"]
    assert (joint["least"], joint["greatest"]) == ("1/16 in", None)
    needed = sums["grout.volume needed"]
    assert (needed["result"], needed["least"], needed["why_not"]) == (None, None, "grout needed: would need tile.thickness")


@pytest.mark.thorough
def test_the_ends_of_every_sum_of_the_samples_read_back_as_amounts() -> None:
    for file in sorted(SAMPLES.glob("*.yaml")):
        papers = told(COMMANDS["workings"], file)
        for paper in papers if isinstance(papers, list) else [papers]:
            for done in (each for place in paper["places"] for each in place["sums"]):
                for end in (done["least"], done["greatest"]):
                    assert end is None or done["kind"] not in KINDS or read(end, done["kind"]), (file.name, done["fact"])


def test_the_buying_list_tells_amounts_and_what_is_missing(wall: Path) -> None:
    items = {item["item"]: item for item in told(COMMANDS["takeoff"], wall, "--waste", "tile 20 %")["items"]}
    # 35 sq ft and a fifth more, in tiles of 16 sq in: 42 x 144 / 16
    assert (items["tile"]["least"], items["tile"]["unit"], items["tile"]["waste"]) == ("42", "sq ft", "20 %")
    assert items["tile"]["packs"]["least"] == 378
    assert (items["screws"]["least"], items["screws"]["missing"]) == (None, ["wall: needs screw spacing"])


def test_the_calendar_tells_the_dates(wall: Path) -> None:
    calendar = told(COMMANDS["calendar"], wall)
    assert calendar["begins"] == "2026-03-02 08:00"
    assert [(step["step"], step["earliest"]) for step in calendar["steps"]] == [
        ("tile set", "2026-03-02 08:00"), ("grout", "2026-03-04 08:00"),
        ("light traffic", "2026-03-05 08:00"), ("water", "2026-03-11 08:00"),
    ]  # fmt: skip


def test_a_warranty_tells_where_each_term_stands(wall: Path) -> None:
    report = told(COMMANDS["warranty"], wall)
    assert {term["standing"] for term in report["terms"]} == {"outside the stated scope"}
    assert report["counts"] == told(COMMANDS["check"], wall)["counts"]


def test_mending_tells_each_change_as_before_and_after(wall: Path) -> None:
    mended = told(COMMANDS["mend"], wall)
    assert (mended["outcome"], mended["wanted"]) == ("fail", "nothing that fails")
    assert mended["alternatives"][0]["changes"] == [{
        "places": ["wall"], "fact": "screw.length", "way": "changed", "before": "1-1/4 in", "after": "1-5/8 in", "needed": "",
        "how": "another size", "where": "line 1", "in_words": "screw length 1-1/4 in, then 1-5/8 in",
        "step": "boards", "takes": "", "care": "",
    }]  # fmt: skip
    assert "wall: screw penetration 1/4 in (6.4 mm), then 5/8 in (16 mm)" in mended["alternatives"][0]["also"]
    assert mended["how_far"].startswith("One change is the least there can be")


def test_what_is_said_of_a_file_written_stays_out_of_the_paper(wall: Path, tmp_path: Path) -> None:
    mended = tmp_path / "mended.yaml"
    done = CliRunner().invoke(app, ["mend", str(wall), "--format", "json", "--write", str(mended)])
    assert json.loads(done.stdout)["alternatives"]
    assert f"Alternative 1 is written to {mended}." in done.stderr
    assert told(COMMANDS["why"], mended)["judgements"][0]["outcome"] == "pass"


def test_a_rule_is_explained_as_its_file_has_it() -> None:
    rule = told(COMMANDS["rulebook explain"], ROOT)
    assert (rule["rule"], rule["chapter"], rule["severity"]) == (SCREWS, "fasteners", "fail")
    assert rule["applies"] == "board fixed with screws and framing material wood"
    assert rule["requires"] == "screw penetration at least 5/8 in (16 mm)"
    assert rule["cases"][0] == {"name": "half-inch board with the usual screw", "expect": "pass"}


def test_the_list_names_every_rule_of_the_book(loaded: LoadedBook) -> None:
    listed = told(COMMANDS["rulebook list"], ROOT)
    assert {rule["rule"] for rule in listed["rules"]} == {path.stem for path in (ROOT / "rulebooks/us").glob("*/*.yaml")
                                                          if path.parent.name not in ("schedules", "consequences", "causes")}  # fmt: skip
    assert listed["counts"]["rules"] == len(listed["rules"])
    screws = next(rule for rule in listed["rules"] if rule["rule"] == SCREWS)
    assert screws == {
        "rule": SCREWS, "chapter": "fasteners", "title": "Board screws reach far enough into the framing", "severity": "fail",
        "book": "us",
    }  # fmt: skip


# -- the same as is printed -----------------------------------------------------------------------------------------------------

PRINTED = {
    "check": ("needed", "question"),
    "check with margins": ("left", "in_words"),
    "why": ("says", "value", "because"),
    "workings": ("result", "line", "formula", "numbers"),
    "takeoff": ("missing", "assumed"),
    "calendar": ("step", "earliest", "because"),
    "warranty": ("term", "standing", "needs", "reason", "fingerprint"),
    "mend": ("in_words", "how_far", "how"),
    "rulebook list": ("rule", "title", "chapter"),
    "rulebook explain": ("title", "applies", "requires", "because", "put_right", "section", "name"),
}
CLOSEST = 5


@pytest.mark.parametrize("name", PRINTED)
def test_what_json_tells_is_what_is_printed(name: str) -> None:
    file, wide = SAMPLES / "five-mistakes.yaml", () if name.startswith("rulebook") else ("--width", "400")
    printed = " ".join(run(COMMANDS[name], file, *wide, *(("--all",) if name == "check" else ()))[1].split()).casefold()
    paper = told(COMMANDS[name], file)
    if name == "check with margins":
        paper = [margin for margin in paper["margins"] if margin["share"] != "1"][:CLOSEST]
    if name == "check":  # good practice of which nothing is written is told in a line without what it needs
        paper["findings"] = [each for each in paper["findings"] if not (each["outcome"] == "advice" and each["would_be"])]
    under = [value if isinstance(value, list) else [value] for key, value in inside(paper) if key in PRINTED[name]]
    texts = [text for values in under for text in values]
    if name in ("check", "check with margins"):  # on paper as a tape shows it
        texts = [on_a_tape(text) for text in texts]
    missing = [text for text in texts if text is not None and " ".join(text.split()).casefold() not in printed]
    assert texts and missing == []


@every_paper
def test_it_ends_as_it_does_when_it_is_printed(words: tuple[str, ...], wall: Path) -> None:
    for file in (wall, SAMPLES / "half-known.yaml"):
        assert run(words, file, "--format", "json")[0] == run(words, file)[0]


# -- of every paper -------------------------------------------------------------------------------------------------------------


@every_command
def test_it_says_by_which_books_it_was_made(words: tuple[str, ...], wall: Path) -> None:
    (book,) = told(words, wall)["books"]
    assert (book["name"], book["layer"], list(book)) == ("us", "code or standard", ["name", "edition", "fingerprint", "layer"])
    both = told(words, wall, "--book", "us", "--book", str(ROOT / "tests/rulebook/layers/harrow-county"))["books"]
    assert [each["layer"] for each in both] == ["code or standard", "local amendment"]


# Under each key the keys of the object that stands there, in their order; "" is the whole paper.
BRANCH = "says answer members decided"
CITED = "title section edition standing known_by note"
KEYS = {
    "why": {
        "": "assembly reading judgements books fingerprint",
        "judgements": "rule title place layer outcome severity applies requires other_ways facts sources because put_right "
                      "varies in_full",
        "applies": BRANCH, "requires": BRANCH, "members": BRANCH, "other_ways": "because when", "when": BRANCH,
        "facts": "fact value origin where shown_by steps sources facts", "sources": CITED,
    },
    "workings": {
        "": "assembly places books fingerprint", "places": "places sums",
        "sums": "fact name of working result kind least greatest stated ends formula given assumed narrows why_not source",
        "ends": "line steps", "steps": "formula numbers result", "given": "fact value origin", "source": CITED,
    },
    "takeoff": {
        "": "assembly items books fingerprint",
        "items": "item name unit waste least greatest packs parts missing assumed", "packs": "of least greatest",
        "parts": "where least greatest how",
    },
    "calendar": {
        "": "assembly begins steps assumed books fingerprint", "steps": "step earliest at_least because known_by",
    },
    "mend": {
        "": "assembly outcome wanted alternatives how_far tried stuck left ways books fingerprint",
        "alternatives": "how outcome changes also new_warnings fingerprint",
        "changes": "places fact way before after needed how where in_words step takes care", "new_warnings": "title place", "stuck": "place rule",
    },
    "rulebook list": {
        "": "rules counts books", "rules": "rule chapter title severity book", "counts": "rules schedules consequences",
    },
    "rulebook explain": {
        "": "rule chapter title severity file applies for_each requires other_ways because put_right warranty sources shows_as "
            "shows_as_nothing_because told_by replaces book cases books",
        "other_ways": "when because sources", "shows_as": "seen typical trouble sources", "sources": CITED, "cases": "name expect",
    },
}  # fmt: skip


@pytest.mark.parametrize("name", KEYS)
def test_its_keys_are_those_promised(name: str) -> None:
    """Of a rule that may be met another way, so that every key is there."""
    words = tuple("porcelain-is-set-in-modified-mortar" if word == SCREWS else word for word in COMMANDS[name])
    paper = told(words, SAMPLES / "five-mistakes.yaml")
    shapes = {"": {" ".join(paper)}}
    for key, value in inside(paper):
        for each in value if isinstance(value, list) else [value]:
            if isinstance(each, dict):
                shapes.setdefault(key, set()).add(" ".join(each))
    promised = {**KEYS[name], "books": "name edition fingerprint layer"}
    assert {key: " or ".join(found) for key, found in shapes.items()} == {key: promised.get(key) for key in shapes}


@every_paper
def test_papers_on_one_description_share_its_name_and_fingerprint(words: tuple[str, ...], wall: Path) -> None:
    paper, report = told(words, wall), told(COMMANDS["check"], wall)
    assert paper["assembly"] == "A wall"
    if words[0] != "warranty":  # whose report is of a document too
        assert paper["fingerprint"] == report["fingerprint"]


@every_paper
def test_of_options_each_has_its_own(words: tuple[str, ...], tmp_path: Path) -> None:
    file = written(tmp_path, TWO_WAYS)
    if words[0] == "mend":
        assert told(words, file, "--option", "B")["assembly"] == "A wall, option B"
    else:
        assert [paper["assembly"] for paper in told(words, file)] == ["A wall, option A", "A wall, option B"]


@every_paper
def test_the_same_file_in_another_folder_gives_the_same_bytes(words: tuple[str, ...], tmp_path: Path) -> None:
    other = tmp_path / "copy.yaml"
    shutil.copy(SAMPLES / "half-known.yaml", other)
    assert run(words, other, "--format", "json") == run(words, SAMPLES / "half-known.yaml", "--format", "json")


@every_command
def test_nothing_of_the_inside_is_told(words: tuple[str, ...]) -> None:
    paper = told(words, SAMPLES / "half-known.yaml")
    within = {"slot", "mask", "vector", "rung", "subject", "known", "exit_status", "draft", "report", "cases_text"}
    assert within.isdisjoint(key for key, _ in inside(paper))
    assert not [value for _, value in inside(paper) if isinstance(value, str) and (" at 0x" in value or "Fraction(" in value)]
    assert not [value for _, value in inside(paper) if isinstance(value, int) and abs(value) > 100_000]


ONE_AFTER_THE_OTHER = """
import json, sys
from validator.cli import app
for words in json.loads(sys.argv[1]):
    app(words, standalone_mode=False)
    print(chr(12))
"""


@pytest.mark.thorough
@pytest.mark.parametrize("sample", ["", "five-mistakes", "half-known"])
def test_two_runs_give_the_same_bytes_and_none_is_colored(sample: str, wall: Path) -> None:
    """Of a small wall, and of two samples."""
    lines = [[str(SAMPLES / f"{sample}.yaml" if sample else wall) if word == "FILE" else word for word in (*words, "--format", "json")]
             for words in COMMANDS.values()]  # fmt: skip
    papers = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "FORCE_COLOR": "1", "TERM": "xterm-256color"}
        done = subprocess.run([sys.executable, "-c", ONE_AFTER_THE_OTHER, json.dumps(lines)], cwd=ROOT, env=environment,
                              capture_output=True, check=True)  # fmt: skip
        papers.append(done.stdout.split(b"\f")[:-1])
    assert len(papers[0]) == len(COMMANDS) and all(map(json.loads, papers[0]))
    assert papers[0] == papers[1]
    assert not any(b"\x1b" in paper for paper in papers[0])


@every_command
def test_a_format_that_is_not_written_is_refused_with_those_that_are(words: tuple[str, ...], wall: Path) -> None:
    accepted = "text, csv, json" if words[0] == "takeoff" else "text, json"
    assert run(words, wall, "--format", "xml") == (2, f"there is no format `xml`. Accepted: {accepted}\n")


@pytest.mark.parametrize("paper", ["--letter", "--sheet"])
def test_a_letter_and_a_sheet_are_for_people(wall: Path, paper: str) -> None:
    status, said = run(COMMANDS["warranty"], wall, paper, "--format", "json")
    assert (status, said) == (2, "there is no format `json`. Accepted: text, html\n")


HOSTILE = '=wall() "}], "outcome": "pass", </script><b> {{ wall }} \\u001b[31m стена\u202e'


@every_paper
def test_a_hostile_name_stays_a_name(words: tuple[str, ...], wall: Path, tmp_path: Path) -> None:
    plain = told(words, wall)
    paper = told(words, written(tmp_path, {**WALL, "assembly": HOSTILE, "places": {HOSTILE: WALL["places"]["wall"]}}))
    assert (paper["assembly"], list(paper)) == (HOSTILE, list(plain))
    assert paper.get("outcome") == plain.get("outcome")


@pytest.mark.parametrize("name", ["check", "why"])
def test_a_hostile_place_is_the_place_of_what_is_found_there(name: str, tmp_path: Path) -> None:
    file = written(tmp_path, {**WALL, "places": {HOSTILE: WALL["places"]["wall"]}})
    told_there = told(COMMANDS[name], file)["findings" if name == "check" else "judgements"]
    assert [each["place"] for each in told_there if each["rule"] == SCREWS] == [HOSTILE]


@pytest.mark.thorough
def test_what_too_many_changes_would_be_needed_for_is_not_said_to_need_none(tmp_path: Path) -> None:
    """Of a wall of which hardly anything is said more is open than the most changes that are tried together."""
    wall = {"assembly": "A wall", "framing": {"material": "wood"}, "places": {"wall": {"kind": "shower wall"}}}
    status, said = run(("mend", "FILE"), written(tmp_path, wall), "--clear")
    assert status == 0
    assert "Too many changes are needed for the smallest set to be proved" in " ".join(said.split())
