"""A picture is known by decoding it; of what was sent nothing is kept but what can be seen."""

import io
from pathlib import Path

import pytest
from at_desk import HERE, Desk, Forms
from PIL import Image

from validator.assembly import read_assembly

WALL = """\
assembly: Hall bath
places:
  walls:
    kind: shower wall
    built up:
      - board: {material: cement, thickness: 1/2 in}
"""
PLACE_TAKEN = 0x8825  # the part of EXIF that says where


def picture(kind: str = "JPEG", size: tuple[int, int] = (640, 480)) -> bytes:
    made, exif = io.BytesIO(), Image.Exif()
    exif[0x010E] = "in the hall of a customer"
    exif.get_ifd(PLACE_TAKEN)[1] = "N"
    exif.get_ifd(PLACE_TAKEN)[2] = (52.0, 30.0, 0.0)
    Image.new("RGB", size, "#884422").save(made, kind, **({"exif": exif} if kind != "PNG" else {}))
    return made.getvalue()


def sent(desk: Desk, content: bytes, name: str = "photo.jpg") -> int:
    public = desk.public
    desk.see(f"/cases/{public}/thing?place=walls&thing=board&layer=0")
    form = next(each for each in Forms(desk.page.text).forms if each["action"].endswith("/pictures") and each["boxes"]["fact"] == "board.thickness")
    desk.page = desk.client.post(form["action"], data=form["boxes"], files={"picture": (name, content)}, headers=HERE)
    return desk.page.status_code


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_kept_without_where_it_was_taken(desk: Desk, tmp_path: Path, kind: str) -> None:
    public = desk.open(WALL)
    assert sent(desk, picture(kind), "../../evil.html") == 200
    (kept,) = desk.store.pictures(public)
    answer = desk.client.get(f"/cases/{public}/pictures/{kept.digest}.jpg")
    assert answer.headers["content-type"] == "image/jpeg" and "sandbox" in answer.headers["content-security-policy"]
    with Image.open(io.BytesIO(answer.content)) as shown:
        assert shown.format == "JPEG" and not shown.getexif() and shown.size == (640, 480)
    assert b"customer" not in answer.content
    assert [each.name for each in (tmp_path / "pictures").iterdir()] == [f"{kept.digest}.jpg"]


def test_what_a_picture_shows_is_named_in_the_description_and_on_paper(desk: Desk, bench) -> None:
    public = desk.open(WALL)
    sent(desk, picture())
    sent(desk, picture(size=(320, 200)))
    assembly = read_assembly(desk.text(public), "case", bench.vocabulary, bench.loaded.catalogue)
    walls = next(each for each in assembly.subjects if each.name == "walls")
    assert walls.shown_by("board.thickness") == ("photo 1", "photo 2") and walls.shown_by("board.material") == ()
    assert "walls, board thickness" in desk.see(f"/cases/{public}/pictures").text


def bomb() -> bytes:
    made = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(made, "PNG")
    return made.getvalue()


@pytest.mark.parametrize(
    "content",
    [b"", b"<html><script>alert(1)</script>", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", b"GIF89a" + b"\0" * 200, picture()[:300], b"%PDF-1.7", bomb()],
    ids=["nothing", "a page", "a drawing", "a GIF", "half a picture", "a PDF", "a bomb"],
)  # fmt: skip
def test_what_is_no_picture_is_refused_and_nothing_is_kept(desk: Desk, tmp_path: Path, content: bytes) -> None:
    public = desk.open(WALL)
    assert sent(desk, content) == 422
    assert desk.store.pictures(public) == [] and not (tmp_path / "pictures").exists()


def test_a_picture_of_one_case_is_not_shown_in_another(desk: Desk) -> None:
    desk.open(WALL)
    sent(desk, picture())
    (kept,) = desk.store.pictures(desk.public)
    other = desk.open(WALL.replace("Hall", "Other"))
    assert desk.client.get(f"/cases/{other}/pictures/{kept.digest}.jpg").status_code == 404


def test_a_picture_with_a_page_behind_it_is_only_a_picture(desk: Desk) -> None:
    public = desk.open(WALL)
    assert sent(desk, picture() + b"<script>alert(1)</script>") == 200
    (kept,) = desk.store.pictures(public)
    assert b"<script>" not in desk.client.get(f"/cases/{public}/pictures/{kept.digest}.jpg").content


def test_a_picture_that_was_altered_or_taken_away_is_told_when_the_history_is_proved(desk: Desk, tmp_path: Path) -> None:
    from validator.web.running import verified_lines

    desk.open(WALL)
    sent(desk, picture())
    assert verified_lines(str(tmp_path / "cases.sqlite"), tmp_path)[1]
    (file,) = (tmp_path / "pictures").iterdir()
    file.write_bytes(picture(size=(10, 10)))
    lines, sound = verified_lines(str(tmp_path / "cases.sqlite"), tmp_path)
    assert not sound and "1 of its 1 pictures are missing or altered" in lines[0]
