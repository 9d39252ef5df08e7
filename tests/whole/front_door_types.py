"""What a type checker sees of the front door: `python -m mypy`, which `.ci/run` runs. Nothing here is called."""

from collections.abc import Sequence
from pathlib import Path
from typing import assert_type

import validator


def types() -> None:
    assembly = validator.read(Path("a.yaml"), books=("us", Path("my-office")))
    assert_type(assembly, validator.Assembly)
    assert_type(validator.read_text("assembly: A wall", name="a", books="us"), validator.Assembly)
    report = validator.check(assembly, passes=False)
    assert_type(report, validator.Report)
    assert_type(report.outcome, str)
    assert_type(report.counts, validator.Counts)
    assert_type(report.counts.failed, int)
    assert_type(report.findings, Sequence[validator.Finding])
    assert_type(report.findings[0].sources, tuple[validator.SourceLine, ...])
    assert_type(report.open_items, Sequence[validator.OpenItem])
    assert_type(report.as_told, validator.AsTold)
    assert_type(report.books, tuple[validator.BookLine, ...])
    causes = validator.causes(assembly)
    assert_type(causes, validator.Causes)
    assert_type(causes.causes[0].requirements, tuple[validator.Requirement, ...])
    assert_type(causes.looks, tuple[validator.LookLine, ...])
    try:
        validator.check(assembly, ["us"])
    except validator.BadText as bad:
        assert_type(bad.complaints, tuple[validator.Complaint, ...])
        assert_type(bad.complaints[0].where, validator.Where)
    validator.check("a.yaml")  # type: ignore[arg-type]
    report.outcome = "pass"  # type: ignore[misc]
