"""Half-known places of the oracle, as the engine is given them."""

from books import Plain
from oracle import Half, Piece

from validator import possible
from validator.possible import PRESUMED, STATED, Known
from validator.subjects import Layer, Subject
from validator.vocabulary import MAYBE, NONE, THERE, Vocabulary

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
