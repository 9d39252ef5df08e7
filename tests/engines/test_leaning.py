"""A description that was changed is derived from what it was before: it comes to what it comes to when all of it is derived anew."""

import random
from pathlib import Path

import pytest

from paths import SAMPLES
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.engines.deriving import DerivedPlace
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Subject
from validator.judging.checking import check, report_on
from validator.judging.loading import LoadedBook
from validator.judging.readings import PlaceRead, read_both_ways
from validator.language.source import BadAssembly, read_source

DESCRIBED = [each for each in sorted(SAMPLES.glob("*.yaml")) if "\nplaces:" in each.read_text()]
TRIES = 6


def draft_of(path: Path, loaded: LoadedBook) -> Draft:
    return Draft(read_source(path.read_text(), path.name, []), path.name, loaded.vocabulary, loaded.catalogue)


def stated(assembly: Assembly) -> list[tuple[Subject, str]]:
    """Every fact that stands on a line of its own, with where it is said."""
    return [
        (subject, name) for subject in assembly.subjects
        for known in (subject.known, *(layer.known for layers in subject.layers.values() for layer in layers))
        for name, each in known.items() if each.origin == STATED and each.where is not None and "." in name
    ]  # fmt: skip


def changed(draft: Draft, assembly: Assembly, loaded: LoadedBook, chance: random.Random) -> Draft | None:
    """One fact said otherwise, no longer known, or said of a thing of which nothing was said; None where it cannot be said so."""
    subject, name = chance.choice(stated(assembly))
    match chance.randrange(3):
        case 0:
            words = "unknown"
        case 1:
            name, words = (fact := chance.choice([each for each in loaded.vocabulary.facts.values() if each.stated and each.is_word])).name, chance.choice(fact.words)
        case _:
            fact = loaded.vocabulary.fact(name)
            words = chance.choice(fact.words) if fact.words else chance.choice(["1 in", "5/8 in", "3 in", "18 in"])
    after = draft.said(subject, name, words)
    try:
        read = Draft(read_source(after.text(), "after", []), "after", loaded.vocabulary, loaded.catalogue)
        read.assembly()
    except BadAssembly:
        return None
    return read


def what_follows(place: DerivedPlace) -> tuple[object, ...]:
    layers = {thing: [vector for _, vector in pairs] for thing, pairs in place.layers.items()}
    how = {name: (each.origin, each.consequences, each.worked and each.worked.least, each.formula and each.formula()) for name, each in place.provenance.items()}
    return place.subject.name, place.vector, layers, how, place.known, place.disagreements


def what_comes_out(read: PlaceRead) -> tuple[object, ...]:
    judged = [[(each.compiled.name, each.outcome, each.severity, each.layer and each.layer.where, each.remembered) for each in many] for many in (read.strictly, read.judged)]
    return what_follows(read.strict), what_follows(read.told.derived), read.told.taken, read.told.not_mentioned, read.told.deciding, judged


@pytest.mark.parametrize("path", DESCRIBED, ids=lambda path: path.stem)
def test_a_changed_description_comes_to_the_same_from_before_as_anew(path: Path, loaded: LoadedBook) -> None:
    chance, tried = random.Random(path.stem), 0
    draft = draft_of(path, loaded)
    assembly = draft.assembly()
    before = read_both_ways(assembly, loaded)
    while tried < TRIES:
        after = changed(draft, assembly, loaded, chance)
        if after is None:
            continue
        assembly, draft, tried = after.assembly(), after, tried + 1
        now, anew = read_both_ways(assembly, loaded, before), read_both_ways(assembly, loaded)
        for again, whole in zip(now.places, anew.places, strict=True):
            assert what_comes_out(again) == what_comes_out(whole)
            assert whole.told.derived.vector == loaded.engine.derive(whole.told.subject).vector
        assert report_on(assembly, now.places, loaded).as_told == check(assembly, loaded).as_told
        before = now


def test_only_what_leans_on_a_changed_fact_is_derived_again(loaded: LoadedBook) -> None:
    assembly = draft_of(SAMPLES / "second-floor-shower.yaml", loaded).assembly()
    wall = next(each for each in assembly.subjects if each.name == "back wall")
    deriver, worked, leaning = loaded.engine.deriver, [], loaded.engine.leaning
    before = deriver.derive(wall)
    said = {**wall.known, "place.stage": Known(1, STATED, "as planned")}
    again = Subject(wall.name, wall.sort, wall.kind, said, wall.layers, wall.presumed, at=wall.at)
    work, deriver.work = deriver.work, lambda name, known: worked.append(name) or work(name, known)
    try:
        leaning.derived_from(again, before)
        assert not worked  # no sum hangs on how far the job is
        deriver.derive(again)
        assert worked
    finally:
        deriver.work = work
