"""Takes a vocabulary, returns a JSON Schema, so that an editor completes and checks an assembly while it is typed.

Every value may be a number, a yes or a text: what an editor takes for a number is still read as the text that was
typed. Words are offered, not enforced, since `or`, ranges and loose words are written too; the reader itself says more.
"""

import re

from validator.assembly.evidence import SHOWN_BY
from validator.assembly.name_reading import NONE_WORDS
from validator.assembly.observation_reading import OBSERVED, SEEN
from validator.assembly.written import LAYER_COMMON, PLACE_KEYS, TOP_KEYS
from validator.facts.observing import OBSERVATION
from validator.facts.possible import NOT_SAID
from validator.facts.vocabulary import Fact, Thing, Vocabulary

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_ANY_VALUE = ["string", "number", "boolean", "null"]
_UNIT_EXAMPLES = {
    "length": ["1/2 in", "13 mm"], "slope": ["1/4 in per ft", "2 %"], "duration": ["24 h", "28 days"], "proportion": ["95 %"],
    "deflection": ["L/360"], "temperature": ["50 °F", "10 °C"], "area": ["10 ft2"], "load": ["40 psf"],
}  # fmt: skip

Schema = dict[str, object]

_NONE_OR_UNKNOWN: Schema = {"enum": [*sorted({*NONE_WORDS, *NOT_SAID}), False, None]}
_CLOSING: Schema = {"enum": ["yes", "no", "true", "false", *sorted(NOT_SAID), True, False, None]}
_TEXTS: Schema = {"anyOf": [{"type": ["string", "null"]}, {"type": "array", "items": {"type": "string"}}]}
_SHOWN: dict[str, Schema] = {SHOWN_BY: {"$ref": "#/$defs/shown%20by"}}


def schema_of(vocabulary: Vocabulary) -> Schema:
    """The schema of an assembly file."""
    return {
        "$schema": DRAFT,
        "title": "A described tile or stone assembly",
        **_top(vocabulary),
        "$defs": {
            **{_name(thing): _thing(thing, vocabulary) for thing in vocabulary.things.values()},
            "place": _place(vocabulary),
            "junction": _junction(vocabulary),
            "layers": {"description": "From the structure outwards", "type": ["array", "object", "string"], "items": {"$ref": "#/$defs/layer"}},
            "layer": _layer(vocabulary),
            SHOWN_BY: {
                "description": "A photograph, a page of a submittal, a dated note; for the whole, or by the name of a line",
                "anyOf": [*_TEXTS["anyOf"], _named(_TEXTS)],
            },
        },
    }


def _top(vocabulary: Vocabulary) -> Schema:
    places: Schema = {"type": "object", "additionalProperties": {"$ref": "#/$defs/place"}}
    kinds = vocabulary.facts["junction.kind"].words
    run: Schema = {"anyOf": [{"$ref": "#/$defs/framing"}, {"enum": [*sorted(NOT_SAID), None]}]}  # a run of which nothing is said
    forms: dict[str, Schema] = {
        "assembly": {"type": "string", "description": "A name for the work"},
        "use": {"$ref": "#/$defs/job"},
        "framing": {"anyOf": [{"$ref": "#/$defs/framing"}, {**_named(run), "properties": _SHOWN}]},
        "places": places,
        "junctions": {
            "type": "object",
            "properties": {**{kind: {"$ref": "#/$defs/junction"} for kind in kinds}, "all others": _NONE_OR_UNKNOWN, **_SHOWN},
            "additionalProperties": {"$ref": "#/$defs/junction"},
        },
        "records": _object({**{t.name: _ref(t) for t in vocabulary.things.values() if t.sort == "record"}, **_SHOWN}, others=True),
        "everywhere in": _named({"$ref": "#/$defs/layers"}),
        "seen on site": {"type": ["string", "array", "object"]},
        SEEN: _seen(vocabulary),
        "written out in full": _CLOSING,
        "options": _named({"type": "object"}),
        SHOWN_BY: _TEXTS,
        "note": {"type": _ANY_VALUE},
    }
    may_be_empty = {key: _or_nothing(forms[key]) for key in ("use", "framing", "junctions", "records", "everywhere in")}
    return {**_object({key: may_be_empty.get(key, forms[key]) for key in TOP_KEYS}), "required": ["places"]}


def _or_nothing(form: Schema) -> Schema:
    """A form whose head may stand with nothing under it."""
    return {"anyOf": [form, {"enum": ["", None]}]}


def _seen(vocabulary: Vocabulary) -> Schema:
    """What is seen to be wrong: a line, its facts, or a list of either."""
    if OBSERVATION not in vocabulary.things:
        return {"type": _ANY_VALUE}
    one: Schema = {"anyOf": [{"type": ["string", "null"]}, {"$ref": f"#/$defs/{OBSERVATION}"}]}
    return {"description": "What is seen to be wrong", "anyOf": [*one["anyOf"], {"type": "array", "items": one}]}


def _object(properties: dict[str, Schema], others: bool = False) -> Schema:
    return {"type": "object", "properties": properties, **({} if others else {"additionalProperties": False})}


def _named(form: Schema) -> Schema:
    return {"type": "object", "additionalProperties": form}


def _name(thing: Thing) -> str:
    return f"the {thing.name}" if thing.name in ("place", "junction") else thing.name


def _ref(thing: Thing) -> Schema:
    return {"$ref": f"#/$defs/{_name(thing).replace(' ', '%20')}"}


def _facts(thing: Thing, vocabulary: Vocabulary) -> dict[str, Schema]:
    return {
        name: _fact(fact)
        for fact in vocabulary.facts.values()
        for name in (fact.name.partition(".")[2], *fact.also_called)
        if fact.thing == thing.name and fact.kind != "presence" and fact.stated and not fact.aggregate
        and not fact.name.endswith(" as stated")
    }  # fmt: skip


def _fact(fact: Fact) -> Schema:
    described = {"description": ". ".join(text for text in (fact.what, fact.look) if text)}
    words = (*fact.words, *fact.also_said)
    if words:
        several: list[Schema] = [{"type": "array", "items": {"anyOf": [{"enum": list(words)}, {"type": _ANY_VALUE}]}}] if fact.is_together else []
        return {**described, "anyOf": [{"enum": list(words)}, {"type": _ANY_VALUE}, *several]}
    examples = {"examples": _UNIT_EXAMPLES[fact.kind]} if fact.kind in _UNIT_EXAMPLES else {}
    return {**described, "type": _ANY_VALUE, **examples}


def _thing(thing: Thing, vocabulary: Vocabulary) -> Schema:
    common: dict[str, Schema] = {}
    if thing.sort == "layer":
        common = {key: {"type": "string"} for key in LAYER_COMMON}
    elif thing.sort in ("part", "seal"):
        common = {"product": {"type": "string"}}
    seen = {SEEN: _seen(vocabulary)} if thing.sort in OBSERVED else {}
    whole = _object({**common, **_facts(thing, vocabulary), **seen, **_SHOWN})
    if thing.sort in ("job", "framing", "place", "observation"):
        return whole
    return {"description": thing.what, "anyOf": [whole, {"enum": ["none", "not known"]}, {"type": _ANY_VALUE}]}


def _layer(vocabulary: Vocabulary) -> Schema:
    layers = [thing for thing in vocabulary.things.values() if thing.sort == "layer"]
    whole = "|".join(re.escape(name) for thing in layers for name in (thing.name, *thing.also_called))
    properties: dict[str, Schema] = {}
    described: dict[str, Schema] = {}
    for thing in layers:
        names = (thing.name, *thing.also_called)
        properties |= {each: _ref(thing) for name in names for each in (name, f"{name}s")}
        # `mosaic tile`, `OSB board`. One pattern a thing: an editor keeps few of them ready.
        described[f"^(?!(?:{whole})s?$).* (?:{'|'.join(map(re.escape, names))})s?$"] = _ref(thing)
    for word, thing in _named_by_kind(layers, vocabulary).items():
        properties |= {each: _ref(thing) for each in (word, f"{word}s") if each not in properties}
    described[r"^\S+ .*\S$"] = {"type": ["object", *_ANY_VALUE]}  # `honed limestone`, `3/8 ply`: the reader alone knows such phrases
    return {
        "anyOf": [
            {**_object(properties), "patternProperties": described, "maxProperties": 1},
            {**_object({**properties, **_SHOWN}), "patternProperties": described, "required": [SHOWN_BY], "maxProperties": 2},
            {"enum": ["not known", *(t.name for t in layers)]},
            {"type": "string"},
        ]
    }


def _named_by_kind(layers: list[Thing], vocabulary: Vocabulary) -> dict[str, Thing]:
    """The words by which a layer may be named without its own name: `plywood`, `slate`, `mastic`; of several layers the first."""
    found: dict[str, Thing] = {}
    for thing in layers:
        fact = vocabulary.facts.get(f"{thing.name}.{thing.named_by}")
        if fact is not None and fact.kind == "word":
            for word in (*fact.words, *fact.also_said):
                found.setdefault(word, thing)
    return found


def _place(vocabulary: Vocabulary) -> Schema:
    things = vocabulary.things.values()
    forms: dict[str, Schema] = {
        "on": {"type": ["string", "array"], "description": "The framing runs it sits on"},
        "built up": {"$ref": "#/$defs/layers"},
        "like": {"type": "string", "description": "The place whose build-up this one has"},
        "parts": _or_nothing(_named({"$ref": "#/$defs/place"})),
        "nothing else": _CLOSING,
        "seen on site": {"type": ["string", "array", "object"]},
        SEEN: _seen(vocabulary),
        "formerly": {"type": "string", "description": "What the place was called in the submission before"},
        **_SHOWN,
        "note": {"type": _ANY_VALUE},
    }
    roles = {each.role for each in (*things, *vocabulary.facts.values()) if each.role}
    lines = {
        "type": "object",
        "properties": {
            **{key: forms[key] for key in PLACE_KEYS},
            **_facts(vocabulary.things["place"], vocabulary),
            **{thing.name: _ref(thing) for thing in things if thing.sort in ("part", "record")},
            **{role: _NONE_OR_UNKNOWN for role in sorted(roles)},
            **{word: {"type": _ANY_VALUE} for thing in things for word in thing.none_when},
            "options": _named({"type": "object"}),
        },
    }
    return {"anyOf": [lines, {"type": "array", "description": "Its build-up alone", "items": {"$ref": "#/$defs/layer"}}, {"enum": ["", None]}]}


def _junction(vocabulary: Vocabulary) -> Schema:
    things = vocabulary.things
    seals = [thing for thing in things.values() if thing.sort == "seal"]
    split = {f"{seal.name} {key}": form for seal in seals for key, form in _facts(seal, vocabulary).items()}
    whole = {
        "type": "object",
        "properties": {**_facts(things["junction"], vocabulary), **{seal.name: _ref(seal) for seal in seals}, **split, SEEN: _seen(vocabulary), **_SHOWN},
    }
    return {"anyOf": [whole, {"enum": ["none", "not known"]}, {"type": _ANY_VALUE}]}
