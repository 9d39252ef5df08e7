"""How often what the answers held to be the matter stands among the first three causes: `python -m tests.whole.troubles.agreement`.

A matter is *first* if a requirement or a cause outside the book that would be the same word is told in one of the first three
causes, as the paper prints them without `--all`; *later* if it is told further down; *excluded* if all that would be the same
word is ruled out; else *not told*.
"""

from collections import Counter
from pathlib import Path

import yaml

from validator.assembly import Assembly, read_assembly
from validator.troubles.gathering import causes_of
from validator.troubles.report import Causes
from validator.judging.loading import LoadedBook
from validator.papers.causes import printed_first

HERE = Path(__file__).parent
QUESTIONS = HERE.parent / "questions"
FIRST = 3
STATES = ("first", "later", "excluded", "not told")
SEEN: dict[str, dict] = yaml.safe_load((HERE / "seen.yaml").read_text(encoding="utf-8"))


def reported(question: str, loaded: LoadedBook) -> tuple[Assembly, ...]:
    """The assembly of a question with what was seen to be wrong written into it, each of its options."""
    text = (QUESTIONS / f"{question}.yaml").read_text(encoding="utf-8")
    seen = yaml.safe_dump({"seen": SEEN[question]["seen"]}, allow_unicode=True, width=1000)
    return read_assembly(f"{text.rstrip()}\n{seen}", question, loaded.vocabulary, loaded.catalogue).to_judge()


def state_of(wanted: list[str], found: Causes) -> str:
    """Where the best of some rules and outside causes stands."""
    first = {rule for cause in found.causes[:FIRST] for rule in printed_first(cause)} | {each.name for each in found.outside[:FIRST]}
    every = {each.rule for cause in found.causes for each in cause.requirements} | {each.name for each in found.outside}
    out = {each.rule for each in found.ruled_out} - every
    if first.intersection(wanted):
        return "first"
    if every.intersection(wanted):
        return "later"
    return "excluded" if out.intersection(wanted) and out.issuperset(wanted) else "not told"


def matters_of(question: str, loaded: LoadedBook) -> dict[str, str]:
    """Each matter that the answers held, with the best that any option makes of it."""
    found = [causes_of(each, loaded) for each in reported(question, loaded)]
    held = SEEN[question].get("held", {})
    return {about: min((state_of(wanted, each) for each in found), key=STATES.index) for about, wanted in held.items()}


def best_of(matters: dict[str, str]) -> str:
    """The best that any matter of a question comes to."""
    return min(matters.values(), key=STATES.index)


def main() -> None:
    """Writes the table that table.yaml holds, and how often each state is the best of a question."""
    from validator.judging.loading import load_named

    loaded = load_named(("us",))
    matters = {question: matters_of(question, loaded) for question, each in SEEN.items() if "held" in each}
    told = {}
    for question, each in SEEN.items():
        if "no fault" in each:
            lines = [{line.name for line in causes_of(one, loaded).no_faults} for one in reported(question, loaded)]
            told[question] = "told" if all(set(each["no fault"]) <= names for names in lines) else "not told"
    print("# What `python -m tests.whole.troubles.agreement` writes: where each matter stands that the answers held.")
    print(yaml.safe_dump({"matters": matters, "no fault": told}, sort_keys=False, width=128))
    print("# questions:", dict(Counter(map(best_of, matters.values()))))
    print("# matters:", dict(Counter(state for each in matters.values() for state in each.values())))


if __name__ == "__main__":
    main()
