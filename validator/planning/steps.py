"""The steps of the work in the order in which a crew makes them, and to which of them a thing or a rule belongs.

Common practice, no source. With a liner the pan is tested before the boards stand in it and before its bed hides it;
otherwise the bed comes first, and the waterproofing that is tested lies on it.
"""

from collections.abc import Iterable

from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.rulebook.conditions import facts_read

STRUCTURE, LINER, BED, BOARDS, SEAMS = "structure", "liner", "bed", "boards", "seams"
WATERPROOFING, FLOOD_TEST, SETTING = "waterproofing", "flood test", "setting"
GROUTING, JOINTS, CURE = "grouting", "joints", "cure"
USUAL_ORDER = (STRUCTURE, LINER, BED, BOARDS, SEAMS, WATERPROOFING, FLOOD_TEST, SETTING, GROUTING, JOINTS, CURE)
WITH_A_LINER = (STRUCTURE, LINER, FLOOD_TEST, BOARDS, SEAMS, BED, WATERPROOFING, SETTING, GROUTING, JOINTS, CURE)

_OF_CHAPTERS = {
    STRUCTURE: ("framing", "subfloor", "slab", "existing", "exterior", "compartment", "access"),
    LINER: ("liner",),
    BED: ("pan", "curb", "curbless", "drain", "bench", "ready-made-base", "heat"),
    BOARDS: ("backers", "fasteners", "niche", "walls-and-ceilings"),
    SEAMS: ("seams",),
    WATERPROOFING: ("membrane", "steam", "wet-areas"),
    SETTING: ("mortar", "tile", "stone", "shower-glass"),
    GROUTING: ("grout",),
    JOINTS: ("movement-joints",),
}
_OF_THINGS = {
    STRUCTURE: ("framing", "subfloor panel", "slab", "existing finish", "flatness check", "moisture test", "primer",
                "self-leveling underlayment"),
    LINER: ("pre-slope", "liner"),
    BED: ("mortar bed", "foam pan", "bedding mortar", "ready-made base", "drain", "curb", "heat", "slope check", "bench"),
    BOARDS: ("vapour retarder", "board", "screw", "niche"),
    SEAMS: ("junction", "tape", "corner piece", "collar", "sealant"),
    WATERPROOFING: ("membrane", "isolation membrane", "film check", "photographs"),
    FLOOD_TEST: ("flood test",),
    SETTING: ("tile mortar", "tile", "coverage check", "lippage check"),
    GROUTING: ("grout",),
    JOINTS: ("movement joint",),
}  # fmt: skip
_BY_CHAPTER = {chapter: step for step, chapters in _OF_CHAPTERS.items() for chapter in chapters}
_BY_THING = {thing: step for step, things in _OF_THINGS.items() for thing in things}
# What is measured when the step before it is done, whatever asks for it.
_RECORDS = ("flatness check", "moisture test", "slope check", "film check", "flood test")
# Chapters that gather what belongs to many steps: of their rules the thing that is asked for tells the step.
_BY_WHAT_IS_ASKED = {"tests": FLOOD_TEST, "time": CURE}
# Waits that the next step ends, looked at when it begins; and what holds for the job, at the step where it counts.
_BEFORE = {
    "tile mortar.cure before grout": GROUTING, "tile mortar.before traffic": CURE, "grout.before water": CURE, "grout.before acid": CURE,
    "job.surface temperature while setting": SETTING, "job.temperature held after": CURE,
}  # fmt: skip


def order_of(vectors: Iterable[list], loaded: LoadedBook) -> tuple[str, ...]:
    """The steps in the order of one job, by what is derived of each of its places."""
    liner = loaded.vocabulary.slots.get("liner")
    return WITH_A_LINER if liner is not None and any(vector[liner] == THERE for vector in vectors) else USUAL_ORDER


def step_of_thing(thing: str) -> str:
    """The step at which a thing is put in; what no step names belongs to the first."""
    return _BY_THING.get(thing, STRUCTURE)


def step_of_fact(name: str) -> str:
    """The step at which what a fact says is done or chosen."""
    return JOINTS if name == "junction.filled with" else step_of_thing(name.partition(".")[0])


def step_of_rule(name: str, loaded: LoadedBook) -> str:
    """The step at which what a rule asks can still be seen; of a chapter that no step names, by the thing it asks of."""
    rule = loaded.book.rules.get(name)
    if rule is None:
        return STRUCTURE
    asked = sorted(facts_read(rule.requires))
    things = [loaded.vocabulary.fact(fact).thing for fact in asked]
    measured = next((_BY_THING[thing] for thing in things if thing in _RECORDS), "")
    early = next((_BEFORE[fact] for fact in asked if fact in _BEFORE), measured)
    if early or rule.chapter in _BY_CHAPTER:
        return early or _BY_CHAPTER[rule.chapter]
    return next((_BY_THING[thing] for thing in things if thing in _BY_THING), _BY_WHAT_IS_ASKED.get(rule.chapter, STRUCTURE))
