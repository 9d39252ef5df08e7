"""The points of the work where somebody looks before the next step hides what was done, in the order of construction.

Common practice, no source: each chapter of the book belongs to the point at which what it asks can still be seen.
"""

from validator.judging.loading import LoadedBook

# The chapters of the book that are looked at by each point; the names of the points are in `words`.
POINTS: tuple[tuple[str, ...], ...] = (
    ("framing", "subfloor", "slab", "existing", "exterior", "compartment", "access"),
    ("pan", "liner", "curb", "curbless", "drain", "bench"),
    ("backers", "fasteners", "niche"),
    ("seams", "membrane", "steam", "wet-areas", "heat"),
    ("tests",),
    ("mortar", "tile", "stone"),
    ("grout", "movement-joints"),
    ("time",),
)


def point_of(rule: str, loaded: LoadedBook) -> int:
    """The point at which a rule's matter is looked at; what is in no chapter named here waits for the first."""
    found = loaded.book.rules.get(rule)
    chapter = found.chapter if found is not None else ""
    return next((number for number, chapters in enumerate(POINTS) if chapter in chapters), 0)
