"""What the pages ask of the rooms below: descriptions read and judged, one at a time, and kept while they stay as they are."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import NamedTuple, TypeVar

from validator.advising.asking import Question
from validator.advising.asking.new_assembly import JobTemplate, read_templates
from validator.advising.asking.questions import Asker, Pending, asker_of
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.judging.checking import check, report_on
from validator.judging.loading import LoadedBook
from validator.judging.readings import Readings, read_both_ways
from validator.judging.report import Report, report_as_told
from validator.language.source import BadAssembly, Complaint, read_source
from validator.papers.drawing import Drawing, drawings_of, section_of
from validator.papers.numbering import Mark, marks_of
from validator.submittals.register import Register, Revision, submitted
from validator.troubles.gathering import causes_of
from validator.troubles.report import Causes

MOST_KEPT = 70  # descriptions, each with all that was made of it: some 3 MB; of fifty people the newest of each
FILE = "the description"
Made = TypeVar("Made")


class Judged(NamedTuple):
    """One description with what it came to."""

    draft: Draft
    assembly: Assembly
    readings: Readings
    report: Report


class Bench:
    """Books made ready, and what was judged by them."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded = loaded
        self.whole = LoadedBook(self.loaded.book, self.loaded.shelf, everything=True)  # for papers and drawings
        self.vocabulary = self.loaded.vocabulary
        self.templates: tuple[JobTemplate, ...] = read_templates(self.loaded.shelf / "beginnings.yaml", self.vocabulary)
        self.edition = "; ".join(f"{each.name} {each.edition}" for each in self.loaded.book.layers)
        self.fingerprint = self.loaded.book.fingerprint
        self._judging = threading.RLock()  # one at a time: two would only share the processor, and each take twice as long
        self._kept: OrderedDict[str, dict[str, object]] = OrderedDict()

    def draft(self, text: str) -> Draft:
        """A description as it may be changed. Raises BadAssembly."""
        complaints: list[Complaint] = []
        node = read_source(text, FILE, complaints)
        if node is None:
            raise BadAssembly(complaints)
        return Draft(node, FILE, self.vocabulary, self.loaded.catalogue)

    def read(self, text: str) -> tuple[Draft, Assembly]:
        """A description with what it says. Raises BadAssembly."""
        return self.once("read", text, lambda: (draft := self.draft(text), draft.assembly()))

    def judged(self, text: str, before: str = "") -> Judged:
        """A description with its report; of one that was changed, only what says otherwise than `before` is judged. Raises BadAssembly."""

        def made() -> Judged:
            draft, assembly = self.read(text)
            earlier = self._kept.get(before, {}).get("judged")
            readings = read_both_ways(assembly, self.loaded, earlier.readings if isinstance(earlier, Judged) else None)
            return Judged(draft, assembly, readings, report_on(assembly, readings.places, self.loaded, passes=False))

        return self.once("judged", text, made)

    def papers_of(self, text: str) -> tuple[Assembly, Report]:
        """A description with its whole report, for papers that people act on: as told."""
        assembly = self.read(text)[1]
        return assembly, self.once("whole", text, lambda: report_as_told(check(assembly, self.whole)))

    def revision(self, text: str, before: Register | None) -> Revision:
        """A description as the next submission of a submittal, of which `before` is the register. Raises BadAssembly."""
        assembly = self.read(text)[1]
        report = self.once("whole, in both readings", text, lambda: check(assembly, self.whole))
        with self.at_work():
            return submitted(assembly, report, self.whole, before)

    def drawings(self, text: str) -> tuple[Drawing, ...]:
        """The drawings of a description, with the marks of what was found and of what is asked."""
        return self.once("drawings", text, lambda: drawings_of(self.judged(text).assembly, self.whole, self.marks(text)))

    def marks(self, text: str) -> tuple[Mark, ...]:
        """What was found and what is asked, by the numbers of the drawings' balloons."""
        return self.once("marks", text, lambda: marks_of(report_as_told(self.judged(text).report, alike=True), self.whole))

    def drawing_of(self, text: str, place: str) -> Drawing | None:
        """The section of one place alone, or of the first where there is no such place; None where nothing can be drawn."""
        def drawn() -> Drawing | None:
            places = [each for each in self.judged(text).assembly.subjects if each.sort == "place"]
            shown = [each for each in places if each.name == place] or [each for each in places if each.layers] or places
            return section_of(shown[0], self.whole, self.marks(text)) if shown else None

        return self.once(f"drawing of {place}", text, drawn)

    def _asker(self, text: str) -> Asker:
        return self.once("asker", text, lambda: asker_of(self.judged(text).readings, self.loaded))

    def pending(self, text: str) -> Sequence[Pending]:
        """The answers that could still change the verdict, in the order of the report; what each would do is not tried yet."""
        return self.once("pending", text, lambda: [
            each for asked in self.judged(text).report.as_told.questions for each in self._asker(text).pending(asked)
        ])  # fmt: skip

    def wanted(self, text: str, pending: Pending) -> Question:
        """One of them as it is put, with nothing tried."""
        with self._judging:
            return self._asker(text).wanted(pending)

    def question(self, text: str, pending: Pending) -> Question:
        """One of them, with what each answer would do."""
        with self._judging:
            return self._asker(text).question(pending)

    def closing(self, text: str) -> Sequence[Question]:
        """Whether everything that is there is written, where that could settle anything."""
        return self.once("closing", text, lambda: self._asker(text).closing())

    def causes(self, text: str) -> Causes:
        """What could explain what is seen."""
        return self.once("causes", text, lambda: causes_of(self.read(text)[1], self.loaded))

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """Holds the one place at the bench: other work waits."""
        with self._judging:
            yield

    def let_go(self, text: str) -> None:
        """Lets go of what was made of a description that is past."""
        with self._judging:
            self._kept.pop(text, None)

    def forget(self) -> None:
        """Lets go of everything that is kept."""
        with self._judging:
            self._kept.clear()

    def once(self, what: str, text: str, make: Callable[[], Made]) -> Made:
        """What is made of a description, made again only when it has gone from what is kept."""
        with self._judging:
            of_text = self._kept.setdefault(text, {})
            self._kept.move_to_end(text)
            if len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            if what not in of_text:
                of_text[what] = make()
            return of_text[what]
