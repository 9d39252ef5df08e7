"""A desk's own small book over the shelf's vocabulary, for what hangs on the table and not on the rules: quick to plan."""

import json
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp

PRACTICE = [{"from": "common practice, no source", "known by": "practice"}]
RULES = {
    "falls-enough": {"place.fall": {"at least": "1/4 in per ft"}},
    "screws-long-enough": {"screw.length": {"at least": "1 in"}},
    "wall-is-waterproof": {"membrane": "there"},
    "board-is-thick-enough": {"board.thickness": {"at least": "1/2 in"}},
    "board-takes-water": {"board.material": {"none of": ["plain gypsum", "water-resistant gypsum"]}},
    "tile-is-not-too-long": {"tile.longest edge": {"at most": "48 in"}},
    "studs-are-named": {"framing.material": ["wood", "steel"]},
}
ON_FLOOR = ("falls-enough",)


@lru_cache(maxsize=1)
def small_book() -> str:
    """The folder of the book, written once a process."""
    folder = Path(mkdtemp(prefix="desk-")) / "desk"
    (folder / "all").mkdir(parents=True)
    (folder / "book.yaml").write_text('book: desk\ntitle: Desk\nedition: "1"\nlayer: project specification\nown authority: yes\n')
    for name, requires in RULES.items():
        kind = "shower floor" if name in ON_FLOOR else "shower wall"
        (folder / "all" / f"{name}.yaml").write_text(json.dumps({
            "rule": name, "title": name.replace("-", " ").capitalize(), "severity": "fail", "applies when": {"place.kind": kind},
            "requires": requires, "because": "This desk asks it.", "put right": "Ask.", "sources": PRACTICE, "cases": {"each": []},
        }, indent=1))  # fmt: skip
    return str(folder)
