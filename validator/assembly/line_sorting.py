"""Puts each line of a place where it belongs: layers in its build-up, and what stands among them that is no layer beside it.

People write a place as one list: studs, board, seams, drain, fall. What a line is follows from its name alone, so nothing is
guessed; a size, which may be of a layer as well, stays where it was written and is complained of.
"""

import re

from validator.assembly.name_reading import NONE_WORDS, NameReader
from validator.facts.possible import NOT_SAID
from validator.language.forms import normalized
from validator.language.source import Entries, Items, Node, Text

BUILT_UP, FRAMING, LIKE = "built up", "framing", "like"
_MEMBERS = r"studs?|joists?|rafters?"
# `metal studs 16 ga`, `studs at 16 in`: a member with at most three words before it, none of them such as `between`.
_FRAMED = re.compile(rf"(?P<before>(?:(?!(?:between|on|to|over|behind|across|into|and|from|under|no|without)\b)\S+ ){{0,3}})(?P<member>{_MEMBERS})\b:?(?P<after>.*)", re.IGNORECASE)
_APART = re.compile(r"(?:\bat|\bevery|@)\s*([0-9][0-9./-]*)\s*(in\b|inch(?:es)?\b|\"|″|mm\b|cm\b)?(?:\s*(?:o\.?c\.?|c/c|on cent(?:er|re)s?|cent(?:er|re)s)(?![a-z]))?", re.IGNORECASE)
_AS = re.compile(r"(?:same as|like|as) (?:the )?(.+)", re.IGNORECASE)
_SERVING = re.compile(r"(.+?) (?:as|for) (?:the )?(\w+)", re.IGNORECASE)  # `sealer as waterproofing`
_MAY_BE_OF_A_LAYER = ("length", "size", "area", "name", "weight")

Pair = tuple[Text, Node]


def framed(key: Text, value: Node) -> Text | None:
    """What a line says of the framing, `2x4 studs: 16 oc`, as one phrase; None where it speaks of something else."""
    found = _FRAMED.fullmatch(key.text.strip())
    if found is None or not isinstance(value, Text):
        return None
    more = "" if value.where == key.where or normalized(value.text) == "there" else value.text
    phrase = _APART.sub(r" \1 \2 oc ", f"{found['before']} {found['after']} {more}")
    kind = "stud" if found["member"].casefold().startswith("stud") else ""
    return Text(" ".join(f"{phrase} {kind}".split()), key.where, key.quoted)


def sorted_lines(pairs: tuple[Pair, ...], reader: NameReader) -> tuple[Pair, ...]:
    """The lines of a place, its layers under `built up` in the order written, all else beside it."""
    words = {normalized(key.text) for key, _ in pairs}
    if not words & {BUILT_UP, LIKE}:
        layers = [pair for pair in pairs if _is_a_layer(pair, reader)]
        if layers:
            items = Items(tuple(Entries((pair,), pair[0].where) for pair in layers), layers[0][0].where)
            pairs = (*(pair for pair in pairs if pair not in layers), (Text(BUILT_UP, items.where), items))
    found: list[Pair] = []
    for key, value in pairs:
        if normalized(key.text) == BUILT_UP:
            beside, value = _apart(value, reader)
            found += beside
        if value is not None:
            found.append((key, value))
    return tuple(found)


def _apart(node: Node, reader: NameReader) -> tuple[list[Pair], Node | None]:
    """What of a build-up belongs beside it, and what is left of it."""
    if isinstance(node, Text) and (found := _AS.fullmatch(node.text.strip())):
        return [(Text(LIKE, node.where), Text(found[1], node.where))], None
    if isinstance(node, Entries) and len(node.pairs) == 1 and normalized(node.pairs[0][0].text) == LIKE:
        return [node.pairs[0]], None
    if not isinstance(node, Items):
        return [], node
    beside, layers = [], []
    for item in node.items:
        pair = _beside(item, reader)
        if pair is None:
            layers.append(item)
        else:
            beside.append(pair)
    return beside, Items(tuple(layers), node.where)


def _beside(item: Node, reader: NameReader) -> Pair | None:
    """The line that an item of a build-up is beside it; None where it is a layer, or may be said of one."""
    if isinstance(item, Text):
        denied, _, role = normalized(item.text).partition(" ")
        if denied in ("no", "without") and role in reader.roles:
            return Text(role, item.where), Text("none", item.where)
        if (found := _SERVING.fullmatch(item.text.strip())) and normalized(found[2]) in reader.roles:
            return Text(normalized(found[2]), item.where), Text(found[1], item.where)
        phrase = None if _names_a_layer(item.text, reader) else framed(item, Text("there", item.where))
        return (Text(FRAMING, item.where), phrase) if phrase else None
    if not isinstance(item, Entries) or len(item.pairs) != 1:
        return None
    key, value = item.pairs[0]
    word = normalized(key.text)
    if _names_a_layer(key.text, reader):
        return None
    if phrase := framed(key, value):
        return Text(FRAMING, key.where), phrase
    if word in reader.roles and isinstance(value, Text) and (normalized(value.text) in (*NONE_WORDS, *NOT_SAID) or reader.is_no(word, value.text)):
        return key, value
    fact = reader.attributes["place"].get(word)
    if fact is not None:
        return None if fact.kind in _MAY_BE_OF_A_LAYER else (key, value)
    if reader.thing_of(word, ("part", "record")) or reader.is_a_junction(word):
        return key, value
    return None


def _names_a_layer(words: str, reader: NameReader) -> bool:
    return reader.thing_of(words, ("layer",)) is not None or bool(reader.shared_name(words)) or reader.compound(words) is not None


def _is_a_layer(pair: Pair, reader: NameReader) -> bool:
    """Whether a line of a place says a layer, and not that there is none."""
    key, value = pair
    word = normalized(key.text)
    if word in reader.attributes["place"] or reader.thing_of(word, ("layer",)) is None:
        return False
    return not isinstance(value, Text) or normalized(value.text) not in (*NONE_WORDS, *NOT_SAID)
