"""What each term of a programme stands at, and why: the record that the warranty papers are made from."""

from enum import StrEnum

from pydantic import BaseModel, ConfigDict

from validator.judging.report import BookLine, Counts

FOOTER = "This report concerns the stated conditions of one document and states no legal rights."


class Standing(StrEnum):
    """What a condition, or a term, comes to. Nothing here grants or refuses anything: a person does.

    What is shown is proved by what was stated; what is taken as usual would be shown if nothing is out of the ordinary.
    """

    SHOWN = "shown"
    NOT_ARISING = "does not arise"
    TAKEN = "taken as usual"
    PERSON = "for a person to decide"
    NOT_SHOWN = "not shown"
    NOT_MET = "not met"
    OUTSIDE = "outside the stated scope"


# From the best: a term stands where the worst of its conditions does.
BEST_FIRST = (
    Standing.NOT_ARISING, Standing.SHOWN, Standing.TAKEN, Standing.PERSON, Standing.NOT_SHOWN, Standing.NOT_MET, Standing.OUTSIDE,
)  # fmt: skip
SETTLED = (Standing.SHOWN, Standing.NOT_ARISING)  # by what was stated alone


class Paper(BaseModel):
    """A part of the warranty record; it never changes once made."""

    model_config = ConfigDict(frozen=True)


class LawLine(Paper):
    """A caution from the law on written warranties, with where it stands."""

    say: str
    source: str


class ProductLine(Paper):
    """What is on the job by the product named. `product` is empty where none is; `card` where a product card stands behind it."""

    thing: str
    product: str
    card: bool
    places: tuple[str, ...]


class Ask(Paper):
    """One question; `of` are the things that are looked at together with what it asks, where it asks about the work."""

    says: str
    of: tuple[str, ...] = ()


class ConditionLine(Paper):
    """One condition: where it stands as told and strictly, why, and what would show it. `asks` are questions that can be answered
    at this stage, `facts` those still to be stated.

    `taken` is what was taken as usual, where something hangs on it; `to_show` what nobody can look at any more, so that a
    photograph, a note or a paper shows it; `later` what is not due yet.

    `evidence` is what the document takes to show it, whatever it stands at; `offered` is what the description offers for it,
    `only_stated` the facts that show it and for which nothing is offered; `products` are on the job where it is tied to one
    maker.
    """

    needs: str
    kind: str
    clause: str
    standing: Standing
    strictly: Standing
    reason: str
    shown_by: tuple[str, ...] = ()
    asks: tuple[Ask, ...] = ()
    facts: tuple[str, ...] = ()
    cautions: tuple[LawLine, ...] = ()
    evidence: str = ""
    offered: tuple[str, ...] = ()
    only_stated: tuple[str, ...] = ()
    products: tuple[ProductLine, ...] = ()
    taken: tuple[str, ...] = ()
    to_show: tuple[str, ...] = ()
    later: tuple[str, ...] = ()


class TermLine(Paper):
    """One term: what it gives, for how long, where it stands as told and strictly. `untied` are terms that hang on no maker and no named service."""

    term: str
    gives: str
    lasts: str
    starts: str
    standing: Standing
    strictly: Standing
    conditions: tuple[ConditionLine, ...]
    untied: tuple[str, ...] = ()


class WorkLine(Paper):
    """What the work itself comes to by the book's rules, as told, and how much of it is proved."""

    outcome: str
    could_become: str
    failed: int
    warned: int
    questions: int
    checks: int
    proved: int
    applying: int


class MatterLine(Paper):
    """One failed, open or warned matter, in its place in the order of risk."""

    matter: str
    outcome: str
    would_be: str
    exposure: str
    seen: str
    title: str
    place: str
    rule: str


class RiskLine(Paper):
    """Risk as an order, never a sum. `worst_known` has failed or warns; `worst_possible` counts what is open as gone badly."""

    worst_known: str
    worst_possible: str
    not_assessable: int
    matters: tuple[MatterLine, ...]


class DocumentLine(Paper):
    title: str
    revision: str
    headed: str
    in_force: str
    holder: str


class WarrantyReport(Paper):
    """Everything one assembly came to under one programme, by the `reading` that is named."""

    assembly: str
    programme: str
    about: str
    reading: str
    document: DocumentLine
    every_term: tuple[ConditionLine, ...]
    terms: tuple[TermLine, ...]
    risk: RiskLine
    as_told: WorkLine
    outcome: str  # strictly, as `counts`
    counts: Counts
    books: tuple[BookLine, ...]
    programme_fingerprint: str
    fingerprint: str
    footer: str = FOOTER
    exit_status: int = 0

    @property
    def conditions(self) -> tuple[ConditionLine, ...]:
        """Every condition, those of every term first."""
        return (*self.every_term, *(condition for term in self.terms for condition in term.conditions))
