"""Many small assemblies judged in one process of its own, which says how far its memory grew after it had warmed up.

`python growth.py FOLDER alone|witness HOW_MANY` writes a line: the bytes grown, the outcomes met, judgements compared.
"""

import gc
import resource
import sys
from collections.abc import Iterator
from pathlib import Path

from books import VOCABULARY, rule, write_book

from validator.assembly import Assembly, read_assembly
from validator.engines.deciding import Judgement
from validator.engines.varying import judge_varying
from validator.engines.witness.comparing import witness_book
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.rulebook.reading import read_book

WHOLE = VOCABULARY + """\
job: {what: The job, sort: job}
framing: {what: Framing, sort: framing}
framing.spacing: {what: Spacing, kind: length}
junction: {what: A junction, sort: junction}
junction.kind: {what: Kind of junction, kind: word, words: [inside corner, drain]}
"""
RULES = {
    "all/deep-enough": rule(),
    "all/board-is-thick": rule(
        "board-is-thick", applies_when={"place.kind": "shower wall"}, requires={"board.thickness": {"at least": "1/2 in"}}
    ),
    "all/tape-is-wide": rule("tape-is-wide", severity="warn", requires={"tape.width": {"at least": "2 in"}}),
    "all/lined-where-wet": rule(
        "lined-where-wet", applies_when={"place.exposure": {"at least": "damp"}}, requires={"board.material": "foam"}
    ),
}
WARM = 3_000  # by then the libraries are loaded, and every amount below has been met once
UNIT = 1 if sys.platform == "darwin" else 1024  # of the greatest memory that a process has had


def assembly(number: int, loaded: LoadedBook) -> Assembly:
    """No two alike, of amounts that the first thousand have all shown: what is kept of amounts has an end."""
    exposure, material = ("dry", "damp", "wet")[number % 3], ("foam", "cement")[number % 2]
    board = f"{{material: {material}, thickness: {number % 50 + 1} mm}}"
    place = f"{{kind: shower wall, depth: {number % 997 + 1} mm, exposure: {exposure}, built up: [{{board: {board}}}]}}"
    text = f"assembly: Number {number}\nplaces: {{wall {number}: {place}}}\n"
    return read_assembly(text, "made up", loaded.vocabulary, {})


def greatest() -> int:
    gc.collect()
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * UNIT


def judged(numbers: range, loaded: LoadedBook) -> Iterator[tuple[str, Judgement]]:
    for number in numbers:
        for subject in assembly(number, loaded).subjects:
            yield from ((subject.name, judgement) for judgement in judge_varying(loaded.engine, subject)[1])


def alone(loaded: LoadedBook, many: int) -> str:
    outcomes = {check(assembly(number, loaded), loaded).outcome for number in range(WARM)}
    before = greatest()
    outcomes |= {check(assembly(number, loaded), loaded).outcome for number in range(WARM, WARM + many)}
    return f"{greatest() - before} {len(outcomes)} {many}"


def with_witness(loaded: LoadedBook, many: int) -> str:
    with witness_book(loaded.engine) as witness:
        witness.compare(judged(range(WARM), loaded))
        before = greatest()
        verdict = witness.compare(judged(range(WARM, WARM + many), loaded))
        grown = greatest() - before
    assert verdict.agrees, verdict.line
    return f"{grown} {len(loaded.book.rules)} {verdict.compared}"


if __name__ == "__main__":
    folder, how, many = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    loaded = LoadedBook(read_book(write_book(folder, vocabulary=WHOLE, rules=RULES)))
    print((alone if how == "alone" else with_witness)(loaded, many))
