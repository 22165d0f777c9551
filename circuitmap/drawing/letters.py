"""Single-stroke letters and figures, so that a symbol with a letter needs no font and looks alike on every pen."""

from typing import Final

from circuitmap.drawing.paths import Path, moved, parse, path_text

# Each letter stands in a cell 6 wide and 10 high, y down.
_LETTERS: Final = {
    "0": "M3 0 Q0 0 0 3 L0 7 Q0 10 3 10 Q6 10 6 7 L6 3 Q6 0 3 0 Z",
    "1": "M0.8 2 L3.4 0 L3.4 10 M0.8 10 L6 10",
    "2": "M0 2.4 Q0.4 0 3 0 Q6 0 6 2.6 Q6 4.6 3.6 6.4 L0 10 L6.2 10",
    "3": "M0 1.2 Q1 0 3 0 Q5.8 0 5.8 2.4 Q5.8 4.7 2.4 4.7 Q6.2 4.7 6.2 7.3 Q6.2 10 3 10 Q0.8 10 0 8.6",
    "4": "M4.6 10 L4.6 0 L0 7 L6.2 7",
    "5": "M5.8 0 L0.8 0 L0.4 4.6 Q1.6 3.8 3 3.8 Q6.2 3.8 6.2 6.9 Q6.2 10 3 10 Q1 10 0 8.8",
    "6": "M5.4 0.8 Q4.4 0 3.4 0 Q0 0 0 6.6 Q0 10 3 10 Q6 10 6 7 Q6 4.2 3.2 4.2 Q0.6 4.2 0 6.6",
    "7": "M0 0 L6 0 L2 10",
    "8": "M3 4.6 Q0.4 4.6 0.4 2.3 Q0.4 0 3 0 Q5.6 0 5.6 2.3 Q5.6 4.6 3 4.6 Q0 4.6 0 7.3 Q0 10 3 10 Q6 10 6 7.3 "
    "Q6 4.6 3 4.6 Z",
    "9": "M0.6 9.2 Q1.6 10 2.6 10 Q6 10 6 3.4 Q6 0 3 0 Q0 0 0 3 Q0 5.8 2.8 5.8 Q5.4 5.8 6 3.4",
    "A": "M0 10 L3 0 L6 10 M1.2 6.6 L4.8 6.6",
    "C": "M6 2.2 Q5.4 0 3.2 0 Q0 0 0 5 Q0 10 3.2 10 Q5.4 10 6 7.8",
    "E": "M5.6 0 L0 0 L0 10 L5.6 10 M0 5 L4.6 5",
    "F": "M5.6 0 L0 0 L0 10 M0 5 L4.6 5",
    "H": "M0 0 L0 10 M6 0 L6 10 M0 5 L6 5",
    "I": "M3 0 L3 10",
    "O": "M3 0 Q0 0 0 5 Q0 10 3 10 Q6 10 6 5 Q6 0 3 0 Z",
    "S": "M5.8 2 Q5.2 0 3 0 Q0.2 0 0.2 2.5 Q0.2 4.5 3 5 Q6 5.5 6 7.6 Q6 10 3 10 Q0.6 10 0 8",
    "T": "M0 0 L6 0 M3 0 L3 10",
    "V": "M0 0 L3 10 L6 0",
    "i": "M3 4 L3 10 M3 0.6 L3 1",
    "?": "M0.2 2.6 Q0.4 0 3 0 Q5.8 0 5.8 2.6 Q5.8 4.2 3 5.4 L3 7 M3 9.5 L3 10",
}
_CELL_W, _CELL_H, _GAP = 6.0, 10.0, 2.6


def letters(text: str, x: float, y: float, height: float) -> Path:
    """Give the strokes of a short text, centred on a point; every character must be one that is drawn here."""
    scale = height / _CELL_H
    width = len(text) * _CELL_W + (len(text) - 1) * _GAP
    left, top = x - width * scale / 2, y - height / 2
    return tuple(
        step
        for n, letter in enumerate(text)
        for step in moved(parse(_LETTERS[letter]), left + n * (_CELL_W + _GAP) * scale, top, scale)
    )


def letters_text(text: str, x: float, y: float, height: float) -> str:
    """Give the same strokes as path text, to be joined with other path text."""
    return path_text(letters(text, x, y, height))
