"""The terms of a warranty document for every row of a table are those that `warranty` finds of each row described alone."""

import polars as pl
import pytest
from few_rules import few_rules
from test_lanes import DAY, DESK, HEADINGS, MAPPING, lines, run_whole, write_csv

from validator.judging.loading import load_book
from validator.screening.judging import Screener
from validator.screening.known import Run
from validator.screening.letters import assembly_of
from validator.screening.mapping import read_mapping
from validator.screening.rows import Row, rows_of_each
from validator.screening.terms import Terms
from validator.warranty import stand
from validator.warranty.reading import programme_file, read_programme

JOB = "job:\n  job.completion: Installed\n  registration.received: Owner\n  photographs.of waterproofing: Term\n"
SAID = ("outside the stated scope", "not met", "not shown", "for a person to decide", "taken as usual")
LOADED = load_book(few_rules(), everything=True)


@pytest.mark.parametrize("name", ["tilers-circle-wet-rooms", "millrace-handover"])
def test_each_term_stands_in_a_table_where_it_stands_for_the_row_alone(tmp_path, name):
    (tmp_path / "m.yaml").write_text(MAPPING.replace("personal: [Owner]\n", "").replace("programme: Term\n", "") + JOB)
    screener = Screener(LOADED, read_mapping(tmp_path / "m.yaml", LOADED.vocabulary), DAY)
    rows = [Row(n, {**cells, "Owner": ("2026-03-20", "2026-10-30", "")[n % 3], "Term": ("yes", "no", "")[n % 3]}) for n, cells in enumerate(lines(24, seed=9), 2)]
    rows[3].cells["Board"] = rows[9].cells["Thickness"] = "nobody knows"
    programme = read_programme(programme_file(name), LOADED.book)
    cells = rows_of_each(rows, HEADINGS).cells
    found = Terms(LOADED, programme).of([group.both(cells) for group in screener.groups], cells)
    standings = set()
    for at, row in enumerate(rows):
        report = stand(assembly_of(screener, row), programme, LOADED)
        for term, line in zip(report.terms, found.filter(pl.col("at") == at).iter_rows(named=True), strict=True):
            assert (line["term"], line["stands at"], line["strictly"]) == (term.term, str(term.standing), str(term.strictly)), row
            conditions = (*report.every_term, *term.conditions)
            for said in SAID:
                assert line[said] == "; ".join(c.clause or c.needs for c in conditions if str(c.standing) == said), (row, said)
            standings |= {str(condition.standing) for condition in conditions}
    assert len(standings) >= 5


def test_a_run_lists_every_term_of_every_row(tmp_path):
    mapping = tmp_path / "m.yaml"
    mapping.write_text(MAPPING)
    run = Run(write_csv(tmp_path / "t.csv", lines(30)), mapping, DESK, tmp_path / "out", piece=20, programme="tilers-circle-wet-rooms")
    joined = run_whole(run)
    terms = pl.read_parquet(tmp_path / "out" / "terms.parquet")
    rows = pl.read_parquet(joined.results)["row"].to_list()
    assert terms["row"].to_list() == [row for row in rows for _ in range(2)]
    assert set(terms["term"]) == {"two years, by the standards", "five years, by the standards"}
