"""The drivers of `python -m tests.fuzz`, each over its first inputs."""

import sys
from pathlib import Path

import pytest
from paths import ROOT

sys.path[:0] = [str(ROOT)] if str(ROOT) not in sys.path else []

from tests.fuzz.drivers import drivers  # noqa: E402
from tests.fuzz.running import tried  # noqa: E402

INPUTS = {
    "assemblies": 100, "books": 30, "tables": 200, "workbooks": 30, "mappings": 30, "kept books": 25, "cells and names": 1_000,
    "more said": 15, "columns": 1,
}  # fmt: skip


@pytest.fixture(scope="module")
def every(tmp_path_factory):
    return drivers(tmp_path_factory.mktemp("fuzz"))


def test_every_driver_has_a_share(every):
    assert set(every) == set(INPUTS)


@pytest.mark.parametrize("name", INPUTS)
def test_spoilt_input_is_read_rightly_or_refused_in_words(every, name):
    found = [fault for seed in range(INPUTS[name]) if (fault := tried(name, every[name], seed))]
    assert not found, "\n".join(f"{fault.driver} {fault.seed}\n{fault.what}" for fault in found[:3])
