"""Proves the schedules of a book: no two rows answer one question, and which questions no row answers."""

from collections.abc import Iterator, Sequence

from validator.rulebook.schedules import Schedule


def in_schedules(schedules: Sequence[Schedule]) -> str:
    """How many schedules were read, in which two rows never answer one question, and how many leave some question open."""
    if not schedules:
        return "no schedules"
    left_open = sum(bool(each.unanswered()) for each in schedules)
    many = "1 schedule" if len(schedules) == 1 else f"{len(schedules)} schedules"
    return f"{many} without overlap, {left_open or 'none'} of them with questions left open on purpose (`otherwise: open`)"


def unanswered_between(schedules: Sequence[Schedule]) -> Iterator[str]:
    """A line for every gap between two rows: `otherwise: open` leaves it open, and its author may not have meant it."""
    for schedule in schedules:
        for question in schedule.unanswered():
            if schedule.between_rows(question):
                yield (f"{schedule.where}: the schedule `{schedule.name}` has no row for {schedule.question_in_words(question)}, "
                       "which lies between two of its rows; `otherwise: open` leaves it open")  # fmt: skip
