"""The files of a book: which keys each form may hold and which it must. The readers check by them, and the schema is made of them."""

from typing import NamedTuple


class Form(NamedTuple):
    """One form that an author fills in: what a complaint calls it, its keys, and those that must be there."""

    called: str
    keys: tuple[str, ...]
    needed: tuple[str, ...]


RULE = Form(
    "a rule",
    ("rule", "title", "severity", "for each", "applies when", "requires", "except when", "because", "put right", "warranty", "sources",
     "cases", "in force", "replaces", "formerly", "note", "covers", "shows as", "told by"),
    ("rule", "title", "severity", "requires", "because", "put right", "sources", "cases"),
)  # fmt: skip
OTHER_WAY = Form("an exception", ("when", "because", "source"), ("when", "because"))
CASES = Form("the cases", ("usual", "each"), ("each",))
CASE = Form("a case", ("name", "with", "expect", "asks", "confirmed"), ("name", "expect"))
MORE_CASES = Form("cases for a rule beneath", ("rule", "cases"), ("rule", "cases"))
CONSEQUENCE = Form(
    "a consequence", ("consequence", "when", "gives", "because", "sources", "cases", "note"),
    ("consequence", "when", "gives", "because", "sources"),
)  # fmt: skip
BOOK = Form(
    "book.yaml",
    ("book", "title", "edition", "about", "layer", "own authority", "takes out", "not checked", "cautions", "outside this book"),
    ("book", "title", "edition"),
)
TAKEN_OUT = Form("a rule taken out", ("rule", "because", "source"), ("rule", "because"))
CAUTION = Form("a caution", ("when", "say", "in short", "source"), ("say",))
DECIDING = Form("what decides", ("when", "known first", "because"), ("when", "known first", "because"))
OUTSIDE = Form("what stands outside this book", ("when", "what", "not judged", "whole"), ("when", "what", "not judged"))
LIMIT = Form("a limit", ("kind", "value", "printed also", "by", "values", "otherwise", "source", "note", "replaces"), ("kind",))
VALUE = Form("a value", ("value", "printed also", "source"), ("value",))
SCHEDULE = Form(
    "a schedule",
    ("schedule", "what", "gives", "keys", "answers", "rows", "sources", "otherwise", "step", "note", "replaces"),
    ("schedule", "gives", "keys", "rows", "sources"),
)
LOOK = Form("a look", ("what", "how", "tells", "against", "opens", "takes", "care", "source"), ("what", "how", "tells", "opens", "takes", "source"))
TROUBLE = Form("a trouble", ("what", "shows as", "source", "told by"), ("what", "shows as", "told by"))
OUTSIDE_CAUSE = Form(
    "a cause outside this book", ("what", "who", "where", "shows as", "source", "told by"), ("what", "who", "shows as", "source", "told by")
)  # fmt: skip
NO_FAULT = Form("what is no fault", ("seen", "where", "why", "unless", "source"), ("seen", "why", "unless", "source"))
SHOWING = Form("what a breach shows as", ("usual", "sometimes", "source"), ())
SOURCE = Form("a source of the register", ("title", "standing", "editions", "code family", "note"), ("title", "standing"))
CITED = Form("a source", ("from", "section", "edition", "known by", "note"), ("from", "known by"))
