"""Takes an assembly before and after a change, returns the sums and quantities that come out otherwise."""

from collections.abc import Iterator

from validator.assembly import Assembly
from validator.judging.loading import LoadedBook
from validator.planning.sums import sheet_of
from validator.planning.items import Item, wastes_of
from validator.planning.takeoff import takeoff_of


def also_changes(before: Assembly, after: Assembly, loaded: LoadedBook) -> tuple[str, ...]:
    """Every sum of a place and every quantity that is not what it was, each as `what: before, then after`."""
    whole = LoadedBook(loaded.book, loaded.shelf, everything=True)
    return tuple(dict.fromkeys((*_sums(before, after, whole), *_quantities(before, after, whole))))


def _sums(before: Assembly, after: Assembly, loaded: LoadedBook) -> Iterator[str]:
    was = _worked(before, loaded)
    for key, value in _worked(after, loaded).items():
        if key in was and was[key] != value:
            yield f"{key[0]}: {key[1]} {was[key]}, then {value}"


def _worked(assembly: Assembly, loaded: LoadedBook) -> dict[tuple[str, str], str]:
    """What each sum comes to at each place, of those that come to anything."""
    found: dict[tuple[str, str], str] = {}
    for group in sheet_of(assembly, loaded):
        for place in group.places:
            for each in group.sums:
                if each.least is not None or each.greatest is not None:
                    found[place, f"{each.of} {each.name}".strip()] = each.value
    return found


def _quantities(before: Assembly, after: Assembly, loaded: LoadedBook) -> Iterator[str]:
    was = {(item.kind, item.name): _total(item) for item in takeoff_of(before, loaded, wastes_of([]))}
    now = {(item.kind, item.name): _total(item) for item in takeoff_of(after, loaded, wastes_of([]))}
    for key, (total, unit) in now.items():
        if total and key not in was:
            yield f"to buy: {key[1]} {total} {unit}, not counted before"
        elif total and was[key][0] and was[key][0] != total:
            yield f"to buy: {key[1]} {was[key][0]} {unit}, then {total} {unit}"
    for key, (total, unit) in was.items():
        if total and key not in now:
            yield f"no longer to buy: {key[1]} {total} {unit}"


def _total(item: Item) -> tuple[str, str]:
    least = sum(part.least for part in item.parts)
    return (f"{float(least):.4g}" if item.parts else "", item.unit)
