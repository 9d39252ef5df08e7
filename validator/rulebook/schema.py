"""Takes a kind of file of a book, returns its JSON Schema, so that an editor completes and checks what an author writes.

The keys come from the forms that the readers check by, the names from the books themselves. Values may be written as numbers or
as yes and no, since the reader takes every one as the text that was typed; what a schema cannot say, the reader still says.
"""

from collections.abc import Callable, Iterable

from validator.facts.vocabulary import Fact
from validator.facts.vocabulary_reading import FACT_KEYS, SORTS, THING_KEYS
from validator.language import amounts
from validator.rulebook import forms
from validator.rulebook.book import Book
from validator.rulebook.conditions import AMOUNT_WORDS, GROUPS, ORDERED_WORDS, TOGETHER_WORDS, WORD_WORDS
from validator.rulebook.rule import EXPECTED, LAYERS, MATTERS, SEVERITIES
from validator.rulebook.showing import NOTHING, OPENS, TAKES
from validator.rulebook.sources import KNOWN_BY, STANDINGS

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, object]
ANY: Schema = {"type": ["string", "number", "boolean", "null"]}
TEXTS: Schema = {"anyOf": [ANY, {"type": "array", "items": ANY}]}
YES_OR_NO: Schema = {"enum": ["yes", "no", True, False]}
FACTS_OF_A_CASE: Schema = {"type": "object", "additionalProperties": TEXTS}


def schema_of(kind: str, book: Book) -> Schema:
    """The schema of one kind of file: rule, cases, consequence, limits, schedule, book, sources, vocabulary, or one of what breaches show as."""
    return {"$schema": DRAFT, "title": f"{kind} of a rulebook", **KINDS[kind](book), "$defs": _definitions(book)}


def _form(form: forms.Form, needed: Iterable[str] = (), **parts: Schema) -> Schema:
    """An object with just the keys of a form, named with `_` for a space; what is not said of a key may be any text."""
    properties = {key: parts.get(key.replace(" ", "_"), ANY) for key in form.keys}
    return {"type": "object", "properties": properties, "required": [*form.needed, *needed], "additionalProperties": False}


def _named(each: Schema) -> Schema:
    return {"type": "object", "additionalProperties": each}


def _listed(each: Schema) -> Schema:
    return {"type": "array", "items": each}


def _one_or_more(each: Schema) -> Schema:
    return {"anyOf": [each, _listed(each)]}


CONDITION: Schema = {"$ref": "#/$defs/condition"}
CITED: Schema = _one_or_more({"$ref": "#/$defs/cited"})
CASES: Schema = {"$ref": "#/$defs/cases"}


# -- what every file may name ---------------------------------------------------------------------------------------------------


def _definitions(book: Book) -> Schema:
    vocabulary = book.vocabulary
    facts = {name: _comparison(fact) for name, fact in vocabulary.facts.items() if fact.kind != "presence"}
    things: dict[str, Schema] = {name: {"enum": ["there", "none"]} for name in vocabulary.things}
    groups: dict[str, Schema] = {how: {"type": "array", "items": CONDITION, "minItems": 2} for how in GROUPS}
    case = _form(forms.CASE, **{"with": FACTS_OF_A_CASE}, expect={"enum": list(EXPECTED)}, asks=TEXTS, confirmed=YES_OR_NO)
    return {
        "condition": {"type": ["object", "null"], "properties": {**groups, **things, **facts}},
        "against": {
            "type": "object", "minProperties": 1, "additionalProperties": False,
            "properties": {"limit": {"enum": list(book.limits)}, "schedule": {"enum": list(book.schedules)}, "answer": ANY, "fact": ANY},
        },
        "cited": _form(forms.CITED, **{"from": {"enum": list(book.sources)}}, known_by={"enum": list(KNOWN_BY)}),
        "cases": _form(forms.CASES, usual=FACTS_OF_A_CASE, each=_listed(case)),
    }  # fmt: skip


def _comparison(fact: Fact) -> Schema:
    """What a fact may be compared with: a value, or how with a value, a limit, a schedule or another fact."""
    words = [] if fact.is_amount else [*fact.words, *fact.also_said]
    value: Schema = _one_or_more({"enum": [*words, *_as_an_editor_reads(words)]}) if words else ANY
    how = TOGETHER_WORDS if fact.is_together else ORDERED_WORDS if fact.order else AMOUNT_WORDS if fact.is_amount else WORD_WORDS
    against: Schema = {"anyOf": [value, {"$ref": "#/$defs/against"}]}
    return {
        "description": fact.what,
        "anyOf": [
            value, {"enum": ["stated", "is stated"]}, {"$ref": "#/$defs/against"},
            {"type": "object", "properties": {word: against for word in how}, "additionalProperties": False, "minProperties": 1},
        ],
    }  # fmt: skip


def _as_an_editor_reads(words: Iterable[str]) -> list[object]:
    """What an editor takes for a number or for a yes, and the reader for the word that was typed."""
    numbers = [int(word) for word in words if word.isdecimal()]
    return [*numbers, *((True, False) if {"yes", "no"} & set(words) else ())]


# -- the kinds of files ---------------------------------------------------------------------------------------------------------


def _rule(book: Book) -> Schema:
    return _form(
        forms.RULE, severity={"enum": list(SEVERITIES)}, for_each={"enum": list(book.vocabulary.things)}, applies_when=CONDITION,
        requires=CONDITION, except_when=_listed(_form(forms.OTHER_WAY, when=CONDITION, source=CITED)), warranty={"enum": list(MATTERS)},
        sources=CITED, cases=CASES, formerly=TEXTS, shows_as=_shows_as(book), told_by=_told_by(book),
    )  # fmt: skip


def _shows_as(book: Book) -> Schema:
    """The names of troubles and observations of its own, or why it shows as nothing."""
    trouble: Schema = {"enum": list(book.troubles)}
    return {"anyOf": [trouble, {"type": "string", "pattern": f"^{NOTHING}"}, _listed({"anyOf": [trouble, _showing()]})]}


def _showing() -> Schema:
    return _form(forms.SHOWING, source=CITED)


def _told_by(book: Book) -> Schema:
    return _one_or_more({"enum": list(book.looks)})


def _looks(_: Book) -> Schema:
    return _named(_form(forms.LOOK, opens={"enum": list(OPENS)}, takes={"enum": list(TAKES)}, source=CITED))


def _troubles(book: Book) -> Schema:
    return _named(_form(forms.TROUBLE, shows_as=_listed(_showing()), source=CITED, told_by=_told_by(book)))


def _outside_causes(book: Book) -> Schema:
    return _named(_form(forms.OUTSIDE_CAUSE, where=CONDITION, shows_as=_listed(_showing()), source=CITED, told_by=_told_by(book)))


def _no_faults(_: Book) -> Schema:
    return _named(_form(forms.NO_FAULT, where=CONDITION, source=CITED))


def _more_cases(book: Book) -> Schema:
    return _form(forms.MORE_CASES, rule={"enum": list(book.rules)}, cases=CASES)


def _consequence(_: Book) -> Schema:
    return _form(forms.CONSEQUENCE, when=CONDITION, gives=_named(TEXTS), sources=CITED, cases=CASES)


def _limits(_: Book) -> Schema:
    value = _form(forms.VALUE, printed_also=TEXTS, source=CITED)
    return _named(_form(
        forms.LIMIT, kind={"enum": list(amounts.KINDS)}, printed_also=TEXTS, values=_named({"anyOf": [*_kinds_of(TEXTS), value]}),
        source=CITED, replaces=YES_OR_NO,
    ))  # fmt: skip


def _kinds_of(schema: Schema) -> list[Schema]:
    return list(schema["anyOf"])  # type: ignore[call-overload]


def _schedule(_: Book) -> Schema:
    return _form(
        forms.SCHEDULE, keys=TEXTS, answers=TEXTS, sources=CITED, otherwise={"enum": ["refuse", "open"]}, step=_named(ANY), replaces=YES_OR_NO,
    )  # fmt: skip


def _book(_: Book) -> Schema:
    return _form(
        forms.BOOK, ["layer"], layer={"enum": list(LAYERS), "description": "; ".join(f"{word}: {said}" for word, said in LAYERS.items())},
        own_authority=YES_OR_NO, takes_out=_listed(_form(forms.TAKEN_OUT, source=CITED)), not_checked=TEXTS,
        cautions=_listed(_form(forms.CAUTION, when=CONDITION)), outside_this_book=_listed(_form(forms.OUTSIDE, when=CONDITION, whole=YES_OR_NO)),
    )  # fmt: skip


def _deciding(book: Book) -> Schema:
    asked = [fact.name for fact in book.vocabulary.facts.values() if fact.ask]
    return _listed(_form(forms.DECIDING, when=CONDITION, known_first=_one_or_more({"enum": asked})))


def _sources(_: Book) -> Schema:
    return _named(_form(forms.SOURCE, standing={"enum": list(STANDINGS)}, editions=TEXTS))


def _vocabulary(_: Book) -> Schema:
    """Things by a word, facts as `thing.fact`."""
    thing = {"type": "object", "properties": {key: {} for key in THING_KEYS} | {"sort": {"enum": list(SORTS)}},
             "required": ["what", "sort"], "additionalProperties": False}  # fmt: skip
    fact = {"type": "object", "properties": {key: {} for key in FACT_KEYS}, "required": ["what", "kind"], "additionalProperties": False}
    return {"type": ["object", "null"], "patternProperties": {r"^[^.]+$": thing, r"\.": fact}, "additionalProperties": False}


KINDS: dict[str, Callable[[Book], Schema]] = {
    "rule": _rule, "cases": _more_cases, "consequence": _consequence, "limits": _limits, "schedule": _schedule, "book": _book,
    "sources": _sources, "vocabulary": _vocabulary, "looks": _looks, "troubles": _troubles, "outside-causes": _outside_causes,
    "no-faults": _no_faults, "deciding": _deciding,
}  # fmt: skip
