"""A bench for every test, and for each a desk with an empty database."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copyfile

import pytest

pytest.importorskip("fastapi", reason="the pages need the extra `serve`")

from at_desk import Desk  # noqa: E402
from validator.judging.loading import LoadedBook  # noqa: E402
from validator.web.bench import Bench  # noqa: E402
from validator.web.store import Store  # noqa: E402


@pytest.fixture(scope="session")
def bench(loaded: LoadedBook) -> Bench:
    return Bench(loaded)


@pytest.fixture(scope="session")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with its tables and nothing in them."""
    file = tmp_path_factory.mktemp("empty") / "cases.sqlite"
    Store(str(file)).close()
    return file


@pytest.fixture
def desk(tmp_path: Path, bench: Bench, empty: Path) -> Iterator[Desk]:
    copyfile(empty, tmp_path / "cases.sqlite")
    one = Desk(tmp_path, bench)
    yield one
    one.store.close()
