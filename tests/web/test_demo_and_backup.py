"""The invented jobs say what they mean to; a backup holds everything, proves itself, and comes back as it was."""

import zipfile
from pathlib import Path

import pytest
from at_desk import Desk
from sqlalchemy import text as sql

from validator.web.backup import NoBackup, backed_up, restored
from validator.web.bench import Bench
from validator.web.demo import demo_jobs, fill
from validator.web.store import Store, Wanted


@pytest.mark.thorough
def test_a_dozen_jobs_are_made_and_every_answer_of_theirs_is_taken(desk: Desk, bench: Bench) -> None:
    assert fill(desk.store, bench) == 12
    cases = {each.title: each for each in desk.store.cases()}
    for job in demo_jobs():
        events = desk.store.events(cases[job.title].public)
        assert [each.says["of"]["is"] for each in events[1:]] == [words for *_, words in job.say]
    assert {bench.judged(each.text).report.as_told.outcome for each in cases.values()} >= {"fail", "pass"}
    assert [why for *_, why in desk.store.verified()] == [""] * 12


def test_a_backup_comes_back_as_it_was(desk: Desk, tmp_path: Path) -> None:
    public = desk.begin(kind="shower")
    desk.answer(pressed="house")
    assert backed_up(tmp_path / "cases.sqlite", tmp_path / "kept.zip") == 1
    assert restored(tmp_path / "kept.zip", tmp_path / "again" / "cases.sqlite") == 1
    again = Store(str(tmp_path / "again" / "cases.sqlite"))
    assert again.events(public) == desk.store.events(public) and again.state(public) == desk.store.state(public)
    assert again.cases(Wanted("shower"))[0].public == public
    again.close()


def test_a_restore_never_writes_over_what_is_there(desk: Desk, tmp_path: Path) -> None:
    backed_up(tmp_path / "cases.sqlite", tmp_path / "kept.zip")
    with pytest.raises(NoBackup, match="is there already"):
        restored(tmp_path / "kept.zip", tmp_path / "cases.sqlite")


def test_a_history_that_does_not_prove_is_not_backed_up_as_if_it_did(desk: Desk, tmp_path: Path) -> None:
    desk.begin(kind="shower")
    with desk.store.writing() as link:
        link.execute(sql("update event set line = replace(line, 'shower', 'hotel')"))
    with pytest.raises(NoBackup, match="does not prove"):
        backed_up(tmp_path / "cases.sqlite", tmp_path / "kept.zip")
    assert not (tmp_path / "kept.zip").exists()


@pytest.mark.parametrize("spoil", ["cut", "changed", "no archive", "another archive", "leads out"])
def test_what_is_no_whole_backup_is_refused_and_nothing_is_made(desk: Desk, tmp_path: Path, spoil: str) -> None:
    desk.begin(kind="shower")
    kept = tmp_path / "kept.zip"
    backed_up(tmp_path / "cases.sqlite", kept)
    whole = kept.read_bytes()
    if spoil == "cut":
        kept.write_bytes(whole[: len(whole) // 2])
    elif spoil == "changed":
        kept.write_bytes(whole[:2_000] + bytes([whole[2_000] ^ 1]) + whole[2_001:])
    elif spoil == "no archive":
        kept.write_text("cases")
    else:
        with zipfile.ZipFile(kept, "w") as archive:
            archive.writestr("other.txt" if spoil == "another archive" else "pictures/../../out", "x")
    with pytest.raises(NoBackup):
        restored(kept, tmp_path / "again" / "cases.sqlite")
    assert not (tmp_path / "again" / "cases.sqlite").exists()
