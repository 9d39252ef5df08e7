"""Installed away from the checkout, the command finds its rulebooks and everything else it reads.

The wheel is built once and unpacked into a folder of its own; Python is told of that folder and runs somewhere else.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest
from paths import ROOT
from typer.main import get_command

from validator.cli import app

RUN = "import sys; sys.argv[0] = 'validator'; from validator.cli import main; main()"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "checkout"
    source.mkdir()
    for name in ("validator", "rulebooks", "pyproject.toml", "README.md", "LICENSE"):
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / name, source)
    words = ["wheel", "--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder), str(source)]
    subprocess.run([sys.executable, "-m", "pip", *words], check=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("installed")
    with ZipFile(wheel) as packed:
        packed.extractall(folder)
    return folder


def validator(installed: Path, elsewhere: Path, *words: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(installed), "XDG_CACHE_HOME": str(elsewhere / "kept")}
    return subprocess.run(
        [sys.executable, "-c", RUN, *words], cwd=elsewhere, env=environment, capture_output=True, text=True, check=False
    )


def test_the_wheel_holds_every_file_that_the_program_reads(wheel: Path) -> None:
    with ZipFile(wheel) as packed:
        held = {name for name in packed.namelist() if name.startswith("validator/")}
    books = {f"validator/{path.relative_to(ROOT)}" for path in (ROOT / "rulebooks").rglob("*") if path.is_file()}
    program = {str(path.relative_to(ROOT)) for path in (ROOT / "validator").rglob("*") if path.is_file() and path.suffix != ".pyc"}
    assert (books | program) - held == set()


def test_the_program_that_runs_is_the_one_installed(installed: Path, tmp_path: Path) -> None:
    asked = [sys.executable, "-c", "import validator; print(validator.__file__)"]
    done = subprocess.run(asked, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(installed)}, capture_output=True, text=True, check=True)
    assert Path(done.stdout.strip()).is_relative_to(installed)


def test_a_sample_is_judged_from_another_folder(installed: Path, tmp_path: Path) -> None:
    shutil.copy(ROOT / "samples" / "second-floor-shower.yaml", tmp_path)
    done = validator(installed, tmp_path, "check", "second-floor-shower.yaml")
    assert (done.returncode, done.stderr) == (0, "")
    here = [sys.executable, "-c", RUN, "check", "samples/second-floor-shower.yaml"]
    assert done.stdout == subprocess.run(here, cwd=ROOT, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("words", [("rulebook", "list"), ("schema",), ("rulebook", "explain", "board-screw-reaches-framing")])
def test_other_commands_find_the_rulebooks_too(words: tuple[str, ...], installed: Path, tmp_path: Path) -> None:
    done = validator(installed, tmp_path, *words)
    assert (done.returncode, done.stderr) == (0, "")
    assert len(done.stdout.splitlines()) > 10


def commands(group: object = None, *names: str) -> list[tuple[str, ...]]:
    group = group or get_command(app)
    found: list[tuple[str, ...]] = [names]
    for name, command in getattr(group, "commands", {}).items():
        found += commands(command, *names, name)
    return found


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_every_command_says_what_it_does_and_what_it_takes(words: tuple[str, ...], installed: Path, tmp_path: Path) -> None:
    done = validator(installed, tmp_path, *words, "--help")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(f"Usage: validator {' '.join(words)}".rstrip())
    assert re.search(r"^ {2}[A-Z][^\n]+[.:,]?$", done.stdout, re.MULTILINE), "a sentence that says what it does"
    options = re.findall(r"^ {2}(?:-\w, )?(--[\w-]+)(.*(?:\n {6,}.*)*)", done.stdout, re.MULTILINE)
    assert options
    assert [name for name, told in options if not re.search(r"[A-Za-z]{4}", re.sub(r"\b[A-Z]+\b|INTEGER RANGE", "", told))] == []
