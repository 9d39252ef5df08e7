"""One row as a described assembly: its places as the deciding engine reads them, for a letter or for a proof that columns agree."""

from validator.facts import possible
from validator.facts.possible import NOT_STATED, PRESUMED, STATED, Known
from validator.facts.subjects import Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE
from validator.screening.cells import CellReader
from validator.screening.mapping import Column


def subject_of_row(reader: CellReader, cells: dict[str, str]) -> Subject:
    """One row's place as the deciding engine reads places."""
    vocabulary, group = reader.vocabulary, reader.group
    known: dict[str, Known] = {
        thing.name: Known(usual, NOT_STATED if usual == MAYBE else PRESUMED)
        for thing in vocabulary.things.values() for usual in (reader.usual(thing),)
    }
    written = [(c, cells.get(c.heading, "")) for c in group.columns]
    written += [(Column(name, ""), text) for name, text in group.fixed]
    nones: set[str] = set()
    unread: set[str] = set()
    stated_of: set[str] = set()
    for column, text in written:
        fact = vocabulary.fact(column.fact)
        cell = reader.read(column, text)
        if cell.none:
            nones.add(fact.thing)
            continue
        if cell.problem:
            unread |= {fact.name, fact.thing, *fact.gives}
            continue
        ours = reader.text_for(column, text)
        said = {fact.name: possible.read(fact, ours), **possible.edges(fact, ours)}
        if fact.kind == "presence":
            known[fact.name] = said[fact.name] if said[fact.name].origin == STATED else known[fact.name]
            continue
        # Blank cells leave no trace: a layer of which nothing is written may be one of several.
        stated = {name: each for name, each in said.items() if each.origin == STATED}
        known.update(stated)
        if stated:
            stated_of.add(fact.thing)
    for thing in stated_of:
        if known[thing].value != NONE:
            known[thing] = Known(THERE, STATED)
    for thing in nones:
        known[thing] = Known(NONE, STATED)
    return Subject(group.name, group.sort, dict(group.fixed).get("place.kind", ""), known, unread=frozenset(unread))
