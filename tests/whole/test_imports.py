"""Imports run one way, as the map in DEVELOPERS.md says; heavy libraries stay inside the modules that need them."""

import ast
import graphlib
import subprocess
import sys
from pathlib import Path

import pytest
from paths import ROOT

PACKAGE = ROOT / "validator"

# From the ground up. A room may import from rows before its own; the rooms of one row never import each other.
ROWS = [
    {"language"},
    {"facts"},
    {"rulebook"},
    {"assembly", "workings", "engines"},
    {"judging"},
    {"proving", "planning", "submittals"},
    {"advising"},
    {"warranty"},
    {"troubles"},
    {"papers"},
    {"screening"},
    {"web"},
    {"cli"},
    {"__main__"},
]
HEAVY = ("durable", "sympy", "polars", "jinja2", "numpy", "fastapi", "sqlalchemy")


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                package = ("validator", *path.relative_to(PACKAGE).parts[: -node.level])
                names.add(".".join((*package, node.module or "")).rstrip("."))
            elif all(file_of(f"{node.module}.{alias.name}") for alias in node.names):  # modules of a package
                names |= {f"{node.module}.{alias.name}" for alias in node.names}
            else:
                names.add(node.module)
    return names


MODULES = sorted(p for p in PACKAGE.rglob("*.py") if p != PACKAGE / "__init__.py")


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_a_module_imports_only_what_stands_below_its_room(path):
    rows = {room: number for number, rooms in enumerate(ROWS) for room in rooms}
    room = room_of(path)
    assert room in rows, f"{room} has no row in the order of rooms"
    for name in imported(path):
        if not name.startswith("validator."):
            continue
        other = name.split(".")[1]
        assert other == room or rows[other] < rows[room], f"{path.name} imports {name}, which stands no lower"


def file_of(name: str) -> Path | None:
    """The file of a module, or of the package that a name is taken from."""
    path = ROOT / name.replace(".", "/")
    return next((each for each in (path.with_suffix(".py"), path / "__init__.py") if each.is_file()), None)


def test_no_file_imports_itself_by_way_of_others():
    """Imports for type checkers count, since a reader follows them too."""
    graph = {path: {file for name in imported(path) if (file := file_of(name)) is not None} - {path} for path in MODULES}
    graphlib.TopologicalSorter(graph).prepare()  # a circle is named by its CycleError


def test_checking_loads_no_heavy_library():
    probe = (
        "import sys, validator.cli, validator.judging.checking, validator.papers.report; "
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_top_level_holds_what_the_design_names_and_nothing_else():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    tops = {name.split("/")[0] for name in listed if not name.startswith(".")}
    allowed = {
        "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "validator", "rulebooks", "tests", "samples",
    }  # fmt: skip
    assert tops <= allowed


def test_no_module_outgrows_a_reader():
    long = {str(p.relative_to(ROOT)): n for p in MODULES if (n := len(p.read_text().splitlines())) > 400}
    assert long == {}
