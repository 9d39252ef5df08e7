"""Records: made by naming their parts, alike when their parts are, and never changed."""

from dataclasses import FrozenInstanceError, field, replace

import pytest

from validator.language.record import Late, LateAll, record


@record
class Screw:
    """A screw."""

    length: str
    washers: list[str] = field(default_factory=list)
    finish: str = "plain"
    note: str = ""


def test_a_record_holds_what_is_named_and_else_what_its_kind_says() -> None:
    one = Screw(finish="coated", length="1 in")
    assert vars(one) == {"length": "1 in", "washers": [], "finish": "coated", "note": ""}
    assert list(vars(one)) == ["length", "washers", "finish", "note"]  # in the order declared, as papers tell them


def test_what_is_made_anew_is_not_shared() -> None:
    assert Screw(length="1 in").washers is not Screw(length="1 in").washers


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({}, "Screw is made by naming its parts, and length is not named"),
        ({"length": "1 in", "lenght": "2 in"}, "Screw has no part lenght"),
    ],
)
def test_a_record_is_made_of_its_own_parts(parts: dict[str, str], says: str) -> None:
    with pytest.raises(TypeError, match=says):
        Screw(**parts)  # type: ignore[arg-type]


def test_records_are_alike_when_their_parts_are() -> None:
    one, other = Screw(length="1 in", washers=()), Screw(length="1 in", washers=())  # type: ignore[arg-type]
    assert one == other and hash(one) == hash(other)
    assert one != replace(one, length="2 in")
    assert one != "1 in"


def test_a_record_never_changes() -> None:
    one = Screw(length="1 in")
    with pytest.raises(FrozenInstanceError):
        one.length = "2 in"  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del one.length
    assert replace(one, length="2 in").length == "2 in" and one.length == "1 in"


def test_a_record_is_printed_in_short() -> None:
    assert repr(Screw(length="1 in")) == "Screw(length='1 in', washers=[], finish='plain')"


def test_a_late_record_is_made_when_it_is_asked_for_and_once() -> None:
    made: list[str] = []

    def maker(length: str):
        return lambda: made.append(length) or Screw(length=length)

    late = Late([maker("1 in"), maker("2 in")])
    assert len(late) == 2 and made == []
    assert late[1].length == "2 in" and late[-1] is late[1] and made == ["2 in"]
    assert late == (late[0], late[1]) == late[:] and made == ["2 in", "1 in"]


def test_records_that_are_late_are_made_together_when_one_is_asked_for() -> None:
    made: list[int] = []

    def make() -> list[str]:
        made.append(1)
        return ["a", "b", "c"]

    late = LateAll(make)
    assert made == []
    assert (len(late), late[1], late[1:], list(late), late == ("a", "b", "c"), ("a", "b") == late) == (3, "b", ("b", "c"), ["a", "b", "c"], True, False)
    assert hash(late) == hash(("a", "b", "c"))
    assert made == [1]
