"""The summary page of a run: one HTML file that asks nothing of any network, with its charts drawn in it.

No cell of the table stands on it but months and programme terms; registrations are counted, never named.
"""

from collections import Counter
from html import escape
from pathlib import Path

from validator.screening.judging import LANES
from validator.screening.tally import Tally

MOST_BARS = 12
STYLE = (
    "body{font:16px/1.45 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1d1d1b}"
    "h1{font-size:1.5rem}h2{font-size:1.1rem;margin-top:2rem}table{border-collapse:collapse}"
    "td,th{padding:.2rem .8rem .2rem 0;text-align:left;vertical-align:top}td.n{text-align:right}"
    "svg{max-width:100%;height:auto}.note{color:#555}@media print{body{margin:0}}"
)
Bars = list[tuple[str, int]]


def write_summary(path: Path, table: str, tally: Tally, books: str, titles: dict[str, str], blank: int = 0) -> None:
    """Writes the page. `titles`: of each rule, what it asks for in a few words. `blank`: rows that held nothing."""
    months = sorted({month for month, _ in tally.months})
    terms = [term for term, _ in _commonest(_by_first(tally.terms))]
    matters = [(titles.get(rule, rule), number) for rule, number in _commonest(tally.matters)]
    parts = [
        f"<h1>Screening of {escape(table)}</h1>",
        f"<p>{tally.rows:,} registrations, judged against {escape(books)}. Nothing here takes a decision: it says which cases show "
        "what is needed, which do not show it, and which a person must read."
        f"{_left_out(blank)}</p>",
        _section("Lanes", [(lane, tally.lanes[lane]) for lane in LANES]),
        _section("As told", _commonest(tally.outcomes)),
        _section("Commonest matters", matters),
        _section("Commonest questions", _commonest(tally.questions)),
        _stacked("By month", tally.months, months[-36:]),
        _without("month", tally.rows - tally.months.total()),
        _stacked("By programme term", tally.terms, terms),
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


def _commonest(counted: Counter[str]) -> Bars:
    return sorted(counted.items(), key=lambda each: (-each[1], each[0]))[:MOST_BARS]


def _by_first(counted: Counter[tuple[str, str]]) -> Counter[str]:
    total: Counter[str] = Counter()
    for (name, _), number in counted.items():
        total[name] += number
    return total


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


def _stacked(title: str, number: Counter[tuple[str, str]], names: list[str]) -> str:
    """How many went to each lane, for each month or term."""
    if not names:
        return ""
    totals = [(name, sum(number[name, lane] for lane in LANES)) for name in names]
    heads = "".join(f"<th>{lane}</th>" for lane in LANES)
    rows = "".join(
        f"<tr><td>{escape(name)}</td>" + "".join(f'<td class="n">{number[name, lane]:,}</td>' for lane in LANES) + "</tr>"
        for name in names
    )
    return f"<h2>{title}</h2>{_bar_chart(title, totals)}<table><tr><th></th>{heads}</tr>{rows}</table>"
