"""Nothing that was acknowledged is lost: killed at any moment, a full disk, a migration stopped half way, two writers; and every page says what is wrong."""

import json
import random
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPException
from pathlib import Path

import pytest
from at_desk import Desk
from paths import ROOT
from served import PATIENCE, Served, waited_for
from sqlalchemy.exc import OperationalError

from validator.web.answering import left_open
from validator.web.running import Unserved, opened, verified_lines
from validator.web.store import Store

WRITERS = 4


class Load:
    """People who note and answer as fast as they are answered, each sending in order, and remember what was acknowledged."""

    def __init__(self, served: Served, cases: list[str]) -> None:
        self.served, self.token, self.acknowledged, self.ended = served, served.token(), [], threading.Event()
        self.threads = [threading.Thread(target=self._go_on, args=(case, turn)) for turn, case in enumerate(cases)]
        for each in self.threads:
            each.start()

    def _go_on(self, case: str, turn: int) -> None:
        for number in range(2_000):
            op = f"{self.served.process.pid} {turn} {number}"
            what = {"note": f"note {op}"} if number % 3 else {"fact": "job.stage", "place": "the job", "was": "", "settled": "yes", "key": f"key {op}",
                                                              "says": ("tile set", "grouted")[number % 2]}  # fmt: skip
            try:
                answer = self.served.asked("POST", f"/cases/{case}/{'notes' if number % 3 else 'answer'}", {"token": self.token, "op": op, **what})
            except (OSError, HTTPException):
                return
            if answer.status == 303:
                self.acknowledged.append((case, op))
            if self.ended.is_set():
                return

    def over(self) -> list[tuple[str, str]]:
        """Waits for everybody to stop; returns what was acknowledged."""
        self.ended.set()
        for each in self.threads:
            each.join()
        return self.acknowledged


def lost(database: Path, acknowledged: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """What was acknowledged and does not stand in the histories exactly once."""
    store = Store(str(database))
    ops = {case: [json.loads(event.line)["op"] for event in store.events(case)] for case in {case for case, _ in acknowledged}}
    store.close()
    return [(case, op) for case, op in acknowledged if ops[case].count(op) != 1]


def killed_again_and_again(folder: Path, times: int) -> None:
    chance, every = random.Random(4), []
    with Served(folder) as served:
        cases = [served.begin() for _ in range(WRITERS)]
        for _ in range(times):
            load = Load(served, cases)
            waited_for(lambda load=load: len(load.acknowledged) >= chance.randint(10, 40))
            served.kill()
            acknowledged = load.over()
            assert len(acknowledged) >= 10
            every += acknowledged
            served.start()
            assert served.asked("GET", f"/cases/{cases[0]}").status == 200
    assert lost(served.database, every) == []
    lines, sound = verified_lines(str(served.database), folder)
    assert sound, lines


def test_killed_under_load_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    killed_again_and_again(tmp_path, 2)


@pytest.mark.thorough
def test_killed_under_load_thirty_times_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    killed_again_and_again(tmp_path, 30)


def test_on_a_full_disk_it_says_so_keeps_what_it_has_and_goes_on_when_there_is_room(tmp_path: Path) -> None:
    with Served(tmp_path) as first:
        case, token = first.begin(), first.token()
    full = max(file.stat().st_size for file in tmp_path.glob("cases.sqlite*")) + 400_000
    acknowledged, refused = [], None
    with Served(tmp_path, largest_file=full) as served:
        for number in range(400):
            op = f"op {number}"
            answer = served.asked("POST", f"/cases/{case}/notes", {"token": token, "op": op, "note": f"{number} " + "long " * 380})
            if answer.status != 303:
                refused = answer
                break
            acknowledged.append((case, op))
        assert refused is not None and refused.status == 507 and "disk of the server is full" in refused.said and "in its box" in refused.said
        assert len(acknowledged) > 3
        assert served.asked("GET", "/health").status == 200
        served.kill()
        served.start(largest_file=0)
        again = served.asked("POST", f"/cases/{case}/notes", {"token": token, "op": f"op {len(acknowledged)}", "note": "sent again"})
        assert again.status == 303 and served.asked("GET", f"/cases/{case}/history").status == 200
    assert lost(served.database, [*acknowledged, (case, f"op {len(acknowledged)}")]) == []
    assert verified_lines(str(served.database), tmp_path)[1]


MIGRATED = """
import os, signal, sys
from sqlalchemy import event
from validator.web import store, tables
seen = []
def stopped(link, cursor, statement, *_):
    seen.append(statement)
    if statement.strip().casefold().startswith(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
engine = store._engine(sys.argv[1])
event.listen(engine, "before_cursor_execute", stopped)
tables.migrated(engine)
"""
OLDER = """
import sys
from alembic import command
from alembic.config import Config
from pathlib import Path
from validator.web import store
engine = store._engine(sys.argv[1])
steps = Config()
steps.set_main_option("script_location", str(Path(store.__file__).parent / "migrations"))
with engine.connect().execution_options(writes=True) as link, link.begin():
    steps.attributes["connection"] = link
    command.upgrade(steps, "0002")
    link.exec_driver_sql("insert into tile_case (public, title, text, begun, left_open, seq, hash, began, changed, told, verdict, closed) "
                         "values ('abcdefghjkmnpqrstuvwxyz234', 'Old bath', '', '{}', '{}', 0, '', 1, 1, '{}', '', 0)")
"""


@pytest.mark.parametrize("at", ["create table session", "create table private", "update alembic_version set version_num='0004'"])
def test_a_migration_that_was_stopped_half_way_is_done_whole_the_next_time(tmp_path: Path, at: str) -> None:
    file = tmp_path / "cases.sqlite"
    subprocess.run([sys.executable, "-c", OLDER, str(file)], cwd=ROOT, check=True)
    stopped = subprocess.run([sys.executable, "-c", MIGRATED, str(file), at], cwd=ROOT, capture_output=True, text=True)
    assert stopped.returncode == -9, stopped.stderr
    store = Store(str(file))
    assert [(each.title, each.owner, each.stage) for each in store.cases()] == [("Old bath", "own machine", "")]
    store.close()


def test_a_database_of_a_later_edition_is_left_as_it_is(tmp_path: Path) -> None:
    file = tmp_path / "cases.sqlite"
    store = Store(str(file))
    with store.writing() as link:
        link.exec_driver_sql("update alembic_version set version_num = '9999'")
    store.close()
    before = file.read_bytes()
    with pytest.raises(Unserved, match="later edition"):
        opened(str(file))
    assert file.read_bytes() == before


def test_a_second_server_on_one_file_is_refused(tmp_path: Path) -> None:
    with Served(tmp_path) as served:
        second = subprocess.run([sys.executable, "-m", "validator", "serve", "--database", str(served.database), "--port", "0", "--no-open"],
                                cwd=ROOT, capture_output=True, text=True, timeout=PATIENCE)  # fmt: skip
        assert second.returncode == 2 and "is open in another" in second.stderr
        assert served.asked("GET", "/health").status == 200


def test_many_writers_on_one_case_lose_nothing_and_repeat_nothing(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    with ThreadPoolExecutor(8) as several:
        list(several.map(lambda number: desk.store.done(public, f"op {number % 40}", left_open([f"key {number % 40}"], "later"), who="own machine", book="b"), range(80)))
    events = desk.store.events(public)
    assert sorted(each.says["op"] for each in events[1:]) == sorted(f"op {number}" for number in range(40))
    assert [why for *_, why in desk.store.verified()] == [""]


@pytest.mark.parametrize(
    ("fault", "told", "status"),
    [
        ("database or disk is full", "disk of the server is full", 507),
        ("disk I/O error", "disk of the server is full", 507),
        ("database disk image is malformed", "restore the last backup", 503),
        ("database is locked", "held by another program", 503),
        ("attempt to write a readonly database", "may not write", 503),
        ("connection to server at \"127.0.0.1\" failed: Connection refused", "cannot be reached", 503),
    ],
)
@pytest.mark.parametrize("page", ["/", "/cases/{}", "/cases/{}/history"])
def test_every_page_says_what_is_wrong_with_the_database(desk: Desk, monkeypatch, fault: str, told: str, status: int, page: str) -> None:
    public = desk.begin(kind="shower")

    def broken(*_: object, **__: object) -> None:
        raise OperationalError("select", {}, Exception(fault))

    monkeypatch.setattr(desk.store.engine, "connect", broken)
    answer = desk.see(page.format(public))
    assert answer.status_code == status and told in answer.text and "Number" in answer.text and "Traceback" not in answer.text
    sent = desk.client.post(f"/cases/{public}/notes", data={"token": "x"}, headers={"sec-fetch-site": "same-origin"})
    assert sent.status_code in (status, 403)
