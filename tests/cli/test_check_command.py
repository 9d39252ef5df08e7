"""`validator check` from end to end: what it writes, what it ends with, and what it says of anything that it cannot read."""

import json
import os
import pickle
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from books import VOCABULARY, consequence, rule, table, write_book
from growth import RULES, WHOLE
from paths import ROOT
from typer.testing import CliRunner, Result

from validator.cli import app
from validator.rulebook.cache import FOLDER, KEY, _digest

SAMPLES = ROOT / "samples"
SHOWER = SAMPLES / "second-floor-shower.yaml"
COMMAND = [sys.executable, "-m", "validator"]


def validator(*words: object, text: str | bytes | None = None) -> Result:
    """The command in this process. It ends by saying so, and by nothing else."""
    result = CliRunner().invoke(app, [str(word) for word in words], input=text)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    return result


def in_a_process(*words: object, **more: str) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **more}
    done = subprocess.run([*COMMAND, *(str(word) for word in words)], capture_output=True, env=environment, check=False)
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    return done


# -- what it ends with ----------------------------------------------------------------------------------------------------------

ENDS = {"second-floor-shower": 0, "five-mistakes": 1, "half-known": 3}


@pytest.mark.parametrize(("sample", "status"), ENDS.items())
def test_the_exit_status_says_whether_anything_failed_or_could(sample: str, status: int) -> None:
    assert validator("check", SAMPLES / f"{sample}.yaml").exit_code == status


@pytest.mark.parametrize(
    ("samples", "status"),
    [
        (("second-floor-shower", "half-known"), 3),
        (("half-known", "second-floor-shower"), 3),
        (("second-floor-shower", "half-known", "five-mistakes"), 1),
        (("five-mistakes", "half-known"), 1),
    ],
)
def test_of_several_files_the_gravest_decides_and_each_has_its_report(samples: tuple[str, ...], status: int) -> None:
    result = validator("check", *(SAMPLES / f"{name}.yaml" for name in samples), "--format", "json")
    assert result.exit_code == status
    assert len(json.loads(result.stdout)) == len(samples)


def test_a_file_that_cannot_be_read_ends_in_two_and_the_others_are_still_judged(tmp_path: Path) -> None:
    result = validator("check", SAMPLES / "five-mistakes.yaml", tmp_path / "missing.yaml", "--format", "json")
    assert result.exit_code == 2
    assert json.loads(result.stdout)["outcome"] == "fail"
    assert "missing.yaml: there is no such file" in result.stderr


def test_standard_input_is_judged_as_a_file_is() -> None:
    read = validator("check", "-", "--format", "json", text=SHOWER.read_text(encoding="utf-8"))
    assert read.exit_code == 0
    assert read.stdout == validator("check", SHOWER, "--format", "json").stdout


def test_an_assembly_in_json_is_judged_too() -> None:
    text = json.dumps({"places": {"shower wall": {"waterproofing": "none"}}})
    assert validator("check", "-", text=text).exit_code == 1


def test_what_passes_is_shown_only_when_asked_for() -> None:
    title = "A shower floor, or a deck over a room, is tested with standing water"
    assert title not in validator("check", SHOWER).stdout
    assert title in " ".join(validator("check", SHOWER, "--all").stdout.split())


@pytest.mark.parametrize("width", [40, 72, 120])
def test_no_line_is_wider_than_asked_for(width: int) -> None:
    lines = validator("check", SAMPLES / "half-known.yaml", "--all", "--width", width).stdout.splitlines()
    assert lines
    assert max(map(len, lines)) <= width


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("check", SHOWER, "--format", "xml"), "there is no format `xml`. Accepted: text, json"),
        (("check", SHOWER, "--width", "10"), "--width"),
        (("check", SHOWER, "--width", "wide"), "--width"),
        (("check",), "FILE..."),
        (("check", SHOWER, "--book"), "--book"),
        (("chek", SHOWER), "chek"),
    ],
)
def test_a_slip_in_the_command_itself_ends_in_two(words: tuple[object, ...], said: str) -> None:
    result = validator(*words)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr


def test_a_book_that_is_not_there_is_answered_with_those_that_are(tmp_path: Path) -> None:
    result = validator("check", SHOWER, "--book", "uss")
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == (
        "uss: there is no book `uss`. Accepted: did you mean `us`? us; or a folder that holds book.yaml\n"
    )


# -- JSON for other programs ------------------------------------------------------------------------------------------------------

# The keys that other programs rely on, then those that were added to them.
REPORT = {
    "assembly", "outcome", "counts", "findings", "open_items", "cautions", "presumed", "not_checked", "books", "fingerprint",
}  # fmt: skip
REPORT_MORE = {"look_again", "as_told", "outside"}
AS_TOLD = {
    "outcome", "could_become", "findings", "questions", "checks", "sound", "usual", "not_mentioned", "judged_by_nothing",
    "cautions", "failed", "warned", "proved", "applying", "deciding", "unread_lines",
}  # fmt: skip
QUESTION = {"facts", "place", "asks", "look", "answers", "would_be", "rules", "waiting", "not_mentioned", "effect", "too_late", "decides", "number"}
FINDING = {
    "rule", "title", "place", "outcome", "found", "needed", "because", "chain", "put_right", "sources", "warranty", "facts",
}  # fmt: skip
FINDING_MORE = {"would_be", "heading", "worked_out", "asks", "presumes", "book", "number"}
SOURCE = {"title", "section", "edition", "standing", "known_by", "code_family"}
FACT = {"fact", "value", "origin", "where"}
FACT_MORE = {"shown_by"}
OPEN_ITEM = {"fact", "question", "where_to_look", "rules"}
OPEN_ITEM_MORE = {"place", "answers", "would_be", "waiting", "number"}
BOOK = {"name", "edition", "fingerprint"}
BOOK_MORE = {"layer"}
COUNTS = {"pass", "warn", "fail", "open", "advice", "waits", "not applicable"}
OUTCOMES = {"pass", "warn", "fail", "open", "advice"}
WOULD_BE = {"open": ("warn", "fail"), "advice": ("", "advice")}  # the severity that an open one would have


@pytest.mark.parametrize("sample", [
    pytest.param(name, marks=() if name in ("half-known", "five-mistakes") else pytest.mark.thorough) for name in sorted(p.stem for p in SAMPLES.glob("*.yaml"))
])  # fmt: skip
def test_the_keys_of_the_report_are_those_promised(sample: str) -> None:
    report = json.loads(validator("check", SAMPLES / f"{sample}.yaml", "--format", "json").stdout)
    assert set(report) == REPORT | REPORT_MORE
    assert set(report["as_told"]) == AS_TOLD
    assert all(set(question) == QUESTION for question in report["as_told"]["questions"])
    assert set(report["counts"]) == COUNTS
    assert report["findings"]
    for finding in report["findings"]:
        assert set(finding) == FINDING | FINDING_MORE
        assert finding["outcome"] in OUTCOMES
        assert finding["would_be"] in WOULD_BE.get(finding["outcome"], ("",))
        assert all(set(source) == SOURCE for source in finding["sources"])
        assert all(set(fact) == FACT | FACT_MORE for fact in finding["facts"])
    assert all(set(item) == OPEN_ITEM | OPEN_ITEM_MORE for item in report["open_items"])
    assert all(set(book) == BOOK | BOOK_MORE for book in report["books"])


def test_every_finding_with_a_rule_names_a_source() -> None:
    report = json.loads(validator("check", SAMPLES / "five-mistakes.yaml", "--format", "json").stdout)
    assert all(finding["sources"] for finding in report["findings"] if finding["rule"] != "said-two-ways")


def test_a_card_that_is_contradicted_gives_a_finding_of_its_own(tmp_path: Path) -> None:
    card = "product: Harrow large tile mortar"
    written = SHOWER.read_text(encoding="utf-8")
    assert written.count(card) == 1
    text = written.replace(card, f"{card}\n          kind: unmodified cement")
    report = json.loads(validator("check", "-", "--format", "json", text=text).stdout)
    assert any(finding["rule"] == "said-two-ways" and finding["outcome"] == "open" for finding in report["findings"])


@pytest.mark.parametrize("form", ["text", "json"])
def test_the_same_input_gives_the_same_bytes(form: str) -> None:
    asked = ("check", SAMPLES / "half-known.yaml", SAMPLES / "five-mistakes.yaml", "--all", "--format", form)
    first, second = (in_a_process(*asked, PYTHONHASHSEED=seed) for seed in ("1", "20"))
    assert first.stdout == second.stdout
    assert len(first.stdout) > 1000


@pytest.mark.thorough
def test_a_book_read_anew_gives_the_same_bytes_as_one_kept() -> None:
    asked = ("check", SAMPLES / "half-known.yaml", "--all", "--format", "json")
    anew = in_a_process(*asked, ASSEMBLY_VALIDATOR_KEEP="no", PYTHONHASHSEED="3")
    assert anew.stdout == in_a_process(*asked).stdout


# -- what it cannot read ------------------------------------------------------------------------------------------------------------


def wall(board: str) -> str:
    return f"places:\n  shower wall:\n    built up:\n      - board: {board}\n"


LENGTH = "1-5/8 in, 13 ft 6 in, 20 mil or 41 mm"
BOMB = "a: &a [x, x, x]\nb: &b [*a, *a, *a]\nplaces: {shower wall: {built up: *b}}\n"
BAD = {
    "a misspelt fact": (
        wall("{material: foam, thicknes: 1/2 in}"),
        "F:4:33: `thicknes` is not a key of `board`. Accepted: did you mean `thickness`? material, waterproof, laid in mortar, ",
    ),
    "a wrong unit": (
        wall("{material: foam, thickness: 1/2 lb}"),
        f"F:4:44: `thickness`: `1/2 lb`: a mass is not a length. Accepted: {LENGTH}\n",
    ),
    "a unit missing": (
        wall("{material: foam, thickness: 12}"),
        "F:4:44: `thickness`: `12` says no unit. Accepted: 12 in or 12 mm\n",
    ),
    "a bare 118.10": (
        "places:\n  shower wall:\n    built up:\n      - tile mortar: {meets: 118.10}\n",
        "F:4:30: `meets`: `118.10` is not a word for standards on the bag. Accepted: A118.1, A118.3, A118.4, ",
    ),
    "a repeated key": (
        wall("{material: foam, material: cement}"),
        "F:4:33: `material` is written twice here, first in line 4. Accepted: each name once\n",
    ),
    "an alias bomb": (
        BOMB,
        "F:1:4: `&a` names a part of the file for use elsewhere. Accepted: the text alone, or in quotes if it begins with &\n"
        "F:2:4: `&b` names a part of the file for use elsewhere. Accepted: the text alone, or in quotes if it begins with &\n"
        "F:2:8: `*a` points to another part of the file. Accepted: the text written out, or in quotes if it begins with *\n",
    ),
    "deep nesting": ("[" * 40 + "]" * 40, "F:1:31: "),
    "very deep nesting": ("[" * 100_000, "F:1:"),
    "an empty file": ("", "F: there is nothing written here. Accepted: one fact a line, such as `spacing: 16 in`\n"),
    "a file of spaces": (" \n\n", "F: there is nothing written here. Accepted: one fact a line, such as `spacing: 16 in`\n"),
    "a file of words": ("a shower with tile\n", "F:1:1: "),
    "a binary file": (bytes(range(256)) * 40, "F: this is not a text file. Accepted: plain text saved as UTF-8\n"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "said"), BAD.values(), ids=BAD)
def test_what_is_written_badly_is_answered_word_for_word(tmp_path: Path, text: str | bytes, said: str) -> None:
    file = tmp_path / "assembly.yaml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    result = validator("check", file)
    assert result.exit_code == 2
    assert not result.stdout or "As told, by what could be read: " in result.stdout
    assert result.stderr.replace(str(file), "F").startswith(said)


@pytest.mark.parametrize(("text", "said"), BAD.values(), ids=BAD)
def test_standard_input_written_badly_is_answered_too(text: str | bytes, said: str) -> None:
    result = validator("check", "-", text=text)
    assert result.exit_code == 2
    assert not result.stdout or "As told, by what could be read: " in result.stdout
    assert result.stderr.startswith("standard input")


def test_a_file_of_fifty_megabytes_is_refused_at_once(tmp_path: Path) -> None:
    file = tmp_path / "big.yaml"
    with file.open("wb") as big:
        big.truncate(50_000_000)
    result = validator("check", file)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"{file}: this file is 50 MB. Accepted: a file of at most 2 MB\n"


def test_fifty_megabytes_on_standard_input_are_refused() -> None:
    result = validator("check", "-", text=b"# a line\n" * 5_600_000)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == "standard input: standard input is too long. Accepted: at most 2000000 bytes\n"


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    missing = validator("check", tmp_path / "missing.yaml")
    assert (missing.exit_code, missing.stdout) == (2, "")
    assert missing.stderr == f"{tmp_path}/missing.yaml: there is no such file. Accepted: the name of a file that is there\n"
    folder = validator("check", tmp_path)
    assert (folder.exit_code, folder.stdout) == (2, "")
    assert folder.stderr.startswith(f"{tmp_path}: ")


def test_every_slip_of_a_file_is_told_at_once(tmp_path: Path) -> None:
    file = tmp_path / "assembly.yaml"
    file.write_text(wall("{materal: foam, thickness: 12}"), encoding="utf-8")
    assert len(validator("check", file).stderr.splitlines()) == 2


# -- what a guessing reader of YAML would take for something else -------------------------------------------------------------------


def found(report: dict, fact: str) -> set[str]:
    return {each["value"] for finding in report["findings"] for each in finding["facts"] if each["fact"] == fact}


def test_a_bare_ratio_is_a_slope_and_not_a_time_of_day() -> None:
    text = "places: {shower floor: {fall: 1:48}}"
    report = json.loads(validator("check", "-", "--format", "json", text=text).stdout)
    assert {value.partition(" (")[0] for value in found(report, "place.fall")} == {"1:48"}


def test_a_bare_no_is_a_word_and_not_false() -> None:
    text = "use: {freezing climate: no}\nplaces: {shower wall: {waterproofing: no}}"
    result = validator("check", "-", "--format", "json", text=text)
    assert result.exit_code == 1
    failed = [finding["title"] for finding in json.loads(result.stdout)["findings"] if finding["outcome"] == "fail"]
    assert "A place that water soaks is waterproofed" in failed


# -- a bad book -----------------------------------------------------------------------------------------------------------------------

DEEP = {"all/deep-enough": rule()}
BY_SCHEDULE = {"all/deep-enough": rule(requires={"place.depth": {"at least": {"schedule": "depths"}}})}
FLAGS = VOCABULARY + "".join(f"place.{name}: {{what: {name}, kind: yes or no, concluded: flag}}\n" for name in ("one", "other"))
BAD_BOOKS = {
    "a misspelt comparison": (
        {"rules": {"all/deep-enough": rule(requires={"place.depth": {"at leest": "2 in"}})}},
        "B/small/all/deep-enough.yaml:7:4: `at leest` is not a comparison for place.depth. Accepted: did you mean `at least`? "
        "is, is not, at least, at most, more than, less than\n",
    ),
    "a gap": (
        {
            "rules": BY_SCHEDULE,
            "schedules": table("depths", "place.depth", ["place.kind"], "place.kind,answer\nshower wall,2 in\n"),
        },
        "B/small/schedules/depths.yaml:1:1: no row answers for place.kind room wall. Accepted: a row for it, a last row "
        "`all other`, or `otherwise: open` in the heading\n",
    ),
    "an overlap": (
        {
            "rules": BY_SCHEDULE,
            "schedules": table(
                "depths", "place.depth", ["place.exposure"],
                "place.exposure,answer\ndry,2 in\ndamp,1 in\ndry or wet,3 in\n",
            ),
        },
        "B/small/schedules/depths.yaml:1:1: rows on lines 2 and 4 both answer for place.exposure dry. Accepted: rows that do "
        "not overlap\n",
    ),
    "a circle of consequences": (
        {
            "vocabulary": FLAGS,
            "rules": DEEP,
            "consequences": {
                "this": consequence("this", {"place.other": "yes"}, {"place.one": "yes"}),
                "that": consequence("that", {"place.one": "yes"}, {"place.other": "yes"}),
            },
        },
        "B/small/consequences/this.yaml:1:1: facts follow from each other in a circle: place.one -> place.other -> place.one. "
        "Accepted: a condition on `place.one as stated`, or one consequence less\n",
    ),
    "an unknown source": (
        {"rules": {"all/deep-enough": rule(sources=[{"from": "bigg code", "known by": "read second-hand"}])}},
        "B/small/all/deep-enough.yaml:14:12: `bigg code` is no source of sources.yaml. Accepted: did you mean `big code`?\n",
    ),
    "a vocabulary in which nothing can be described": (
        {"rules": DEEP},
        "the vocabulary: `job` is not declared, and every assembly has it\n",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("files", "said"), BAD_BOOKS.values(), ids=BAD_BOOKS)
def test_a_bad_book_is_answered_word_for_word_and_judges_nothing(tmp_path: Path, files: dict, said: str) -> None:
    book = write_book(tmp_path, **files)
    result = validator("check", SHOWER, "--book", book)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.replace(str(tmp_path), "B").startswith(said)


# -- where it runs ---------------------------------------------------------------------------------------------------------------------


def test_a_reader_who_has_seen_enough_is_no_fault() -> None:
    files = [str(SAMPLES / "half-known.yaml")] * 20
    process = subprocess.Popen(
        [*COMMAND, "check", *files, "--all"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    assert process.stdout.readline()
    process.stdout.close()
    assert process.stderr.read() == b""
    process.wait()


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small book on a shelf of its own, with a wall beside the shelf."""
    folder = tmp_path_factory.mktemp("here")
    (folder / "wall.yaml").write_text("assembly: A wall\nplaces: {wall: {kind: shower wall, depth: 1 in}}\n", encoding="utf-8")
    return write_book(folder / "shelf", vocabulary=WHOLE, rules=RULES)


def report_where(book: Path, **more: str) -> bytes:
    return in_a_process("check", book.parent.parent / "wall.yaml", "--book", book, **more).stdout


@pytest.fixture(scope="module")
def usual(book: Path) -> bytes:
    found = report_where(book, ASSEMBLY_VALIDATOR_KEEP="no")
    assert b"FAIL  D1 wall: deep enough" in found
    return found


def test_a_home_that_is_not_there_or_cannot_be_written_costs_nothing(tmp_path: Path, book: Path, usual: bytes) -> None:
    plain = tmp_path / "a file"
    plain.write_text("", encoding="utf-8")
    for home in (plain, "/proc/none", "", "nowhere"):
        assert report_where(book, HOME=str(home), XDG_CACHE_HOME="") == usual
        assert report_where(book, XDG_CACHE_HOME=str(home), HOME=str(tmp_path / "home")) == usual
    assert not Path("nowhere").exists()


def kept_in(folder: Path) -> Path:
    (kept,) = (folder / FOLDER).glob("*.book")
    return kept


def test_a_book_is_kept_once_and_used_again(tmp_path: Path, book: Path, usual: bytes) -> None:
    assert report_where(book, XDG_CACHE_HOME=str(tmp_path)) == usual
    first = kept_in(tmp_path).stat().st_mtime_ns
    assert report_where(book, XDG_CACHE_HOME=str(tmp_path)) == usual
    assert kept_in(tmp_path).stat().st_mtime_ns == first


def checked(kept: Path, written: bytes) -> bytes:
    """As whoever has the user's key could write it."""
    return _digest(kept, written) + written


IMPORTS_SUBPROCESS = "validator.engines.witness.process"


def short(text: str) -> bytes:
    """A short text as pickle writes it."""
    return b"\x8c" + bytes([len(text)]) + text.encode()


class Runs:
    """Pickled, it would make a file when it is loaded."""

    def __init__(self, kind: object, *given: object) -> None:
        self.kind, self.given = kind, given

    def __reduce__(self) -> tuple:
        return self.kind, self.given


def test_a_damaged_or_tampered_kept_book_costs_nothing_and_runs_nothing(tmp_path: Path, book: Path, usual: bytes) -> None:
    assert report_where(book, XDG_CACHE_HOME=str(tmp_path)) == usual
    kept = kept_in(tmp_path)
    sound = kept.read_bytes()
    made = tmp_path / "made by the kept file"
    touch = b"]" + short("touch") + b"a" + short(str(made)) + b"a\x85"  # the arguments: a list of two words
    by_way_of_a_module = b"\x80\x04" + short(IMPORTS_SUBPROCESS) + short("subprocess.Popen") + b"\x93" + touch + b"R."
    flipped = bytearray(sound)
    flipped[len(sound) // 2] ^= 255
    for written in (
        b"", b"\0", b"no book", sound[: len(sound) // 2], bytes(flipped), checked(kept, pickle.dumps("a text")),
        checked(kept, pickle.dumps(Runs(os.system, f"touch '{made}'"))), checked(kept, pickle.dumps(Runs(eval, f"open({str(made)!r}, 'w')"))),
        checked(kept, pickle.dumps(Runs(subprocess.Popen, ["touch", str(made)]))), checked(kept, by_way_of_a_module), checked(kept, b"\x80\x05\x96" + b"\xff" * 8 + b"."),
    ):  # fmt: skip
        kept.write_bytes(written)
        assert report_where(book, XDG_CACHE_HOME=str(tmp_path)) == usual
        assert not made.exists()
        assert kept.stat().st_size > len(sound) // 2  # read anew, and kept again


def test_nothing_half_written_is_left_behind(tmp_path: Path, book: Path) -> None:
    report_where(book, XDG_CACHE_HOME=str(tmp_path))
    assert sorted(path.suffix or path.name for path in (tmp_path / FOLDER).iterdir()) == [".book", KEY]


def test_a_changed_word_of_the_book_is_noticed_although_it_is_kept(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "rulebooks", tmp_path / "rulebooks")
    book = tmp_path / "rulebooks" / "us"
    first = in_a_process("check", SHOWER, "--book", book, XDG_CACHE_HOME=str(tmp_path)).stdout
    heading = (book / "book.yaml").read_text(encoding="utf-8")
    (book / "book.yaml").write_text(heading.replace("2026.2", "2026.9"), encoding="utf-8")
    second = in_a_process("check", SHOWER, "--book", book, XDG_CACHE_HOME=str(tmp_path)).stdout
    assert b"2026.2" in first
    assert b"2026.9" in second
