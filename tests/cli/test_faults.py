"""Whatever happens, a run ends with one plain line and a status of the README: never a trace of the program, never 1 for a fault."""

import errno
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest
from books import write_book
from growth import RULES, WHOLE
from paths import ROOT, SAMPLES

from validator.cli import faults
from validator.rulebook.cache import FOLDER

SHOWER = SAMPLES / "five-mistakes.yaml"
PLACE = "places: {{w: {{kind: shower wall, built up: [{}]}}}}\n"


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Path:
    """Where the book is kept for all of these but those that plant a fault, since after a fault it is read anew."""
    return tmp_path_factory.mktemp("kept")


def run(*words: object, folder: Path, kept: Path | None = None, before: str = "", given: str = "", **how: object) -> subprocess.CompletedProcess:
    """The program in a process of its own; `before` is Python that runs first."""
    start = f"import sys\n{before}\nfrom validator.cli import main\nmain()"
    more = {"PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(kept or folder / "cache"), **how.pop("environment", {})}
    return subprocess.run(
        [sys.executable, "-c", start, *map(str, words)], cwd=folder, env={**os.environ, **more}, input=given.encode("utf-8", "surrogatepass"),
        capture_output="stdout" not in how, timeout=600, check=False, **how,
    )  # fmt: skip


def said(done: subprocess.CompletedProcess) -> str:
    return (done.stdout or b"").decode("utf-8", "replace") + (done.stderr or b"").decode("utf-8", "replace")


# -- a fault of the program --------------------------------------------------------------------------------------------------------------

PLANTED = "import validator.judging.checking as c\ndef fails(*a, **k): raise KeyError('a fault\\nof two lines')\nc.check = fails"


@pytest.fixture(scope="module")
def small(tmp_path_factory) -> Path:
    """A small book, which is quickly read anew."""
    return write_book(tmp_path_factory.mktemp("small"), vocabulary=WHOLE, rules=RULES)


@pytest.fixture
def wall(tmp_path) -> Path:
    return a_wall(tmp_path, "A wall")


def a_wall(folder: Path, name: str) -> Path:
    file = folder / f"{name}.yaml"
    file.write_text(f"assembly: {name}\nplaces: {{wall: {{kind: shower wall, depth: 1 in}}}}\n", encoding="utf-8")
    return file


def test_a_fault_is_one_line_with_what_was_read_and_how_to_report_it_and_a_status_of_its_own(tmp_path, small, wall):
    done = run("check", wall, "--book", small, folder=tmp_path, before=PLANTED)
    assert done.returncode == faults.STATUS == 4
    lines = done.stderr.decode().splitlines()
    assert len(lines) == 1
    assert lines[0].startswith(f"The program is at fault, not what you wrote, reading {wall}: KeyError: ")
    assert f"ASSEMBLY_VALIDATOR_TRACE=yes validator check '{wall}' --book {small}" in lines[0]


def test_the_trace_is_shown_to_whoever_asks_for_it(tmp_path, small, wall):
    done = run("check", wall, "--book", small, folder=tmp_path, before=PLANTED, environment={"ASSEMBLY_VALIDATOR_TRACE": "yes"})
    assert done.returncode == 4
    assert b"Traceback (most recent call last)" in done.stderr and b"in fails" in done.stderr


def test_of_several_files_the_one_at_fault_is_named(tmp_path, small):
    planted = (
        "import validator.judging.checking as c\nsound = c.check\n"
        "def fails(assembly, *a, **k):\n    assert assembly.name != 'second'\n    return sound(assembly, *a, **k)\nc.check = fails"
    )
    first, second, third = (a_wall(tmp_path, name) for name in ("first", "second", "third"))
    done = run("check", first, second, third, "--book", small, folder=tmp_path, before=planted)
    assert done.returncode == 4 and f", reading {second}: AssertionError" in done.stderr.decode()


def test_after_a_fault_the_books_are_read_anew(tmp_path, small, wall):
    run("check", wall, "--book", small, folder=tmp_path)
    assert list((tmp_path / "cache" / FOLDER).glob("*.book"))
    run("check", wall, "--book", small, folder=tmp_path, before=PLANTED)
    assert not list((tmp_path / "cache" / FOLDER).glob("*.book"))


# -- each that was found ------------------------------------------------------------------------------------------------------------------

FOUND = {
    "two tile layers of which the first has no size": (
        PLACE.format("tile mortar, tile: {name: field, body: porcelain}, tile: {name: accent, size: 2 x 2 in}"), (0, 1, 3), "",
    ),
    "two tile layers about a bed": (PLACE.format("tile, mortar bed, tile: {size: 24 x 24 in}"), (0, 1, 2, 3), ""),
    "a framing run called by another thing's name": ("framing: {cement board: {material: wood}}\n" + PLACE.format("tile"), (0, 1, 3), ""),
    "a framing run called mortar": ("framing: {mortar: {material: wood}}\n" + PLACE.format("tile"), (0, 1, 3), ""),
    "a choice of very many words": (PLACE.format(f"board: {{material: {' or '.join(f'zz{n}' for n in range(200))}}}"), (2,), "`zz0` is not a word"),
    "a name of ten thousand letters": (PLACE.format("tile").replace("w:", f"{'w' * 10_000}:"), (2,), "this name is too long"),
    "a hundred thousand slips": ("".join(f"k{n}: 1\n" for n in range(100_000)), (2,), "and 950 more, and what follows was not read"),
    "half of a letter": ('{"places": {"\\ud800": {"kind": "shower wall"}}}', (0, 1, 2, 3), ""),
}  # fmt: skip


@pytest.mark.parametrize("name", FOUND)
def test_what_was_found_is_read_or_refused_in_words(tmp_path, kept, name):
    text, statuses, word = FOUND[name]
    done = run("check", "-", folder=tmp_path, kept=kept, given=text)
    assert done.returncode in statuses, said(done)[-500:]
    assert word in said(done) and "Traceback" not in said(done)
    assert len(done.stderr.decode().splitlines()) <= 51


def test_a_bad_letter_after_a_mark_of_byte_order_is_placed_where_it_stands(tmp_path, kept):
    (tmp_path / "a.yaml").write_bytes(b"\xef\xbb\xbfh\xbf")
    done = run("check", "a.yaml", folder=tmp_path, kept=kept)
    assert (done.returncode, done.stderr.decode().partition(".")[2].partition(".")[0]) == (2, "yaml:1:2: this character is not saved as UTF-8")


def test_a_calendar_that_leaves_the_years_that_there_are_is_refused(tmp_path, kept):
    done = run("calendar", SHOWER, "--start", "9999-12-31", folder=tmp_path, kept=kept)
    assert done.returncode == 2 and "would come after the year 9999" in said(done)


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "ascii"])
def test_an_output_that_lacks_a_letter_writes_its_number(tmp_path, kept, encoding):
    text = PLACE.format("tile").replace("w:", '"Bäd 浴室":')
    done = run("check", "-", "--all", folder=tmp_path, kept=kept, given=text, environment={"PYTHONIOENCODING": encoding})
    # An output said to be ASCII is taken for one that was not set up, and gets UTF-8.
    assert done.returncode in (0, 1, 3) and (b"\\u6d74\\u5ba4" in done.stdout or encoding == "ascii" and "浴室".encode() in done.stdout)


# -- what is printed ----------------------------------------------------------------------------------------------------------------------


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no device that is full")
@pytest.mark.parametrize("words", [("check", SHOWER), ("page", SHOWER, "-o", "-"), ("takeoff", SHOWER, "--format", "csv"), ("schema",)], ids=str)
def test_a_full_disk_is_said_in_one_line(tmp_path, kept, words):
    with open("/dev/full", "wb") as full:
        done = run(*words, folder=tmp_path, kept=kept, stdout=full, stderr=subprocess.PIPE)
    assert done.returncode == 2
    assert done.stderr.decode().strip().endswith(f"{os.strerror(errno.ENOSPC)}. Accepted: a place that can be read and written, with room in it")
    assert len(done.stderr.splitlines()) == 1


def test_a_name_with_marks_for_a_terminal_reaches_it_by_their_names(tmp_path, kept):
    name = "p\x1b]0;pwned\x07\x1b[2J.yaml"
    done = run("check", name, folder=tmp_path, kept=kept)
    assert done.returncode == 2
    # What clears a screen is left out where no terminal listens.
    assert done.stderr.decode() == (
        "p[U+001B escape]]0;pwned[U+0007 bell].yaml: there is no such file. Accepted: the name of a file that is there\n"
    )


def test_a_terminal_gets_bold_heads_and_no_letter_that_turns_what_is_read(tmp_path, kept):
    (tmp_path / "a.yaml").write_text(PLACE.format("tile").replace("w:", '"a\u202eb":'), encoding="utf-8")
    ours, theirs = pty.openpty()
    done = run("check", "a.yaml", folder=tmp_path, kept=kept, stdout=theirs, stderr=theirs)
    os.close(theirs)
    written = b""
    while part := _read(ours):
        written += part
    assert done.returncode in (0, 1, 3)
    text = written.decode()
    assert "a[U+202E right-to-left override]b" in text and "\u202e" not in text
    assert set(re.findall("\x1b\\[[0-9;]*[A-Za-z]", text)) <= {"\x1b[1m", "\x1b[0m"} and "\x1b[1m" in text


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 1 << 16)
    except OSError:
        return b""


def test_a_table_for_another_program_holds_the_names_as_they_are(tmp_path, kept):
    text = PLACE.format("tile: {size: 2 x 2 in}").replace("w:", '"a\u202eb":')
    done = run("takeoff", "-", "--format", "csv", folder=tmp_path, kept=kept, given=text)
    assert "a\u202eb" in done.stdout.decode()
