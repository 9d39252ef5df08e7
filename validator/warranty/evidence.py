"""What a description offers to show the facts that a condition leans on, and which of them are only said; judged by nothing."""

from collections.abc import Iterable
from typing import NamedTuple

from validator.engines.deriving import DerivedPlace, Vector
from validator.facts.possible import NOT_STATED, PRESUMED
from validator.facts.subjects import Layer
from validator.judging.loading import LoadedBook
from validator.rulebook.english import name_of


class Leant(NamedTuple):
    """A fact that a condition leans on, at one place or in one of its layers."""

    fact: str
    derived: DerivedPlace
    vector: Vector
    layer: Layer | None = None

    @property
    def is_said(self) -> bool:
        known = self.derived.known.get(self.fact)
        return self.fact in self.derived.provenance or known is not None and known.origin not in (NOT_STATED, PRESUMED)


class Evidence(NamedTuple):
    """What is offered, each once, and the facts that are said with nothing offered to show them."""

    offered: tuple[str, ...] = ()
    only_stated: tuple[str, ...] = ()


def evidence_for(leant: Iterable[Leant], loaded: LoadedBook) -> Evidence:
    """The evidence for some facts; one that is shown at one place and only said at another names the other."""
    offered: dict[str, None] = {}
    bare: dict[str, list[str]] = {}
    shown: set[str] = set()
    for each in leant:
        texts = loaded.explainer.shown_by(each.fact, each.vector, each.derived, each.layer)
        offered |= dict.fromkeys(texts)
        name = name_of(loaded.vocabulary, each.fact)
        if texts:
            shown.add(name)
        elif each.is_said:
            bare.setdefault(name, []).append(each.derived.subject.name)
    only = (f"{name} ({'; '.join(dict.fromkeys(places))})" if name in shown else name for name, places in bare.items())
    return Evidence(tuple(offered), tuple(only))
