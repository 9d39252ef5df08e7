"""The fall of a floor or a ceiling, and where to: toward a drain that is there, else nobody knows which way."""

from typing import NamedTuple

from validator.facts.vocabulary import THERE
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.papers import words
from validator.papers.drawing.layers import Reader

RATIO_STEPS = 2_882_880_000  # steps of a slope of one in one
FALLS = ("place.fall", "mortar bed.fall", "foam pan.fall", "pre-slope.fall")


class Fall(NamedTuple):
    said: str
    ratio: float  # rise over run
    to_drain: bool  # the one direction that is known

    @property
    def in_words(self) -> str:
        return (words.FALL if self.to_drain else words.FALL_UNSURE).format(self.said)


def fall_of(reader: Reader) -> Fall | None:
    """The fall as it is stated, else as it is worked out or was measured; the drawing slopes by the middle of it."""
    for name in sorted(FALLS, key=lambda each: not reader.is_stated(each)):
        said = reader.said(name)
        if said:
            ends = [end for end in reader.value(name) if end not in (NO_LEAST, NO_GREATEST)]
            ratio = sum(ends) / len(ends) / RATIO_STEPS if ends else 0.0
            said = said if ":" in said else said.partition(" (")[0] + ratio_words(ratio)
            return Fall(said, ratio, reader.value("drain") == THERE)
    return None


def ratio_words(ratio: float) -> str:
    """One in so many, beside the author's own notation."""
    return f" (1:{round(1 / ratio)})" if ratio > 0 else ""
