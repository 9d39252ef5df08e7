"""What each term of a programme stands at, and why: the record that the warranty papers are made from."""

from enum import StrEnum

from pydantic import BaseModel, ConfigDict

from validator.judging.report import BookLine, Counts

FOOTER = "This report concerns the stated conditions of one document and states no legal rights."


class Standing(StrEnum):
    """What a condition, or a term, comes to. Nothing here grants or refuses anything: a person does."""

    SHOWN = "shown"
    NOT_ARISING = "does not arise"
    PERSON = "for a person to decide"
    NOT_SHOWN = "not shown"
    NOT_MET = "not met"
    OUTSIDE = "outside the stated scope"


# From the best: a term stands where the worst of its conditions does.
BEST_FIRST = (
    Standing.NOT_ARISING, Standing.SHOWN, Standing.PERSON, Standing.NOT_SHOWN, Standing.NOT_MET, Standing.OUTSIDE,
)  # fmt: skip


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
    """One condition: where it stands, why, and what would show it. `asks` are questions, `facts` those still to be stated.

    `evidence` is what the document takes to show it, whatever it stands at; `offered` is what the description offers for it,
    `only_stated` the facts that show it and for which nothing is offered; `products` are on the job where it is tied to one
    maker.
    """

    needs: str
    kind: str
    clause: str
    standing: Standing
    reason: str
    shown_by: tuple[str, ...] = ()
    asks: tuple[Ask, ...] = ()
    facts: tuple[str, ...] = ()
    cautions: tuple[LawLine, ...] = ()
    evidence: str = ""
    offered: tuple[str, ...] = ()
    only_stated: tuple[str, ...] = ()
    products: tuple[ProductLine, ...] = ()


class TermLine(Paper):
    """One term: what it gives, for how long, where it stands. `untied` are terms that hang on no maker and no named service."""

    term: str
    gives: str
    lasts: str
    starts: str
    standing: Standing
    conditions: tuple[ConditionLine, ...]
    untied: tuple[str, ...] = ()


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
    """Everything one assembly came to under one programme."""

    assembly: str
    programme: str
    about: str
    document: DocumentLine
    every_term: tuple[ConditionLine, ...]
    terms: tuple[TermLine, ...]
    risk: RiskLine
    outcome: str
    counts: Counts
    books: tuple[BookLine, ...]
    programme_fingerprint: str
    fingerprint: str
    footer: str = FOOTER
    exit_status: int = 0
