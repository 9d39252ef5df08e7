"""Takes the folders of books, returns a LoadedBook: the book with the engine that decides and the workings it names."""

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache
from os import PathLike
from pathlib import Path

from validator.assembly.cards import ProductCard, read_catalogue
from validator.engines.as_told import AsTold
from validator.engines.deciding import Engine
from validator.engines.deriving import WorkedFact
from validator.engines.explaining import Explainer
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.language.source import BadBook, Complaint, Text
from validator.rulebook.book import Book
from validator.rulebook.cache import cached_or_read
from validator.rulebook.dependencies import Dependencies, derivation_order, needed_facts
from validator.rulebook.fingerprint import fingerprint_of_all
from validator.rulebook.reads import Reads
from validator.rulebook.shelf import book_folder, shared_folder
from validator.rulebook.sources import FIRM, Cited, Source
from validator.rulebook.trees import cuts_of
from validator.workings import WORKINGS, WorkingProblem
from validator.workings.intervals import WorkedRange, work_over

UNLISTED = "not listed in these books"  # of what a working leans on, where a user's own register does not know it
MOST_WORKED = 10_000  # enough for any one job, and bounded in a long run


class LoadedBook:
    """A book with the engine that decides and the explainer that reads its trail. Raises BadBook.

    `everything` works out every fact that can be, not only what the rules lean on.
    """

    def __init__(self, book: Book, shelf: Path | None = None, *, everything: bool = False) -> None:
        self.book = laid_out(book)
        self.shelf = shelf
        self.vocabulary = book.vocabulary
        self._worked: dict[tuple[object, ...], WorkedFact] = {}
        self.kinds = {name: fact.kind for name, fact in book.vocabulary.facts.items()}
        self.engine = Engine(book, self._work, everything=everything)
        # The assembly that was judged last and its places in both readings: what asks of it begins there.
        self.read_last: tuple[object, tuple] = (None, ())

    @cached_property
    def explainer(self) -> Explainer:
        return Explainer(self.book)

    @cached_property
    def as_told(self) -> AsTold:
        """What narrows a place to its usual reading."""
        return AsTold(self.book, self.engine.leaning)

    @cached_property
    def reads(self) -> Reads:
        """Which facts bear on which rule."""
        return Reads(self.book)

    @cached_property
    def dependencies(self) -> Dependencies:
        """Which facts bear on which rule, through everything they follow from."""
        return Dependencies(self.book)

    @cached_property
    def slot_names(self) -> dict[int, str]:
        """The fact of each slot."""
        return {slot: name for name, slot in self.vocabulary.slots.items()}

    @cached_property
    def catalogue(self) -> dict[str, ProductCard]:
        """The product cards that stand beside the book. Raises BadBook."""
        return read_catalogue(self.shelf / "catalogue", self.vocabulary) if self.shelf else {}

    def cited(self, name: str) -> Cited:
        """The passage that a working was taken from, with what is to be known of it."""
        working = WORKINGS[name]
        said = working.source["from"]
        source = self.book.sources.get(said) or Source(name=said, title=said, standing=UNLISTED)
        return Cited(
            source=source, section=working.source.get("section", ""), edition=working.source.get("edition", ""),
            known_by=working.source["known by"], note=working.note,
        )  # fmt: skip

    def _work(self, name: str, known: Mapping[str, object]) -> WorkedFact:
        """A working, done once for each different thing it is given: many places stand on one floor."""
        asked = (name, *known.values())
        worked = self._worked.get(asked)
        if worked is None:
            if len(self._worked) >= MOST_WORKED:
                self._worked.clear()
            worked = self._worked[asked] = self._work_anew(name, known)
        return worked

    def _work_anew(self, name: str, known: Mapping[str, object]) -> WorkedFact:
        try:
            firm = WORKINGS[name].source["known by"] in FIRM
            return work_over(WORKINGS[name], known, self.kinds)._replace(firm=firm)
        except WorkingProblem as problem:
            why = f"{problem.what}; accepted: {problem.accepted}" if problem.accepted else problem.what
            return WorkedRange(NO_LEAST, NO_GREATEST, why_not=why, cannot_be=True)


def laid_out(book: Book) -> Book:
    """The book with the order in which its facts are derived; a circle, or a working that is not there, is refused."""
    if not book.order:
        complaints: list[Complaint] = []
        book.order = derivation_order(book, complaints, _inputs(book, complaints))
        if complaints:
            raise BadBook(complaints)
        book.needed = needed_facts(book, book.order)
        contributing = (each.when for derived in book.order for each in derived.contributions)
        book.cuts = cuts_of((*(test for trees in book.trees.values() for test in trees.every()), *contributing))
        book.things_read = {book.vocabulary.fact(name).thing for rule in book.rules.values() for name in rule.facts()}
        book.needed_at = {sort: needed_facts(book, book.order, sort) for sort in ("junction", "job")}
    return book


def _inputs(book: Book, complaints: list[Complaint]) -> dict[str, tuple[str, ...]]:
    """What each working named in the vocabulary reads."""
    inputs: dict[str, tuple[str, ...]] = {}
    for fact in list(book.vocabulary.facts.values()):
        node = fact.worked_out_by
        if not isinstance(node, Text):
            continue
        if node.text not in WORKINGS:
            complaints.append(Complaint(node.where, f"there is no working `{node.text}`", ", ".join(WORKINGS)))
            continue
        inputs[node.text] = tuple(each.fact for each in WORKINGS[node.text].inputs)
        for name in inputs[node.text]:
            if book.vocabulary.fact(name) is None:
                complaints.append(
                    Complaint(node.where, f"the working `{node.text}` reads `{name}`, which is no fact of the vocabulary",
                              "declare the fact")  # fmt: skip
                )
    return inputs


def load_book(*folders: Path, everything: bool = False) -> LoadedBook:
    """Books of folders, laid upon each other and made ready to judge, kept from an earlier run where nothing has changed.

    Raises BadBook.
    """
    shared = shared_folder(folders)
    return LoadedBook(cached_or_read(folders, shared, _read), shared, everything=everything)


def load_named(books: str | PathLike[str] | Sequence[str | PathLike[str]]) -> LoadedBook:
    """Takes one or several books, by their names on the shelf or by folders; returns them loaded, least precedence first.

    They are loaded once a process, until a word of them changes. Raises BadBook; ValueError where there is none.
    """
    several = (books,) if isinstance(books, (str, PathLike)) else books
    if not several:
        raise ValueError("no book is named, and nothing is judged without one; name one, as in `books=('us',)`")
    folders = tuple(book_folder(str(each)) for each in several)
    return _loaded(folders, fingerprint_of_all(folders, shared_folder(folders)))


@lru_cache(maxsize=8)
def _loaded(folders: tuple[Path, ...], fingerprint: str) -> LoadedBook:
    return load_book(*folders)


def _read(*folders: Path) -> Book:
    # Imported here: a book kept from an earlier run needs none of it.
    from validator.rulebook.reading import read_book

    return laid_out(read_book(*folders))
