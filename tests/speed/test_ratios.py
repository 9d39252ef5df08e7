"""Speed as ratios of processor time, each pair measured turn and turn about in one run, so that a busy machine slows both."""

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from pathlib import Path
from statistics import median

import pytest
from hand_written import by_hand

from validator.assembly import read_assembly_file
from validator.engines.deciding import Engine
from validator.judging.loading import LoadedBook, load_book
from validator.rulebook.fingerprint import fingerprint_of
from validator.rulebook.shelf import book_folder

ROOT = Path(__file__).parent.parent.parent
SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
IMPORTS = "import pydantic, yaml, typer, rich"
MOST_OF_IMPORTS = 2.5
MOST_TO_READ_A_RULE = 1.5e-3  # seconds
MOST_OF_BY_HAND = 3.0
MOST_OF_A_CHECK = 2.0


def seconds_of(command: list[str], environment: dict[str, str]) -> float:
    """The processor time of a whole process, its own and the system's for it."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """As after an installation: every module compiled, and a folder of the user's own for the book that is kept."""
    folder = tmp_path_factory.mktemp("installed")
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return environment | {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), "XDG_CACHE_HOME": str(folder / "kept")}


def ratio(command: list[str], other: list[str], environment: dict[str, str], times: int = 5) -> tuple[float, list[float]]:
    """How many times as long one takes as the other: the middle of several, and each."""
    for each in (other, command, command):
        seconds_of(each, environment)
    ratios = []
    for _ in range(times):
        before, whole, after = (seconds_of(each, environment) for each in (other, command, other))
        ratios.append(2 * whole / (before + after))
    return median(ratios), ratios


def run(*words: str) -> list[str]:
    return [sys.executable, "-c", "from validator.cli import main; main()", *words]


@pytest.mark.parametrize("sample", ["second-floor-shower", "five-mistakes"])
def test_a_whole_check_takes_at_most_two_and_a_half_times_its_imports(sample: str, installed: dict[str, str]) -> None:
    took, each = ratio(run("check", f"samples/{sample}.yaml"), [sys.executable, "-c", IMPORTS], installed)
    assert took <= MOST_OF_IMPORTS, each


@pytest.mark.parametrize("sample", ["second-floor-shower", "five-mistakes", "half-known"])
def test_a_page_takes_at_most_twice_the_time_of_a_check(sample: str, installed: dict[str, str], tmp_path: Path) -> None:
    page = run("page", f"samples/{sample}.yaml", "-o", str(tmp_path / "page.html"))
    took, each = ratio(page, run("check", f"samples/{sample}.yaml"), installed)
    assert took <= MOST_OF_A_CHECK, each


LOADED = """
import sys
from validator.cli import main
try:
    main()
finally:
    print(*sorted(sys.modules), file=sys.stderr)
"""


def test_a_check_by_a_kept_book_loads_only_what_it_needs(installed: dict[str, str]) -> None:
    check = [sys.executable, "-c", LOADED, "check", "samples/second-floor-shower.yaml"]
    for _ in range(2):
        done = subprocess.run(check, cwd=ROOT, env=installed, capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert "validator.judging.checking" in loaded
    assert not loaded & {"pydantic.main", "importlib.metadata", "validator.rulebook.reading", "validator.language.syntax_errors", "rich.console", "jinja2"}


READING = """
import gc, time
from validator.rulebook.reading import read_book
from validator.rulebook.shelf import book_folder
gc.set_threshold(1_000_000)
best = 1e9
for _ in range(3):
    begun = time.process_time()
    book = read_book(book_folder("us"))
    best = min(best, time.process_time() - begun)
print(best / len(book.rules))
"""


def test_the_whole_book_is_read_in_a_millisecond_and_a_half_a_rule(installed: dict[str, str]) -> None:
    told = subprocess.run([sys.executable, "-c", READING], cwd=ROOT, env=installed, capture_output=True, text=True, check=True)
    assert float(told.stdout) <= MOST_TO_READ_A_RULE


@pytest.fixture(scope="module")
def loaded() -> LoadedBook:
    return load_book(book_folder("us"))


def places(loaded: LoadedBook) -> list:
    """Every place of every sample, derived; the rules by hand hold where each kind has one layer."""
    assemblies = (read_assembly_file(path, loaded.vocabulary, loaded.catalogue) for path in SAMPLES)
    subjects = [subject for each in assemblies for option in each.to_judge() for subject in option.subjects]
    return [loaded.engine.derive(subject) for subject in subjects if subject.sort == "place"]


def test_the_rules_by_hand_say_what_the_engine_says(loaded: LoadedBook) -> None:
    compiled = {each.rule.name: each for each in loaded.engine.rules}
    outcomes = set()
    for (name, judge), found in product(by_hand(loaded).items(), places(loaded)):
        if not any(thing in found.layers for thing in compiled[name].trees.things):
            outcome = judge(found.vector)
            outcomes.add(outcome)
            assert loaded.engine.judge_rule(compiled[name], found).outcome is outcome, (name, found.subject.name)
    assert len(outcomes) >= 5


def best_of(work: Callable[[], None], other: Callable[[], None], times: int = 15) -> tuple[float, float]:
    took: tuple[list[float], list[float]] = ([], [])
    for _ in range(times):
        for each, done in zip((work, other), took):
            begun = time.process_time()
            for _ in range(5):
                each()
            done.append(time.process_time() - begun)
    return min(took[0]), min(took[1])


def test_meaning_with_its_trail_takes_at_most_three_times_rules_by_hand(loaded: LoadedBook) -> None:
    hand = by_hand(loaded)
    rules = Engine(replace(loaded.book, trees={name: loaded.book.trees[name] for name in hand}), loaded.engine.deriver.work)
    alone = [found for found in places(loaded) if not found.layers]
    assert (len(hand), len(rules.rules)) == (20, 20)
    assert len(alone) >= 10

    def engine() -> None:
        for found in alone:
            rules.judge(found)  # each judgement keeps its vector and its rule, from which the trail is read

    def by_hand_alone() -> None:
        for found in alone:
            vector = found.vector
            [(name, judge(vector)) for name, judge in hand.items()]  # an outcome is worth nothing without its rule

    engine()
    ours, theirs = best_of(engine, by_hand_alone)
    assert ours <= MOST_OF_BY_HAND * theirs, ours / theirs


def test_a_book_is_known_by_its_files_and_not_by_where_it_stands(tmp_path: Path) -> None:
    (tmp_path / "rulebooks").symlink_to(book_folder("us").parent)
    assert fingerprint_of(tmp_path / "rulebooks" / "us") == fingerprint_of(book_folder("us"))
