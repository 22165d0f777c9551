"""How written words are compared: whole words, without case, punctuation or plural."""

import re
from functools import lru_cache
from typing import Final

# What stands apart on a label. A slash parts two words, but not the letters of an abbreviation such as "u/s".
_PARTED: Final = re.compile(r"[,;:+&()\[\]|\n]|\s[-–]\s|\band\b|(?<=[^\W_]{2})/")
_WORD: Final = re.compile(r"(\d{1,3})\s*[-–]\s*(\d{1,3})|([^\W\d_]+|\d+)")
_WIDEST_RANGE: Final = 20
_SHORTEST_PLURAL: Final = 4


def parts_of(text: str) -> list[list[str]]:
    """Give the words of a text, part by part; "Bed 1-3, U/S" is ``[["bed", "1", "2", "3"], ["u", "s"]]``."""
    plain = text.casefold().replace("'", "").replace("’", "")
    return [words for part in _PARTED.split(plain) if (words := _words(part))]


@lru_cache(maxsize=4096)  # the same few names are compared over and over
def spelled(text: str) -> str:
    """Give a text's words between single blanks, as they are compared."""
    return " ".join(word for part in parts_of(text) for word in part)


def _words(part: str) -> list[str]:
    words: list[str] = []
    for found in _WORD.finditer(part):
        if found[3] is not None:
            words.append(_singular(found[3]))
            continue
        first, last = int(found[1]), int(found[2])
        words += map(str, range(first, last + 1) if first < last <= first + _WIDEST_RANGE else (first, last))
    return words


def _singular(word: str) -> str:
    if len(word) < _SHORTEST_PLURAL or word[-1] != "s" or word.endswith("ss"):
        return word
    if word.endswith("ies"):
        return word[:-3] + "y"
    return word[:-2] if word.endswith(("ches", "shes", "xes", "sses")) else word[:-1]
