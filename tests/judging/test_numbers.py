"""The numbers by which people speak of a report: one order, and the same matter by the same number in both readings."""

import pytest
from paths import ROOT

from validator.assembly import read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import report_as_told

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_deviations_and_requests_are_counted_from_one_in_the_order_told(path, loaded: LoadedBook) -> None:
    told = check(read_assembly_file(path, loaded.vocabulary, loaded.catalogue), loaded).as_told
    assert [each.number for each in told.findings] == [f"D{n}" for n in range(1, len(told.findings) + 1)]
    assert [each.number for each in told.questions] == [f"R{n}" for n in range(1, len(told.questions) + 1)]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_both_readings_call_a_matter_by_one_number_and_no_other_matter(path, loaded: LoadedBook) -> None:
    report = check(read_assembly_file(path, loaded.vocabulary, loaded.catalogue), loaded)
    of_told = {(each.rule, place): each.number for each in report.as_told.findings for place in each.place.split("; ")}
    for finding in report.findings:
        if finding.outcome in ("fail", "warn"):
            assert finding.number in {of_told[finding.rule, place] for place in finding.place.split("; ")}
        else:
            assert finding.number.startswith("R") == (finding.outcome == "open" and bool(finding.heading))
    asked = {each.number: each.facts for each in report.as_told.questions}
    for item in report.open_items:
        assert item.fact in asked.get(item.number, (item.fact,))
    alone = [each.number for each in (*report.findings, *report.open_items) if each.number[:1] == "R" and each.number not in asked]
    assert len(alone) == len(set(alone))


def test_the_report_that_people_act_on_has_the_numbers_as_told(loaded: LoadedBook) -> None:
    report = check(read_assembly_file(ROOT / "samples" / "five-mistakes.yaml", loaded.vocabulary, loaded.catalogue), loaded)
    acted = report_as_told(report)
    assert [each.number for each in acted.findings if each.outcome in ("fail", "warn")] == ["D1", "D2", "D3", "D4", "D5"]
    assert all(not each.number for each in acted.findings if each.outcome == "pass")
