"""The smallest changes that leave no fail, what may be changed, and what else follows from a change."""

from validator.advising.mending.alternatives import Alternative, holds
from validator.advising.mending.candidates import Allowed
from validator.advising.mending.search import MOST_CHANGES, MendResult, mend

__all__ = ["MOST_CHANGES", "Allowed", "Alternative", "MendResult", "holds", "mend"]
