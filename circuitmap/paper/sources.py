"""The sources of findings as a record cites them: once, at its end, as works that a reader can look up."""

import re
from collections.abc import Iterable
from typing import Final

_BY: Final = " By: "
_MEMORY: Final = re.compile(r"\(?\bfrom memory\b\)?:?", re.IGNORECASE)
_SECOND_HAND: Final = re.compile(r"\(?\b(?:as quoted|relayed[^;,)]*)\b\)?:?", re.IGNORECASE)
_HEARSAY: Final = re.compile(r"\b(?:forum|apprentice|trainee|student|blog|notes? of a)\b", re.IGNORECASE)
_UNPRINTED: Final = "common practice, no published source"


def parted(why: str) -> tuple[str, tuple[str, ...]]:
    """Part a reason from the sources at its end; those are given as ``sober`` makes them."""
    says, by, named = why.rpartition(_BY)
    return (says, tuple(sober(named))) if by else (why, ())


def sober(named: str) -> Iterable[str]:
    """Give the works that a text names, each once; what nobody looked up says so, hearsay is common practice."""
    works = []
    for each in named.rstrip(". ").split(";"):
        how = "quoted from memory" if _MEMORY.search(each) else "at second hand" if _SECOND_HAND.search(each) else ""
        words = " ".join(_SECOND_HAND.sub("", _MEMORY.sub("", each)).split()).strip(" ,:.")
        words = re.sub(r"\s+([,;)])", r"\1", words)
        if _HEARSAY.search(words):
            works.append(_UNPRINTED)
        elif words:
            works.append(f"{words}, {how}" if how else words)
    return dict.fromkeys(works)


def source_rows(findings: Iterable[tuple[int, Iterable[str]]]) -> list[str]:
    """Give every work with the numbers of the findings that rest on it, by the first of them."""
    held: dict[str, list[str]] = {}
    for number, works in findings:
        for work in works:
            held.setdefault(work, []).append(str(number))
    return [f"{work[:1].upper()}{work[1:]} (finding {', '.join(numbers)})" for work, numbers in held.items()]
