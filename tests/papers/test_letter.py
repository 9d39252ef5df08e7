"""The clerk's letter asks once for everything that is missing and refuses nothing; the case sheet leaves every pick to a person."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paths import SAMPLES
from typer.testing import CliRunner

from validator.cli import app
from validator.judging.report import BookLine, Counts
from validator.papers import words
from validator.papers.case_sheet import case_lines, case_of, cases_page
from validator.papers.letter import letter_lines, letter_of, letters_page
from validator.warranty import law
from validator.warranty.programme import KINDS, TIED
from validator.warranty.report import (
    Ask,
    ConditionLine,
    DocumentLine,
    LawLine,
    ProductLine,
    RiskLine,
    Standing,
    TermLine,
    WarrantyReport,
    WorkLine,
)

WORK = WorkLine(outcome="pass", could_become="", failed=0, warned=0, questions=0, checks=0, proved=3, applying=3)
NEVER_SAID = re.compile(
    r"\b(approved|compliant|certified|void(ed)?|den(y|ied)|reject(ed)?|refused?|guaranteed?|violations?|errors?|eligible|"
    r"not covered|likely)\b", re.IGNORECASE,
)  # fmt: skip
INVOICE = ConditionLine(
    needs="The invoice is at hand", kind="evidence", clause="2.3", standing=Standing.NOT_SHOWN, strictly=Standing.NOT_SHOWN,
    reason="Found: invoice not stated. Needed: invoice yes.", shown_by=("The invoice with its date.",),
    asks=(Ask(says="Is the invoice at hand?"),), facts=("purchases.invoice",), evidence="The invoice with its date.",
)  # fmt: skip
LATE = ConditionLine(
    needs="Registered within 30 days", kind="administrative", clause="C5", standing=Standing.NOT_SHOWN, strictly=Standing.NOT_SHOWN,
    reason="40 days between them.", asks=(Ask(says="Is there another proof?"), Ask(says="Is the invoice at hand?")),
)  # fmt: skip
LEAKED = ConditionLine(
    needs="The level held", kind="evidence", clause="", standing=Standing.NOT_MET, strictly=Standing.NOT_MET, reason="Found: leak seen.",
    shown_by=("A dated record.",), evidence="A dated record.",
)  # fmt: skip
ABROAD = ConditionLine(needs="In the country", kind="scope", clause="1.1", standing=Standing.OUTSIDE, strictly=Standing.OUTSIDE, reason="Found: Mexico.")
MAKER = ConditionLine(
    needs="One maker's layers", kind="tied to one maker", clause="3.3", standing=Standing.PERSON, strictly=Standing.PERSON, reason="Never judged here.",
    asks=(Ask(says="Is a waiver on file?"),), cautions=(LawLine(say="Nothing may hang on a brand.", source="A law"),),
    products=(
        ProductLine(thing="tape", product="Harrow seam tape", card=True, places=("board seams",)),
        ProductLine(thing="tile", product="Found tile", card=False, places=("wall", "floor")),
        ProductLine(thing="drain", product="", card=False, places=("floor",)),
    ),
)  # fmt: skip
CLEAR = ConditionLine(
    needs="Nothing lets water out", kind="by standard", clause="2.1", standing=Standing.SHOWN, strictly=Standing.SHOWN, reason="No failed matter.",
    evidence="The photographs.",
)  # fmt: skip
EARLIER = ConditionLine(needs="All of the first", kind="", clause="", standing=Standing.NOT_SHOWN, strictly=Standing.NOT_SHOWN, reason="It stands at: not shown.")


def report(*terms: tuple[ConditionLine, ...], every: tuple[ConditionLine, ...] = (), name: str = "A shower") -> WarrantyReport:
    numbers = ("one year", "two years", "three years")
    return WarrantyReport(
        assembly=name, programme="A programme", about="", every_term=every, outcome="pass", counts=Counts(), reading="as told", as_told=WORK,
        document=DocumentLine(title="A paper", revision="2", headed="limited", in_force="from 2026-01-01", holder="the owner"),
        terms=tuple(
            TermLine(term=term, gives="materials only", lasts=term, starts="completion", standing=Standing.NOT_SHOWN, strictly=Standing.NOT_SHOWN, conditions=lines)
            for term, lines in zip(numbers, terms)
        ),
        risk=RiskLine(worst_known="", worst_possible="", not_assessable=0, matters=()),
        books=(BookLine(name="us", edition="2026.1", fingerprint="0123456789abcdef"),), programme_fingerprint="p", fingerprint="f",
    )  # fmt: skip


def letter(*terms, width: int = 100, **more) -> str:
    return "\n".join(text for text, _ in letter_lines(letter_of(report(*terms, **more)), width))


def sheet(*terms, width: int = 100, **more) -> str:
    return "\n".join(text for text, _ in case_lines(case_of(report(*terms, **more)), width))


LETTER = """\
Request for information: A shower

Case no.: ________________________
Date: ________________________
To: ________________________

About: A paper, revision 2.

Nothing has been refused and nothing is decided. The papers at hand do not show what stands below,
  and we ask for all of it at once. Send what you have. Where you have nothing, say so, and a person
  here looks at it.

Please answer by: ________________________

1. Where the work is, and what it is for (for clause 1.1)
   The document says: In the country.
   Why it matters: The document speaks only of some places, uses and days; this tells whether it
     speaks of yours.
   What we read: Found: Mexico.
   What would do: Any dated paper that shows it, or a signed word.

2. The invoice with its date (for clause 2.3)
   The document says: The invoice is at hand.
   Why it matters: It shows what can no longer be seen, or what was bought.
   Asked for: one year.
     - Is the invoice at hand?

3. A dated paper of it (for clause C5)
   The document says: Registered within 30 days.
   Why it matters: The document asks for it by a day or in a form. That it is late or missing
     decides nothing by itself.
   Asked for: two years.
   What we read: 40 days between them.
     - Is there another proof?
   The answers under 2 serve here too.
   What would do: Any other dated paper that shows the same.

4. How it is built
   The document says: The level held.
   Asked for: two years.
   What we read: Found: leak seen.
   If that is not so, tell us how it is.
   What would do: A dated record.

If something else shows the same, send that instead.

Looked at by a person here. You need send nothing for these now.
   - One maker's layers (clause 3.3)

Signed: ________________________
How to reach us: ________________________

This letter concerns the stated conditions of one document and states no legal rights.
A draft from the papers: whoever signs it has read it and fills in the blanks."""


def test_the_letter_asks_for_everything_missing_at_once():
    assert letter((CLEAR, INVOICE), (EARLIER, MAKER, LATE, LEAKED), every=(ABROAD,)) == LETTER


def test_what_two_terms_ask_is_asked_once_and_names_both():
    text = letter((INVOICE,), (INVOICE,))
    assert text.count("The invoice is at hand") == 1
    assert "Asked for: one year; two years." in text


def test_a_letter_with_nothing_missing_asks_nothing_and_decides_nothing():
    text = letter((CLEAR,), (MAKER,))
    assert words.LETTER["nothing_missing"] in " ".join(text.split())
    assert "Please answer by" not in text
    assert "1. " not in text
    assert "Looked at by a person here" in text


def test_what_is_stated_and_shown_by_nothing_is_told_apart_from_what_is_shown():
    text = " ".join(letter((CLEAR.model_copy(update={"only_stated": ("country", "completion")}),)).split())
    assert words.LETTER["only_claimed"] in text and words.LETTER["nothing_missing"] not in text
    assert "Stated, and nothing at hand shows it: country, completion." in text


def test_the_same_answer_is_asked_for_once_and_named_for_both():
    other = INVOICE.model_copy(update={"needs": "The shop is named", "clause": "2.4"})
    text = " ".join(letter((INVOICE, other)).split())
    assert text.count("Is the invoice at hand?") == 1 and text.count("The invoice with its date (for clause") == 1
    assert "It serves as well for: The shop is named (clause 2.4)." in text


def test_nobody_is_asked_what_only_the_warrantor_knows():
    late = LATE.model_copy(update={"asks": tuple(Ask(says=each) for each in law.ASK_OF_A_REGISTRATION)})
    before, here = " ".join(letter((late,)).split()).split("Looked at by a person here")
    assert "headed a limited warranty" not in before and "headed a limited warranty" in here
    assert "In which state was it bought?" in before


def test_what_stands_is_never_asked_to_be_built_again():
    short = CLEAR.model_copy(update={"standing": Standing.NOT_MET, "evidence": "", "shown_by": ("Use the next longer screw.",)})
    text = letter((short,))
    assert "longer screw" not in text and "1. How it is built (for clause 2.1)" in text
    assert words.WOULD_DO["by standard"] in text


def test_what_is_tied_asks_nothing_of_whoever_gets_the_letter():
    assert "Is a waiver on file?" not in letter((MAKER, INVOICE))


def test_no_day_is_set_for_the_answer():
    text = letter((INVOICE,))
    assert f"Please answer by: {words.BLANK}" in text
    assert re.findall(r"\b\d+ (?:days?|weeks?)\b|\d{4}-\d\d", text) == []


CONDITION = st.builds(
    ConditionLine, needs=st.sampled_from("ABCDEF").map("Needs {}".format), kind=st.sampled_from([kind for kind in KINDS if kind not in TIED]),
    clause=st.sampled_from(("", "1", "2")), standing=st.sampled_from(Standing), reason=st.just("A reason."),
    asks=st.lists(st.sampled_from("GHIJ").map(lambda each: Ask(says=f"Question {each}?")), max_size=3, unique=True).map(tuple),
    facts=st.sampled_from(((), ("a.fact",))),
)  # fmt: skip
TERMS = st.lists(st.lists(CONDITION, max_size=5).map(tuple), max_size=3)


def told_in(asked):
    return [question for each in asked for told in each.tell for question in told.questions]


@given(TERMS, st.lists(CONDITION, max_size=3).map(tuple))
def test_each_missing_condition_and_each_question_stands_in_the_letter_once(terms, every):
    made = letter_of(report(*terms, every=every))
    lines = dict.fromkeys((*every, *(line for term in terms for line in term)))
    missing = [line for line in lines if line.standing in ("not shown", "not met", "outside the stated scope")]
    told = [(each.needs, each.clause) for each in made.asked] + [pair for each in made.asked for pair in each.also]
    assert sorted(told) == sorted((line.needs, line.clause) for line in missing)
    assert sorted(told_in(made.asked)) == sorted({ask.says for line in missing for ask in line.asks})
    for each in made.asked:  # what is not asked there is pointed to
        earlier = set(told_in([made.asked[number - 1] for number in each.again]))
        of_it = [line for line in missing if (line.needs, line.clause) in ((each.needs, each.clause), *each.also)]
        assert any({ask.says for ask in line.asks} <= set(told_in([each])) | earlier for line in of_it)
        assert all(number < each.number for number in each.again)
    assert all(each.would_do for each in made.asked)
    reasons = [each.why for each in made.asked if each.why]
    assert len(reasons) == len(set(reasons)) and set(reasons) <= {words.WHY_ASKED[line.kind] for line in missing}
    assert made.asked == () or made.asked[0].why


@given(TERMS, st.lists(CONDITION, max_size=3).map(tuple))
def test_every_condition_stands_on_the_sheet_under_its_own_term(terms, every):
    made = case_of(report(*terms, every=every))
    assert [len(term.shown) + len(term.not_shown) for term in made.terms] == [len(lines) for lines in (every, *terms)]
    for term in made.terms:
        assert all(line.standing.startswith(("shown", "does not arise")) for line in term.shown)
        assert not any(line.standing.startswith(("shown", "does not arise")) for line in term.not_shown)
        assert all(line.who for line in (*term.shown, *term.not_shown))


SHEET = """\
one year: not shown
   Gives materials only, for one year.
   Not shown (1)
   Not shown: The invoice is at hand (evidence, clause 2.3)
      Why: Found: invoice not stated. Needed: invoice yes.
      [ ] Seen: The invoice with its date.
      Who looks: the clerk asks; then looks again.
   Shown (1)
   Shown: Nothing lets water out (by standard, clause 2.1)
      Why: No failed matter.
      [ ] Seen: The photographs.
      Who looks: the clerk, who ticks what was seen.

two years: not shown
   Gives materials only, for two years.
   Not shown (2)
   Not shown: All of the first
      Why: It stands at: not shown.
   For a person to decide: One maker's layers (tied to one maker, clause 3.3)
      Why: Never judged here.
      On the job: tape: Harrow seam tape (product card; board seams); tile: Found tile (no product
        card; wall, floor). No product is named for: drain.
      Who looks: a senior person, with counsel where the caution applies.

Caution: Nothing may hang on a brand. (A law.)
"""


def test_the_sheet_parts_what_is_shown_from_what_is_not_by_term():
    assert SHEET in sheet((CLEAR, INVOICE), (EARLIER, MAKER))


@pytest.mark.parametrize(
    ("condition", "who"),
    [
        (LEAKED, "a technical reviewer"),
        (ABROAD, "a technical reviewer, then a senior person"),
        (CLEAR.model_copy(update={"standing": Standing.NOT_SHOWN}), "the clerk asks; then a technical reviewer"),
        (CLEAR.model_copy(update={"standing": Standing.PERSON}), "a technical reviewer"),
        (LATE.model_copy(update={"standing": Standing.PERSON}), "a senior person"),
        (LATE, "the clerk asks; then looks again"),
        (MAKER, "a senior person, with counsel where the caution applies"),
    ],
)
def test_who_must_look_follows_from_kind_and_standing(condition, who):
    (line,) = case_of(report((condition,))).terms[1].not_shown
    assert line.who == who


def test_no_outcome_is_picked_on_the_sheet():
    text = sheet((CLEAR,))
    for outcome in words.CASE_OUTCOMES:
        assert f"   [ ] {outcome}\n" in text
    assert "[x]" not in text
    for blank in (*words.CASE_HEAD, *words.CASE_FOOT):
        assert f"{blank}: {words.BLANK}" in text


@pytest.mark.parametrize("paper", [letter, sheet])
@pytest.mark.parametrize("name", ["a" * 300, "\u202eshower", "<script>alert(1)</script>"])
def test_any_name_still_gives_a_paper(paper, name):
    assert name in paper((INVOICE, MAKER), name=name)


@pytest.mark.parametrize("page", [lambda r: letters_page([letter_of(r)]), lambda r: cases_page([case_of(r)])], ids=["letter", "sheet"])
def test_the_page_says_what_the_text_says_and_lets_nothing_in(page):
    pytest.importorskip("jinja2")
    hostile = INVOICE.model_copy(update={"reason": "<b>bold</b>", "facts": ()})
    html = page(report((CLEAR, hostile), (EARLIER, MAKER), name="<script>alert(1)</script>"))
    assert "<script" not in html
    assert "<b>" not in html
    for said in ("The invoice is at hand", "One maker&#39;s layers", words.BLANK):
        assert said in html


@pytest.mark.parametrize("programme", ["millrace-handover", "tilers-circle-wet-rooms"])
@pytest.mark.parametrize("sample", ["five-mistakes", "half-known"])
def test_the_letter_on_a_sample_says_nothing_that_only_a_person_may(sample, programme):
    done = CliRunner().invoke(app, ["warranty", str(SAMPLES / f"{sample}.yaml"), "--programme", programme, "--letter", "--width", "200"])
    assert done.exit_code == (1 if sample == "five-mistakes" else 3)
    assert NEVER_SAID.findall(done.output.replace("Nothing has been refused", "")) == []
    assert "further rule" not in done.output


@pytest.mark.parametrize("flag", ["--letter", "--sheet"])
@pytest.mark.parametrize("form", ["text", "html"])
def test_the_command_writes_the_same_bytes_twice_and_ends_as_the_report_does(flag, form):
    asked = ["warranty", str(SAMPLES / "registered-shower.yaml"), "--programme", "millrace-handover", flag, "--format", form]
    first, second = (CliRunner().invoke(app, asked) for _ in range(2))
    assert first.exit_code == 3
    assert first.output == second.output != ""


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (["--letter", "--sheet"], "--letter and --sheet are two papers. Accepted: one of the two"),
        (["--letter", "--format", "json"], "there is no format `json`. Accepted: text, html"),
        (["--format", "html"], "there is no format `html`. Accepted: text, json"),
    ],
)
def test_a_paper_that_there_is_not_ends_the_command_with_why(flags, said):
    done = CliRunner().invoke(app, ["warranty", str(SAMPLES / "half-known.yaml"), "--programme", "millrace-handover", *flags])
    assert done.exit_code == 2
    assert said in done.output


def test_what_is_looked_at_together_is_asked_under_one_heading():
    about = {"needs": "No open matter", "kind": "by standard", "clause": "2", "standing": Standing.NOT_SHOWN, "strictly": Standing.NOT_SHOWN,
             "reason": "2 open."}  # fmt: skip
    asks = (Ask(says="floor: How thick is the liner?", of=("drain", "liner")), Ask(says="wall: How wide is the tape?", of=("tape",)),
            Ask(says="floor: Are the weeps clear?", of=("drain", "liner")))  # fmt: skip
    (asked,) = letter_of(report((ConditionLine(**about, asks=asks),))).asked
    assert asked.tell == (
        ("Drain and liner", ("floor: How thick is the liner?", "floor: Are the weeps clear?")), ("Tape", ("wall: How wide is the tape?",))
    )  # fmt: skip
    lines = letter((ConditionLine(**about, asks=asks),)).splitlines()
    at = lines.index("     Drain and liner")
    assert lines[at + 1 : at + 4] == ["     - floor: How thick is the liner?", "     - floor: Are the weeps clear?", "     Tape"]
