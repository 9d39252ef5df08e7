"""A kept book is just what the folder says, written by this program for this user; anything else is read anew."""

import json
import os
import re
import zlib
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from books import rule, table, write_book
from paths import ROOT

from validator.judging.loading import load_book
from validator.language.source import BadBook
from validator.rulebook.cache import DIGEST, FOLDER, KEY, MOST_KEPT, PACKAGE, SEEN, SWITCH, _seen, _write_seen, cached_or_read, program_files
from validator.rulebook.fingerprint import fingerprint_of
from validator.rulebook.reading import read_book
from validator.rulebook.shelf import book_folder

LOCK = "me@a-machine.123:456"  # what an editor's lock is a link to: nothing


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv(SWITCH, raising=False)
    return tmp_path / "cache" / FOLDER


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path / "shelf", rules={"all/deep-enough": rule()})


def kept_in(cache: Path) -> Path:
    (kept,) = cache.glob("*.book")
    return kept


def readings(*folders: Path) -> int:
    """How often the book is read anew when it is asked for twice."""
    read: list[int] = []
    for _ in range(2):
        cached_or_read(folders, folders[0].parent, lambda *each: read.append(1) or read_book(*each))
    return len(read)


def test_a_kept_book_is_known_by_every_module_of_the_program() -> None:
    named = {Path(each.rsplit(" ", 2)[0]) for each in program_files(PACKAGE)}
    assert named == set((ROOT / "validator").rglob("*.py"))


def test_a_book_is_kept_and_read_no_more(book: Path, cache: Path) -> None:
    assert readings(book) == 1
    assert readings(book) == 0
    assert sorted(each.name for each in cache.iterdir()) == sorted([KEY, kept_in(cache).name])


def test_a_book_saved_while_it_is_read_and_then_undone_is_read_anew(book: Path) -> None:
    asked = book / "all" / "deep-enough.yaml"
    sound = asked.read_text()

    def while_it_is_saved(*folders: Path):
        asked.write_text(sound.replace("2 in", "5 in"))
        return read_book(*folders)

    assert "2 in" in sound
    cached_or_read([book], book.parent, while_it_is_saved)
    asked.write_text(sound)
    found = cached_or_read([book], book.parent, read_book)
    assert found.fingerprint == fingerprint_of(book)


def test_a_rule_moved_into_a_remark_of_another_is_another_book(book: Path) -> None:
    first, second = book / "all" / "deep-enough.yaml", book / "all" / "second.yaml"
    first.write_text(first.read_text() + "# moved: ")
    second.write_text(json.dumps(json.loads(rule("second"))))
    before = fingerprint_of(book)
    assert set(load_book(book).book.rules) == {"deep-enough", "second"}
    first.write_text(first.read_text() + "small/all/second.yaml" + second.read_text())
    second.unlink()
    assert fingerprint_of(book) != before
    assert set(load_book(book).book.rules) == {"deep-enough"}


# -- which files were touched ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def settled(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if every file had been left alone for as long as it takes to be believed."""
    monkeypatch.setattr("validator.rulebook.cache.LEFT_ALONE", 0)


needs_times = pytest.mark.skipif(os.name != "posix", reason="this system does not tell when a file was last changed")


def deep(book: Path, inches: int) -> None:
    """Written over in place, as long as before, and its time set back."""
    path = book / "all" / "deep-enough.yaml"
    before = path.stat()
    path.write_text(re.sub(r"\d in", f"{inches} in", path.read_text()))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert (path.stat().st_size, path.stat().st_mtime_ns) == (before.st_size, before.st_mtime_ns)


def remembered(cache: Path) -> dict[str, tuple[str, str]]:
    return _seen(cache / SEEN)


def asked(book: Path) -> str:
    return cached_or_read([book], book.parent, read_book).fingerprint


@needs_times
def test_files_that_were_just_written_are_not_remembered(book: Path, cache: Path) -> None:
    readings(book)
    assert remembered(cache) == {}


@needs_times
def test_files_that_were_left_alone_are_known_without_being_read(settled, book: Path, cache: Path) -> None:
    assert readings(book) == 1
    ((which, (stamp, fingerprint)),) = remembered(cache).items()
    assert fingerprint == fingerprint_of(book)
    _write_seen(cache / SEEN, {which: (stamp, "another")})
    assert readings(book) == 2  # what is remembered wrongly is of no kept book, and keeps none


@needs_times
def test_a_file_as_long_as_before_with_its_time_set_back_is_noticed(settled, book: Path) -> None:
    for inches in (2, 3, 4, 3):
        deep(book, inches)
        assert asked(book) == fingerprint_of(book)


@needs_times
def test_a_file_that_is_added_taken_away_or_put_in_anothers_place_is_noticed(settled, book: Path) -> None:
    asked(book)
    own, more, beside = (book / "all" / name for name in ("deep-enough.yaml", "more.yaml", "beside"))
    more.write_text(rule("more"))
    assert asked(book) == fingerprint_of(book)
    more.unlink()
    assert asked(book) == fingerprint_of(book)
    beside.write_text(own.read_text().replace("2 in", "3 in"))
    before = own.stat()
    os.utime(beside, ns=(before.st_atime_ns, before.st_mtime_ns))
    beside.replace(own)
    assert asked(book) == fingerprint_of(book)


@needs_times
def test_what_is_remembered_is_believed_only_under_the_users_key(settled, book: Path, cache: Path) -> None:
    readings(book)
    file, chance = cache / SEEN, Random(3)
    sound = file.read_bytes()
    for turn in range(60):
        changed = bytearray(sound)
        changed[chance.randrange(len(changed))] ^= chance.randint(1, 255)
        file.write_bytes(forged_by_anybody(bytes(changed)) if turn % 2 else bytes(changed))
        assert asked(book) == fingerprint_of(book)
        assert file.read_bytes() == sound  # read anew, and remembered again


@needs_times
def test_as_many_books_are_remembered_as_are_kept(settled, tmp_path: Path, cache: Path) -> None:
    for number in range(MOST_KEPT + 2):
        asked(write_book(tmp_path / f"shelf {number}", rules={"all/deep-enough": rule()}))
    assert len(remembered(cache)) == MOST_KEPT


# -- the file is an input ------------------------------------------------------------------------------------------------------------


def forged_by_anybody(written: bytes) -> bytes:
    """With any checksum that needs no key made right."""
    return zlib.crc32(written[DIGEST:]).to_bytes(4, "big") * (DIGEST // 4) + written[DIGEST:]


def test_no_changed_file_is_taken_for_the_book(book: Path, cache: Path) -> None:
    readings(book)
    kept, chance = kept_in(cache), Random(12)
    sound = kept.read_bytes()
    for turn in range(300):
        changed = bytearray(sound)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(changed))
            changed[at : at + chance.randint(0, 3)] = chance.randbytes(chance.randint(0, 3))
        if bytes(changed) == sound:
            continue
        kept.write_bytes(forged_by_anybody(bytes(changed)) if turn % 2 else bytes(changed))
        found = cached_or_read([book], book.parent, read_book)
        assert list(found.rules) == ["deep-enough"] and kept.read_bytes() == sound


def test_a_book_kept_under_the_name_of_another_is_not_that_other(tmp_path: Path, book: Path, cache: Path) -> None:
    readings(book)
    first = kept_in(cache)
    other = write_book(tmp_path / "other", rules={"all/other": rule("other")})
    readings(other)
    (second,) = set(cache.glob("*.book")) - {first}
    second.unlink()
    os.link(first, second)
    assert list(cached_or_read([other], other.parent, read_book).rules) == ["other"]


def replaced_by(make: Callable[[Path], None]) -> Callable[[Path], None]:
    def spoil(path: Path) -> None:
        path.unlink()
        make(path)

    return spoil


SPOILT = {
    "a pipe": replaced_by(os.mkfifo),
    "a link to a device": replaced_by(lambda path: path.symlink_to("/dev/zero")),
    "a link to nothing": replaced_by(lambda path: path.symlink_to("nowhere")),
    "a link to itself": replaced_by(lambda path: path.symlink_to(path.name)),
    "what others may write": lambda path: path.chmod(0o666),
    "nothing": replaced_by(lambda path: path.write_bytes(b"")),
}


@pytest.mark.parametrize("which", ["book", KEY])
@pytest.mark.parametrize("how", SPOILT)
def test_what_is_no_plain_file_of_the_users_own_is_not_opened_and_is_replaced(book: Path, cache: Path, which: str, how: str) -> None:
    readings(book)
    SPOILT[how](kept_in(cache) if which == "book" else cache / KEY)
    assert readings(book) == 1
    assert readings(book) == 0


@pytest.mark.parametrize("which", ["book", KEY])
def test_a_folder_in_its_place_costs_nothing_but_time(book: Path, cache: Path, which: str) -> None:
    readings(book)
    path = kept_in(cache) if which == "book" else cache / KEY
    path.unlink()
    path.mkdir()
    assert readings(book) == 2


def test_nothing_is_written_through_a_planted_link(tmp_path: Path, book: Path, cache: Path) -> None:
    readings(book)
    theirs = tmp_path / "theirs.txt"
    theirs.write_text("years of work")
    for name in (kept_in(cache).name, f"{kept_in(cache).stem}.{os.getpid()}", KEY):
        (cache / name).unlink(missing_ok=True)
        (cache / name).symlink_to(theirs)
    readings(book)
    assert theirs.read_text() == "years of work"


# -- what stands in a book's folder --------------------------------------------------------------------------------------------------


def test_an_editors_lock_in_a_chapter_is_no_rule(book: Path) -> None:
    (book / "all" / ".#deep-enough.yaml").symlink_to(LOCK)
    (book / "all" / ".deep-enough.yaml.swp").write_text("{")
    (book / "schedules").mkdir()
    (book / "schedules" / ".#rows.csv").symlink_to(LOCK)
    assert list(load_book(book).book.rules) == ["deep-enough"]


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: path.mkdir(), "this is a folder"),
        (lambda path: path.symlink_to("nowhere"), "there is no such file"),
        (lambda path: path.symlink_to(path.name), "cannot be opened"),
        (os.mkfifo, "is not an ordinary file"),
        (lambda path: path.symlink_to("/dev/zero"), "is not an ordinary file"),
    ],
)
def test_what_is_called_a_rule_and_is_no_file_is_named(book: Path, make: Callable[[Path], None], said: str) -> None:
    make(book / "all" / "odd.yaml")
    with pytest.raises(BadBook, match="odd.yaml") as bad:
        load_book(book)
    assert said in str(bad.value)


# -- sheets of rows --------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("all other,", "rows.csv:3:1: a row gives no place.exposure. Accepted: dry, damp, wet"),
        ("foam,d\x1b]0;oops\x07ry", "rows.csv:3:7: there is a character here that cannot be seen (U+001B)"),
        ('foam,"dry', "a quotation mark is opened and not closed"),
        ("foam", "rows.csv:3:1: the row has 1 cells and the sheet 2 columns. Accepted: a cell for each column"),
        ("foam,dry,wet", "rows.csv:3:1: the row has 3 cells and the sheet 2 columns"),
    ],
)
def test_a_sheet_of_rows_says_what_is_wrong_with_it(tmp_path: Path, row: str, said: str) -> None:
    sheet = table("rows", "place.exposure", ["board.material"], f"board.material,answer\ncement,wet\n{row}\n")
    folder = write_book(tmp_path / "with rows", rules={"all/deep-enough": rule()}, schedules=sheet)
    with pytest.raises(BadBook) as bad:
        read_book(folder)
    assert said in str(bad.value)


def test_a_book_is_known_by_its_files_and_not_by_where_it_stands(tmp_path: Path) -> None:
    (tmp_path / "rulebooks").symlink_to(book_folder("us").parent)
    assert fingerprint_of(tmp_path / "rulebooks" / "us") == fingerprint_of(book_folder("us"))
