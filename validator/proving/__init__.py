"""What `rulebook check` proves of a book: its cases, that they prove enough, that every word is read, and that it stays open only where it must."""

from validator.proving.cases import PROOFS, prove_cases, prove_columns, prove_complete, prove_weakenings, unconfirmed
from validator.proving.consequences import prove_consequences, unheld_consequences
from validator.proving.editions import Editions, compare_editions
from validator.proving.heard import prove_heard
from validator.proving.loosening import Changes, changes_of
from validator.proving.reach import reached
from validator.proving.rows import unasked_rows, unheld_rows
from validator.proving.schedules import in_schedules, unanswered_between
from validator.proving.showing import breaches_unsaid, prove_shown
from validator.proving.standing import misplaced, titles_beside, typed_beside
from validator.proving.undecided import prove_decided

__all__ = ["PROOFS", "Changes", "Editions", "breaches_unsaid", "changes_of", "compare_editions", "in_schedules", "misplaced", "prove_cases", "prove_columns",
           "prove_complete", "prove_consequences", "prove_decided", "prove_heard", "prove_shown", "prove_weakenings", "reached", "titles_beside", "typed_beside", "unanswered_between",
           "unasked_rows", "unconfirmed", "unheld_consequences", "unheld_rows"]  # fmt: skip
