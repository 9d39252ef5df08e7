"""The summary page of a run: one HTML file that asks nothing of any network, with its charts drawn in it.

No cell of the table stands on it but months and programme terms; registrations are counted, never named.
"""

from collections.abc import Iterable
from html import escape
from pathlib import Path

import polars as pl

from validator.screening.judging import LANES

MOST_BARS = 12
STYLE = (
    "body{font:16px/1.45 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1d1d1b}"
    "h1{font-size:1.5rem}h2{font-size:1.1rem;margin-top:2rem}table{border-collapse:collapse}"
    "td,th{padding:.2rem .8rem .2rem 0;text-align:left;vertical-align:top}td.n{text-align:right}"
    "svg{max-width:100%;height:auto}.note{color:#555}@media print{body{margin:0}}"
)
Bars = list[tuple[str, int]]


def write_summary(
    path: Path, table: str, results: pl.LazyFrame, findings: pl.LazyFrame, books: str, titles: dict[str, str], blank: int = 0
) -> None:
    """Writes the page. `titles`: of each rule, what it asks for in a few words. `blank`: rows that held nothing."""
    rows = results.select(pl.len()).collect().item()
    lanes = dict(_counted(results, "lane", 10))
    terms = _counted(results.filter(pl.col("programme") != ""), "programme", MOST_BARS)
    months = sorted(_counted(results.filter(pl.col("month") != ""), "month", 10_000))
    matters = _counted(findings.filter(pl.col("outcome").is_in(["fail", "warn"])), "rule", MOST_BARS)
    unstated = _counted(
        findings.filter(pl.col("asks") != "").select(pl.col("asks").str.split(", ").alias("fact"), "row").explode("fact")
        .unique(), "fact", MOST_BARS,
    )  # fmt: skip
    parts = [
        f"<h1>Screening of {escape(table)}</h1>",
        f"<p>{rows:,} registrations, judged against {escape(books)}. Nothing here takes a decision: it says which cases show "
        "what is needed, which do not show it, and which a person must read."
        f"{_left_out(blank)}</p>",
        _section("Lanes", [(lane, lanes.get(lane, 0)) for lane in LANES]),
        _section("Outcomes", _counted(results, "outcome", MOST_BARS)),
        _section("Commonest matters", [(titles.get(rule, rule), number) for rule, number in matters]),
        _section("Commonest facts not stated", unstated),
        _stacked("By month", results, "month", [month for month, _ in months][-36:]),
        _without("month", rows - sum(number for _, number in months)),
        _stacked("By programme term", results, "programme", [term for term, _ in terms]),
        '<p class="note">No exception found means: against these books and these editions, of what was stated. Local code, the '
        "product's own instructions and licensed practice come first.</p>",
    ]
    page = (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Screening of {escape(table)}</title>'
        f'<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'unsafe-inline\'">'
        f"<style>{STYLE}</style></head><body>{''.join(parts)}</body></html>\n"
    )
    beside = path.with_suffix(".part")
    beside.write_text(page, encoding="utf-8")
    beside.replace(path)


def _left_out(blank: int) -> str:
    return "" if not blank else f" {blank:,} blank {'row is' if blank == 1 else 'rows are'} not among them."


def _without(what: str, number: int) -> str:
    if not number:
        return ""
    return f"<p class='note'>{number:,} {'registration has' if number == 1 else 'registrations have'} no {what} that could be read.</p>"


def _counted(frame: pl.LazyFrame, column: str, most: int) -> Bars:
    counts = frame.group_by(column).len().sort(["len", column], descending=[True, False]).head(most).collect()
    return list(counts.iter_rows())


def _section(title: str, bars: Bars) -> str:
    if not bars:
        return f"<h2>{title}</h2><p class='note'>None.</p>"
    return f"<h2>{title}</h2>{_bar_chart(title, bars)}"


def _bar_chart(title: str, bars: Bars) -> str:
    """Bars across, each with its name and its number in text, so that colour carries nothing."""
    greatest = max(number for _, number in bars) or 1
    lines = []
    for at, (name, number) in enumerate(bars):
        y, wide = 26 * at, round(360 * number / greatest)
        lines.append(
            f'<text x="0" y="{y + 17}">{escape(_short(name))}</text><rect x="400" y="{y + 4}" width="{wide}" height="16" fill="#35628f"/>'
            f'<text x="{408 + wide}" y="{y + 17}">{number:,}</text>'
        )
    return (
        f'<svg role="img" aria-label="{escape(title)}" viewBox="0 0 860 {26 * len(bars)}" width="860" font-size="14">{"".join(lines)}</svg>'
    )


def _short(name: str) -> str:
    return name if len(name) <= 56 else f"{name[:55]}…"


def _stacked(title: str, results: pl.LazyFrame, column: str, names: Iterable[str]) -> str:
    """How many went to each lane, for each month or term."""
    names = list(names)
    if not names:
        return ""
    counts = results.filter(pl.col(column).is_in(names)).group_by(column, "lane").len().collect()
    number = {(name, lane): n for name, lane, n in counts.iter_rows()}
    totals = [(name, sum(number.get((name, lane), 0) for lane in LANES)) for name in names]
    heads = "".join(f"<th>{lane}</th>" for lane in LANES)
    rows = "".join(
        f"<tr><td>{escape(name)}</td>" + "".join(f'<td class="n">{number.get((name, lane), 0):,}</td>' for lane in LANES) + "</tr>"
        for name in names
    )
    return f"<h2>{title}</h2>{_bar_chart(title, totals)}<table><tr><th></th>{heads}</tr>{rows}</table>"
