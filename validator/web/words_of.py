"""Splits words for the search in the same way whichever database holds them: `WR-00123`, `1-5/8`, `Bäd`."""

import re
import unicodedata

RUN = re.compile(r"[^\W_]+(?:[-/.][^\W_]+)*")
STROKE = re.compile(r"[-/.]")
MOST_WORDS = 4_000


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text, each once: marks and case dropped, what a stroke joins also as one word, leading zeros also without."""
    found: dict[str, None] = {}
    for run in RUN.findall(_plain(text)):
        parts = STROKE.split(run)
        short = [part.lstrip("0") or part for part in parts]
        found |= dict.fromkeys((*parts, *short, "".join(parts), "".join(short)))
        if len(found) > MOST_WORDS:
            break
    return tuple(found)


def asked_words(text: str) -> tuple[str, ...]:
    """The words that somebody looks for; what a stroke joins is one word."""
    return tuple("".join(STROKE.split(run)) for run in RUN.findall(_plain(text)))


def _plain(text: str) -> str:
    if text.isascii():
        return text.casefold()
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each)).casefold()
