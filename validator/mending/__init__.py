"""The smallest changes that leave no fail, what may be changed, and what else follows from a change."""

from validator.mending.changing import Allowed
from validator.mending.searching import MOST_CHANGES, Alternative, Mended, holds, mend

__all__ = ["MOST_CHANGES", "Allowed", "Alternative", "Mended", "holds", "mend"]
