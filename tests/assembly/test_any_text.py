"""Whatever is written, an assembly is read or its slips are told: never a traceback."""

import json

import pytest
from examples import examples_of
from hypothesis import strategies as st
from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)

TEXT = """\
assembly: Hall bath
use: {building: house, code family: residential}
framing:
  floor: {joist: 2x10, spacing: 16 in, span: 13 to 14 ft}
  walls: {material: wood}
places:
  shower floor:
    on: floor
    room: bath
    drain: {kind: bonded flange}
    built up:
      - subfloor panel: {category: 23/32, name: lower, shown by: photo 2}
      - subfloor panel: plywood
      - not known
      - foam pan: Harrow shower pan
      - tile: {size: 2 x 2 in}
  back wall:
    kind: shower wall
    on: [walls]
    waterproofing: none
    built up:
      - board: {product: Harrow foam board, thickness: 5/8 in}
      - screws: {length: 1-5/8 in}
      - tile mortar: {meets: [A118.4, A118.11], contact: varies 80 to 95 %}
      - tile: porcelain or glass
    parts:
      above window: {nothing else: yes}
    options:
      A: {height above drain: 84 in}
      B: {niche: foam}
  side walls: {like: back wall}
  curb: {height above drain: about 4 in}
everywhere in:
  bath: [grout: {joint: 1/8 in}]
junctions:
  board seams: {tape: Harrow seam tape, shown by: {tape: [photo 3, label], all others: none}, back wall: {tape: none}}
  inside corners: {back wall to side walls: {sealant bead: 3/8 in}}
  top edge: {kind: outside corners, at: back wall, sealed: yes}
  all others: none
records: {flood test: {held: 24 h}, mock-up: none}
shown by: submittal 3
seen on site: [a crack at the door]
written out in full: no
"""
WORDS = sorted({word for line in TEXT.splitlines() for word in line.replace("-", " ").split()})
PIECES = [*WORDS, "none", "?", "yes", "or none", "[]", "{}", "- ", ": ", "\n", "    ", "1/0 in", "A118.4", "\u00bd in", "to", "-1 in", "9" * 40 + " in"]


def read_or_refuse(text: str) -> None:
    try:
        read_assembly(text, "any.yaml", VOCABULARY, CATALOGUE)
    except BadAssembly as bad:
        assert bad.complaints
        for complaint in bad.complaints:
            assert complaint.what
            assert complaint.where.file == "any.yaml"


def test_the_text_that_is_varied_is_sound_itself():
    assert [each.option for each in read_assembly(TEXT, "any.yaml", VOCABULARY, CATALOGUE).options] == ["A", "B"]


@st.composite
def slips(draw) -> str:
    text = TEXT
    for _ in range(draw(st.integers(1, 4))):
        lines = text.split("\n")
        at = draw(st.integers(0, len(lines) - 1))
        line = lines[at]
        piece = draw(st.sampled_from(PIECES))
        cut = draw(st.integers(0, len(line)))
        end = draw(st.integers(cut, min(len(line), cut + 12)))
        how = draw(st.integers(0, 4))
        if how == 0:
            del lines[at]
        elif how == 1:
            lines.insert(at, line)
        elif how == 2:
            lines[at] = line[:cut] + piece + line[end:]
        elif how == 3:
            lines[at] = line.replace(draw(st.sampled_from(WORDS)), piece)
        else:
            lines[at] = line[: len(line) - len(line.lstrip())] + draw(st.sampled_from(TEXT.split("\n"))).strip()
        text = "\n".join(lines)
    return text


@examples_of(slips(), few=60, many=1_000)
def test_a_text_with_slips_is_read_or_refused_in_words(text):
    read_or_refuse(text)


NODES = st.recursive(
    st.sampled_from(PIECES),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*WORDS, "built up", "all others"]), inner, max_size=4),
    max_leaves=12,
)
FORMS = ("use", "framing", "places", "junctions", "records", "everywhere in", "seen on site", "written out in full", "options", "assembly")


@examples_of(st.tuples(st.dictionaries(st.sampled_from(FORMS), NODES), NODES), few=60, many=1_000)
def test_any_shape_of_json_is_read_or_refused_in_words(made):
    whole, place = made
    read_or_refuse(json.dumps({"places": {"shower wall": place}, **whole}))


@pytest.mark.parametrize("text", ["[]", "{}", "places", "places:", "places: {a: }", "places: {a: {built up: }}", "- places", "~", "''"])
def test_a_scrap_is_refused_or_read(text):
    read_or_refuse(text)
