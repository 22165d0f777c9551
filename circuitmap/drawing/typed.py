"""Typed text made fit for a drawing: nothing that XML forbids, one line, no longer than a label can be."""

import unicodedata
from typing import Final
from xml.sax.saxutils import escape, quoteattr

LABEL_LIMIT: Final = 60
TITLE_LIMIT: Final = 160
_LOST: Final = "\N{REPLACEMENT CHARACTER}"
_JOINER: Final = "\N{ZERO WIDTH JOINER}"
_STACK_LIMIT: Final = 8  # marks on one letter: more than any living script needs
# Average advance of Source Sans Pro, in sizes, by sort of character; measured on its regular weight.
_NARROW: Final = frozenset("iljtfrI.,:;!|'’()[] ")
_WIDE: Final = frozenset("mwMW@%—…")


def one_line(text: str, limit: int = LABEL_LIMIT) -> str:
    """Give the text as one line, a long tail as an ellipsis.

    Control characters become spaces, what XML can't hold becomes �.
    A letter is never cut from its accents nor an emoji in two; right-to-left text stays as typed.
    """
    clean = " ".join("".join(map(_harmless, text[: limit * 40])).split())
    clusters = list(_clusters(clean))
    if len(clusters) > limit or len(text) > limit * 40:
        clusters = [*clusters[: limit - 1], "…"]
    return "".join(clusters)


def element_text(text: str, limit: int = LABEL_LIMIT) -> str:
    """Give typed text ready to stand between two tags."""
    return escape(one_line(text, limit))


def attribute(text: str) -> str:
    """Give a value ready to stand as an attribute, its quotes included."""
    return quoteattr(one_line(text, TITLE_LIMIT))


def width_px(text: str, size_px: float) -> float:
    """Estimate how wide a line is set, for plates and columns: within a tenth for Latin text, generous for the rest."""
    ems = 0.0
    for cluster in _clusters(text):
        letter = cluster[0]
        if letter in _NARROW:
            ems += 0.28
        elif letter in _WIDE or unicodedata.east_asian_width(letter) in "WF":
            ems += 0.85 if letter in _WIDE else 1.05
        elif letter.isupper() or not letter.isascii():
            ems += 0.6
        else:
            ems += 0.5
    return ems * size_px


def fitted(text: str, room_px: float, size_px: float) -> str:
    """Give a line cut, with an ellipsis, to what fits; at least a few letters are always left."""
    line = one_line(text)
    while len(line) > 4 and width_px(line, size_px) > room_px:
        line = line.rstrip("…")[:-1].rstrip() + "…"
    return line


def _harmless(letter: str) -> str:
    code = ord(letter)
    if code < 0x20 or 0x7F <= code <= 0x9F or letter in "\u2028\u2029":
        return " "
    if 0xD800 <= code <= 0xDFFF or code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
        return _LOST
    return letter


def _clusters(text: str) -> list[str]:
    """Cut text where it may be cut: not before a combining mark, a joiner, a variation selector or a skin tone."""
    clusters: list[str] = []
    for letter in text:
        last = clusters[-1] if clusters else ""
        if last and len(last) <= _STACK_LIMIT * 2 and _belongs(last, letter):
            clusters[-1] = last + letter
        else:
            clusters.append(letter)
    return clusters


def _belongs(last: str, letter: str) -> bool:
    code = ord(letter)
    if last.endswith(_JOINER) or letter == _JOINER or 0x1F3FB <= code <= 0x1F3FF:
        return True
    if 0x1F1E6 <= code <= 0x1F1FF:  # flags are pairs of these
        return len(last) == 1 and 0x1F1E6 <= ord(last) <= 0x1F1FF
    return unicodedata.combining(letter) != 0 or unicodedata.category(letter) in ("Mn", "Me", "Mc")
