"""One Chromium for all tests of a run, started by the first that asks for it; and one that is driven page by page."""

from collections.abc import Iterator

import pytest
from chromium import Chromium, chromium_program


@pytest.fixture(scope="session")
def chromium():
    with Chromium() as one:
        yield one


@pytest.fixture(scope="module")
def browser() -> Iterator:
    """A Chromium that Playwright drives."""
    with pytest.importorskip("playwright.sync_api").sync_playwright() as one:
        opened = one.chromium.launch(executable_path=chromium_program(), args=["--no-sandbox"])
        yield opened
        opened.close()
