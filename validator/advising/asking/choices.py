"""Takes what the answers to one question came to, returns the choices: answers that do the same are told together."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from validator.advising.breakpoints import Stretch, in_words
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.vocabulary import Fact

Came = tuple[tuple[str, Outcome, str], ...]  # each rule that leaned on an answer, with what it came to
MOST_ALONE = 3  # words listed for one effect before they are told as `any other`


class Choice(NamedTuple):
    """One answer, or several that do the same: what it says, and the rules it would settle by what they come to."""

    says: str
    fails: tuple[str, ...] = ()
    warns: tuple[str, ...] = ()
    passes: tuple[str, ...] = ()
    falls_away: tuple[str, ...] = ()
    still_open: int = 0
    stretch: Stretch | None = None  # of an amount

    @property
    def settles(self) -> int:
        return len(self.fails) + len(self.warns) + len(self.passes) + len(self.falls_away)


def choice_of(says: str, came: Came) -> Choice:
    def named(*wanted: Outcome, severity: str = "") -> tuple[str, ...]:
        return tuple(rule for rule, outcome, grave in came if outcome in wanted and severity in ("", grave))

    return Choice(
        says,
        fails=named(Outcome.BREACH, severity="fail"),
        warns=named(Outcome.BREACH, severity="warn"),
        passes=named(Outcome.PASS, Outcome.BY_EXCEPTION),
        falls_away=named(Outcome.NOT_APPLICABLE, Outcome.NOTHING),
        still_open=sum(1 for _, outcome, _ in came if outcome in OPEN_OUTCOMES),
    )


def grouped(answers: Iterable[tuple[str, Came]]) -> Iterator[Choice]:
    """Answers that do the same, told together."""
    alike: dict[tuple, list[str]] = {}
    for says, came in answers:
        alike.setdefault(came, []).append(says)
    most = max(alike.values(), key=len, default=[])
    for came, words in alike.items():
        rest = words is most and len(words) > MOST_ALONE and len(alike) > 1
        yield choice_of("any other" if rest else " or ".join(words), came)


def in_stretches(fact: Fact, tried: Iterable[tuple[Stretch, Came]]) -> Iterator[Choice]:
    """Stretches told together where the same fails, warns and passes, whatever else falls away."""
    joined: list[tuple[Stretch, Choice]] = []
    for (start, end), came in tried:
        choice = choice_of("", came)
        if joined and joined[-1][1][1:4] == choice[1:4]:
            (before, _), last = joined.pop()
            alike = tuple(rule for rule in last.falls_away if rule in choice.falls_away)
            start, choice = before, choice._replace(falls_away=alike, still_open=max(last.still_open, choice.still_open))
        joined.append(((start, end), choice))
    for (start, end), choice in joined:
        yield choice._replace(says=in_words(fact, start, end), stretch=(start, end))
