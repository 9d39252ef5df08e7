"""The page: whole, valid, self-contained, escaped, the same bytes twice, and nothing of the report left out."""

import re
from itertools import pairwise

import html5lib
import pytest
from drawn import judged, shelf
from paths import ROOT

from validator.papers.page import TEMPLATES, page

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
XHTML = "{http://www.w3.org/1999/xhtml}"
HOSTILE = "<script>alert(1)</script>\" onload='x' {{ 7 * 7 }} </title></style><img src=x onerror=y>"
SMALL = "assembly: {name}\nplaces:\n  {place}:\n    kind: shower wall\n    built up:\n      - board: {{material: foam, thickness: 1/2 in}}\n"


def page_of(described, **more) -> str:
    assembly, report, _ = judged(described)
    return page([assembly], [report], shelf(), **more)


def parsed(html: str):
    """Raises where the page is not valid HTML."""
    return html5lib.HTMLParser(strict=True).parse(html)


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def in_words(root) -> str:
    return " ".join(" ".join(root.itertext()).split())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_page_is_valid_and_tells_the_whole_report(path):
    _, report, marks = judged(path)
    root = parsed(page_of(path))
    said = in_words(root)
    for mark in marks:
        assert " ".join(mark.title.split()) in said
    for finding in report.findings:
        assert finding.title in said
    for text in (*report.not_checked, report.fingerprint, report.books[0].fingerprint, report.books[0].edition):
        assert text in said
    ids = [each.get("id") for each in root.iter() if each.get("id")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_headings_never_skip_a_level(path):
    levels = [int(each.tag[-1]) for each in parsed(page_of(path)).iter() if re.fullmatch(XHTML + "h[1-6]", str(each.tag))]
    assert levels[0] == 1 and all(after - before <= 1 for before, after in pairwise(levels))


def test_a_page_fetches_nothing():
    html = page_of(SAMPLES[0])
    assert not re.search(r"""src=|href=(?!"#)|@import|url\((?!#)""", html)  # only links within the page
    assert set(re.findall(r"https?://[^\s\"'<]+", html)) == {"http://www.w3.org/2000/svg"}


def test_the_same_assembly_gives_the_same_bytes():
    assert page_of(SAMPLES[1]) == page_of(SAMPLES[1])


def test_a_date_stands_only_where_it_is_given():
    assert "2026-03-02" in page_of(SAMPLES[0], date="2026-03-02")
    assert "Date" not in page_of(SAMPLES[0])


@pytest.mark.parametrize(("name", "place"), [(HOSTILE, "wall"), ("Plain", HOSTILE), (HOSTILE, HOSTILE)])
def test_a_hostile_name_is_only_a_name(name, place):
    html = page_of(SMALL.format(name=quoted(name), place=quoted(place)))
    root = parsed(html)
    assert not [each for each in root.iter() if each.tag in (XHTML + "script", XHTML + "img")]
    assert not [key for each in root.iter() for key in each.attrib if str(key).startswith("on")]
    assert "{{ 7 * 7 }}" in in_words(root) and "<script" not in html


@pytest.mark.parametrize("name", ["x" * 2000, "حمام الضيوف", "wet\troom", "a & b < c"])
def test_any_name_makes_a_page(name):
    assert " ".join(name.split())[:40] in in_words(parsed(page_of(SMALL.format(name=quoted(name), place="wall"))))


def test_options_stand_one_after_another_with_drawings_of_their_own():
    loaded = shelf()
    from validator.assembly import read_assembly
    from validator.judging.checking import check

    text = (
        SMALL.format(name="Two ways", place="wall")
        + "    options:\n      A: {height above drain: 72 in}\n      B: {height above drain: 80 in}\n"
    )
    each = read_assembly(text, "a.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    root = parsed(page(each, [check(one, loaded) for one in each], loaded))
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
    assert sum(one.tag == XHTML + "main" for one in root.iter()) == 2


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1."""
    if len(colour) == 4:
        colour = "#" + "".join(2 * c for c in colour[1:])
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_letters_stand_out_from_their_ground():
    """WCAG AA asks 4.5 to 1; the darkest ground that dark letters stand on is that of a table's head."""
    css = "".join(path.read_text() for path in sorted(TEMPLATES.glob("*.css")))
    inks = set(re.findall(r"(?<![-\w])color: (#[0-9a-f]{3,6})", css)) - {"#fff"}
    ground = min(luminance("#fff"), luminance("#eee"))
    for ink in inks:
        assert (ground + 0.05) / (luminance(ink) + 0.05) >= 4.5, ink
    assert (luminance("#fff") + 0.05) / (luminance("#111") + 0.05) >= 4.5


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_balloons_and_findings_lead_to_each_other(path):
    root = parsed(page_of(path))
    ids = {each.get("id") for each in root.iter() if each.get("id")}
    balloons = [each for each in root.iter() if each.get("class") == "balloon"]
    for each in balloons:
        assert each.get("href").removeprefix("#") in ids
    back = [each.get("href").removeprefix("#") for each in root.iter(XHTML + "a") if "mark" in (each.get("class") or "").split()]
    assert set(back) <= ids
    assert {each.split("-at-")[1] for each in back} == {each.get("data-number") for each in balloons}
    assert balloons or not re.search(r'id="part1-[DRN]\d+"', page_of(path))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_places_where_something_fails_come_first(path):
    _, report, _ = judged(path)
    root = parsed(page_of(path))
    places = next(each for each in root.iter() if each.get("class") == "places")
    worst = []
    for section in places.findall(XHTML + "section"):
        kinds = {each.get("class") for each in section.iter(XHTML + "article")}
        worst.append(0 if "item fail" in kinds else 1 if "item warn" in kinds else 2)
    assert worst == sorted(worst)
    assert (worst[0] == 0) == (report.counts.failed > 0)


def test_many_questions_of_a_place_are_folded_and_few_stand_open():
    for path in SAMPLES:
        questions = {mark.number for mark in judged(path)[2] if mark.question is not None}
        for section in parsed(page_of(path)).iter(XHTML + "section"):
            items = [each for each in section.iter(XHTML + "article") if each.get("id").split("-")[1] in questions]
            folded = [each for fold in section.iter(XHTML + "details") for each in fold.findall(XHTML + "article")]
            assert folded == (items if len(items) > 3 else [])


def test_what_passes_is_the_last_thing_of_a_page():
    headings = [in_words(each) for each in parsed(page_of(SAMPLES[0])).iter(XHTML + "h2")]
    assert headings[-1] == "Appendix: what passes"
