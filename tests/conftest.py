"""What every run of the tests shares: the shelf's book, made-up examples without a clock, and the names of what was left out."""

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from validator.judging.loading import LoadedBook, load_book
from validator.rulebook.shelf import book_folder

# A busy machine is no fault: no example has a deadline, and none counts as slow to make. Nor is luck: examples are the same in
# every run, and `--hypothesis-profile elsewhere` draws others, for whoever looks for what these miss.
settings.register_profile("alike", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
settings.register_profile("elsewhere", settings.get_profile("alike"), derandomize=False)
settings.load_profile("alike")

# A command in a process of its own finds every module compiled, also where nothing may be written beside them.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    os.environ["PYTHONPYCACHEPREFIX"] = tempfile.mkdtemp(prefix="compiled-")
    atexit.register(shutil.rmtree, os.environ["PYTHONPYCACHEPREFIX"], ignore_errors=True)

ELSEWHERE = (
    "tests/browser/look_at_*.py: they need a browser, Pango and LibreOffice, which `.ci/run` brings",
    "tests/web/look_at_postgres.py: it needs PostgreSQL, which `.ci/run` brings",
    "tests/speed: no test but a table of ratios, `python -m tests.speed`",
)


@pytest.fixture(scope="session")
def loaded() -> LoadedBook:
    """The shelf's book, made ready to judge; nobody changes it."""
    return load_book(book_folder("us"))


# -- what was left out ------------------------------------------------------------------------------------------------------------

left_out: dict[str, int] = {}  # how many cases of each test


def pytest_deselected(items: list[pytest.Item]) -> None:
    for item in items:
        if item.get_closest_marker("thorough"):
            name = item.nodeid.partition("[")[0]
            left_out[name] = left_out.get(name, 0) + 1


@pytest.hookimpl(wrapper=True)
def pytest_sessionfinish(session: pytest.Session) -> Iterator[None]:
    if hasattr(session.config, "workeroutput"):  # of a worker of pytest-xdist: each collects everything
        session.config.workeroutput["left_out"] = left_out
    return (yield)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object, error: object) -> None:
    left_out.update(getattr(node, "workeroutput", {}).get("left_out", {}))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    lines = [f"  {name}{f', {cases} cases' if cases > 1 else ''}" for name, cases in sorted(left_out.items())]
    if lines:
        lines.insert(0, "long proofs in full, `python -m pytest -m thorough`:")
    if config.args_source is not pytest.Config.ArgsSource.ARGS:
        lines += ELSEWHERE
    if lines:
        terminalreporter.section("left out")
    for line in lines:
        terminalreporter.line(line)
