"""Tells which places a line would hold for if it were added to the file, by adding it and reading once.

Every other answer on that line is then known without reading again.
"""

from validator.advising.mending.changes import Change, EditedAssembly, written
from validator.facts.subjects import Subject
from validator.language.source import BadAssembly

Said = dict[object, object]


class LineScope:
    """Keeps, by the line to be added, the places that it would hold for."""

    def __init__(self, start: EditedAssembly) -> None:
        self.start = start
        self._holds_for: dict[object, tuple[str, ...]] = {}

    def scoped(self, state: EditedAssembly, change: Change) -> Change:
        """The change with the places it would hold for, where it is of one fact that nobody said."""
        if change.known is None or change.where is not None:
            return change
        key = (change.conflict_key, state.read_anew)
        if key not in self._holds_for:
            self._holds_for[key] = self._places(state, change)
        return change._replace(holds_for=self._holds_for[key])

    def _places(self, state: EditedAssembly, change: Change) -> tuple[str, ...]:
        """The places; none where reading changes more than the one fact."""
        _, before = state.pages.get(state.read_anew, (self.start.draft, self.start.subjects))
        try:
            after = {each.name: each for each in written(state.draft, change).assembly().subjects}
        except BadAssembly:
            return ()
        if before.keys() != after.keys():
            return ()
        differing = {name: _differing(before[name], after[name]) for name in after}
        if any(fact != change.fact for facts in differing.values() for fact in facts):
            return ()
        return tuple(name for name, facts in differing.items() if facts)


def _differing(before: Subject, after: Subject) -> set[object]:
    """The facts of a place that are not known alike."""
    one, two = _said(before), _said(after)
    return {key[-1] for key in one.keys() | two.keys() if one.get(key) != two.get(key)}


def _said(subject: Subject) -> Said:
    """What is known of a place, layer by layer."""
    said: Said = {(name,): (known.value, known.origin) for name, known in subject.known.items()}
    for thing, layers in subject.layers.items():
        for number, layer in enumerate(layers):
            said |= {(thing, number, name): (known.value, known.origin) for name, known in layer.known.items()}
            said[thing, number, "presence"] = layer.presence
    return said
