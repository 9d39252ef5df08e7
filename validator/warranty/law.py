"""What the law on written warranties has a clerk keep in mind, in our own words, with where it stands.

The sections were read in pages that reprint them; none of this is legal advice, and none of it decides anything.
"""

from validator.rulebook.rule import Rule
from validator.warranty.programme import ADMINISTRATIVE, TIED, Stated, Within
from validator.warranty.report import LawLine, Standing

TIE = LawLine(
    say=(
        "Under the federal rules a written consumer warranty may not hang on a named brand's goods or a named firm's service, "
        "unless those come free of charge or a waiver was granted. It may leave out damage that other goods or service are "
        "shown to have caused. Whether a set of parts is one product here is unsettled, and is for counsel."
    ),
    source="15 USC 2302(c); 16 CFR 700.10",
)
REGISTRATION = LawLine(
    say=(
        "A missing or late registration is asked about and decides nothing. Under a full warranty the return of a card may not "
        "be asked as a condition; under a limited one the document must say so where it is one. Another proof of the date "
        "serves, and some states add rules of their own."
    ),
    source="16 CFR 700.7; 16 CFR 701.4; Cal. Com. Code 2801",
)
FULL = "The document is headed a full warranty, under which the return of a card may not be asked as a condition."
ASK_OF_A_TIE = (
    "Is this a consumer product, bought by or for a household?",
    "Do the named goods or the named service come free of charge, or is a waiver on file?",
    "Does the document given at the sale state this condition?",
    "Is a defect claimed, and are other goods or service its shown cause?",
)
ASK_OF_A_REGISTRATION = (
    "Does the document given at the sale say that registration is a condition, and is it headed a limited warranty?",
    "In which state was it bought?",
    "Is there another proof of the dates?",
)
OURS = ASK_OF_A_REGISTRATION[:1]  # what only whoever gives the warranty knows, and nobody else is asked
REGISTERED = ("registration", "registration.received")


def cautions_for(stated: Stated, standing: Standing) -> tuple[LawLine, ...]:
    """The cautions that belong beside a condition."""
    if stated.kind in TIED:
        return (TIE,)
    return (REGISTRATION,) if standing is not Standing.SHOWN and asks_registration(stated) else ()


def asks_registration(stated: Stated) -> bool:
    """Whether a condition asks for the registration itself, or for its day."""
    match stated.test:
        case Within(_, _, end):
            return end in REGISTERED
        case Rule() as rule:
            return stated.kind == ADMINISTRATIVE and any(name in REGISTERED for name in rule.facts())
    return False
