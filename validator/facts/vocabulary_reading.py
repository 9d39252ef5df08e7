"""Takes the files of a vocabulary, returns it: things, facts and their words. Raises BadBook with every complaint at once."""

from pathlib import Path

from validator.facts.mend_reading import check_efforts, read_mend, read_ways
from validator.facts.usual_reading import ASKING_KEYS, read_asking, read_usually, read_when_not_mentioned
from validator.facts.vocabulary import (
    DAMAGED,
    EFFORT_SCALE,
    FACES,
    HAVE_A_STATE,
    MOST_WORDS,
    NOT_YET,
    PRESENCE_WORDS,
    STATE,
    STATES,
    YES_OR_NO,
    Fact,
    Shape,
    Thing,
    Vocabulary,
    Whole,
)  # fmt: skip
from validator.language import amounts
from validator.language.files import written_in
from validator.language.forms import Complaints, choice_of, complain, fields, listed, pairs_of, text_of, texts_of
from validator.language.record import proved
from validator.language.slips import nearest
from validator.language.source import BadBook, Complaint, Entries, Items, Node, Text, read_file

SORTS = ("job", "framing", "place", "part", "layer", "junction", "seal", "record", "observation")
NOT_WRITTEN = ("there", "ask", "not there")
CONCLUDED = ("flag", "words", "greatest holds")

THING_KEYS = (
    "what", "sort", "body", "when not written", "in places", "named by", "role", "ask", "look", "answers", "shapes", "wholes",
    "also called", "alone", "asked with", "mend", "none when", "falsely called", "there when", "there in", "when not mentioned", "once removed",
    "carries", *ASKING_KEYS,
)  # fmt: skip
FACT_KEYS = (
    "what", "kind", "words", "order", "also said", "gives", "ask", "look", "answers", "from", "to", "always between",
    "spread", "worked out by", "concluded", "otherwise", "stated", "shown in", "role", "source", "note",
    "also called", "mend", "usually", "kept for", "unit by use", *ASKING_KEYS,
)  # fmt: skip


def read_vocabulary(*folders: Path) -> Vocabulary:
    """The vocabulary of one or more folders of files. Raises BadBook with every complaint at once."""
    complaints = Complaints(BadBook)
    things: dict[str, Thing] = {}
    facts: dict[str, Fact] = {}
    written: list[tuple[Text, Node]] = []
    for path in (path for folder in folders for path in written_in(folder)):
        node = read_file(path, complaints)
        written += pairs_of(node, "a vocabulary file", complaints)
    for key, node in written:
        if "." not in key.text:
            if key.text in things:
                complain(complaints, key, f"the thing `{key.text}` is declared twice")
            things[key.text] = _thing(key, node, complaints)
    for thing in things.values():
        facts[thing.name] = _presence(thing)
    for key, node in written:
        if "." in key.text:
            if key.text in facts:
                complain(complaints, key, f"the fact `{key.text}` is declared twice")
            fact = _fact(key, node, things, complaints)
            if fact is not None:
                facts[key.text] = fact
    _check_asked_with(written, things, complaints)
    _check_there_when(written, things, facts, complaints)
    _check_efforts(written, things, facts, complaints)
    _check_once_removed(written, things, complaints)
    bodies = tuple(t.name for t in things.values() if t.sort == "layer" and t.body)
    for thing in things.values():
        own = [_state(thing)] if thing.sort in HAVE_A_STATE else []
        for fact in [*own, *(_facts_of_every_layer(thing, bodies) if thing.sort == "layer" else [])]:
            facts.setdefault(fact.name, fact)
    if complaints:
        raise BadBook(complaints)
    return Vocabulary(things, facts)


def _check_asked_with(written: list[tuple[Text, Node]], things: dict[str, Thing], complaints: list[Complaint]) -> None:
    heads = [thing.name for thing in things.values() if not thing.asked_with]
    for key, _ in written:
        thing = things.get(key.text)
        if thing is not None and thing.asked_with and thing.asked_with not in heads:
            near = nearest(thing.asked_with, heads)
            complain(complaints, key, f"`{thing.name}` is asked with `{thing.asked_with}`, which is no thing asked by itself",
                   f"did you mean `{near}`?" if near else ", ".join(heads))  # fmt: skip


def _check_there_when(
    written: list[tuple[Text, Node]], things: dict[str, Thing], facts: dict[str, Fact], complaints: list[Complaint]
) -> None:
    for key, _ in written:
        for name, word in things[key.text].there_when.items() if key.text in things else ():
            fact = facts.get(name)
            if fact is None or not fact.is_together or word not in fact.words:
                complain(complaints, key, f"`there when` of `{key.text}` names `{name}: {word}`, which nobody can say",
                         "a fact of words together, and one of its words")  # fmt: skip


def _check_once_removed(written: list[tuple[Text, Node]], things: dict[str, Thing], complaints: Complaints) -> None:
    for key, _ in written:
        gone = things[key.text].once_removed if key.text in things else ""
        if gone and (gone not in things or things[gone].sort != "layer" or things[gone].body):
            complain(complaints, key, f"`once removed` of `{key.text}` names `{gone}`, which is no layer that carries nothing",
                     "a thing of the sort `layer` without `body: yes`")  # fmt: skip


def _check_efforts(
    written: list[tuple[Text, Node]], things: dict[str, Thing], facts: dict[str, Fact], complaints: list[Complaint]
) -> None:
    nodes = {key.text: key for key, _ in written}
    used = [(how, nodes[thing.name]) for thing in things.values() for how in thing.mend.values()]
    used += [(fact.mend.how, nodes[name]) for name, fact in facts.items() if fact.mend is not None]
    check_efforts(used, facts[EFFORT_SCALE].words if EFFORT_SCALE in facts else (), complaints)


def _presence(thing: Thing) -> Fact:
    return Fact(
        name=thing.name, thing=thing.name, kind="presence", words=PRESENCE_WORDS, what=thing.what, ask=thing.ask,
        look=thing.look, answers=thing.answers, role=thing.role, known_from=thing.known_from,
        can_be_seen_until=thing.can_be_seen_until, matters=thing.matters,
    )  # fmt: skip


def _state(thing: Thing) -> Fact:
    """New, existing or on its way out: what a layer, a part, a framing run or a record may be, whether or not its file says so."""
    return Fact(
        name=f"{thing.name}.{STATE}", thing=thing.name, kind="word", words=STATES, only_said=(DAMAGED,), what=f"State of the {thing.name}",
        kept_for="what stays, and what goes", also_said={**dict.fromkeys(NOT_YET, ("planned",)), "old": ("existing",)},
        ask=f"Is the {thing.name} new, existing, damaged, to be removed or planned?", look="Look at it.",
        answers=("installer",), known_from="site", matters="seldom",
    )  # fmt: skip


def _facts_of_every_layer(thing: Thing, bodies: tuple[str, ...]) -> list[Fact]:
    """Position, and how much of the face is covered, which every layer has whether or not its file says so."""
    name = thing.name
    return [
        Fact(name=f"{name}.lies on", thing=name, kind="word", words=("nothing", *bodies), stated=False,
             what=f"What the {name} lies on"),
        Fact(name=f"{name}.covered by", thing=name, kind="word", words=("nothing", *bodies), stated=False,
             what=f"What covers the {name}"),
        Fact(name=f"{name}.covers", thing=name, kind="word", words=FACES, what=f"How much of the face the {name} covers",
             ask=f"Does the {name} cover the whole face, the seams only, or a part?", look="Look at it.",
             answers=("installer",), known_from="work", can_be_seen_until="tile set", matters="seldom",
             kept_for="where it is; what of it must be whole is declared"),
    ]  # fmt: skip


def _yes(node: Node | None, what: str, complaints: list[Complaint], default: bool) -> bool:
    return choice_of(node, what, YES_OR_NO, complaints, "yes" if default else "no") == "yes"


def _thing(key: Text, node: Node, complaints: list[Complaint]) -> Thing:
    form = f"the thing `{key.text}`"
    lines = fields(node, form, THING_KEYS, ("what", "sort"), complaints)
    not_mentioned = read_when_not_mentioned(key, lines, complaints)
    return proved(
        Thing,
        name=key.text,
        what=text_of(lines.get("what"), "what", complaints),
        sort=choice_of(lines.get("sort"), "sort", SORTS, complaints, "layer"),
        body=_yes(lines.get("body"), "body", complaints, False),
        when_not_written=choice_of(
            lines.get("when not written"), "when not written", NOT_WRITTEN, complaints, "there"
        ),
        once_removed=text_of(lines.get("once removed"), "once removed", complaints),
        there_in=texts_of(lines.get("there in"), "there in", complaints),
        in_places=texts_of(lines.get("in places"), "in places", complaints),
        carries={k.text: texts_of(n, k.text, complaints) for k, n in pairs_of(lines.get("carries"), "carries", complaints)},
        named_by=text_of(lines.get("named by"), "named by", complaints),
        role=text_of(lines.get("role"), "role", complaints),
        ask=text_of(lines.get("ask"), "ask", complaints),
        look=text_of(lines.get("look"), "look", complaints),
        answers=texts_of(lines.get("answers"), "answers", complaints),
        asked_with=text_of(lines.get("asked with"), "asked with", complaints),
        shapes=tuple(_shape(k, n, complaints) for k, n in pairs_of(lines.get("shapes"), "shapes", complaints)),
        wholes=tuple(_whole(k, n, complaints) for k, n in pairs_of(lines.get("wholes"), "wholes", complaints)),
        also_called={k.text: text_of(n, k.text, complaints) for k, n in pairs_of(lines.get("also called"), "also called", complaints)},
        none_when=texts_of(lines.get("none when"), "none when", complaints),
        falsely_called=texts_of(lines.get("falsely called"), "falsely called", complaints),
        there_when={k.text: text_of(n, k.text, complaints) for k, n in pairs_of(lines.get("there when"), "there when", complaints)},
        alone=texts_of(lines.get("alone"), "alone", complaints),
        mend=read_ways(lines["mend"], complaints) if "mend" in lines else {},
        when_not_mentioned=not_mentioned,
        spoken_of_by=tuple(word for reading in not_mentioned for word in reading.said),
        **read_asking(lines, complaints),
    )


def _shape(key: Text, node: Node, complaints: list[Complaint]) -> Shape:
    lines = fields(node, f"the shape `{key.text}`", ("in", "from", "having", "to", "with"), (), complaints)
    return proved(
        Shape,
        kind=key.text,
        places=texts_of(lines.get("in") or lines.get("from"), "in", complaints),
        having=text_of(lines.get("having"), "having", complaints),
        to=texts_of(lines.get("to"), "to", complaints),
        meeting=text_of(lines.get("with"), "with", complaints),
    )


def _whole(key: Text, node: Node, complaints: list[Complaint]) -> Whole:
    lines = fields(node, f"the whole `{key.text}`", ("has", "may have", "also said"), ("may have",), complaints)
    return proved(
        Whole,
        name=key.text,
        has=texts_of(lines.get("has"), "has", complaints),
        may_have=texts_of(lines.get("may have"), "may have", complaints),
        also_said=texts_of(lines.get("also said"), "also said", complaints),
    )


def _fact(key: Text, node: Node, things: dict[str, Thing], complaints: list[Complaint]) -> Fact | None:
    thing = key.text.partition(".")[0]
    if thing not in things:
        near = nearest(thing, things)
        complain(complaints, key, f"`{key.text}` is said of `{thing}`, which is no thing of this vocabulary",
               f"did you mean `{near}`?" if near else "declare the thing first")  # fmt: skip
        return None
    lines = fields(node, f"the fact `{key.text}`", FACT_KEYS, ("what", "kind"), complaints)
    kinds = (*amounts.KINDS, "word", "yes or no", "words together", "size", "name")
    kind = choice_of(lines.get("kind"), "kind", kinds, complaints, "name")
    words = YES_OR_NO if kind == "yes or no" else texts_of(lines.get("words"), "words", complaints)
    _check_words(key, kind, words, complaints)
    concluded = choice_of(lines.get("concluded"), "concluded", CONCLUDED, complaints) if "concluded" in lines else ""
    _check_concluded(key, kind, concluded, complaints)
    otherwise = choice_of(lines.get("otherwise"), "otherwise", words, complaints)
    gives = lines.get("gives")
    return proved(
        Fact,
        name=key.text,
        thing=thing,
        what=text_of(lines.get("what"), "what", complaints),
        kind=kind,
        words=words,
        order=_yes(lines.get("order"), "order", complaints, False) or concluded == "greatest holds",
        also_said=_also_said(lines.get("also said"), kind, words, complaints),
        also_called=texts_of(lines.get("also called"), "also called", complaints),
        gives=texts_of(gives, "gives", complaints) if isinstance(gives, Items) else (),
        implies=_implications(gives, words, complaints) if isinstance(gives, Entries) else {},
        ask=text_of(lines.get("ask"), "ask", complaints),
        look=text_of(lines.get("look"), "look", complaints),
        answers=texts_of(lines.get("answers"), "answers", complaints),
        slip_below=_amount_text(lines.get("from"), kind, complaints),
        slip_above=_amount_text(lines.get("to"), kind, complaints),
        always=_always(lines.get("always between"), kind, complaints),
        spread=_amount_text(lines.get("spread"), kind, complaints),
        worked_out_by=lines.get("worked out by"),
        concluded=concluded,
        otherwise=otherwise,
        stated=_yes(lines.get("stated"), "stated", complaints, not concluded),
        shown_in=text_of(lines.get("shown in"), "shown in", complaints),
        role=text_of(lines.get("role"), "role", complaints),
        source=text_of(lines.get("source"), "source", complaints),
        mend=read_mend(lines["mend"], kind, words, complaints) if "mend" in lines else None,
        usually=read_usually(key, lines, complaints),
        unit_by_use=_yes(lines.get("unit by use"), "unit by use", complaints, False),
        kept_for=text_of(lines.get("kept for"), "kept for", complaints),
        **read_asking(lines, complaints),
    )


def _check_concluded(key: Text, kind: str, concluded: str, complaints: list[Complaint]) -> None:
    needed = {"flag": "yes or no", "words": "words together", "greatest holds": "word"}.get(concluded, kind)
    if kind != needed:
        complain(complaints, key, f"`{key.text}` is a {kind}, which is not concluded as `{concluded}`", f"kind: {needed}")


def _check_words(key: Text, kind: str, words: tuple[str, ...], complaints: list[Complaint]) -> None:
    if kind in ("word", "words together") and not words:
        complain(complaints, key, f"`{key.text}` has no words", "`words: [one, another]`")
    if len(words) > MOST_WORDS:
        complain(complaints, key, f"`{key.text}` has {len(words)} words", f"at most {MOST_WORDS}")
    if len(set(words)) < len(words):
        complain(complaints, key, f"`{key.text}` lists a word twice")
    if "none" in words:
        complain(complaints, key, f"`none` is not a word of `{key.text}`: whether a thing is there is a fact of its own",
               "leave it out; write `thing: none`")  # fmt: skip


def _amount_text(node: Node | None, kind: str, complaints: list[Complaint]) -> str:
    text = text_of(node, "amount", complaints)
    if text and kind in amounts.KINDS:
        try:
            # A spread around a temperature is a difference, which reads in the same units.
            amounts.read(text, kind)
        except amounts.AmountProblem as problem:
            complain(complaints, node, problem.what, problem.accepted)
            return ""
    return text


def _always(node: Node | None, kind: str, complaints: list[Complaint]) -> tuple[int, int]:
    text = text_of(node, "always between", complaints)
    if not text or kind not in amounts.KINDS:
        return (amounts.NO_LEAST, amounts.NO_GREATEST)
    try:
        amount = amounts.read(text, kind)
    except amounts.AmountProblem as problem:
        complain(complaints, node, problem.what, problem.accepted)
        return (amounts.NO_LEAST, amounts.NO_GREATEST)
    return (amount.least, amount.greatest)


def _also_said(node: Node | None, kind: str, words: tuple[str, ...], complaints: list[Complaint]) -> dict[str, tuple[str, ...]]:
    """Other words for what may be said; of an amount, the words that the trade has for one (`third offset` is 1/3)."""
    said: dict[str, tuple[str, ...]] = {}
    for key, value in pairs_of(node, "also said", complaints):
        if kind in amounts.KINDS:
            said[key.text] = (_amount_text(value, kind, complaints),)
            continue
        meant = tuple(word.strip() for word in text_of(value, "also said", complaints).split(" or "))
        for word in meant:
            if word not in words:
                complain(complaints, value, f"`{word}` is not one of the words", listed(words))
        said[key.text] = tuple(word for word in meant if word in words)
    return said


def _implications(
    node: Node, words: tuple[str, ...], complaints: list[Complaint]
) -> dict[str, tuple[str, ...]]:
    implied: dict[str, tuple[str, ...]] = {}
    for key, value in pairs_of(node, "gives", complaints):
        lines = fields(value, f"what `{key.text}` gives", ("also", "source"), ("also", "source"), complaints)
        also = texts_of(lines.get("also"), "also", complaints)
        for word in (key.text, *also):
            if word not in words:
                complain(complaints, key, f"`{word}` is not one of the words", listed(words))
        implied[key.text] = also
    return implied
