"""Reading and working out: a book, an attack on the reader, a sheet of sums, the slowest sum."""

from collections.abc import Callable, Iterator
from fractions import Fraction

import yaml
from hostile import SIGNS, bomb, large_bad_texts
from paths import RULEBOOKS, SAMPLES
from worked import NAMES, points, worked

from tests.speed.measuring import Ratio, seconds
from validator.assembly import read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import load_book
from validator.language.source import Complaint, read_source
from validator.papers.report import report_lines
from validator.papers.sums import sheet_lines
from validator.planning.sums import sheet_of
from validator.rulebook.reading import read_book
from validator.rulebook.shelf import book_folder
from validator.workings import WORKINGS

SAMPLE = SAMPLES / "second-floor-shower.yaml"


def reading() -> Iterator[Ratio]:
    yield book_beside_its_yaml()
    yield Ratio("refusing aliases sixteen deep", "eight deep", 3.0, refused([bomb(16)] * 20), refused([bomb(8)] * 20))
    for texts, length in ((deep, 200_000), (large_bad_texts, 800_000)):
        name = texts.__name__.replace("_", " ")
        yield Ratio(f"refusing {name}", "half as long", 2.6, refused(texts(length)), refused(texts(length // 2)), times=3)


def sums() -> Iterator[Ratio]:
    yield Ratio("the sheet of sums of a sample", "its report", 1.0, sheet_of_sums, report)
    slowest = max(NAMES, key=lambda name: seconds(every_point(name)))
    yield Ratio(f"fifty sums of {slowest}", "5,000 of fractions", 1.0, every_point(slowest), additions)


def book_beside_its_yaml() -> Ratio:
    texts = [path.read_bytes() for folder in ("us", "vocabulary") for path in (RULEBOOKS / folder).rglob("*.yaml")]
    parser = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

    def parsed() -> None:
        for text in texts:
            for _ in yaml.parse(text, parser):
                pass

    # Measured 8.1 to 8.8: each rule also says what its breach shows as, texts take their limits by name, and words have many spellings.
    return Ratio("the book, read and proved", "its YAML parsed", 9.5, lambda: read_book(book_folder("us")), parsed, times=5)


def deep(levels: int) -> list[str]:
    return [sign * levels for sign in SIGNS]


def refused(texts: list[str]) -> Callable[[], None]:
    def read() -> None:
        for text in texts:
            complaints: list[Complaint] = []
            assert read_source(text, "f.yaml", complaints) is None and complaints

    return read


def report() -> None:
    loaded = load_book(book_folder("us"))
    assembly = read_assembly_file(SAMPLE, loaded.vocabulary, loaded.catalogue)
    list(report_lines(check(assembly, loaded, passes=False), 100))


def sheet_of_sums() -> None:
    loaded = load_book(book_folder("us"), everything=True)
    assembly = read_assembly_file(SAMPLE, loaded.vocabulary, loaded.catalogue)
    list(sheet_lines(assembly.name, sheet_of(assembly, loaded), 100))


def every_point(name: str) -> Callable[[], None]:
    """One working at fifty ordinary points."""
    working = WORKINGS[name]
    many = list(points(working, 50))
    return lambda: [worked(working, facts) for facts in many]


def additions() -> None:
    total = Fraction()
    for number in range(5_000):
        total = Fraction(number, 48) + Fraction(1, 7)
