"""Whole commands, start to end, beside the bare imports of their libraries, beside each other, or beside a library alone."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from mended import SOUND, mutated
from paths import ROOT, SAMPLES

from tests.speed.measuring import Ratio, Work
from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder

IMPORTS = "import pydantic, yaml, typer, rich"
ONE_READING = (
    "import validator.judging.checking as c; from validator.engines.varying import judge_varying; from validator.judging.readings import PlaceRead; "
    "from validator.judging.report import AsTold; from validator.cli import main; "
    "c.places_read = lambda told, loaded: [PlaceRead(*judge_varying(loaded.engine, each), None, ()) for each in told.subjects]; "
    "c.verdict_of = lambda *asked: AsTold(outcome='pass'); main()"
)
PDF_ALONE = "import sys, weasyprint; weasyprint.HTML(filename=sys.argv[1]).write_pdf(sys.argv[2])"
JUDGED = (0, 1, 3)  # what a command ends with that has done its work
# The aim is 2. A check takes 2.1 to 2.6 on a busy machine, and of a half-known shower 2.9, where what each answer would do is worked out;
# these hold it there.
MOST_OF_IMPORTS, MOST_WHERE_MUCH_IS_ASKED = 3.0, 3.4
MOST_OF_ONE_READING = 1.6
MOST_OF_A_CHECK = {"page": 2.0, "mend": 3.2}
MOST_OF_A_PDF = 1.5


def whole_commands(folder: Path) -> Iterator[Ratio]:
    """As after an installation: every module compiled, and a folder of the user's own for the book that is kept."""
    unlike = ("PYTHONDONTWRITEBYTECODE", "POLARS_MAX_THREADS")
    environment = {key: value for key, value in os.environ.items() if key not in unlike}
    environment |= {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), "XDG_CACHE_HOME": str(folder / "kept")}

    def python(program: str, *words: object) -> Work:
        command = [sys.executable, "-c", program, *map(str, words)]

        def run() -> None:
            done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
            assert done.returncode in JUDGED and not done.stderr, done.stderr

        return run

    def validator(*words: object) -> Work:
        return python("from validator.cli import main; main()", *words)

    for name in ("second-floor-shower", "five-mistakes", "half-known"):
        sample = SAMPLES / f"{name}.yaml"
        both, one = validator("check", sample), python(ONE_READING, "check", "--strict", sample)
        yield Ratio(f"both readings of {name}", "the strict alone", MOST_OF_ONE_READING, both, one)
    page, pdf = folder / "page.html", folder / "page.pdf"
    for sample in sorted(SAMPLES.glob("*.yaml")):
        most = MOST_WHERE_MUCH_IS_ASKED if sample.stem in ("half-known", "shower-that-smells") else MOST_OF_IMPORTS
        yield Ratio(f"check {sample.stem}", "bare imports", most, validator("check", sample), python(IMPORTS))
    for name in ("second-floor-shower", "five-mistakes", "half-known"):
        sample = SAMPLES / f"{name}.yaml"
        made, checked = validator("page", sample, "-o", page), validator("check", sample)
        yield Ratio(f"page {name}", "its check", MOST_OF_A_CHECK["page"], made, checked)
    broken = list(broken_samples(folder))
    yield Ratio(
        f"mend {len(broken)} broken samples", "their checks", MOST_OF_A_CHECK["mend"],
        all_of(validator("mend", path) for path in broken), all_of(validator("check", path) for path in broken), times=3,
    )  # fmt: skip
    if subprocess.run([sys.executable, "-c", "import weasyprint"], capture_output=True, check=False).returncode:
        print("page half-known with its PDF: left out, needs WeasyPrint (the extra `pdf`) and Pango")
        return
    both = validator("page", SAMPLES / "half-known.yaml", "-o", page, "--pdf", pdf)
    both()  # the yardstick reads the page
    yield Ratio("page half-known with its PDF", "WeasyPrint alone", MOST_OF_A_PDF, both, python(PDF_ALONE, page, pdf))


def broken_samples(folder: Path) -> Iterator[Path]:
    """Sound samples with one line changed so that something fails."""
    loaded = load_book(book_folder("us"))
    for sample in SOUND:
        for number, (_, page) in enumerate(mutated(sample, loaded, seed=23, most=3)):
            path = folder / f"{sample}-{number}.yaml"
            path.write_text(page.text(), encoding="utf-8")
            yield path


def all_of(works: Iterator[Work]) -> Work:
    every = list(works)
    return lambda: [work() for work in every]
