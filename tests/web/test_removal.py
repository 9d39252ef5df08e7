"""What people wrote can be taken away for good: nothing of it is left on the disk, the history still proves, and says so."""

import io
from pathlib import Path

import pytest
from at_desk import HERE, Desk, Forms
from PIL import Image
from sqlalchemy import text as sql
from test_office import OfficeDesk

from validator.web.backup import backed_up, restored
from validator.web.running import verified_lines
from validator.web.sealed import REMOVED
from validator.web.store import Wanted

CASE = "assembly: Bath of Esmeralda Quux\nplaces:\n  walls: {kind: shower wall, built up: [board: {material: foam}]}\n"


def on_disk(folder: Path) -> bytes:
    """Everything that the database's own files hold."""
    return b"".join(file.read_bytes() for file in sorted(folder.glob("cases.sqlite*")))


def remove(desk: Desk, public: str, **asked: str) -> None:
    """Asks for something to be taken away, and says yes."""
    desk.page = desk.client.get(f"/cases/{public}/remove", params=asked)
    assert "Nobody can bring it back" in desk.page.text
    assert desk.send("/remove").status_code == 200


def note(desk: Desk, public: str, words: str) -> int:
    desk.see(f"/cases/{public}/history")
    desk.send("/notes", note=words)
    return desk.store.state(public).seq


def test_a_note_is_told_in_the_history_and_found_by_its_words(desk: Desk) -> None:
    public = desk.open(CASE)
    note(desk, public, "the neighbour Zebulon has the key")
    assert "noted: the neighbour Zebulon" in desk.page.text
    assert [each.public for each in desk.store.cases(Wanted("zebulon"))] == [public]
    assert "board" in desk.text(public) and "Zebulon" not in desk.text(public)


def test_of_a_removed_note_nothing_is_left_and_everything_still_proves(desk: Desk, tmp_path: Path) -> None:
    public = desk.open(CASE)
    seq = note(desk, public, "the neighbour Zebulon has the key")
    lines = [each.line for each in desk.store.events(public)]
    assert b"Zebulon" in on_disk(tmp_path) and b"zebulon" in on_disk(tmp_path)
    remove(desk, public, what="note", seq=str(seq))
    assert [why for *_, why in desk.store.verified()] == [""]
    assert [each.line for each in desk.store.events(public)][: len(lines)] == lines, "no line changes"
    assert f"taken away for good, on request: the note of event {seq}" in desk.see(f"/cases/{public}/history").text
    assert REMOVED in desk.page.text and "Zebulon" not in desk.page.text and desk.store.cases(Wanted("zebulon")) == []
    desk.store.close()
    assert b"ebulon" not in on_disk(tmp_path)


def test_of_a_removed_name_nothing_is_left_wherever_it_stood(desk: Desk, tmp_path: Path) -> None:
    public = desk.open(CASE)
    desk.see(f"/cases/{public}/history")
    desk.send("/name", title="Esmeralda Quux, upstairs")
    desk.see(f"/cases/{public}/build-up")
    desk.send("/build-up", deed="undo")
    before = desk.text(public).replace("Bath of Esmeralda Quux", REMOVED)
    remove(desk, public, what="name")
    assert desk.text(public) == before and desk.store.state(public).title == REMOVED
    assert [why for *_, why in desk.store.verified()] == [""]
    for page in ("", "/history", "/verdict", "/at/1", "/compare?before=1&after=3", "/papers/card", "/description.yaml"):
        assert "Quux" not in desk.see(f"/cases/{public}{page}").text and desk.page.status_code == 200, page
    desk.see(f"/cases/{public}/history")
    desk.send("/name", title="Case 12")
    assert [why for *_, why in desk.store.verified()] == [""] and desk.store.state(public).title == "Case 12"
    desk.store.close()
    assert b"Quux" not in on_disk(tmp_path) and b"quux" not in on_disk(tmp_path)


def test_a_removed_photograph_is_gone_from_the_disk_and_the_rest_proves(desk: Desk, tmp_path: Path) -> None:
    public = desk.open(CASE)
    made = io.BytesIO()
    Image.new("RGB", (64, 48), "#884422").save(made, "PNG")
    desk.see(f"/cases/{public}/thing?place=walls&thing=board&layer=0")
    form = next(each for each in Forms(desk.page.text).forms if each["action"].endswith("/pictures"))

    def send(op: str) -> str:
        desk.client.post(form["action"], data={**form["boxes"], "op": op}, files={"picture": ("a.png", made.getvalue())}, headers=HERE)
        return desk.store.pictures(public)[-1].digest

    digest = send("first")
    remove(desk, public, what="picture", picture=digest)
    assert not list((tmp_path / "pictures").iterdir()) and desk.client.get(f"/cases/{public}/pictures/{digest}.jpg").status_code == 404
    assert "taken away for good" in desk.see(f"/cases/{public}/pictures").text
    assert verified_lines(str(tmp_path / "cases.sqlite"), tmp_path)[1]
    backed_up(tmp_path / "cases.sqlite", tmp_path / "kept.zip")
    assert restored(tmp_path / "kept.zip", tmp_path / "again" / "cases.sqlite") == 1
    assert send("again") == digest and desk.client.get(f"/cases/{public}/pictures/{digest}.jpg").status_code == 200


@pytest.mark.parametrize(
    ("harm", "found"),
    [
        ("update private set text = 'another note' where seq = 2", "event 2: a text that belongs to it is altered"),
        ("delete from private where seq = 2", "event 2: a text that belongs to it is missing"),
        ("update private set text = '', salt = '', removed = 1 where seq = 2", "event 2: a text that belongs to it was removed, and no event says so"),
    ],
)
def test_what_is_altered_or_removed_beside_the_program_is_found(desk: Desk, harm: str, found: str) -> None:
    public = desk.open(CASE)
    note(desk, public, "kept")
    with desk.store.writing() as link:
        link.execute(sql(harm))
    ((*_, why),) = desk.store.verified()
    assert found in why


@pytest.mark.parametrize("asked", ["what=note&seq=1", "what=note&seq=99", "what=picture&picture=x", "what=everything", ""])
def test_what_is_not_there_cannot_be_removed(desk: Desk, asked: str) -> None:
    public = desk.open(CASE)
    assert desk.see(f"/cases/{public}/remove?{asked}").status_code == 404


@pytest.mark.parametrize("role", ["installer", "clerk", "reviewer", "author"])
def test_only_a_keeper_takes_away_for_good(tmp_path: Path, bench, role: str) -> None:
    office = OfficeDesk(tmp_path, bench)
    client = office.somebody("clerk")
    office.see("/")
    public = str(office.send("/cases/from-file", text=CASE).url).split("/cases/")[1][:26]
    if role != "clerk":
        client = office.somebody(role)
    assert client.get(f"/cases/{public}/remove?what=name").status_code == 404
    assert office.somebody("keeper").get(f"/cases/{public}/remove?what=name").status_code == 200
    office.store.close()


def test_of_somebody_who_was_taken_out_the_name_can_go_too(tmp_path: Path, bench) -> None:
    office = OfficeDesk(tmp_path, bench)
    office.somebody("clerk", "Esmeralda Quux")
    office.see("/")
    public = str(office.send("/cases/from-file", text=CASE.replace("Esmeralda Quux", "a customer")).url).split("/cases/")[1][:26]
    keeper = office.somebody("keeper")
    assert "Esmeralda Quux" in keeper.get(f"/cases/{public}/history").text
    person = next(each for each in office.people.everybody() if each.name == "Esmeralda Quux")
    office.people.change(person.id, forget=True)
    page = keeper.get(f"/cases/{public}/history").text
    assert "Esmeralda" not in page and "somebody whose name was removed" in page
    office.store.close()
    assert b"Quux" not in on_disk(tmp_path)


def test_of_a_case_taken_away_whole_nothing_is_left_and_what_stood_there_is_still_counted(desk: Desk, tmp_path: Path) -> None:
    other = desk.open(CASE.replace("Esmeralda Quux", "somebody else"))
    public = desk.open(CASE.replace("walls:", "walls of Quux:"))
    note(desk, public, "the neighbour Zebulon has the key")
    hashes = [each.hash for each in desk.store.events(public)]
    remove(desk, public, what="whole")
    assert str(desk.page.url).endswith("/") and [each.public for each in desk.store.cases()] == [other]
    for page in ("", "/history", "/verdict", "/description.yaml", "/drawing.svg"):
        assert desk.see(f"/cases/{public}{page}").status_code == 404, page
    assert desk.client.post(f"/cases/{public}/notes", data={"token": "x", "note": "x"}, headers=HERE).status_code in (403, 404)
    assert [why for *_, why in desk.store.verified()] == ["", ""]
    assert [each.hash for each in desk.store.events(public)][:-1] == hashes
    desk.store.close()
    for word in (b"Quux", b"quux", b"ebulon", b"walls of"):
        assert word not in on_disk(tmp_path)


@pytest.mark.parametrize("spoilt", ["update event set hash = 'x' where seq = 1", "delete from event where seq = 1", "update event set line = '{}' where seq = 2"])
def test_a_case_taken_away_whole_that_was_altered_since_does_not_prove(desk: Desk, spoilt: str) -> None:
    public = desk.open(CASE)
    note(desk, public, "the neighbour Zebulon has the key")
    remove(desk, public, what="whole")
    with desk.store.writing() as link:
        link.execute(sql(spoilt))
    assert [bool(why) for *_, why in desk.store.verified()] == [True]
