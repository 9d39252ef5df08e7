"""Takes rows with findings, returns what was found, needed and asked, by the engine that decides."""

from typing import NamedTuple

from validator.facts import possible
from validator.facts.possible import PRESUMED, STATED, Known
from validator.facts.subjects import Subject
from validator.facts.vocabulary import NONE, THERE
from validator.judging.loading import LoadedBook
from validator.screening.cells import CellReader
from validator.screening.mapping import Column


class Told(NamedTuple):
    """What the trail of one judgement says."""

    found: str
    needed: str
    asks: tuple[str, ...]


class Explained:
    """Trails of single rows, from the engine that decides."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded = loaded
        self.compiled = {each.rule.name: each for each in loaded.engine.rules}

    def of(self, reader: CellReader, rule: str, cells: dict[str, str]) -> Told:
        """The trail of one rule at one row's place."""
        engine, compiled = self.loaded.engine, self.compiled[rule]
        found = engine.derive(subject_of_row(reader, cells))
        judgement = engine.judge_rule(compiled, found)
        trail = self.loaded.explainer.explain(compiled.rule, judgement.vector, found)
        asks = self.loaded.explainer.asks(compiled.rule.conditions(), judgement.vector, found)
        return Told(trail.found, trail.needed, tuple(asks))


def subject_of_row(reader: CellReader, cells: dict[str, str]) -> Subject:
    """One row's place as the deciding engine reads places."""
    vocabulary, group = reader.vocabulary, reader.group
    known: dict[str, Known] = {
        thing.name: Known(reader.usual(thing), PRESUMED) for thing in vocabulary.things.values()
    }
    written = [(c, cells.get(c.heading, "")) for c in group.columns]
    written += [(Column(name, ""), text) for name, text in group.fixed]
    nones: set[str] = set()
    stated_of: set[str] = set()
    for column, text in written:
        fact = vocabulary.fact(column.fact)
        cell = reader.read(column, text)
        if cell.none:
            nones.add(fact.thing)
            continue
        if cell.problem:
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
    return Subject(group.name, group.sort, dict(group.fixed).get("place.kind", ""), known)
