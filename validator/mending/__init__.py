"""The smallest changes that leave no fail, what may be changed, and what else follows from a change."""

from validator.mending.allowing import Allowed
from validator.mending.alternatives import Alternative, holds
from validator.mending.searching import MOST_CHANGES, Mended, mend

__all__ = ["MOST_CHANGES", "Allowed", "Alternative", "Mended", "holds", "mend"]
