"""An editor that knows the schema completes and checks an assembly while it is typed."""

import json
import re

import jsonschema
import pytest
import yaml
from examples import examples_of
from paths import ROOT

from test_any_text import CATALOGUE, TEXT, VOCABULARY, slips
from test_places import GUEST_BATH
from validator.assembly import read_assembly
from validator.assembly.schema import schema_of
from validator.language.source import BadAssembly

SCHEMA = schema_of(VOCABULARY)
FILES = sorted(
    path for folder in ("samples", "tests/whole/said", "tests/whole/sound", "tests/whole/questions") for path in (ROOT / folder).glob("*.yaml")
    if re.search(r"^places:", path.read_text(encoding="utf-8"), re.MULTILINE)
)  # fmt: skip
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


ACCEPTED = [
    "places: {hall floor: [plywood, 3/4 in plywood: {grade: CDX}, honed limestone: 18 x 18 in, slate, not known]}",
    "places: {a: {kind: shower, floor: [foam pan], walls: [cement board: 1/2, membrane: liquid], tile: porcelain, drain: unknown}}",
    "places: {a: {kind: shower wall, waterproofing: no, nothing else: not sure, built up: {board: cement, tile: there}}}",
    "framing: {kitchen floor: , hall: unknown}\nplaces: {a: }",
    "places: {a: }\njunctions: {change of backing: yes, board seams: {tape: no}, all others: no}",
    "places: {a: {kind: shower wall, seen: cracked tile, niche: not built yet}}\nrecords: {flood test: not done yet}",
    "places: {a: {kind: shower wall, built up: [tile mortar: {meets: [A118.4, ANSI A118.15]}]}}",
]


@pytest.mark.parametrize("text", ACCEPTED)
def test_what_the_reader_takes_in_few_words_is_not_underlined(text):
    read_assembly(text, "a.yaml", VOCABULARY, CATALOGUE)
    assert [error.message for error in CHECKER.iter_errors(yaml.safe_load(text))] == []


@pytest.mark.parametrize("path", [pytest.param(path, id=path.stem, marks=[pytest.mark.thorough] if turn % 6 else []) for turn, path in enumerate(FILES)])
def test_every_description_there_is_is_not_underlined(path):
    page = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # every value as it was typed
    assert [error.message for error in CHECKER.iter_errors(page)] == []


@examples_of(slips(), few=60, many=1_000)
def test_what_is_read_with_slips_in_it_is_not_underlined(text):
    try:
        read_assembly(text, "any.yaml", VOCABULARY, CATALOGUE)
    except BadAssembly:
        return
    page = yaml.load(text, Loader=yaml.BaseLoader)
    assert [error.message for error in CHECKER.iter_errors(page)] == []


@pytest.mark.parametrize("text", [
    "places: [a]", "places: {a: {built up: 3}}\nuse: [house]", "places: {a: {like: [b]}}", "places: {a: {}}\njunctions: [seams]",
    "places: {a: {built up: [{board: foam, tile: stone}]}}", "places: {a: text}", "places: {a: {parts: [b]}}"])  # fmt: skip
def test_a_shape_that_the_reader_refuses_is_underlined(text):
    with pytest.raises(BadAssembly):
        read_assembly(text, "a.yaml", VOCABULARY, CATALOGUE)
    assert list(CHECKER.iter_errors(yaml.safe_load(text)))
