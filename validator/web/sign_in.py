"""Signing in and out, taking an invitation, and the people of an office."""

from fastapi import APIRouter, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from validator.papers.visible import shown
from validator.web.desk import visitor_of
from validator.web.doors import Office
from validator.web.pages import page
from validator.web.people import ROLES, NotTaken
from validator.web.posted import Posted

router = APIRouter()


def office_of(request: Request) -> Office | None:
    """The office whose people sign in; None on one's own machine, where nobody does."""
    door = request.app.state.door
    return door if isinstance(door, Office) else None


def _no_office(request: Request) -> Response:
    return page(request, "said.html", 404, title="Nothing is here", said="On one's own machine nobody signs in.")


def net_of(request: Request) -> str:
    """The part of an address that its neighbours share."""
    host = request.client.host if request.client else ""
    return host.rpartition(".")[0] if "." in host else ":".join(host.split(":")[:4])


@router.get("/sign-in")
def sign_in(request: Request) -> Response:
    """Name and password."""
    return page(request, "sign_in.html", wrong="", name="") if office_of(request) else _no_office(request)


@router.post("/sign-in")
def signed_in(request: Request, form: Posted) -> Response:
    """A new session, whatever the browser held before."""
    office = office_of(request)
    if office is None:
        return _no_office(request)
    name = shown(form.one("name", 100))
    try:
        token = office.people.signed_in(name, (form.get("password") or [""])[0][:1_000], net_of(request))
    except NotTaken as why:
        return page(request, "sign_in.html", 401, wrong=f"{str(why)[:1].upper()}{str(why)[1:]}.", name=name)
    return office.let_in(token)


@router.post("/sign-out")
def sign_out(request: Request, form: Posted) -> Response:
    """Ends this session, here and in the database."""
    office = office_of(request)
    if office is not None:
        office.people.sign_out(visitor_of(request).session)
    return RedirectResponse("/sign-in", 303)


@router.get("/invited/{token}")
def invited(request: Request, token: str) -> Response:
    """A password to be chosen; looking at it changes nothing."""
    office = office_of(request)
    person = office.people.invited(token) if office else None
    if person is None:
        return page(request, "said.html", 404, title="This invitation has ended", said="Or it was taken already. Ask a keeper for another.")
    return page(request, "invited.html", person=person, token_of_invitation=token, wrong="")


@router.post("/invited/{token}")
def taken(request: Request, token: str, form: Posted) -> Response:
    """An invitation taken."""
    office = office_of(request)
    if office is None:
        return _no_office(request)
    try:
        person = office.people.take(token, (form.get("password") or [""])[0][:1_000])
    except NotTaken as why:
        person = office.people.invited(token)
        said = f"{str(why)[:1].upper()}{str(why)[1:]}."
        if person is None:
            return page(request, "said.html", 404, title="This invitation has ended", said=said)
        return page(request, "invited.html", 422, person=person, token_of_invitation=token, wrong=said)
    return office.let_in(office.people.session_for(person.id))


@router.get("/people")
def people(request: Request) -> Response:
    """Everybody of the office."""
    return _people(request)


def _people(request: Request, status: int = 200, *, wrong: str = "", invitation: str = "") -> Response:
    office = office_of(request)
    if office is None:
        return _no_office(request)
    return page(request, "people.html", status, people=office.people.everybody(), roles=ROLES, wrong=wrong, invitation=invitation)


@router.post("/people")
def change(request: Request, form: Posted) -> Response:
    """Somebody invited, given another role, or taken out."""
    office = office_of(request)
    if office is None:
        return _no_office(request)
    person = form.one("person", 26)
    try:
        match form.one("deed"):
            case "invite":
                token = office.people.invite(shown(form.one("name", 100)), form.one("role"))
                return _people(request, invitation=f"{request.url.scheme}://{request.headers['host']}/invited/{token}")
            case "role":
                office.people.change(person, role=form.one("role"))
            case "remove":
                office.people.change(person, remove=True)
            case "forget":
                office.people.change(person, forget=True)
            case "end sessions":
                office.people.change(person, role=form.one("role_now"))
    except NotTaken as why:
        return _people(request, 422, wrong=f"{str(why)[:1].upper()}{str(why)[1:]}.")
    return RedirectResponse("/people", 303)


@router.get("/health")
def health() -> Response:
    """Whether the server is up; says nothing else."""
    return PlainTextResponse("up")
