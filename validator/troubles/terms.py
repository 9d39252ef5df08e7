"""Lays a warranty document beside the causes: which of its terms each requirement that may not be met touches.

It says where a term stands, in the words of the warranty papers, and nothing of whose fault anything is or what follows from it.
"""

from collections.abc import Iterator
from dataclasses import replace

from validator.assembly import Assembly
from validator.judging.loading import LoadedBook
from validator.rulebook.conditions import facts_read
from validator.rulebook.rule import Rule
from validator.troubles.report import Causes, Requirement
from validator.warranty import stand
from validator.warranty.programme import Clear, Programme, Stated
from validator.warranty.report import ConditionLine

EVERY_TERM = "every term"


def with_terms(found: Causes, assembly: Assembly, document: Programme, loaded: LoadedBook) -> Causes:
    """The causes, each requirement with the terms of a document that it touches."""
    told = _Terms(assembly, document, loaded)
    causes = tuple(replace(cause, requirements=tuple(map(told.laid_beside, cause.requirements))) for cause in found.causes)
    return replace(found, causes=causes, programme=document.name)


class _Terms:
    """The conditions of one document, each with where it stands on one assembly."""

    def __init__(self, assembly: Assembly, document: Programme, loaded: LoadedBook) -> None:
        self.rules = loaded.book.rules
        report = stand(assembly, document, loaded)
        self.conditions: list[tuple[str, Stated, ConditionLine]] = [
            (EVERY_TERM, stated, line) for stated, line in zip(document.every_term[::-1], report.every_term[::-1])
        ]
        for term, standing in zip(document.terms, report.terms):
            self.conditions += [(term.name, stated, line) for stated, line in zip(term.conditions, standing.conditions)]

    def laid_beside(self, requirement: Requirement) -> Requirement:
        return replace(requirement, terms=tuple(dict.fromkeys(self._touched(requirement))))

    def _touched(self, requirement: Requirement) -> Iterator[str]:
        own = set(facts_read(self.rules[requirement.rule].requires))
        for term, stated, line in self.conditions:
            match stated.test:
                case Clear(matters) if requirement.harm in matters:
                    yield _told(term, line)
                case Rule() as asked if own & set(facts_read(asked.requires)):
                    yield _told(term, line)


def _told(term: str, line: ConditionLine) -> str:
    clause = f", clause {line.clause}" if line.clause else ""
    return f"{term}{clause}: {line.needs} ({line.standing})"
