"""The verdict as told, then what is proved."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from validator.papers.as_told import verdict_line
from validator.papers.page import source_line
from validator.web.desk import bench_of, head_of
from validator.web.pages import page

router = APIRouter()


@router.get("/cases/{public}/verdict")
def verdict(request: Request, public: str) -> Response:
    """What fails first, with what puts it right; what to look at again; what is asked; what is sound; what was taken."""
    head = head_of(request, public)
    return page(
        request, "verdict.html", head=head, tab="verdict", line=verdict_line(head.told), report=head.judged.report,
        source_line=source_line, drawings=bench_of(request).drawings(head.state.text),
    )  # fmt: skip
