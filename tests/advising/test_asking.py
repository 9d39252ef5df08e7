"""The fewest questions that settle an assembly, what each answer would do, and that nothing else could change an outcome."""

import json
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from paths import ROOT

from validator.advising.asking import (
    Question,
    QuestionGroup,
    effects_of,
    groups_of,
    most_settling_first,
    questions_of,
    questions_to_prove,
)
from validator.advising.asking.questions import ALL_WRITTEN
from validator.advising.breakpoints import candidates_of
from validator.assembly import Assembly, read_assembly
from validator.assembly.draft import Draft, drafts_of
from validator.assembly.reading import fingerprint_of
from validator.engines.deciding import Judgement
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.engines.varying import judge_varying
from validator.facts import possible
from validator.facts.possible import STATED, Known
from validator.facts.subjects import with_fact
from validator.facts.vocabulary import THERE, Fact
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.editing import written
from validator.language.source import read_source
from validator.papers.asking import effect, letter_lines, question_lines
from validator.rulebook.dependencies import Dependencies
from validator.rulebook.formulas import facts_of
from validator.workings import WORKINGS

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
NEVER_SAID = re.compile(r"\b(approved|compliant|certified|void(ed)?|denied|guaranteed?|violations?|errors?)\b", re.IGNORECASE)

TUB = """\
assembly: A tub
use:
  code family: residential
framing:
  material: wood
places:
  tub walls:
    kind: tub surround wall
    nothing else: yes
    built up:
      - board:
          material: cement
          thickness: 1/2 in
          fixed with: screws
      - screws:
          kind: board screw
      - tile mortar
      - tile: {body: ceramic}
      - grout
junctions:
  all others: none
"""


def draft(loaded: LoadedBook, sample: str) -> Draft:
    return drafts_of(ROOT / "samples" / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)[""]


def tub(loaded: LoadedBook) -> Assembly:
    return read_assembly(TUB, "tub", loaded.vocabulary, loaded.catalogue)


def question(assembly: Assembly, loaded: LoadedBook, name: str) -> Question:
    return next(q for q in questions_to_prove(assembly, loaded) if q.fact.name == name)


# -- what is written ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_page_written_out_reads_back_as_the_same_page(path: Path, loaded: LoadedBook) -> None:
    (one,) = drafts_of(path, loaded.vocabulary, loaded.catalogue).values()
    assert fingerprint_of(read_source(one.text(), "again", [])) == fingerprint_of(one.node)


@pytest.mark.parametrize("text", ["1:48", "a: b", "- x", "say \"so\"", "95 %", "#10", "no", "~", "3/8 x 3/8 in", "über"])
def test_any_text_reads_back_as_it_was(text: str) -> None:
    page = read_source('a:\n  - b: "x"\n', "a test", [])
    (key, items), = page.pairs
    said = items.items[0].pairs[0][1]._replace(text=text)
    again = items.items[0]._replace(pairs=((items.items[0].pairs[0][0], said),))
    whole = page._replace(pairs=((key, items._replace(items=(again,))),))
    assert read_source(written(whole), "again", []).pairs[0][1].items[0].pairs[0][1].text == text


@pytest.mark.parametrize(
    ("name", "words", "line"),
    [
        ("screw.length", "2 in", "          length: 2 in"),
        ("grout.joint", "1/8 in", "          joint: 1/8 in"),
        ("tile mortar.kind", "epoxy", "          kind: epoxy"),
        ("framing.spacing", "16 in", "  spacing: 16 in"),
        ("job.freezing climate", "no", "  freezing climate: no"),
        ("place.height above drain", "80 in", "    height above drain: 80 in"),
        ("flood test.held", "24 h", "    held: 24 h"),
        ("membrane", "there", "      - membrane"),
        ("vapour retarder", "none", "    vapour retarder: none"),
    ],
)
def test_an_answer_is_written_where_its_thing_stands(loaded: LoadedBook, name: str, words: str, line: str) -> None:
    one = Draft(read_source(TUB, "tub", []), "tub", loaded.vocabulary, loaded.catalogue)
    subjects = one.assembly().subjects
    sort = "job" if name.startswith(("job", "flood")) else "place"
    after = one.said(next(s for s in subjects if s.sort == sort), name, words)
    assert line in after.text().splitlines()
    after.assembly()


def test_a_layer_that_is_added_stands_in_its_turn(loaded: LoadedBook) -> None:
    one = Draft(read_source(TUB, "tub", []), "tub", loaded.vocabulary, loaded.catalogue)
    after = one.said(one.assembly().subjects[0], "membrane", "there").text()
    assert after.index("- screws") < after.index("- membrane") < after.index("- tile mortar")


@pytest.mark.parametrize("line", ["membrane: none", "waterproofing: none"])
def test_a_line_that_says_there_is_none_makes_way_for_the_layer(loaded: LoadedBook, line: str) -> None:
    said = TUB.replace("    nothing else: yes\n", f"    {line}\n")
    one = Draft(read_source(said, "tub", []), "tub", loaded.vocabulary, loaded.catalogue)
    after = one.said(one.assembly().subjects[0], "membrane", "there")
    assert "      - membrane" in after.text().splitlines() and line not in after.text()
    after.assembly()


HALL = "places:\n  room floor:\n    built up:\n      - thinset\n      - foam pan\n{}"
PATTERNED = HALL.replace("foam pan", "subfloor panel").format("      - tile:\n          pattern: half offset\n")
NAMED = HALL.replace("foam pan", "subfloor panel").format("      - tile:\n          body: marble\n")


@pytest.mark.parametrize(
    ("written", "name", "words", "lines"),
    [
        (PATTERNED, "tile.offset", "1/3", ("          pattern: offset", "          offset: 1/3")),
        (PATTERNED, "tile.pattern", "straight", ("          pattern: straight",)),
        (NAMED, "tile.stone kind", "slate", ("          body: stone", "          stone kind: slate")),
    ],
)
def test_a_word_that_says_two_facts_says_its_own_once_the_other_is_said_anew(loaded, written, name, words, lines) -> None:
    one = Draft(read_source(written, "hall", []), "hall", loaded.vocabulary, loaded.catalogue)
    after = one.said(one.assembly().subjects[0], name, words)
    assert set(lines) <= set(after.text().splitlines())
    assert after.assembly().subjects[0].layers["tile"][0].known[name].text == words


def test_what_is_said_of_the_mortar_that_beds_a_pan_is_written_with_that_mortar(loaded: LoadedBook) -> None:
    written = HALL.replace("room floor", "shower floor").format("      - thinset\n      - tile\n")
    one = Draft(read_source(written, "pan", []), "pan", loaded.vocabulary, loaded.catalogue)
    after = one.said(one.assembly().subjects[0], "bedding mortar.contact", "95 %")
    assert "      - thinset:\n          contact: 95 %\n      - foam pan\n      - thinset\n" in after.text()
    (bed,) = after.assembly().subjects[0].layers["bedding mortar"]
    assert bed.known["bedding mortar.contact"].text == "95 %"


# -- the questions ------------------------------------------------------------------------------------------------------------


def test_nothing_is_asked_of_a_sound_shower(loaded: LoadedBook) -> None:
    assert questions_to_prove(draft(loaded, "second-floor-shower").assembly(), loaded) == ()


def test_the_question_that_settles_most_comes_first(half_known: tuple[Question, ...]) -> None:
    settled = [q.settles for q in half_known]
    assert settled == sorted(settled, reverse=True)
    assert settled[0] > 5


def test_an_amount_is_split_where_the_outcome_changes(loaded: LoadedBook) -> None:
    """A half-inch board and 5/8 in into wood: 1-1/8 in, by hand."""
    length = question(tub(loaded), loaded, "screw.length")
    by_says = {choice.says: choice for choice in length.choices}
    fails = [says for says, choice in by_says.items() if "board-screw-reaches-framing" in choice.fails]
    passes = [says for says, choice in by_says.items() if "board-screw-reaches-framing" in choice.passes]
    assert fails == ["less than 1-1/8 in (29 mm)"]
    assert all(says.startswith("at least 1-1/8 in") for says in passes[:1])


def test_the_question_about_waterproofing_offers_none_and_each_way(loaded: LoadedBook) -> None:
    shower = TUB.replace("tub surround wall", "shower wall").replace("    nothing else: yes\n", "")
    asked = question(read_assembly(shower, "a shower", loaded.vocabulary, loaded.catalogue), loaded, "place.waterproofed")
    by_says = {choice.says: choice for choice in asked.choices}
    assert {"none", "membrane", "vapour retarder"} <= set(by_says)
    assert "wet-places-are-waterproofed" in by_says["none"].fails


@pytest.fixture(scope="module")
def half_known(loaded: LoadedBook) -> tuple[Question, ...]:
    """All that would have to be asked to prove the half-known shower."""
    return questions_to_prove(draft(loaded, "half-known").assembly(), loaded)


@pytest.fixture(scope="module")
def half_known_looks(loaded: LoadedBook, half_known: tuple[Question, ...]) -> tuple[QuestionGroup, ...]:
    return most_settling_first(groups_of(half_known, loaded.vocabulary))


# -- as told --------------------------------------------------------------------------------------------------------------------


def test_what_is_asked_as_told_stands_in_the_order_of_the_report(loaded: LoadedBook) -> None:
    assembly = draft(loaded, "half-known").assembly()
    report = check(assembly, loaded, passes=False).as_told
    in_order = list(dict.fromkeys(fact for question in report.questions for fact in question.facts))
    asked = list(dict.fromkeys(q.fact.name for q in questions_of(assembly, loaded) if q.fact is not ALL_WRITTEN))
    assert asked == in_order
    assert len(asked) < len(questions_to_prove(assembly, loaded))


def test_nothing_is_asked_as_told_that_only_the_work_or_a_record_could_answer(loaded: LoadedBook) -> None:
    assembly = draft(loaded, "half-known").assembly()
    sure = [q for q in check(assembly, loaded, passes=False).as_told.questions if q.would_be]
    of_the_work = [q for q in sure if all(loaded.vocabulary.fact(name).known_from in ("work", "record") for name in q.facts)]
    # How far the membrane goes that is to stop the water: else what stops it would be asked of somebody who said so.
    assert [(q.facts, q.decides) for q in of_the_work] == [(("membrane.covers",), True)]
    assert len(sure) > 1


def test_the_first_question_says_what_an_answer_would_do(loaded: LoadedBook) -> None:
    """A half-inch board and 5/8 in into wood: under 1-1/8 in the screw fails, by hand."""
    assembly = tub(loaded)
    asked = [q for q in check(assembly, loaded, passes=False).as_told.questions if q.facts == ("screw.length",)]
    assert effects_of(asked, assembly, loaded) == ("less than 1-1/8 in (29 mm) fails.",)


# -- look by look ---------------------------------------------------------------------------------------------------------------


def test_what_is_seen_together_is_asked_together(half_known: tuple[Question, ...], half_known_looks: tuple[QuestionGroup, ...]) -> None:
    at_the_drain = next(group for group in half_known_looks if group.name == "drain")
    assert {"drain", "liner", "curb", "pre-slope"} <= {question.fact.thing for question in at_the_drain.questions}
    assert at_the_drain.of[0] == "drain"
    asked = [question for group in half_known_looks for question in group.questions]
    assert sorted(q.once for q in asked) == sorted(q.once for q in half_known)


def test_the_look_that_settles_most_comes_first(half_known_looks: tuple[QuestionGroup, ...]) -> None:
    settled = [group.settles for group in half_known_looks]
    assert settled == sorted(settled, reverse=True)


@pytest.mark.parametrize(
    ("sample", "seed"),
    [
        ("tub-surround", 1), pytest.param("tub-surround", 2, marks=pytest.mark.thorough),
        *(pytest.param(sample, seed, marks=pytest.mark.thorough) for sample in ("half-known", "cold-climate-deck") for seed in (1, 2)),
    ],
)  # fmt: skip
def test_the_first_three_looks_settle_at_least_half_of_what_is_open(loaded: LoadedBook, sample: str, seed: int) -> None:
    """Whatever is answered, except that all that is there is said to be written."""
    rng, one, asked_before = random.Random(seed), draft(loaded, sample), set()
    before = open_matters(one.assembly(), loaded)
    assert before > 10
    for _ in range(3):
        at = ""
        while (group := next_group(one, loaded, asked_before, at)) is not None:
            at, asked = group.name, group.questions[0]
            asked_before.add(asked.once)
            answer = "yes" if asked.fact is ALL_WRITTEN else an_answer(asked, rng, loaded)
            one = one.said(asked.subjects[0], asked.fact.name, answer)
    assert open_matters(one.assembly(), loaded) <= before / 2


def open_matters(assembly: Assembly, loaded: LoadedBook) -> int:
    """Rules open or waiting at each place, counted apart from the questions."""
    judged = (judgement for subject in assembly.subjects for judgement in judge_varying(loaded.engine, subject)[1])
    return sum(1 for each in judged if each.outcome in OPEN_OUTCOMES and each.compiled.rule.severity != "advice")


def next_group(one: Draft, loaded: LoadedBook, asked_before: set[object], at: str) -> QuestionGroup | None:
    """What is still to be asked at a look; before it is begun, the first of all looks."""
    left = [q for q in questions_to_prove(one.assembly(), loaded) if q.once not in asked_before]
    groups = most_settling_first(groups_of(left, loaded.vocabulary))
    return next((group for group in groups if at in ("", group.name)), None)


def test_a_question_whose_answers_settle_nothing_by_themselves_is_told_in_two_lines(loaded: LoadedBook, half_known_looks: tuple[QuestionGroup, ...]) -> None:
    told = [line for line, _ in question_lines("A shower", half_known_looks, loaded.book.rules, 400)]
    at = next(n for n, line in enumerate(told) if "How thick is the membrane's dry film?" in line)
    assert told[at + 1].strip().startswith("Look:") and told[at + 2].startswith("   ") and not told[at + 2].startswith("      ")


# -- what each answer would do --------------------------------------------------------------------------------------------------


def test_every_question_says_what_its_answers_do(loaded: LoadedBook, half_known: tuple[Question, ...]) -> None:
    for asked in half_known:
        assert all(effect(choice, loaded.book.rules) for choice in asked.choices)


@pytest.mark.parametrize("sample", ["half-known", "tub-surround"])
def test_the_letter_says_that_nothing_has_been_refused_and_asks_everything(loaded: LoadedBook, sample: str) -> None:
    questions = questions_to_prove(draft(loaded, sample).assembly(), loaded)
    letter = "\n".join(letter_lines("A shower", most_settling_first(groups_of(questions, loaded.vocabulary)), 78))
    assert "Nothing has been refused" in " ".join(letter.split())
    assert not NEVER_SAID.findall(letter)
    asked = set(re.findall(r"\d+\. (.*?)\? ", f"{' '.join(letter.split())} "))
    assert len(asked) > 10
    for question in questions:
        assert any(each.endswith(question.asks.partition("?")[0]) and all(p in each for p in question.places) for each in asked)


def test_a_letter_asks_once_what_is_asked_of_several_places(half_known_looks: tuple[QuestionGroup, ...]) -> None:
    letter = " ".join(" ".join(letter_lines("A shower", half_known_looks, 78)).split())
    assert letter.count("What is the tape over the seam or corner bedded in?") == 1
    assert "board seams, walls; inside corners, walls: What is the tape over the seam or corner bedded in?" in letter


def test_one_answer_may_say_that_all_is_written(loaded: LoadedBook, half_known: tuple[Question, ...]) -> None:
    first = half_known[0]
    assert first.asks == "Is everything that is there written down, so that what is not written is not there?"
    after = draft(loaded, "half-known").said(first.subjects[0], first.fact.name, "yes")
    assert "written out in full: yes" in after.text()
    assert first.fact.name not in {q.fact.name for q in questions_to_prove(after.assembly(), loaded)}


@pytest.mark.parametrize("sample", ["half-known", "tub-surround", "cold-climate-deck"])
def test_what_an_answer_is_said_to_do_is_what_it_does(loaded: LoadedBook, sample: str) -> None:
    """Of the first dozen questions: each answer written on the page, read again and judged whole."""
    one = draft(loaded, sample)
    for asked in questions_to_prove(one.assembly(), loaded)[:12]:
        for choice in asked.choices if not asked.fact.is_amount and not asked.fact.is_together else ():
            word = choice.says.split(" or ")[0]
            if word == "any other":
                continue
            came: dict[str, list[str]] = {}
            for subject in one.said(asked.subjects[0], asked.fact.name, word).assembly().subjects:
                for judgement in judge_varying(loaded.engine, subject)[1]:
                    came.setdefault(judgement.compiled.rule.name, []).append(judgement.outcome)
            assert all(Outcome.BREACH in came[rule] for rule in (*choice.fails, *choice.warns)), asked.fact.name
            passed = [rule for rule, outcomes in came.items() for each in outcomes if each in (Outcome.PASS, Outcome.BY_EXCEPTION)]
            assert all(passed.count(rule) >= choice.passes.count(rule) for rule in choice.passes), asked.fact.name


# -- answering ----------------------------------------------------------------------------------------------------------------


def an_answer(asked: Question, rng: random.Random, loaded: LoadedBook) -> str:
    """A word the fact may have, or an amount that a tape would show."""
    fact = asked.fact
    if fact.kind == "presence" or (fact.role and fact.concluded):
        return rng.choice([choice.says for choice in asked.choices])
    if fact.is_amount:
        return exact_amount(fact, rng, loaded)
    words = [word for choice in asked.choices for word in choice.says.split(" or ") if word in fact.words]
    return ("only " if fact.is_together else "") + rng.choice(words or fact.words or ["as written"])


def exact_amount(fact: Fact, rng: random.Random, loaded: LoadedBook) -> str:
    points = candidates_of(fact, fact.anything, loaded)
    rng.shuffle(points)
    for point in (*points, 0):
        said = amounts.show(max(point, 0), fact.kind, None, both=False)
        if possible.is_settled(fact, possible.read(fact, said).value):
            return said
    return "90 %"


@pytest.mark.parametrize(
    ("sample", "seed"),
    [
        ("upstairs-stone-floor", 1), ("metric-wet-room", 2),
        pytest.param("upstairs-stone-floor", 2, marks=pytest.mark.thorough), pytest.param("metric-wet-room", 1, marks=pytest.mark.thorough),
        *(pytest.param(sample, seed, marks=pytest.mark.thorough) for sample in ("tub-surround", "liner-and-mud-shower") for seed in (1, 2)),
    ],
)  # fmt: skip
def test_answering_every_question_leaves_nothing_open(loaded: LoadedBook, sample: str, seed: int) -> None:
    rng, one, asked_before = random.Random(seed), draft(loaded, sample), set()
    while questions := [q for q in questions_to_prove(one.assembly(), loaded) if q.once not in asked_before]:
        asked = rng.choice(questions)
        asked_before.add(asked.once)
        one = one.said(asked.subjects[0], asked.fact.name, an_answer(asked, rng, loaded))
    report = check(one.assembly(), loaded, passes=False)
    left = [item.fact for item in report.open_items]
    assert not left or {"said-two-ways"} >= {rule for item in report.open_items for rule in item.rules}, left


@pytest.mark.parametrize("sample", ["half-known", "tub-surround", "cold-climate-deck", "upstairs-stone-floor", "five-mistakes"])
def test_answering_what_is_not_asked_changes_no_outcome(loaded: LoadedBook, sample: str) -> None:
    """Of things that are surely there. What a sum takes as usual is said with its result; where a sum is asked for as a whole,
    its parts are another way to the same answer."""
    assembly, rng = draft(loaded, sample).assembly(), random.Random(7)
    asked = {q.fact.name for q in questions_to_prove(assembly, loaded)} & set(loaded.vocabulary.facts)
    derived = {each.fact.name for each in loaded.book.order}
    derived |= {part for name in asked for part in Dependencies(loaded.book).upstream_of(name)}
    same_as = [each.formula for each in loaded.book.order if getattr(each.formula, "how", "") == "same as"]
    derived |= {part for one in same_as for part in facts_of(one)}  # a second way to say what is said, and it may disagree
    taken = {each.fact for working in WORKINGS.values() for each in working.inputs if each.usual is not None or each.moves == "instead"}
    derived |= taken | {part for name in taken for part in Dependencies(loaded.book).upstream_of(name)}
    upstream = Dependencies(loaded.book).upstream_of
    for subject in assembly.subjects:
        found, before = judge_varying(loaded.engine, subject)
        outcomes = {j.compiled.rule.name: plain(j) for j in before if j.compiled.rule.severity != "advice"}
        for name in sorted(loaded.book.needed - asked - derived):
            fact = loaded.vocabulary.fact(name)
            leads = [loaded.vocabulary.fact(each).thing for each in loaded.book.needed if each != name and name in upstream(each)]
            if leads and all(found.vector[loaded.vocabulary.slot(thing)] != THERE for thing in leads):
                continue  # it speaks of a thing that may not be there, and that is asked first
            value = found.vector[loaded.vocabulary.slot(name)]
            there = found.vector[loaded.vocabulary.slot(fact.thing)] == THERE
            if fact.kind == "presence" or not there or not fact.stated or possible.is_settled(fact, value) or value is None:
                continue
            answer = known_answer(fact, value, rng, loaded)
            if answer is None:
                continue
            known, after = judge_varying(loaded.engine, with_fact(subject, name, answer, fact.thing))
            if known.disagreements:
                continue  # it cannot be so beside what is written, and that is asked by itself
            same = {j.compiled.rule.name: plain(j) for j in after if j.compiled.rule.severity != "advice"}
            assert same == outcomes, f"{name} at {subject.name}"


def plain(judgement: Judgement) -> str:
    """`nothing` is met either way, so that it may become a pass or not applicable without anything having changed."""
    clean = (Outcome.PASS, Outcome.BY_EXCEPTION, Outcome.NOTHING, Outcome.NOT_APPLICABLE)
    return "clean" if judgement.outcome in clean else str(judgement.outcome)


def known_answer(fact: Fact, value: object, rng: random.Random, loaded: LoadedBook) -> Known | None:
    if fact.is_amount:
        point = rng.choice(candidates_of(fact, value, loaded))
        return Known((point, point), STATED, "an answer") if value[0] <= point <= value[1] else None
    if fact.is_together:
        mask = possible.with_implied(fact, value[0] | 1 << rng.randrange(len(fact.words)))
        return Known((mask, mask), STATED, "an answer")
    if fact.is_word:
        return Known(1 << rng.choice([bit for bit in range(len(fact.words)) if value >> bit & 1]), STATED, "an answer")
    return Known(None, STATED, "an answer")


# -- the command --------------------------------------------------------------------------------------------------------------


def run(*words: str) -> subprocess.CompletedProcess:
    return subprocess.run([sys.executable, "-m", "validator", "ask", *words], cwd=ROOT, capture_output=True, encoding="utf-8")


def test_the_command_prints_the_first_three_looks_and_counts_the_rest() -> None:
    told = run("samples/half-known.yaml", "--strict")
    assert told.returncode == 0
    assert re.findall(r"^(\d+)\. ", told.stdout, re.MULTILINE) == ["1", "2", "3"]
    (more,) = re.findall(r"(\d+) further looks would settle less; --all prints every question\.", " ".join(told.stdout.split()))
    every = run("samples/half-known.yaml", "--strict", "--all")
    assert len(re.findall(r"^\d+\. ", every.stdout, re.MULTILINE)) == 3 + int(more)


def test_a_sound_shower_is_asked_nothing() -> None:
    told = run("samples/second-floor-shower.yaml")
    assert "Nothing is open: no answer could change what was found." in told.stdout


def test_what_is_piped_in_is_asked_about_too() -> None:
    told = subprocess.run([sys.executable, "-m", "validator", "ask", "-"], input=TUB, cwd=ROOT, capture_output=True, encoding="utf-8")
    assert told.stdout.startswith("A tub\n")


def test_of_a_file_with_options_one_is_named(tmp_path: Path) -> None:
    path = tmp_path / "two.yaml"
    path.write_text(TUB + "options:\n  short: {use: {building: house}}\n  long: {use: {building: hotel}}\n")
    told = run(str(path))
    assert told.returncode == 2
    assert "name one. Accepted: --option short, --option long" in told.stderr
    assert run(str(path), "--option", "long").returncode == 0


def test_questions_in_json_are_those_on_paper() -> None:
    paper = json.loads(run("samples/tub-surround.yaml", "--strict", "--all", "--format", "json").stdout)
    told = " ".join(run("samples/tub-surround.yaml", "--strict", "--all").stdout.split())
    questions = [question for group in paper["looks"] for question in group["questions"]]
    assert len(questions) > 10 and paper["further_looks"] == 0 and paper["books"][0]["name"] == "us"
    assert all(question["question"] in told for question in questions)
    contact = next(question for question in questions if question["fact"] == "coverage check")
    assert contact["places"] == ["tub walls"] and [choice["says"] for choice in contact["choices"]] == ["none", "there"]


@pytest.mark.parametrize("other", ["--letter", "--interactive"])
def test_json_goes_with_neither_a_letter_nor_a_conversation(other: str) -> None:
    told = run("samples/tub-surround.yaml", "--format", "json", other)
    assert (told.returncode, told.stdout) == (2, "")
    assert f"--format json is not for {other}. Accepted: one of the two" in told.stderr


@pytest.mark.parametrize(
    ("written", "name", "words", "line"),
    [
        ("- tile: 3 x 6 in ceramic", "tile.edge", "calibrated", "edge: calibrated"),
        ("- tile: 4 x 4 in", "tile.edge", "rectified", "edge: rectified"),
        ("- board: 1/2 in cement", "board.fixed with", "screws", "fixed with: screws"),
        ("- greenboard: 1/2 in", "board.fixed with", "screws", "fixed with: screws"),
        ("- glass tile", "tile.edge", "natural", "edge: natural"),
    ],
)  # fmt: skip
def test_an_answer_beside_a_short_line_keeps_what_the_line_says(loaded: LoadedBook, written: str, name: str, words: str, line: str) -> None:
    text = f"assembly: x\nplaces:\n  wall:\n    kind: room wall\n    built up:\n      {written}\n"
    one = Draft(read_source(text, "a wall", []), "a wall", loaded.vocabulary, loaded.catalogue)
    (before,) = (layer for layers in one.assembly().subjects[0].layers.values() for layer in layers)
    after = one.said(one.assembly().subjects[0], name, words, before)
    assert line in after.text()
    (layer,) = (layer for layers in after.assembly().subjects[0].layers.values() for layer in layers)
    assert layer.known[name].text == words
    assert {fact: known.value for fact, known in before.known.items()}.items() <= {
        fact: known.value for fact, known in layer.known.items()
    }.items()


def test_that_a_layer_is_there_keeps_what_is_written_of_it(loaded: LoadedBook) -> None:
    text = "places:\n  wall:\n    kind: shower wall\n    built up:\n      - membrane: {kind: liquid, coats: 2}\n"
    page = Draft(read_source(text, "page", []), "page", loaded.vocabulary, loaded.catalogue)
    place = page.assembly().subjects[0]
    assert page.said(place, "membrane", "there") == page
    assert "kind: liquid" not in page.said(place, "membrane", "none").text()
