"""An editor that knows the schema completes and checks an assembly while it is typed."""

import json

import jsonschema
import pytest
import yaml
from paths import ROOT

from test_any_text import TEXT
from test_places import GUEST_BATH
from validator.assembly.schema import schema_of
from validator.facts.vocabulary_reading import read_vocabulary

SCHEMA = schema_of(read_vocabulary(ROOT / "rulebooks" / "vocabulary"))
CHECKER = jsonschema.Draft202012Validator(SCHEMA)


def test_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    json.dumps(SCHEMA)


@pytest.mark.parametrize("text", [TEXT, GUEST_BATH])
def test_what_the_reader_takes_the_schema_takes(text):
    # An editor reads YAML as YAML: 24 is a number to it, and yes a yes.
    assert [error.message for error in CHECKER.iter_errors(yaml.safe_load(text))] == []


@pytest.mark.parametrize(
    "text",
    [
        "asembly: x\nplaces: {}",
        "assembly: x",
        "places: {a: {built up: [{board: foam, tile: stone}]}}",
        "places: {a: {built up: [{bord: foam}]}}",
        "places: []",
        "places: {}\nrecords: []",
        "places: {}\nuse: {bilding: house}",
        "places: {a: {built up: [{board: {thicknes: 1/2 in}}]}}",
    ],
)
def test_a_slip_is_underlined_while_it_is_typed(text):
    assert list(CHECKER.iter_errors(yaml.safe_load(text)))
