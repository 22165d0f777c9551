"""The sources of findings as a record cites them: once, at its end, as works that a reader could look up."""

import re
from collections.abc import Iterable
from typing import Final

_BY: Final = " By: "
# How we came by a source is for who keeps the tables, not for who reads a record.
_OURS: Final = re.compile(r"\(?\b(?:from memory|as quoted|relayed[^;,)]*)\b\)?:?|, no source", re.IGNORECASE)
_HEARSAY: Final = re.compile(r"\b(?:forum|apprentice|trainee|student|blog|notes? of a)\b", re.IGNORECASE)


def parted(why: str) -> tuple[str, tuple[str, ...]]:
    """Part a reason from the sources at its end; those are given as ``sober`` makes them."""
    says, by, named = why.rpartition(_BY)
    return (says, tuple(sober(named))) if by else (why, ())


def sober(named: str) -> Iterable[str]:
    """Give the works that a text names, without how we came by them and without hearsay, each once."""
    works = []
    for each in named.rstrip(". ").split(";"):
        words = " ".join(_OURS.sub("", each).split()).strip(" ,:.")
        words = re.sub(r"\s+([,;)])", r"\1", words)
        if words and not _HEARSAY.search(words):
            works.append(words)
    return dict.fromkeys(works)


def source_rows(findings: Iterable[tuple[int, Iterable[str]]]) -> list[str]:
    """Give every work with the numbers of the findings that rest on it, by the first of them."""
    held: dict[str, list[str]] = {}
    for number, works in findings:
        for work in works:
            held.setdefault(work, []).append(str(number))
    return [f"{work[:1].upper()}{work[1:]} (finding {', '.join(numbers)})" for work, numbers in held.items()]
