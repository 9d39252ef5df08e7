"""One Chromium for all tests of a run; it is started by the first that asks for it."""

import pytest
from chromium import Chromium


@pytest.fixture(scope="session")
def chromium():
    with Chromium() as one:
        yield one
