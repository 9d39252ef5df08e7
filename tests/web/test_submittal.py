"""A case as a submittal in the browser: put in, changed, put in again; its numbers stay, and an earlier day is its earlier submission."""

import json
import re

import html5lib
import pytest
from at_desk import Desk
from resubmitted import FIRST, SECOND, THIRD, next_of

from validator.judging.loading import LoadedBook
from validator.submittals.register_file import registers_in

MAP = "for,section,paragraph,drawing\nfasteners,09 28 00,2.3.B,A-501\nall others,,2.1,\n"


def said(desk: Desk, address: str) -> str:
    return " ".join(" ".join(html5lib.parse(desk.see(address).text, namespaceHTMLElements=False).itertext()).split())


def registers(desk: Desk, public: str):
    lines = [event.says["of"]["register"] for event in desk.store.events(public) if event.says["deed"] == "put in"]
    return [registers_in(each, "kept")[0] for each in lines]


def put_in(desk: Desk, public: str):
    desk.see(f"/cases/{public}/submittal")
    return desk.send("/submitted")


def lay_over(desk: Desk, public: str, text: str) -> None:
    desk.see(f"/cases/{public}/papers")
    assert desk.send("/file", text=text).status_code == 200


def test_three_submissions_have_the_numbers_that_the_command_gives(desk: Desk, loaded: LoadedBook) -> None:
    public, register = desk.open(FIRST), None
    for turn, text in enumerate((FIRST, SECOND, THIRD)):
        if turn:
            lay_over(desk, public, text)
        put_in(desk, public)
        revision = next_of(text, loaded, register)
        register = revision.register
        kept = registers(desk, public)[-1]
        assert [(e.number, e.about, e.places, e.opened, e.closed) for e in kept.entries] == [
            (e.number, e.about, e.places, e.opened, e.closed) for e in register.entries
        ]  # fmt: skip
    told = said(desk, f"/cases/{public}/papers/review")
    assert "Revision 2. Since revision 1:" in told and "D3 back wall; side walls Porcelain is set in modified mortar closed in revision 2: met 0" in told
    assert "back wall; side walls screw length: 1-1/4 in, was 1-3/4 in" in told


def test_a_case_as_it_stands_is_compared_with_what_was_put_in_last(desk: Desk) -> None:
    public = desk.open(FIRST)
    assert "Revision 0, the first submission." in said(desk, f"/cases/{public}/submittal")
    put_in(desk, public)
    assert "The case stands as it was put in: Revision 0" in said(desk, f"/cases/{public}/submittal")
    lay_over(desk, public, SECOND)
    assert "If it is put in as it stands: Revision 1. Since revision 0:" in said(desk, f"/cases/{public}/submittal")
    assert "D2 back wall; side walls Board screws reach far enough into the framing closed in revision 1: met 0" in said(desk, f"/cases/{public}/papers/review")


@pytest.mark.parametrize("paper", ["page", "card"])
def test_the_other_papers_have_the_same_numbers_and_mark_what_is_new(desk: Desk, paper: str) -> None:
    public = desk.open(FIRST)
    put_in(desk, public)
    lay_over(desk, public, SECOND)
    told = said(desk, f"/cases/{public}/papers/{paper}")
    assert "Revision 1. Since revision 0: 3 things changed" in told and "D6 New" in told


def test_what_is_put_in_twice_is_put_in_once(desk: Desk) -> None:
    public = desk.open(FIRST)
    desk.see(f"/cases/{public}/submittal")
    form = desk.form("/submitted")
    for op in ("a", "b"):
        desk.client.post(form["action"], data={**form["boxes"], "op": op}, headers={"sec-fetch-site": "same-origin"})
    assert len(registers(desk, public)) == 1


def test_what_nobody_has_read_is_not_put_in(desk: Desk) -> None:
    public = desk.open(FIRST)
    desk.see(f"/cases/{public}/submittal")
    stale = desk.page
    lay_over(desk, public, SECOND)
    desk.page = stale
    answer = desk.send("/submitted")
    assert answer.status_code == 422 and "Read it once more" in answer.text and registers(desk, public) == []


def test_the_number_the_section_and_the_paragraphs_stand_on_the_sheet(desk: Desk) -> None:
    public = desk.open(FIRST)
    desk.see(f"/cases/{public}/submittal")
    assert desk.send("/submittal", number="09 30 13-002", section="09 30 13", map=MAP).status_code == 200
    told = said(desk, f"/cases/{public}/papers/review")
    assert "Submittal 09 30 13-002, revision 0" in told and "09 28 00 2.3.B A-501" in told and "09 30 13 2.1" in told


@pytest.mark.parametrize(("boxes", "refused"), [
    ({"section": "banana"}, "`banana` is no section of a specification. Accepted: "),
    ({"map": "for,section\nfastners,09 30 13\n"}, "line 2: `fastners` is no chapter and no rule of the book. Accepted: did you mean `fasteners`?"),
    ({"map": "x" * 100_001}, "That table is too long"),
])  # fmt: skip
def test_a_slip_in_them_is_told_and_changes_nothing(desk: Desk, boxes: dict[str, str], refused: str) -> None:
    public = desk.open(FIRST)
    desk.see(f"/cases/{public}/submittal")
    before = desk.store.state(public).seq
    answer = desk.send("/submittal", **boxes)
    shown = " ".join(" ".join(html5lib.parse(answer.text, namespaceHTMLElements=False).itertext()).split())
    assert answer.status_code == 422 and refused in shown and desk.store.state(public).seq == before


def test_a_table_in_which_nothing_was_filled_in_is_none(desk: Desk) -> None:
    """The box holds a table to fill in; kept as it is with another section, no line of it keeps the old section."""
    public = desk.open(FIRST)
    desk.see(f"/cases/{public}/submittal")
    table = re.search(r'<textarea id="map"[^>]*>(.*?)</textarea>', desk.page.text, re.DOTALL)[1]
    assert table.startswith("for,section,paragraph,drawing")
    desk.send("/submittal", section="09 30 33", map=table)
    assert "09 30 00" not in said(desk, f"/cases/{public}/papers/review")


def test_the_name_of_a_case_is_in_no_register_that_is_kept(desk: Desk) -> None:
    """A name may have to go: what stays for ever holds none."""
    public = desk.open(FIRST.replace("assembly: Guest bath shower", "assembly: Bath of Esmeralda Quux"))
    put_in(desk, public)
    lines = [event.line for event in desk.store.events(public) if json.loads(event.line)["deed"] == "put in"]
    assert lines and not any("Esmeralda" in line for line in lines)


def test_a_submission_that_was_undone_counts_no_more_and_the_history_proves(desk: Desk) -> None:
    public = desk.open(FIRST)
    put_in(desk, public)
    desk.see(f"/cases/{public}")
    desk.send("/build-up", deed="undo")
    assert "Nothing so far." in said(desk, f"/cases/{public}/submittal")
    assert "put in as revision 0" in said(desk, f"/cases/{public}/history")
    assert all(not why for *_, why in desk.store.verified())
