"""A submittal and two resubmissions of it, as texts, and each as the next submission after the ones before."""

from paths import ROOT

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.submittals.register import Register, Revision, submitted

FIRST = (ROOT / "samples" / "five-mistakes.yaml").read_text(encoding="utf-8")
# The screws are longer, the floor is larger, the sand of the grout is no longer said: and a new mistake, a wet first coat at the corners.
SECOND = (
    FIRST.replace("length: 1-1/4 in", "length: 1-3/4 in").replace("    size: 36 x 60 in\n", "    size: 40 x 60 in\n")
    .replace("    coats: 2\n    first coat: dry\n    filled with: sealant\n", "    coats: 2\n    first coat: wet\n    filled with: sealant\n")
)  # fmt: skip
# The mortar is put right and the tape has its second coat; the screws are the short ones again; nobody says how the floor was measured.
THIRD = (
    SECOND.replace("kind: unmodified cement", "kind: modified cement").replace("meets: A118.1\n", "meets: A118.4\n")
    .replace("    coats: 1\n", "    coats: 2\n    first coat: dry\n").replace("length: 1-3/4 in", "length: 1-1/4 in")
    .replace("  slope check:\n    least fall: 1/8 in per ft\n    greatest fall: 1/8 in per ft\n", "")
)  # fmt: skip


def next_of(text: str, loaded: LoadedBook, before: Register | None = None) -> Revision:
    read = read_assembly(text, "assembly.yaml", loaded.vocabulary, loaded.catalogue)
    return submitted(read, check(read, loaded), loaded, before)
