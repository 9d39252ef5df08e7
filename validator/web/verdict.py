"""The verdict as told, then what is proved."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from validator.papers.as_told import verdict_line
from validator.papers.numbering import Mark
from validator.papers.page import source_line
from validator.web.desk import bench_of, head_of
from validator.web.pages import page

router = APIRouter()
MOST_ASKED = 6  # that are told unfolded


@router.get("/cases/{public}/verdict")
def verdict(request: Request, public: str) -> Response:
    """What fails first, with what puts it right; what to look at again; what is asked; what is sound; what was taken."""
    head, bench = head_of(request, public), bench_of(request)
    drawings = bench.drawings(head.state.text)
    on = {number: turn for turn, each in reversed(list(enumerate(drawings))) for number in each.numbers}
    at = {_of(mark): (mark.number, on[mark.number]) for mark in bench.marks(head.state.text) if mark.number in on}
    return page(
        request, "verdict.html", head=head, tab="verdict", line=verdict_line(head.told), report=head.judged.report,
        source_line=source_line, drawings=drawings, at=at, most_asked=MOST_ASKED,
    )  # fmt: skip


def _of(mark: Mark) -> tuple[str, str]:
    """What tells a finding or a question of the verdict apart: what it is, and where."""
    if mark.finding is not None:
        return mark.finding.rule, mark.finding.place
    return mark.question.question, mark.question.place
