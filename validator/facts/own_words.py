"""Whether a word stands in what somebody wrote in words of their own: a title, a name, a note."""

import re
from functools import lru_cache

from validator.facts.vocabulary import Thing

DENIED = r"(?:no|not|without|never|non)[ -](?:\w+ )?"


@lru_cache(maxsize=4096)
def stands_in(word: str, words: str) -> bool:
    """Whether a word stands in a description, in lower case, as a whole word and is not denied there."""
    if word.casefold() not in words:
        return False
    every = len(re.findall(rf"\b{re.escape(word.casefold())}\b", words))
    return every > len(re.findall(rf"\b{DENIED}{re.escape(word.casefold())}\b", words))


def is_spoken_of(thing: Thing, words: str) -> bool:
    """Whether a title or a name speaks of a thing that nobody wrote; then nobody takes it as not there: it is asked, or told."""
    return any(stands_in(word, words) for word in thing.spoken_of_by)
