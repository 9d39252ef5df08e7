"""Where the terms of a warranty document stand: what is shown, what is not, and what only a person may decide."""

import json
import re

import pytest
from drawn import shelf
from hypothesis import given
from hypothesis import strategies as st
from paths import SAMPLES
from stated import (
    AGREED,
    A_SECOND_TERM,
    COUNTRY,
    DONE,
    ENOUGH,
    INVOICE,
    IN_FORCE,
    MAKER,
    PROGRAMME,
    QUALIFIED,
    REGISTERED,
    SERVICE,
    STANDARD,
    TESTED,
    VALID,
    condition_on,
    report_on,
    small,
)
from typer.testing import CliRunner

from validator.assembly import read_assembly, read_assembly_file
from validator.cli import app
from validator.engines.varying import judge_varying
from validator.judging.loading import load_book
from validator.papers.as_json import as_json
from validator.papers.warranty import warranty_lines
from validator.rulebook.rule import MATTERS
from validator.rulebook.shelf import book_folder
from validator.warranty import Standing, stand
from validator.warranty.conditions import Judge
from validator.warranty.matters import EXPOSURES, SEEN, Matter
from validator.warranty.programme import Clear, Stated
from validator.warranty.reading import programme_file, programme_names, read_programme
from validator.warranty.readings import Reading
from validator.warranty.report import BEST_FIRST, FOOTER

SOUND = SAMPLES / "second-floor-shower.yaml"


@pytest.fixture(scope="module")
def loaded():
    return shelf()


@pytest.mark.parametrize(
    ("condition", "assembly", "standing", "reason"),
    [
        (STANDARD, small(), "shown", "wall: Found: membrane meets at least A118.10. Needed: membrane meets: A118.10."),
        (STANDARD, small(membrane="membrane: {kind: liquid}"), "taken as usual", "wall: Found: membrane meets at least A118.10."),
        (STANDARD, small(membrane="membrane: {meets: only A118.12}"), "not met", "wall: Found: membrane meets A118.12."),
        (STANDARD, small(membrane="membrane: none"), "not met", "wall: Found: membrane meets not stated."),
        (STANDARD, small(name="tub surround wall"), "does not arise", "Nothing described here is what this condition speaks of."),
        (QUALIFIED, small(records="installer: {holds: trade certificate}"), "shown", "Found: installer holds at least trade certificate."),
        (QUALIFIED, small(), "not shown", "Found: installer holds not stated."),
        (QUALIFIED, small(records="installer: {holds: only apprenticeship}"), "not met", "Found: installer holds apprenticeship."),
        (VALID, small(use=DONE, records="installer: {qualified until: 2026-03-02}"), "shown", "Found: installer qualified until 2026-03-02"),
        (VALID, small(use=DONE, records="installer: {qualified until: 2026-02-28}"), "not met", "Found: installer qualified until 2026-02-28"),
        (VALID, small(use=DONE), "not shown", "Found: installer qualified until not stated"),
        (AGREED, small(records="registration: {agreed before start: yes}"), "shown", "Found: registration agreed before start yes."),
        (AGREED, small(records="registration: {agreed before start: no}"), "not shown", "Found: registration agreed before start no."),
        (AGREED, small(), "not shown", "Found: registration agreed before start not stated."),
        (INVOICE, small(), "shown", "Found: purchases invoice yes."),
        (INVOICE, small(records="purchases: {invoice: no}"), "not shown", "Found: purchases invoice no."),
        (INVOICE, small(records="purchases: none"), "not shown", "Found: purchases invoice not stated."),
        (TESTED, small(records="flood test: {result: level held}"), "shown", "Found: flood test result level held."),
        (TESTED, small(records="flood test: {held: 24 h}"), "not shown", "Found: flood test result not stated."),
        (TESTED, small(records="flood test: none"), "not shown", "Found: flood test result not stated."),
        (TESTED, small(records="flood test: {result: leak seen}"), "not met", "Found: flood test result leak seen."),
        (COUNTRY, small(use="country: US"), "shown", "Found: country United States."),
        (COUNTRY, small(use="country: United States or Canada"), "not shown", "Found: country United States or Canada."),
        (COUNTRY, small(use="country: Mexico"), "outside the stated scope", "Found: country Mexico."),
        (MAKER, small(), "for a person to decide", "This condition is tied to one maker. It is never judged here."),
        (SERVICE, small(), "for a person to decide", "This condition is tied to a named service. It is never judged here."),
    ],
)  # fmt: skip
def test_a_condition_stands_where_what_is_written_puts_it(condition, assembly, standing, reason, loaded):
    line = condition_on(assembly, condition, loaded)
    assert line.standing == standing
    assert line.reason.startswith(reason)


@pytest.mark.parametrize(
    ("use", "records", "standing", "said"),
    [
        ("completion: 2026-03-01", "registration: {received: 2026-05-30}", "shown", "2026-05-30: 90 days between them."),
        ("completion: 2026-03-01", "registration: {received: 2026-03-01}", "shown", "2026-03-01: 0 days between them."),
        ("completion: 2026-03-01", "registration: {received: 2026-05-31}", "not shown", "91 days between them. The document asks at most 90 days. That is late"),
        ("completion: 2026-03-01 to 2026-03-03", "registration: {received: 2026-05-31}", "not shown", "89 to 91 days between them."),
        ("completion: 2026-03-01", "registration: {received: 2026-02-01}", "not shown", "-28 days between them."),
        ("completion: 2026-03-01", "registration: none", "not shown", "an unknown number of days between them."),
        ("building: house", "registration: {received: 2026-05-30}", "not shown", "an unknown number of days between them."),
    ],
)  # fmt: skip
def test_a_late_or_missing_registration_is_asked_about_and_never_held_against_anybody(use, records, standing, said, loaded):
    line = condition_on(small(use=use, records=records), REGISTERED, loaded)
    assert line.standing == standing
    assert said in line.reason
    if standing != "shown":
        assert [caution.source for caution in line.cautions] == ["16 CFR 700.7; 16 CFR 701.4; Cal. Com. Code 2801"]
        assert "Is there another proof of the dates?" in [ask.says for ask in line.asks]


@pytest.mark.parametrize("tied", [MAKER, SERVICE])
@pytest.mark.parametrize("assembly", [small(), small(membrane="membrane: none", records="purchases: none"), SOUND.read_text()])
def test_a_tied_condition_goes_to_a_person_whatever_is_described(tied, assembly, loaded):
    line = condition_on(assembly, tied, loaded)
    assert line.standing == "for a person to decide"
    assert [caution.source for caution in line.cautions] == ["15 USC 2302(c); 16 CFR 700.10"]
    assert "Do the named goods or the named service come free of charge, or is a waiver on file?" in [ask.says for ask in line.asks]


@pytest.mark.parametrize(
    ("bought", "size", "standing", "said"),
    [
        # 5 ft by 7 ft is 35 sq ft: 0.7 gal at 50 sq ft a gallon, 1 gal at 35.
        ("1 gal", "60 x 84 in", "shown", "so the area takes: 0.7 gal to 1 gal (2.65 L to 3.79 L). Bought: 1 gal (3.79 L). Enough"),
        ("3 qt", "60 x 84 in", "not shown", "It may or may not be enough."),
        ("2 qt", "60 x 84 in", "not shown", "Less than that."),
        ("1 gal", "unknown", "not shown", "so the area takes: not known."),
        ("unknown", "60 x 84 in", "not shown", "Bought: not stated."),
    ],
)  # fmt: skip
def test_a_quantity_is_a_range_with_its_arithmetic_and_no_proof(bought, size, standing, said, loaded):
    line = condition_on(small(size=size, records=f"purchases: {{liquid membrane: {bought}}}"), ENOUGH, loaded)
    assert line.standing == standing
    assert said in line.reason
    assert "This is arithmetic and no proof" in line.reason


@pytest.mark.parametrize(
    ("day", "standing"),
    [
        ("2026-01-01", "shown"),
        ("2026-12-31", "shown"),
        ("2025-12-31", "outside the stated scope"),
        ("2027-01-01", "outside the stated scope"),
        ("2025-12-31 to 2026-01-02", "not shown"),
        ("unknown", "not shown"),
    ],
)
def test_the_revision_is_read_only_on_the_days_it_is_in_force(day, standing, loaded):
    report = report_on(small(records=f"purchases: {{bought on: {day}, invoice: yes}}"), INVOICE, loaded)
    assert report.every_term[0].standing == standing
    assert report.terms[0].standing == standing


def test_a_document_that_speaks_of_no_place_described_is_outside(loaded):
    text = small().replace("  shower floor: {size: 36 x 60 in}\n", "").replace("kind: shower wall", "kind: room floor")
    report = report_on(text, INVOICE, loaded)
    assert report.every_term[1].reason == "No place of these kinds is described."
    assert report.terms[0].standing == "outside the stated scope"
    assert report.exit_status == 1


def test_a_term_that_leans_on_another_stands_no_better(loaded):
    report = report_on(small(records="purchases: none"), INVOICE, loaded, A_SECOND_TERM)
    first, second = report.terms
    assert first.standing == second.conditions[0].standing == second.standing == "not shown"
    assert second.untied == ("one year",)
    assert first.untied == ()


def test_under_a_full_warranty_a_registration_goes_to_a_person(loaded):
    headed = PROGRAMME.replace("revision: 1,", "revision: 1, headed: full,")
    programme = read_programme(f"{headed}      - {{{REGISTERED}}}", loaded.book)
    assembly = read_assembly(small(), "a.yaml", loaded.vocabulary, loaded.catalogue)
    line = stand(assembly, programme, loaded).terms[0].conditions[0]
    assert line.standing == "for a person to decide"
    assert "may not be asked as a condition" in line.reason


def test_when_all_else_is_shown_a_tied_term_is_left_to_a_person(loaded):
    report = report_on(small(), INVOICE, loaded, A_SECOND_TERM)
    assert [term.standing for term in report.terms] == ["shown", "for a person to decide"]
    assert report.exit_status == 3


# -- technical matters, on a whole sound shower -------------------------------------------------------------------------------

RECORDED = f"""
  registration:
    received: 2026-04-01
  installer:
    holds: trade certificate
  {IN_FORCE.replace("invoice: yes", "invoice: yes, liquid membrane: 9 gal")}
"""


LINES = {
    "screws": "length: 1-5/8 in", "test": "result: level held", "film": "least wet film: 32 mil", "hours": "held: 24 h",
    "country": "country: US", "bought": "bought on: 2026-02-03", "holds": "holds: trade certificate",
}  # fmt: skip
FAULTS = {
    "screws": "length: 3/4 in", "test": "result: leak seen", "film": "least wet film: 5 mil", "hours": "held: 5 min",
    "country": "country: Mexico", "bought": "bought on: 2020-02-03", "holds": "holds: only apprenticeship",
}  # fmt: skip
SILENCES = {which: f"{line.partition(':')[0]}: unknown" for which, line in LINES.items()}


def sound(**changes: str) -> str:
    """The sound shower with what a document asks beside the work, some of its lines changed."""
    text = SOUND.read_text().replace("  building: house\n", "  building: house\n  country: US\n  completion: 2026-03-01\n", 1)
    text = text.replace("    size: 36 x 60 in\n", "    size: 36 x 60 in\n    submerged: no\n", 1)
    text = f"{text.rstrip()}{RECORDED}"
    for which, line in changes.items():
        assert LINES[which] in text
        text = text.replace(LINES[which], line)
    return text


def millrace(text: str, loaded, *, strict: bool = False):
    programme = read_programme(programme_file("millrace-handover"), loaded.book)
    return stand(read_assembly(text, "a.yaml", loaded.vocabulary, loaded.catalogue), programme, loaded, strict=strict)


def standings(text: str, loaded) -> list[int]:
    return [BEST_FIRST.index(term.standing) for term in millrace(text, loaded).terms]


def test_a_sound_shower_with_its_papers_shows_the_first_term(loaded):
    first, second = millrace(sound(), loaded).terms
    assert first.standing == "shown"
    assert {line.needs: line.standing for line in second.conditions if line.kind.startswith("tied")} == {
        "Membrane, tape and drain are named as one system on the handover sheet": "for a person to decide"
    }


def test_an_open_technical_matter_leaves_a_term_not_shown(loaded):
    term = millrace(sound(screws=SILENCES["screws"]), loaded).terms[0]
    assert term.standing == term.conditions[0].standing == "not shown"
    assert "Board screws reach far enough into the framing" in term.conditions[0].reason
    assert term.conditions[0].to_show[0].startswith("back wall; side walls: How long are the screws?")  # the work is finished


def test_a_failed_technical_matter_leaves_a_term_not_met(loaded):
    term = millrace(sound(screws=FAULTS["screws"]), loaded).terms[0]
    assert term.standing == term.conditions[0].standing == "not met"
    assert "Board screws reach far enough into the framing (back wall, side walls)" in term.conditions[0].reason
    assert any("longer screw" in text for text in term.conditions[0].shown_by)


def test_a_matter_outside_the_condition_does_not_count(loaded):
    report = report_on(sound(screws=FAULTS["screws"]), "needs: Nothing ugly, kind: by standard, clear: [looks]", loaded)
    assert report.terms[0].conditions[0].standing == "shown"


BEFORE = [{}, {"screws": SILENCES["screws"]}, {"test": SILENCES["test"]}, {"screws": FAULTS["screws"]}, {"country": SILENCES["country"]}]


@pytest.mark.parametrize("before", BEFORE, ids=lambda lines: "; ".join(lines.values()) or "sound")
def test_adding_a_fault_never_improves_a_term(before, loaded):
    without = standings(sound(**before), loaded)
    for which, line in FAULTS.items():
        with_fault = standings(sound(**{**before, which: line}), loaded)
        assert all(a <= b for a, b in zip(without, with_fault)), line


@pytest.mark.parametrize("others", [{}, {"film": FAULTS["film"]}, {"holds": SILENCES["holds"]}], ids=["sound", "thin film", "no card"])
def test_learning_that_a_matter_passes_never_worsens_a_term(others, loaded):
    known = standings(sound(**others), loaded)
    for which, line in SILENCES.items():
        if which not in others:
            unknown = standings(sound(**{**others, which: line}), loaded)
            assert all(a >= b for a, b in zip(unknown, known)), line


MATTER = st.builds(
    Matter, rule=st.just("board-screw-reaches-framing"), title=st.just("A rule"), matter=st.sampled_from(MATTERS),
    outcome=st.sampled_from(("fail", "open", "warn")), would_be=st.sampled_from(("fail", "warn")), place=st.sampled_from("ab"),
    exposure=st.sampled_from(EXPOSURES), seen=st.sampled_from(SEEN), waits=st.booleans(),
)  # fmt: skip


@pytest.fixture(scope="module")
def looked(loaded):
    return [judge_varying(loaded.engine, each) for each in read_assembly(small(), "a.yaml", loaded.vocabulary, {}).subjects]


@given(st.lists(MATTER, max_size=5), MATTER)
def test_one_more_matter_never_improves_a_condition_that_asks_for_none(loaded, looked, matters, another):
    stated = Stated("Clear", "by standard", Clear(("water escapes", "bond and support")))

    def read(matters: list[Matter]) -> Reading:
        return Reading(looked, matters, [derived for derived, _ in looked])

    before, after = (BEST_FIRST.index(Judge(loaded, read(each)).line(stated).standing) for each in (matters, [*matters, another]))
    assert after >= before


# -- risk, as an order --------------------------------------------------------------------------------------------------------


def test_risk_is_told_from_the_worst_matter_down(loaded):
    risk = millrace((SAMPLES / "five-mistakes.yaml").read_text(), loaded).risk
    order = ["water escapes", "bond and support", "lasting", "looks"]
    told = [order.index(matter.matter) for matter in risk.matters]
    assert told == sorted(told)
    assert risk.worst_known.startswith("water escapes; exposure: wet floor")


def test_what_cannot_be_told_never_reads_as_low(loaded):
    clear, unknown = (millrace(text, loaded, strict=True).risk for text in (sound(), (SAMPLES / "half-known.yaml").read_text()))
    assert (clear.worst_possible, clear.not_assessable) == ("", 0)
    assert unknown.worst_known == ""
    assert unknown.worst_possible == millrace((SAMPLES / "half-known.yaml").read_text(), loaded).risk.worst_possible
    assert unknown.not_assessable > 0
    assert unknown.worst_possible.startswith("water escapes; exposure: wet floor")


def test_a_fault_beside_a_worse_one_never_dilutes_it(loaded):
    faults = {"test": FAULTS["test"]}, {"test": FAULTS["test"], "screws": FAULTS["screws"]}
    alone, beside = (millrace(sound(**each), loaded).risk.worst_known for each in faults)
    assert alone == beside != ""


# -- the papers ---------------------------------------------------------------------------------------------------------------


PAPER = """\
A small shower
Programme: A programme.
Document: A paper, revision 1; in force 2026-01-01 to 2026-12-31.
Read as told: 3 of 5 conditions are shown by what is stated. A term is complete only where all of it
is shown.

NOT SHOWN  one year

Asked for every term
   Shown: The document is in force on the day it goes by (scope)
      Day the materials were bought: 2026-02-03. Revision 1 is in force 2026-01-01 to 2026-12-31.
   Shown: The work is of a kind the document speaks of: shower floor, shower wall (scope)
      Described: shower floor, wall.

one year: not shown
   Gives materials only, for 1 year, from the day the work was complete.
   Not shown: Registered in time (administrative)
      Day the work was complete: 2026-03-01; Day the registration was received: 2026-07-01: 122 days
      between them. The document asks at most 90 days. That is late, which is asked about and not
      held against anybody.
      Ask: Does the document given at the sale say that registration is a condition, and is it
      headed a limited warranty?
      Ask: In which state was it bought?
      Ask: Is there another proof of the dates?
   For a person to decide: One maker's layers (tied to one maker)
      This condition is tied to one maker. It is never judged here.
      No product is named for: membrane.
      Ask: Is this a consumer product, bought by or for a household?
      Ask: Do the named goods or the named service come free of charge, or is a waiver on file?
      Ask: Does the document given at the sale state this condition?
      Ask: Is a defect claimed, and are other goods or service its shown cause?
   Shown: An invoice (evidence)
      Found: purchases invoice yes. Needed: purchases invoice: yes.

Caution: A missing or late registration is asked about and decides nothing."""


def test_the_paper_reads_term_by_term(loaded):
    records = f"registration: {{received: 2026-07-01}} | {IN_FORCE}"
    report = report_on(small(use=DONE, records=records), f"{REGISTERED} | {MAKER} | {INVOICE}", loaded)
    lines = [line for line, _ in warranty_lines(report, 100)]
    assert "\n".join(lines).startswith(PAPER)
    assert lines[-1] == FOOTER


@pytest.mark.parametrize("name", programme_names())
@pytest.mark.parametrize("sample", ["second-floor-shower", "five-mistakes", "half-known"])
def test_no_paper_decides_what_only_a_person_may(name, sample, loaded):
    programme = read_programme(programme_file(name), loaded.book)
    report = stand(read_assembly_file(SAMPLES / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue), programme, loaded)
    text = as_json([report]) + "\n".join(line for line, _ in warranty_lines(report, 400))
    for rule in loaded.book.rules.values():  # a rule may speak of a void in the mortar
        text = text.replace(rule.title, "").replace(rule.put_right, "")
    for fact in loaded.vocabulary.facts.values():  # and a question of what is covered by tile
        text = text.replace(fact.look, "")
    assert re.findall(r"(?i)\b(approv\w+|void\w*|den(?:y|ied)|reject\w*|guarante\w+|certified|compl(?:y|ies|iant)|eligible|"
                      r"probab\w+|likely|violat\w+|error\w*|(?:not |is )covered|coverage)\b",
                      text.replace("coverage check", "")) == []  # fmt: skip
    assert FOOTER in text


def test_the_same_input_gives_the_same_bytes(loaded):
    first, second = (as_json([millrace(sound(screws=FAULTS["screws"]), load_book(book_folder("us"), everything=True))]) for _ in range(2))
    assert first == second


def test_the_json_keeps_its_keys(loaded):
    whole = json.loads(as_json([millrace(sound(), loaded)]))
    assert list(whole) == [
        "assembly", "programme", "about", "reading", "document", "every_term", "terms", "risk", "as_told", "outcome", "counts", "books",
        "programme_fingerprint", "fingerprint", "footer",
    ]  # fmt: skip
    assert list(whole["terms"][0]) == ["term", "gives", "lasts", "starts", "standing", "strictly", "conditions", "untied"]
    assert list(whole["terms"][0]["conditions"][0]) == [
        "needs", "kind", "clause", "standing", "strictly", "reason", "shown_by", "asks", "facts", "cautions", "evidence", "offered",
        "only_stated", "products", "taken", "to_show", "later",
    ]  # fmt: skip
    assert list(whole["risk"]) == ["worst_known", "worst_possible", "not_assessable", "matters"]
    assert {term["standing"] for term in whole["terms"]} <= {str(standing) for standing in Standing}


@pytest.mark.parametrize(
    ("sample", "status"), [("second-floor-shower", 3), ("five-mistakes", 1), ("half-known", 3)]
)  # fmt: skip
def test_the_command_ends_with_what_the_terms_stand_at(sample, status):
    done = CliRunner().invoke(app, ["warranty", str(SAMPLES / f"{sample}.yaml"), "--programme", "millrace-handover"])
    assert done.exit_code == status
    assert "This report concerns the stated conditions of one document" in done.output


def test_a_programme_that_is_not_there_ends_the_command_with_its_name():
    done = CliRunner().invoke(app, ["warranty", str(SOUND), "--programme", "harow"])
    assert done.exit_code == 2
    assert "there is no programme `harow`" in done.output
