"""Takes the places of an assembly and a loaded book, returns what of them stands outside the book."""

from collections.abc import Iterable

from validator.engines.closures import SURELY
from validator.engines.deriving import DerivedPlace
from validator.judging.loading import LoadedBook
from validator.judging.report import OutsideLine


def outside_of(derived: Iterable[DerivedPlace], loaded: LoadedBook) -> tuple[OutsideLine, ...]:
    """What the book says it does not judge, each with the places it surely speaks of; what it judges nothing of comes first."""
    places = [here for here in derived if here.subject.sort == "place"]
    lines = []
    for each in sorted(loaded.book.outside, key=lambda each: not each.whole):
        of = dict.fromkeys(here.subject.name for here in places if loaded.explainer.holds(each.when, here.vector) == SURELY)
        if of:
            lines.append(OutsideLine(places=tuple(of), what=each.what, not_judged=each.not_judged, whole=each.whole))
    return tuple(lines)


def unjudged_places(lines: Iterable[OutsideLine]) -> frozenset[str]:
    """The places of which the book judges nothing, so that nothing there is praised."""
    return frozenset(place for line in lines if line.whole for place in line.places)
