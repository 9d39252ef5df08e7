"""The smallest changes that leave no fail: found, never larger than need be, and true when read again from their file."""

import random
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import pytest
from mended import SOUND, WALL, draft, every_change, fails, fails_in_a_table, mutated, wall
from paths import ROOT

from validator.advising.mending import MOST_CHANGES, Allowed, MendResult, holds, mend
from validator.advising.mending.alternatives import findings_of
from validator.advising.mending.changes import PRODUCT, Change, EditedAssembly, changed, unchanged
from validator.advising.mending.trials import Matter, Trial, TrialJudge
from validator.assembly.draft import Draft
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.language.source import BadAssembly, read_source
from validator.papers.mending import how_far, mending_lines


@pytest.fixture(scope="module")
def half_known_cleared(loaded: LoadedBook) -> MendResult:
    """What clears the half-known shower: the longest search of all."""
    return mend(draft(loaded, "half-known"), loaded, clear=True)


def bears_out(mended: MendResult, loaded: LoadedBook) -> bool:
    """Whether every alternative, written out and read again, leaves no fail."""
    for alternative in mended.alternatives:
        again = alternative.draft._replace(node=read_source(alternative.draft.text(), "again", []))
        if fails(again, loaded):
            return False
    return True


# -- by hand ------------------------------------------------------------------------------------------------------------------


def test_a_short_screw_is_mended_by_the_next_size_that_is_sold(loaded: LoadedBook) -> None:
    """Through a 1 in board and 5/8 in into the stud is 1-5/8 in, which is sold; a 5/8 in board leaves 5/8 in of 1-1/4 in."""
    mended = mend(wall(loaded, "1 in", "1-1/4 in"), loaded)
    sets = [[(change.fact, change.after) for change in each.changes] for each in mended.alternatives]
    assert sets[0] == [("screw.length", "1-5/8 in")]
    assert [("board.thickness", "5/8 in")] in sets


def test_the_limit_is_told_where_the_next_size_goes_beyond_it(loaded: LoadedBook) -> None:
    """Through 3/4 in: 1-3/8 in would do; 1-5/8 in is the next that is sold."""
    mended = mend(wall(loaded, "3/4 in", "1-1/4 in"), loaded)
    (change,), limits = mended.alternatives[0].changes, mended.alternatives[0].limits
    assert (change.fact, change.after) == ("screw.length", "1-5/8 in")
    assert limits == ("at least 1-3/8 in (35 mm)",)


@pytest.mark.parametrize("written", ["- greenboard", "- greenboard: 1/2 in", "- board: {material: greenboard}", "- board: greenboard"])
def test_a_board_is_changed_however_it_is_written(loaded: LoadedBook, written: str) -> None:
    """Paper-faced gypsum in a shower is no board for tile; the foam board of the catalogue is."""
    text = f"""\
assembly: A shower wall
use: {{code family: residential}}
framing: {{material: wood, spacing: 16 in}}
places:
  wall:
    kind: shower wall
    built up:
      {written}
      - tile mortar: {{kind: modified cement}}
      - tile: {{body: ceramic, size: 4 x 4 in}}
"""
    one = Draft(read_source(text, "a wall", []), "a wall", loaded.vocabulary, loaded.catalogue)
    start, changes = every_change(one, loaded)
    swap = next(change for change in changes if change.way == PRODUCT and change.fact == "board")
    (place,) = (each for each in changed(start, swap).page().assembly().subjects if each.name == "wall")
    assert [layer.known["board.material"].text for layer in place.layers["board"]] == ["foam"]
    other = next(change for change in changes if change.fact == "board.material" and change.after == "fiber cement")
    (place,) = (each for each in changed(start, other).page().assembly().subjects if each.name == "wall")
    assert [layer.known["board.material"].text for layer in place.layers["board"]] == ["fiber cement"]
    thickness = [layer.known["board.thickness"].text for layer in place.layers["board"] if "board.thickness" in layer.known]
    assert thickness == (["1/2 in"] if "1/2 in" in written else [])


def test_what_is_to_be_kept_is_kept(loaded: LoadedBook) -> None:
    kept = mend(wall(loaded, "1 in", "1-1/4 in"), loaded, allowed=Allowed(frozenset(["screw"])))
    assert kept.alternatives
    assert all(not change.fact.startswith("screw") for each in kept.alternatives for change in each.changes)
    neither = mend(wall(loaded, "1 in", "1-1/4 in"), loaded, allowed=Allowed(frozenset(["screw", "board", "framing"])))
    assert neither.alternatives == ()
    assert how_far(neither).startswith("Some of it cannot be mended by what may be changed. Taken as usual, because nobody wrote it: ")
    assert [(matter.place, matter.rule) for matter in neither.stuck] == [("wall", "board-screw-reaches-framing")]


TUB = """\
assembly: Tub wall
places:
  tub wall:
    kind: tub surround wall
    built up: [board: {material: plain gypsum}, tile mortar: {kind: MORTAR}, tile: {size: 12 x 24 in}]
"""


def tub(loaded: LoadedBook, mortar: str) -> Draft:
    return Draft(read_source(TUB.replace("MORTAR", mortar), "a tub", []), "a tub", loaded.vocabulary, loaded.catalogue)


def test_what_fails_only_as_told_is_mended(loaded: LoadedBook) -> None:
    """No report that allows the board is mentioned: strictly there could be one, as told there is none."""
    one = tub(loaded, "modified cement")
    before = check(one.assembly(), loaded)
    assert (before.counts.failed, before.as_told.failed) == (0, 1)
    mended = mend(one, loaded)
    assert mended.alternatives and all(each.report.as_told.failed == 0 for each in mended.alternatives)
    assert {change.fact.partition(".")[0] for each in mended.alternatives for change in each.changes} == {"board"}


@pytest.mark.parametrize("alone", [True, False], ids=["nothing bears on it", "what bears on it does not do"])
def test_what_cannot_be_mended_leaves_the_rest_mended(loaded: LoadedBook, alone: bool) -> None:
    keep = frozenset(["board", "membrane"] if alone else ["board"])
    mended = mend(tub(loaded, "mastic"), loaded, allowed=Allowed(keep))
    assert [matter.rule for matter in (mended.stuck if alone else mended.left)] == ["wet-wall-backer-is-made-for-water"]
    assert mended.alternatives and all(each.report.as_told.failed == 1 for each in mended.alternatives)
    assert {change.fact.partition(".")[0] for each in mended.alternatives for change in each.changes} == {"tile mortar"}
    assert how_far(mended).startswith("What no allowed change mends still fails")


def test_with_goods_only_a_board_is_changed_to_one_of_the_catalogue(loaded: LoadedBook) -> None:
    mended = mend(wall(loaded, "1 in", "1-1/4 in"), loaded, allowed=Allowed(frozenset(["screw"]), goods=True))
    of_boards = [c for each in mended.alternatives for c in each.changes if c.fact.partition(".")[0] == "board"]
    assert of_boards and all(change.way == PRODUCT and change.after == "Harrow foam board" for change in of_boards)


# The five mistakes with a board of 1 in in place of 1/2 in over plywood: the screw may be longer, or the board thinner.
THICK_BOARD = (ROOT / "samples" / "five-mistakes.yaml").read_text(encoding="utf-8").replace(
    "          thickness: 1/2 in\n          meets: ASTM C1178\n", "          thickness: 1 in\n          meets: ASTM C1178\n"
).replace("          passes through: 1/2 in       # plywood behind the board\n", "")  # fmt: skip


def test_the_easiest_alternative_comes_first(loaded: LoadedBook) -> None:
    mended = mend(draft(loaded, "five-mistakes")._replace(node=read_source(THICK_BOARD, "a shower", [])), loaded)
    efforts = [alternative.effort for alternative in mended.alternatives]
    assert len(efforts) > 1 and efforts == sorted(efforts)
    assert mended.smallest == 2


def test_a_sound_shower_needs_nothing(loaded: LoadedBook) -> None:
    mended = mend(draft(loaded, "second-floor-shower"), loaded)
    assert (mended.alternatives, mended.tried) == ((), 0)
    told = [line for line, _ in mending_lines("A shower", mended, loaded.book, 80)]
    assert told[-1] == "Nothing has to be changed."


def test_a_change_that_brings_a_new_warning_says_so(loaded: LoadedBook) -> None:
    for sample in ("five-mistakes", "tub-surround", "cold-climate-deck", "upstairs-stone-floor"):
        one = draft(loaded, sample)
        before = {(f.rule, f.place) for f in check(one.assembly(), loaded).findings if f.outcome == "warn"}
        for each in mend(one, loaded).alternatives:
            after = {(f.rule, f.place): f.title for f in each.report.findings if f.outcome == "warn"}
            assert {title for title, _ in each.new_warns} == {title for key, title in after.items() if key not in before}


def test_clearing_says_what_an_open_fact_would_have_to_be(loaded: LoadedBook) -> None:
    """The shower is sound but for a screw whose length nobody wrote: 1/2 in of board and 5/8 in of stud ask 1-1/8 in."""
    one = draft(loaded, "second-floor-shower")
    text = one.text().replace("          length: 1-5/8 in\n", "")
    unsaid = one._replace(node=read_source(text, "a shower", []))
    assert mend(unsaid, loaded).tried == 0
    cleared = mend(unsaid, loaded, clear=True)
    assert cleared.smallest == 1
    assert {(c.fact, c.before) for each in cleared.alternatives for c in each.changes} == {("screw.length", "not stated")}
    assert holds(cleared.alternatives[0].report, True)


# -- every mutation -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("many", [1, pytest.param(6, marks=pytest.mark.thorough)])
@pytest.mark.parametrize("sample", SOUND)
def test_every_mutation_is_undone_by_one_change_and_holds_when_read_again(loaded: LoadedBook, sample: str, many: int) -> None:
    cases = mutated(sample, loaded, seed=11, most=many)
    assert len(cases) == many
    for change, page in cases:
        mended = mend(page, loaded)
        assert mended.smallest == 1, f"{change.fact} {change.before} -> {change.after}"
        assert bears_out(mended, loaded)


@pytest.mark.thorough
def test_two_mutations_need_no_more_than_two_and_never_a_larger_set_first(loaded: LoadedBook) -> None:
    """Against brute force: where two are given, none of very many single changes anywhere in the assembly works."""
    first, second = (change for change, _ in mutated("liner-and-mud-shower", loaded, seed=1, most=2))
    start, _ = every_change(draft(loaded, "liner-and-mud-shower"), loaded)
    page = changed(changed(start, first), second).page()
    mended = mend(page, loaded)
    assert 1 <= mended.smallest <= 2
    assert bears_out(mended, loaded)
    alone, changes = every_change(page, loaded)
    random.Random(5).shuffle(changes)
    back = [change for change in changes if change.fact in (first.fact, second.fact)]
    changes = [*back, *changes[:100]]
    single = any(works(alone, (change,), loaded) for change in changes)
    assert mended.smallest == (1 if single else 2)


def works(start: EditedAssembly, changes: tuple[Change, ...], loaded: LoadedBook) -> bool:
    state = start
    try:
        for change in changes:
            state = changed(state, change)
        return not fails(state.page(), loaded)
    except BadAssembly:
        return False


def test_a_small_wall_is_mended_as_by_trying_every_set(loaded: LoadedBook) -> None:
    """Every set of one, then of two, over what the wall could have changed, read anew each time."""
    one = wall(loaded, "2 in", "3/4 in")
    mended = mend(one, loaded)
    start, changes = every_change(one, loaded)
    changes = [change for change in changes if change.fact.partition(".")[0] in ("board", "screw")]
    least = next(
        size for size in (1, 2)
        if any(works(start, each, loaded) for each in combinations(changes, size) if len({c.conflict_key for c in each}) == size)
    )  # fmt: skip
    assert mended.smallest == least


# -- the command --------------------------------------------------------------------------------------------------------------


def run(*words: str) -> subprocess.CompletedProcess:
    return subprocess.run([sys.executable, "-m", "validator", *words], cwd=ROOT, capture_output=True, encoding="utf-8")


def test_the_command_writes_each_alternative_and_check_reads_it(tmp_path: Path) -> None:
    (tmp_path / "thick.yaml").write_text(THICK_BOARD, encoding="utf-8")
    told = run("mend", str(tmp_path / "thick.yaml"), "--write", str(tmp_path / "mended.yaml"))
    assert told.returncode == 0
    assert "back wall; side walls: screw length 1-1/4 in, then 1-5/8 in" in told.stdout
    assert "No set of fewer than 2 of the allowed changes works" in told.stdout
    for name in ("mended.yaml", "mended-2.yaml", "mended-3.yaml"):
        assert run("check", str(tmp_path / name)).returncode == 0


def test_a_slip_in_what_to_keep_is_said() -> None:
    told = run("mend", "samples/five-mistakes.yaml", "--keep", "bord")
    assert told.returncode == 2
    assert "did you mean `board`?" in told.stderr


SAMPLES = sorted(path.stem for path in (ROOT / "samples").glob("*.yaml") if path.stem != "half-known")


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(seed, marks=pytest.mark.thorough) for seed in range(2, 40))])
def test_what_is_offered_for_any_assembly_holds_when_it_is_read_again(loaded: LoadedBook, seed: int) -> None:
    """A sample with some of its lines changed at random: each alternative read again comes to what was promised of it."""
    rng = random.Random(seed)
    one, clear = draft(loaded, rng.choice(SAMPLES)), rng.random() < 1 / 3
    for _ in range(rng.randint(1, 4)):
        start, changes = every_change(one, loaded)
        page = changed(start, rng.choice([change for change in changes if not change.way])).page()
        try:
            page.assembly()
            one = page
        except BadAssembly:
            continue
    mended = mend(one, loaded, clear=clear)
    before = check(one.assembly(), loaded, passes=False)
    warned = {(f.rule, f.place) for f in findings_of(before, clear) if f.outcome == "warn"}
    for alternative in mended.alternatives:
        again = alternative.draft._replace(node=read_source(alternative.draft.text(), "again", []))
        report = check(again.assembly(), loaded, passes=False)
        assert holds(report, clear)
        assert report.outcome == alternative.report.outcome
        new = [(f.title, f.place) for f in findings_of(report, clear) if f.outcome == "warn" and (f.rule, f.place) not in warned]
        assert sorted(alternative.new_warns) == sorted(new)
        assert len(alternative.changes) >= min(mended.looked, mended.smallest)
    two_ways = any("said-two-ways" in item.rules for item in before.open_items)
    assert mended.alternatives or mended.stuck or mended.looked > 1 or holds(before, clear) or two_ways


# -- what nobody said ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("one_of", [30, pytest.param(3, marks=pytest.mark.thorough)])
def test_a_half_known_shower_is_told_all_that_has_to_be_found_out(loaded: LoadedBook, half_known_cleared: MendResult, one_of: int) -> None:
    """Too many changes for the smallest to be proved; what is offered holds all the same, and none of it can be left out."""
    one, mended = draft(loaded, "half-known"), half_known_cleared
    (alternative,) = mended.alternatives
    assert len(alternative.changes) > 20
    again = one._replace(node=read_source(alternative.draft.text(), "again", []))
    assert holds(check(again.assembly(), loaded, passes=False), True)
    assert how_far(mended).startswith("Too many changes are needed")
    for change in alternative.changes[::one_of]:
        fewer = unchanged(one, one.assembly())
        for each in alternative.changes:
            fewer = changed(fewer, each) if each is not change else fewer
        assert not holds(check(fewer.page().assembly(), loaded, passes=False), True), change.fact


def test_what_is_found_out_is_the_least_work_and_is_told_with_its_limit(loaded: LoadedBook) -> None:
    """A half-inch board and 5/8 in into wood: 1-1/8 in, by hand; 1-1/4 in is the next that is sold."""
    text = WALL.replace("BOARD", "1/2 in").replace("length: SCREW, ", "")
    unsaid = Draft(read_source(text, "a wall", []), "a wall", loaded.vocabulary, loaded.catalogue)
    mended = mend(unsaid, loaded, clear=True)
    first = mended.alternatives[0]
    ((change, limit),) = [(c, limit) for c, limit in zip(first.changes, first.limits) if c.fact == "screw.length"]
    assert (change.before, change.how, change.effort) == ("not stated", "find it out", 0)
    assert limit.startswith("1-1/4 in") and limit.endswith("or more")
    told = [line for line, _ in mending_lines("A wall", mended, loaded.book, 120, clear=True)]
    assert any("wall: screw length, not written: has to be 1-1/4 in (1-1/4 in (32 mm) or more does)" in line for line in told)


def test_what_fails_for_sure_is_mended_by_work_and_not_by_a_kinder_load(loaded: LoadedBook) -> None:
    """Joists too long for the 40 psf that nobody wrote down: no load is found out, and no grade that makes the sum impossible."""
    joists = "{material: wood, joist: 2x8, species: spruce-pine-fir, grade: no. 2, spacing: 16 in, span: 14 ft}"
    text = f"""\
assembly: A floor
use: {{code family: residential}}
framing: {joists}
places:
  floor:
    kind: room floor
    nothing else: yes
    built up:
      - subfloor panel: {{material: plywood, category: 1-1/8}}
      - tile mortar: {{kind: modified cement}}
      - tile: {{body: porcelain, size: 12 x 12 in}}
      - grout
"""
    one = Draft(read_source(text, "a floor", []), "a floor", loaded.vocabulary, loaded.catalogue)
    assert [f.rule for f in check(one.assembly(), loaded).findings if f.outcome == "fail"] == ["joists-hold-the-finish-straight"]
    for clear in (False, True):
        mended = mend(one, loaded, clear=clear)
        changes = [change for each in mended.alternatives for change in each.changes]
        assert any(change.fact in ("framing.span", "framing.joist") for change in changes)
        assert not {change.fact for change in changes} & {"framing.live load", "framing.dead load"}
        for each in mended.alternatives:
            assert "joists-hold-the-finish-straight" not in {rule for item in each.report.open_items for rule in item.rules}


def test_nobody_is_told_to_keep_no_record(loaded: LoadedBook, half_known_cleared: MendResult) -> None:
    (alternative,) = half_known_cleared.alternatives
    records = {thing.name for thing in loaded.vocabulary.things.values() if thing.sort == "record"}
    said = [(change.fact, change.after) for change in alternative.changes if change.fact.partition(".")[0] in records]
    assert said and "none" not in [after for _, after in said]


def test_an_assembly_that_only_leaves_much_open_is_not_called_right(loaded: LoadedBook, half_known_cleared: MendResult) -> None:
    assert how_far(mend(draft(loaded, "half-known"), loaded)).startswith("Nothing that is written fails")
    assert how_far(half_known_cleared, clear=True).startswith("Too many changes are needed")


# -- very many at once --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sample", "clear"),
    [
        ("five-mistakes", False), ("tub-surround", True),
        *(pytest.param(sample, clear, marks=pytest.mark.thorough) for sample in ("cold-climate-deck", "upstairs-stone-floor") for clear in (False, True)),
        pytest.param("five-mistakes", True, marks=pytest.mark.thorough), pytest.param("tub-surround", False, marks=pytest.mark.thorough),
    ],
)  # fmt: skip
def test_a_table_of_changes_comes_to_what_each_comes_to_alone(loaded: LoadedBook, sample: str, clear: bool, monkeypatch) -> None:
    """Every change of a line anywhere, and each again after another one was made."""
    start, changes = every_change(draft(loaded, sample), loaded)
    judge, rng = TrialJudge(loaded, clear), random.Random(9)
    lines = [change for change in changes if change.is_of_a_line]
    states = [start, *(changed(start, change) for change in rng.sample(lines, 3))]
    trials = []
    for state in states:
        failing = judge.failing(state.subjects.values(), judge.rules.values())
        first = min(failing) if failing else Matter(next(iter(state.subjects)), next(iter(judge.rules)))
        trials += [Trial(state, failing, change, first) for change in lines if state is start or rng.random() < 0.2]
    assert len(trials) >= 100
    alone = [judge.results([trial], last=False)[0].failing for trial in trials]
    monkeypatch.setattr("validator.advising.mending.trials.MANY", 1)
    together = judge.results(trials, last=False)
    assert sum(1 for tried in together if tried.state is None) > len(trials) / 2
    assert [tried.failing for tried in together] == alone


def test_without_the_library_of_tables_every_change_is_tried_alone(loaded: LoadedBook, monkeypatch) -> None:
    monkeypatch.setattr("validator.advising.mending.trials.MANY", 1)
    with_tables = mend(draft(loaded, "five-mistakes"), loaded)
    monkeypatch.setitem(sys.modules, "polars", None)
    without = mend(draft(loaded, "five-mistakes"), loaded)
    sets = [[[(c.fact, c.after) for c in each.changes] for each in mended.alternatives] for mended in (without, with_tables)]
    assert sets[0] == sets[1]
    assert without.tried == with_tables.tried > 1


def test_no_pair_of_changes_works_where_three_are_said_to_be_needed(loaded: LoadedBook) -> None:
    """By brute force: every pair of the values that the lines of a wall may have, as one table of variants."""
    text = WALL.replace("BOARD", "1 in").replace("SCREW", "1-1/4 in").replace("contact: 95 %", "contact: 60 %").replace("1/8 in}", "1/32 in}")
    one = Draft(read_source(text, "a wall", []), "a wall", loaded.vocabulary, loaded.catalogue)
    assert mend(one, loaded).smallest == 3
    start, changes = every_change(one, loaded)
    (place,) = (subject for subject in start.subjects.values() if subject.sort == "place")
    lines = [change for change in changes if change.is_of_a_line]
    sets = [pair for pair in combinations(lines, 2) if pair[0].conflict_key != pair[1].conflict_key]
    assert len(sets) > 1000
    failing = fails_in_a_table(place, sets, loaded)
    assert failing.all()
    (mended, *_) = mend(one, loaded).alternatives
    assert not fails_in_a_table(place, [mended.changes], loaded)[0]


def test_where_too_much_fails_nothing_is_said_to_be_right(loaded: LoadedBook) -> None:
    mended = mend(draft(loaded, "cold-climate-deck"), loaded, clear=True)
    assert how_far(mended) != "Nothing has to be changed."
    assert mended.looked > MOST_CHANGES
