"""What people say is heard as they mean it: whole descriptions in loose words, and each loose way beside the plain one.

The descriptions stand in tests/said, as different people write them, with what a practitioner expects of each beside them
in expected.yaml. A loose word may widen what is possible; it never picks.
"""

from pathlib import Path

import pytest
import yaml

from validator.assembly import read_assembly, read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.language.source import BadAssembly

SAID = Path(__file__).parent / "said"
EXPECTED = yaml.safe_load((SAID / "expected.yaml").read_text(encoding="utf-8"))
FLOOR = "assembly: a floor\nplaces:\n  floor:\n    kind: room floor\n    built up:\n"
WALL = "assembly: a wall\nplaces:\n  wall:\n    kind: shower wall\n    built up:\n"
PLACE = "assembly: a place\nplaces:\n  place:\n    built up:\n"
SHOWER = "assembly: a shower\nplaces:\n  shower floor:\n    built up:\n"

# The loose way, and the plain one that says the same.
SAME = [
    (WALL, "      - cement board: 1/2 in\n", "      - board:\n          material: cement\n          thickness: 1/2 in\n"),
    (WALL, "      - board: 1/2 in cement board\n", "      - board:\n          material: cement\n          thickness: 1/2 in\n"),
    (FLOOR, "      - plywood: 3/4 in\n", "      - subfloor panel:\n          material: plywood\n          thickness: 3/4 in\n"),
    (FLOOR, "      - 3/4 in plywood\n", "      - subfloor panel:\n          material: plywood\n          thickness: 3/4 in\n"),
    (WALL, "      - 3/4 in plywood\n", "      - board:\n          material: plywood\n          thickness: 3/4 in\n"),
    (WALL, "      - drywall board\n", "      - board: plain gypsum or water-resistant gypsum\n"),
    (WALL, "      - vapor barrier: 6 mil\n", "      - vapour retarder:\n          thickness: 6 mil\n"),
    (WALL, "      - sheet membrane:\n          lap: 2 in\n", "      - membrane:\n          kind: sheet\n          seam lap: 2 in\n"),
    (WALL, "      - tile: 3 x 6 in ceramic\n", "      - tile:\n          body: ceramic\n          size: 3 x 6 in\n"),
    (WALL, "      - tile: ceramic 3 x 6 in\n", "      - tile:\n          body: ceramic\n          size: 3 x 6 in\n"),
    (WALL, "      - mosaic tile\n", "      - tile:\n          format: mosaic\n"),
    (WALL, "      - tile: marble\n", "      - tile:\n          body: stone\n          stone kind: marble\n"),
    (WALL, "      - tile:\n          stone: slate\n", "      - tile:\n          body: stone\n          stone kind: slate\n"),
    (WALL, "      - thinset: A118.4\n", "      - tile mortar:\n          kind: unmodified cement or modified cement\n          meets: A118.4\n"),
    (WALL, "      - thinset: white\n", "      - tile mortar:\n          kind: unmodified cement or modified cement\n          color: white\n"),
    (WALL, "      - screws: 1-5/8 in\n", "      - screw:\n          length: 1-5/8 in\n"),
    (WALL, "      - grout: 1/8 in\n", "      - grout:\n          joint: 1/8 in\n"),
    (FLOOR, "      - subfloor: 3/4 in plywood\n", "      - subfloor panel:\n          material: plywood\n          thickness: 3/4 in\n"),
    (FLOOR, "      - subfloor: 3/4 plywood\n", "      - subfloor panel:\n          material: plywood\n          category: 3/4\n"),
    (FLOOR, "      - uncoupling membrane\n", "      - isolation membrane: uncoupling mat\n"),
    (FLOOR, "      - gypsum pour: 1 in\n", "      - self-leveling underlayment:\n          base: gypsum\n          thickness: 1 in\n"),
    (FLOOR, "      - radiant tubing\n", "      - heat: water pipes\n"),
    (FLOOR, "      - slab:\n          cracks: none\n", "      - slab:\n          cracks: uncracked\n"),
    (FLOOR, "      - slab:\n          kind: on-grade\n", "      - slab: on ground\n"),
    (SHOWER, "      - preslope\n      - PVC liner: 40 mil\n      - mud bed: 2 in\n",
     "      - pre-slope\n      - liner:\n          material: PVC\n          thickness: 40 mil\n      - mortar bed:\n          thickness: 2 in\n"),
    (SHOWER, "      - lead pan: 4 psf\n", "      - liner:\n          material: lead\n          weight: 4 psf\n"),
    (SHOWER, "      - tile\n    slope: flat\n", "      - tile\n    fall: 0 in per ft\n"),
    (SHOWER, "      - tile\n    bench:\n      material: 2x4\n      pitch: level\n", "      - tile\n    bench:\n      material: wood\n      fall: 0 in per ft\n"),
    (FLOOR, "      - tile:\n          pattern: half offset\n", "      - tile:\n          pattern: offset\n          offset: 1/2\n"),
    (FLOOR, "      - tile:\n          pattern: third offset\n", "      - tile:\n          pattern: offset\n          offset: 1/3\n"),
    (FLOOR, "      - tile:\n          pattern: half offset\n", "      - tile:\n          offset: half\n          pattern: half offset\n"),
    (FLOOR, "      - tile:\n          material: porcelain\n", "      - tile: porcelain\n"),
    (FLOOR, "      - grout: sanded\n", "      - grout:\n          sanded: yes\n"),
    (FLOOR, "      - unsanded grout\n", "      - grout:\n          sanded: no\n"),
    (WALL, "      - red liquid membrane\n", "      - membrane: liquid\n"),
    (WALL, "      - blue board: cement\n", "      - board: cement\n"),
    (WALL, "      - board: cement\n      - screws\n", "      - board: cement\n      - screw: board screw or wood screw or steel-framing screw or drywall screw\n"),
    (WALL, "      - board: cement\n      - screws: roofing nails\n", "      - board: cement\n      - roofing nails\n"),
    (WALL, "      - tile:\n          size: don't know\n", "      - tile\n"),
    (WALL, "      - dunno\n      - tile\n", "      - not known\n      - tile\n"),
    (SHOWER, "      - tile\n    curbless: yes\n", "      - tile\n    curb: none\n"),
    (SHOWER, "      - tile\n    curbless: no\n", "      - tile\n    curb: there\n"),
    (SHOWER, "      - tile\n    curbless: skip\n", "      - tile\n"),
    (WALL, "      - tile\n      - waterproofing: none\n", "      - tile\n    waterproofing: none\n"),
    (FLOOR, "      - tile\n    code: IRC\n", "      - tile\nuse: {code: IRC}\n"),
    (FLOOR, "      - joists: 2x10 @ 16\n      - 3/4 plywood\n", "      - 3/4 plywood\nframing: {joist: 2x10, spacing: 16 in}\n"),
    (FLOOR.replace("assembly:", "name:"), "      - tile\n", "      - tile\n"),
]  # fmt: skip

# What could be two things is refused, and the complaint says how to write either.
TOLD = [
    (PLACE, "      - plywood: 3/4 in\n", "`board: plywood` (wall or backer board) or `subfloor panel: plywood`"),
    (FLOOR, "      - mastic\n", "`existing finish: mastic` (a finish that stays under the new work) or `tile mortar: mastic`"),
    (WALL, "      - tile: 12 x 24 in woodlook\n", "of `12 x 24 in woodlook` nothing reads `woodlook`"),
    (WALL, "      - membrane: liquid and sheet\n", "`or` says that it is one of them"),
    (FLOOR, "      - tile:\n          offset: 1/3\n          pattern: half offset\n", "`pattern` says half offset, but above it is 1/3"),
    (FLOOR, "      - tile:\n          pattern: half offset\n          offset: 1/3\n", "`offset` says 1/3, but above it is half offset"),
    (FLOOR, "      - tile\n    span: 12 ft\n", "it belongs under `framing:`, in the run that the place is `on`"),
    (FLOOR, "      - tile\n    species: SPF\n", "it belongs under `framing:`"),
    (FLOOR, "      - tile\nstuds:\n  spacing: 16 in\n", "`studs` is not a key of an assembly. Accepted: it belongs under `framing:`"),
    (FLOOR, "      - tile\nshower floor:\n  built up: [tile]\n", "it belongs under `places:`"),
    (SHOWER, "      - tile\n    curbless: 2 in\n", "`curbless` is yes or no"),
    (FLOOR, "      - no epoxy grout\n", "`no epoxy grout` is not a layer of the vocabulary"),
]  # fmt: skip


def reported(name: str, loaded: LoadedBook) -> Report:
    (assembly,) = read_assembly_file(SAID / f"{name}.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    return check(assembly, loaded)


def judged(source: str, loaded: LoadedBook) -> list[tuple]:
    (assembly,) = read_assembly(source, "a.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    report = check(assembly, loaded)
    return [(f.rule, f.place, f.outcome, f.would_be, f.found) for f in report.findings]


@pytest.mark.parametrize("name", EXPECTED)
def test_what_a_practitioner_sees_is_what_is_found(name: str, loaded: LoadedBook) -> None:
    assert {f.rule: f.outcome for f in reported(name, loaded).findings if f.outcome in ("fail", "warn")} == EXPECTED[name]["finds"]


@pytest.mark.parametrize("name", EXPECTED)
def test_what_a_practitioner_would_ask_is_asked(name: str, loaded: LoadedBook) -> None:
    assert set(EXPECTED[name]["asks"]) <= {item.fact for item in reported(name, loaded).open_items}


@pytest.mark.parametrize("name", EXPECTED)
def test_what_a_practitioner_would_never_ask_is_not_spoken_of(name: str, loaded: LoadedBook) -> None:
    spoken = {f.rule for f in reported(name, loaded).findings if f.outcome != "pass"}
    assert set(EXPECTED[name]["quiet"]) <= set(loaded.book.rules)
    assert spoken.isdisjoint(EXPECTED[name]["quiet"])


def test_each_description_has_what_is_expected_of_it() -> None:
    assert {path.stem for path in SAID.glob("*.yaml")} == {*EXPECTED, "expected"}


@pytest.mark.parametrize("head, loose, plain", SAME)
def test_a_loose_way_of_saying_it_is_judged_as_the_plain_one(head: str, loose: str, plain: str, loaded: LoadedBook) -> None:
    assert judged(head + loose, loaded) == judged(head + plain, loaded)


@pytest.mark.parametrize("head, loose, told", TOLD)
def test_what_could_be_two_things_is_refused_with_what_to_write(head: str, loose: str, told: str, loaded: LoadedBook) -> None:
    with pytest.raises(BadAssembly) as refused:
        read_assembly(head + loose, "a.yaml", loaded.vocabulary, loaded.catalogue)
    assert told in str(refused.value)


NAILS = "roofing-nails-are-long-enough"


@pytest.mark.parametrize(
    ("layers", "spoken"),
    [
        ("      - board: cement\n      - screws: 1-1/4 in\n", False),
        ("      - board: {material: cement, fixed with: screws}\n", False),
        ("      - board: {material: cement, fixed with: screws}\n      - fastener: 1-1/4 in\n", False),
        ("      - board: cement\n      - fastener: 1-1/4 in\n", True),
        ("      - board: cement\n      - screws: {kind: roofing nail, length: 1-1/4 in}\n", True),
        ("      - board: {material: cement, fixed with: nails}\n", True),
    ],
)
def test_what_is_fixed_with_screws_is_never_asked_about_roofing_nails(layers: str, spoken: bool, loaded: LoadedBook) -> None:
    (assembly,) = read_assembly(WALL + layers, "a.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    report = check(assembly, loaded)
    told = {finding.rule for finding in report.findings if finding.outcome != "pass"} | {rule for item in report.open_items for rule in item.rules}
    assert (NAILS in told) is spoken
