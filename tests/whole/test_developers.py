"""What DEVELOPERS.md says of the program is so: the two walks, the map and the words."""

import ast
import re

import pytest
from paths import ROOT

PACKAGE = ROOT / "validator"
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
HOP = re.compile(r"^\| `([\w/]+\.py)` \| `([\w.]+)` \| .*?-> `(\w+)`", re.MULTILINE)
WRITES = {"StatementReader.fact"}  # writes the new form into what is handed to it, and returns nothing


def walk(heading: str) -> list[tuple[str, str, str]]:
    """The file, the function and the new form of each hop."""
    return HOP.findall(TEXT.partition(f"| {heading}: |")[2].partition("\n\n")[0])


def function(file: str, name: str) -> ast.FunctionDef:
    within: list[ast.stmt] = ast.parse((PACKAGE / file).read_text(encoding="utf-8")).body
    for part in name.split("."):
        (node,) = [each for each in within if getattr(each, "name", "") == part]
        within = node.body
    return node


@pytest.mark.parametrize(("heading", "hops"), [("a rule", 4), ("a screw", 5)])
def test_a_walk_takes_at_most_five_hops_to_the_same_finding(heading: str, hops: int) -> None:
    steps = walk(heading)
    assert len(steps) - 1 == hops  # reading the file is where both begin
    assert steps[0][:2] == ("language/source.py", "read_file")
    assert [step[1] for step in steps[-2:]] == ["Engine.judge", "finding_of"]


@pytest.mark.parametrize(("file", "name", "form"), [*dict.fromkeys((*walk("a rule"), *walk("a screw")))])
def test_each_hop_of_a_walk_is_there_and_returns_the_new_form(file: str, name: str, form: str) -> None:
    told = function(file, name)
    if name in WRITES:
        assert any(form in ast.unparse(each.annotation) for each in told.args.args if each.annotation)
    else:
        assert form in ast.unparse(told.returns)


def test_the_map_has_a_row_for_each_room() -> None:
    rows = re.findall(r"^\| `(\w+)/` \|", TEXT.partition("## Map")[2].partition("\n\n`")[0], re.MULTILINE)
    rooms = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert sorted(rows) == sorted(rooms)


def test_the_words_of_our_own_fit_in_twenty_five_lines() -> None:
    words = TEXT.partition("## Words\n\n")[2].partition("\n\n")[0].splitlines()
    assert 0 < len(words) <= 25
    assert all(line.startswith("- **") for line in words)
