"""The report as JSON, for other programs. Its keys are fixed; the same input gives the same bytes."""

import json
from dataclasses import asdict

from validator.outcomes import Report

COUNT_NAMES = {
    "pass": "passed", "warn": "warned", "fail": "failed", "open": "open", "advice": "advised", "waits": "waiting",
    "not applicable": "not_applicable",
}  # fmt: skip


def as_json(reports: list[Report]) -> str:
    """One report as an object, several as a list of them."""
    shown = [_object(report) for report in reports]
    return json.dumps(shown[0] if len(shown) == 1 else shown, indent=2, ensure_ascii=False)


def _object(report: Report) -> dict[str, object]:
    whole = asdict(report)
    del whole["exit_status"]
    whole["counts"] = {word: getattr(report.counts, name) for word, name in COUNT_NAMES.items()}
    return whole
