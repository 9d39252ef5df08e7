"""Photographs that show what is said: decoded and written anew, so that nothing but the picture is kept of what was sent."""

import hashlib
import os
import re
from pathlib import Path

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.web.backup import PICTURES
from validator.web.child import NotDone, in_child
from validator.web.deeds import Site, pictured
from validator.web.desk import bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.posted import Posted

router = APIRouter()
LARGEST = 12_000_000  # bytes as sent
MOST = 300  # of one case
SECONDS, MEMORY = 20, 1_000_000_000
DIGEST = re.compile(r"[0-9a-f]{64}")
# A picture is known by decoding it, never by its name. Written anew it holds no place, no words, and no second file.
WRITE_ANEW = """
import io, sys
from PIL import Image, ImageOps
Image.MAX_IMAGE_PIXELS = 40_000_000
try:
    with Image.open(io.BytesIO(sys.stdin.buffer.read()), formats=("JPEG", "PNG", "WEBP")) as sent:
        if sent.width * sent.height > Image.MAX_IMAGE_PIXELS:
            sys.exit("It has more than 40 million points.")
        turned = ImageOps.exif_transpose(sent).convert("RGB")
        turned.thumbnail((2000, 2000))
        bare = Image.new("RGB", turned.size)
        bare.paste(turned)
        bare.save(sys.stdout.buffer, "JPEG", quality=85)
except Exception:  # a damaged picture makes the library that reads it raise whatever its damage comes to
    sys.exit("It is no picture that can be read. Accepted: JPEG, PNG or WebP.")
"""


@router.get("/cases/{public}/pictures")
def pictures(request: Request, public: str) -> Response:
    """Every picture of a case, with what it shows."""
    return page(request, "pictures.html", head=head_of(request, public), tab="build-up", pictures=store_of(request).pictures(public))


@router.post("/cases/{public}/pictures")
def add(request: Request, public: str, form: Posted) -> Response:
    """A picture that shows a fact of a thing."""
    store, bench = store_of(request), bench_of(request)
    _, content = form.files.get("picture", ("", b""))
    before = store.pictures(public)
    wrong = "No picture was chosen." if not content else "It is larger than 12 MB." if len(content) > LARGEST else ""
    wrong = wrong or (f"There are {MOST} pictures already." if len(before) >= MOST else "")
    kept = b""
    if not wrong:
        try:
            kept = in_child(WRITE_ANEW, content, seconds=SECONDS, memory=MEMORY)
        except NotDone as why:
            wrong = str(why)
    if wrong:
        return page(request, "said.html", 422, title="The picture was not kept", said=f"{wrong} What was answered before is kept.")
    digest = hashlib.sha256(kept).hexdigest()
    if digest not in {each.digest for each in before if not each.removed}:
        _write(request.app.state.folder / PICTURES / f"{digest}.jpg", kept)
        site = Site(form.one("place"), form.one("fact"), form.number("layer"))
        deed = pictured(bench, site, digest, len(kept), len(before) + 1)
        store.done(public, form.one("op", 40), deed, who=visitor_of(request).who, book=bench.fingerprint)
    return RedirectResponse(f"/cases/{public}" + ("" if form.one("from") == "questions" else "/pictures"), 303)


def _write(path: Path, content: bytes) -> None:
    """On the disk before anything speaks of it."""
    path.parent.mkdir(exist_ok=True)
    beside = path.with_suffix(".part")
    with beside.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(beside, path)


@router.get("/cases/{public}/pictures/{name}.jpg")
def picture(request: Request, public: str, name: str) -> Response:
    """One picture, which a browser may only show."""
    known = {each.digest for each in store_of(request).pictures(public) if not each.removed}
    path = request.app.state.folder / PICTURES / f"{name}.jpg"
    if not DIGEST.fullmatch(name) or name not in known or not path.is_file():
        return Response("There is no such picture.", 404)
    return Response(path.read_bytes(), media_type="image/jpeg", headers={"content-security-policy": "default-src 'none'; sandbox"})
