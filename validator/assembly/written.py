"""A described assembly as its writer laid it out: framing runs, places with their layers, junctions, records."""

from dataclasses import dataclass, field

from validator.assembly.evidence import NOT_SHOWN, SHOWN_BY, Offered, Shown
from validator.assembly.statement import Statement
from validator.facts.observing import Observation
from validator.facts.possible import Known
from validator.facts.vocabulary import THERE
from validator.language.forms import complain, listed
from validator.language.slips import did_you_mean
from validator.language.source import Complaint, Node, Text, Where

TOP_KEYS = (
    "assembly", "use", "framing", "places", "junctions", "records", "everywhere in", "seen on site",
    "seen", "written out in full", "options", SHOWN_BY, "note",
)  # fmt: skip
PLACE_KEYS = ("on", "built up", "like", "parts", "nothing else", "seen on site", "seen", "formerly", SHOWN_BY, "note")
LAYER_COMMON = ("name", "product")
MOST_PLACES = 500
MOST_LAYERS = 250


@dataclass(slots=True, eq=False, repr=False)
class WrittenPlace:
    """One place as written. `layers` holds None where the writer leaves a gap, and is None where no build-up is written."""

    name: str
    where: Where
    known: dict[str, Known] = field(default_factory=dict)
    on: tuple[Text, ...] = ()
    framing: Statement | None = None  # what is said in the place of the framing that carries it
    of_a_layer: list[tuple[Text, Node]] = field(default_factory=list)  # lines that may be said of one of its layers
    of_the_job: list[tuple[Text, Node]] = field(default_factory=list)  # lines that are true of the whole job
    layers: list[Statement | None] | None = None
    junctions: list[tuple[Text, Node]] = field(default_factory=list)  # `seams: mesh tape`, written in the place itself
    beside: list[tuple[Text, Statement]] = field(default_factory=list)  # layers written beside the build-up
    things: dict[str, Statement] = field(default_factory=dict)  # parts and records, and layers said to be there or not
    without: dict[str, Known] = field(default_factory=dict)  # roles that nothing plays here
    closed: Known | None = None
    like: Text | None = None
    copied: bool = False  # the layers are those of the place that it is like
    pieces: "list[WrittenPlace]" = field(default_factory=list)
    seen: tuple[str, ...] = ()
    observed: tuple[Observation, ...] = ()
    formerly: str = ""  # what it was called in the submission before
    is_piece: bool = False  # a piece may or may not reach the place that its whole meets
    shown: Shown = NOT_SHOWN


@dataclass(slots=True, eq=False, repr=False)
class WrittenJunction:
    """A kind of junction as written, everywhere (`at` empty), at one place, or between two."""

    kinds: tuple[str, ...]
    where: Where
    at: tuple[str, ...] = ()
    presence: int = THERE
    known: dict[str, Known] = field(default_factory=dict)
    seals: dict[str, Statement] = field(default_factory=dict)
    observed: tuple[Observation, ...] = ()
    shown_by: Offered = None

    def apply_evidence(self, shown: Shown) -> None:
        """What nothing nearer shows is shown by this."""
        self.known = shown.put_on(self.known)
        self.seals = {thing: said.shown(shown) for thing, said in self.seals.items()}
        self.shown_by = shown.at(self.where) if self.shown_by is None else self.shown_by


@dataclass(slots=True, eq=False, repr=False)
class WrittenAssembly:
    """A whole file as written."""

    name: str = ""
    job: dict[str, Known] = field(default_factory=dict)
    runs: dict[str, Statement] = field(default_factory=dict)
    places: dict[str, WrittenPlace] = field(default_factory=dict)
    junctions: list[WrittenJunction] = field(default_factory=list)
    other_seals: Known | None = None  # `all others: none`
    records: dict[str, Statement] = field(default_factory=dict)
    everywhere: list[tuple[Text, list[Statement | None]]] = field(default_factory=list)
    closed: Known | None = None  # `written out in full: yes`
    seen: tuple[str, ...] = ()
    observed: tuple[Observation, ...] = ()
    shown: Shown = NOT_SHOWN


def apply_evidence(described: WrittenAssembly) -> None:
    """What nothing nearer shows is shown by what is offered for its place, or else for the whole file."""
    for place in described.places.values():
        for shown in (each for each in (place.shown, described.shown) if each != NOT_SHOWN):
            place.known, place.without = shown.put_on(place.known), shown.put_on(place.without)
            place.things = {thing: said.shown(shown) for thing, said in place.things.items()}
            place.layers = place.layers and [layer and layer.shown(shown) for layer in place.layers]
            place.closed = shown.one(place.closed)
    whole = described.shown
    if whole != NOT_SHOWN:
        described.job = whole.put_on(described.job)
        described.runs = {name: run.shown(whole) for name, run in described.runs.items()}
        described.records = {name: said.shown(whole) for name, said in described.records.items()}
        for junction in described.junctions:
            junction.apply_evidence(whole)
        described.closed, described.other_seals = whole.one(described.closed), whole.one(described.other_seals)


def unknown_place(complaints: list[Complaint], node: Node, name: str, places: dict[str, WrittenPlace]) -> None:
    """Complain of a place that no line describes, with the nearest that one does."""
    names = [place.name for place in places.values()]
    hint = did_you_mean(name, names)
    complain(complaints, node, f"no place is named `{name}`", f"{hint}{listed(names)}", "junction")
