"""The same pieces on two workers, one of them killed midway, come to the same rows."""

import os
import signal

import polars as pl
import pytest
from needs import needs_second_core
from test_lanes import BOOK, lines, mapped, run_whole

from validator.screening import spreading
from validator.screening.joining import join
from validator.screening.known import Run
from validator.screening.rows import BadTable
from validator.screening.running import begun, screener_of
from validator.screening.spreading import judge_spread


@pytest.mark.thorough
@needs_second_core
def test_two_workers_one_of_them_killed_midway_come_to_the_single_machines_rows(tmp_path):
    from distributed import Client, LocalCluster

    table = tmp_path / "t.parquet"
    pl.DataFrame(lines(6_000)).write_parquet(table)
    mapping = mapped(tmp_path)
    here = Run(table, mapping, BOOK, tmp_path / "here", piece=250)
    spread = Run(table, mapping, BOOK, tmp_path / "spread", piece=250)
    alone = run_whole(here)
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        with Client(cluster, set_as_default=False) as client:
            workers = list(client.run(os.getpid).values())

        told: list[int] = []
        done_when_killed: list[int] = []

        def tell(rows: int) -> None:
            told.append(rows)
            if len(told) == 3:
                os.kill(workers[0], signal.SIGKILL)
                done_when_killed.append(len(list(spread.out.glob("pieces/piece-*"))))

        with begun(spread) as work:
            count = judge_spread(work, tell, cluster.scheduler_address)
            together = join(work, count, screener_of(spread, work.known))
    assert count == 24 and done_when_killed[0] < 24
    assert sum(told) == 6_000
    for path, expected in ((together.results, alone.results), (together.findings, alone.findings)):
        assert pl.read_parquet(path).equals(pl.read_parquet(expected))


def test_only_parquet_is_spread(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("Registration\n")
    with begun(Run(table, mapped(tmp_path), BOOK, tmp_path / "out")) as work:
        with pytest.raises(BadTable, match="t.csv cannot be spread. Accepted: Parquet in and Parquet out"):
            judge_spread(work, lambda rows: None, "tcp://127.0.0.1:1")


def test_a_cluster_that_does_not_answer_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(spreading, "CONNECT_WITHIN", "1s")
    table = tmp_path / "t.parquet"
    pl.DataFrame(lines(10)).write_parquet(table)
    with begun(Run(table, mapped(tmp_path), BOOK, tmp_path / "out")) as work:
        with pytest.raises(BadTable, match="no cluster answers at tcp://127.0.0.1:1"):
            judge_spread(work, lambda rows: None, "tcp://127.0.0.1:1")
