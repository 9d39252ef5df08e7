"""What was meant by a word that is not known: the allowed words that are near it, and never one that says the opposite.

Near is judged word by word, since letters alone bring `mortar board` to `MR board`. Numbers must be the same, since `4x6` is
no slip for `2x6`. A word and its denial, `cracked` and `uncracked`, are never offered for each other.
"""

import re
from collections.abc import Callable, Iterable

LONGEST = 80  # a longer text is no slip of a word
LEAST_ALIKE = 0.65  # a name and each word in it
LEAST_ALIKE_RUN = 0.85  # of names with another number of words, run together
LEAST_ALIKE_DENIED = 0.75  # a word and what is left of another without its `un`
PART_OF_A_NAME = 0.9
ONE_SLIP = 0.97  # one letter away, or parted otherwise
SHORTEST_SLIP = 3
AS_NEAR = 0.04  # what is hardly farther is offered beside it
SURELY_A_SLIP = 0.75  # letter by letter, of as many words: nothing else can have been meant
_DENIALS = ("un", "non", "in", "im", "dis", "de", "anti")
_DENYING_WORDS = frozenset(("no", "not", "none", "never", "without", "non"))
_NUMBER = re.compile(r"\d+(?:[./-]\d+)*")


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """The allowed word that was most likely meant, or None when none is near."""
    return next(iter(near_ones(word, allowed, 1)), None)


def near_ones(word: str, allowed: Iterable[str], most: int = 2) -> tuple[str, ...]:
    """The allowed words that may have been meant, the nearest first: several only where they are about as near."""
    said = _plainly(word)
    if not said or len(word) > LONGEST:
        return ()
    found: dict[str, tuple[float, str]] = {}
    denied = 0.0  # how near the nearest is that says the opposite: what is no nearer may as well be the opposite of what was meant
    for each in allowed:
        form = _plainly(each)
        if form in found:
            continue
        if said != form and _deny_each_other(said.split(), form.split()):
            denied = max(denied, ONE_SLIP if _is_one_slip(said, form) else _ratio(said, form))
        elif alike := _alike(said, form):
            found[form] = (alike, each)
    ranked = sorted((pair for pair in found.values() if pair[0] > denied or pair[0] == 1), key=lambda pair: -pair[0])
    near = [pair for pair in ranked if pair[0] >= ranked[0][0] - AS_NEAR]
    if len(near) > most > 1 and near[most][0] == near[0][0] and near[0][0] in (PART_OF_A_NAME, ONE_SLIP):
        return ()  # `type mastic` of three types: two of them would hide the third
    return tuple(each for _, each in near[:most])


def did_you_mean(word: str, allowed: Iterable[str], means: Callable[[str], str] | None = None) -> str:
    """The head of what is accepted instead: `did you mean `grout`? `, or nothing where no word is near.

    `means` tells what a word means, where its letters do not say it; it is told in parentheses.
    """
    near = near_ones(word, allowed)
    meanings = [f" ({meaning})" if means and (meaning := means(each)) else "" for each in near]
    return f"did you mean {' or '.join(f'`{each}`{meaning}' for each, meaning in zip(near, meanings))}? " if near else ""


def or_a_book_is_missing(word: str, near: str | None) -> str:
    """The tail of what is accepted instead of a name that a book would bring, unless it is surely a slip of one that is known."""
    said, form = _plainly(word), _plainly(near or "")
    if len(said.split()) == len(form.split()) and _ratio(said, form) >= SURELY_A_SLIP:
        return ""
    return "; or is a book missing that has it? `--book` names each"


def _plainly(word: str) -> str:
    return " ".join(word.casefold().replace("_", " ").replace("-", " ").split())


def _alike(said: str, form: str) -> float:
    """How alike two names are, from 0 to 1; 0 where the one must not be offered for the other."""
    if said == form:
        return 1.0
    if said.replace(" ", "") == form.replace(" ", "") or _is_one_slip(said, form):
        return ONE_SLIP if not _other_sign(said, form) else 0.0
    numbers, of_form = _NUMBER.findall(said), _NUMBER.findall(form)
    if _other_sign(said, form) or numbers and (set(numbers) - set(of_form) or set(of_form) - set(numbers)):
        return 0.0
    words, words_of_form = said.split(), form.split()
    if len(said) > 2 and "..." not in words_of_form and set(words) < set(words_of_form):
        return PART_OF_A_NAME  # a part of a longer name: `v notch`
    if len(words) == len(words_of_form):
        every = all(_ratio(one, other, LEAST_ALIKE) for one, other in zip(words, words_of_form))
        return _ratio(said, form, LEAST_ALIKE) if every else 0.0
    return _ratio("".join(words), "".join(words_of_form), LEAST_ALIKE_RUN)


def _is_one_slip(said: str, form: str) -> bool:
    """Whether one letter was left out, doubled, put in or mistaken for another, or two that stand side by side changed places."""
    if abs(len(said) - len(form)) > 1 or min(len(said), len(form)) < SHORTEST_SLIP:
        return False
    at = next((at for at, (one, other) in enumerate(zip(said, form)) if one != other), min(len(said), len(form)))
    if said[at:][:2] == form[at:][:2][::-1] and said[at + 2 :] == form[at + 2 :]:
        return True
    return said[at + (len(said) >= len(form)) :] == form[at + (len(form) >= len(said)) :]


def _other_sign(said: str, form: str) -> bool:
    """Whether the two name different grades or standards, `1RTE` and `C1TE`: in a word with a figure no letter is a slip of another."""
    signs = [{tuple(sorted(word)) for word in name.split() if any(each.isdigit() for each in word)} for name in (said, form)]
    return bool(signs[0]) and signs[0] != signs[1]


def _deny_each_other(words: list[str], of_form: list[str]) -> bool:
    """Whether one of two names denies what the other says: `cracked` and `uncracked`, `bonded` and `not bonded`."""
    if bool(_DENYING_WORDS & set(words)) != bool(_DENYING_WORDS & set(of_form)):
        return True
    pairs = [("".join(words), "".join(of_form)), *((one, other) for one in words for other in of_form)]
    return any(_denies(one, other) or _denies(other, one) for one, other in pairs)


def _denies(one: str, other: str) -> bool:
    for denial in _DENIALS:
        rest = one.removeprefix(denial)
        if rest != one and len(rest) > 2 and not other.startswith(denial):
            alike = _ratio(rest, other, LEAST_ALIKE_DENIED)
            if alike > LEAST_ALIKE_DENIED and alike > _ratio(one, other):
                return True
    return False


def _ratio(one: str, other: str, least: float = 0.0) -> float:
    """The share of their letters that stand in runs common to both; 0 where it is less than `least`.

    Most are, which their lengths or the letters that both have often tell without looking for runs.
    """
    both = len(one) + len(other)
    if 2 * min(len(one), len(other)) < least * both or 2 * sum(min(one.count(each), other.count(each)) for each in set(one)) < least * both:
        return 0.0
    from difflib import SequenceMatcher  # only a slip needs it

    ratio = SequenceMatcher(None, one, other).ratio()
    return ratio if ratio >= least else 0.0
