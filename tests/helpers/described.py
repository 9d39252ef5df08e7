"""Half-known places of the oracle, as the engine is given them."""

from pathlib import Path
from tempfile import TemporaryDirectory

from books import Plain
from oracle import Half, Piece

from validator.engines.deciding import Judgement
from validator.engines.varying import judge_varying
from validator.facts import possible
from validator.facts.possible import PRESUMED, STATED, Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE, Vocabulary
from validator.judging.loading import LoadedBook
from validator.language.source import Where
from validator.proving.case_subjects import subject_of_case

PRESENCES = {"there": THERE, "none": NONE, "maybe": MAYBE}


def subject(plain: Plain, half: Half, vocabulary: Vocabulary) -> Subject:
    """The place with every value read from the text a person would write."""
    known = {"place": Known(THERE, PRESUMED), "tape": Known(PRESENCES[half.tape], STATED)}
    for name, value in half.known.items():
        known[name] = _read(plain, vocabulary, name, value)
    layers: dict[str, list[Layer]] = {}
    if half.boards == "none" or half.boards == "maybe" or not half.boards:
        known["board"] = Known(MAYBE if half.boards == "maybe" else NONE, STATED)
    else:
        layers["board"] = [_layer(plain, vocabulary, n, piece) for n, piece in enumerate(half.boards)]
    return Subject("a place", "place", "", known, layers)


def _layer(plain: Plain, vocabulary: Vocabulary, number: int, piece: Piece) -> Layer:
    known = {name: _read(plain, vocabulary, name, value) for name, value in piece.known.items()}
    return Layer("board", f"board {number}", known, THERE if piece.sure else MAYBE)


def _read(plain: Plain, vocabulary: Vocabulary, name: str, value: object) -> Known:
    kind = plain.facts[name].kind
    if kind == "amount":
        text = str(value[0]) if value[0] == value[1] else f"{value[0]} to {value[1]}"
    else:
        text = (" and " if kind == "together" else " or ").join(sorted(value))
        if not text:
            return Known(vocabulary.fact(name).anything, "not stated")
    return possible.read(vocabulary.fact(name), text)


def place(loaded: LoadedBook, facts: dict[str, str], boards: list[dict[str, str] | None] | None = None, **maybe: bool) -> Subject:
    """A place of the little vocabulary, from texts. A board of None is a gap; `maybe=True` leaves every board unsure."""
    vocabulary = loaded.vocabulary
    described = subject_of_case({k: v for k, v in facts.items()}, "place", vocabulary, "a place", Where("a test", 1, 1))
    layers = []
    for number, board in enumerate(boards or ()):
        known = {name: possible.read(vocabulary.fact(name), text) for name, text in (board or {}).items()}
        sure = board is not None and not maybe.get("maybe", False)
        layers.append(Layer("board", f"board {number}", known, THERE if sure else MAYBE))
    if layers:
        described.layers["board"] = layers
    elif boards is not None:
        described.known["board"] = Known(NONE, STATED)
    return described


def outcome(loaded: LoadedBook, described: Subject, rule: str = "deep-enough") -> str:
    """What one rule comes to at a place, what varies there included."""
    _, judgements = judge_varying(loaded.engine, described)
    return str(next(j.outcome for j in judgements if j.compiled.rule.name == rule))


def loaded_for(plain: Plain) -> LoadedBook:
    with TemporaryDirectory() as folder:
        return plain.loaded(Path(folder))


def judged(loaded: LoadedBook, plain: Plain, half: Half) -> dict[str, Judgement]:
    found = loaded.engine.derive(subject(plain, half, loaded.vocabulary))
    return {judgement.compiled.rule.name: judgement for judgement in loaded.engine.judge(found)}
