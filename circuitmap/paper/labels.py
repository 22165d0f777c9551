"""Labels for a board: strips to print, cut and stick under its ways, as wide as its modules are.

A module is 17.5 mm wide (DIN 43880, from memory). What a label says is what the map knows to be on the way; where
nothing was found, it says so beside the label that was found on the board. Words are shrunk and wrapped until they
fit, and where that isn't enough the strip grows: nothing is cut off.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.drawing.boardstrip import rating_words
from circuitmap.drawing.palette import circuit_ink
from circuitmap.drawing.typed import one_line, width_px
from circuitmap.home.records import Board, Device, natural_key
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.chart_draw import FRAMES
from circuitmap.paper.chart_facts import Facts, WayFact, chart_facts
from circuitmap.paper.chart_words import NOT_PROOF, main_words, short_words, survey_words, use_main
from circuitmap.paper.days import day_said
from circuitmap.paper.typeset import Data, typeset
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.words import NAMELESS

MODULE_MM: Final = 17.5  # DIN 43880, from memory
ROW_MODULES: Final = 15  # 262.5 mm: what A4 on its side holds with margins that every printer can keep
CHECK_MM: Final = 100.0
_MOST_MODULES: Final = 400
_LEAST_PT: Final = 4.6  # the smallest letters of a label
_PX_PER_PT: Final = 96 / 72
_POINT_PER_PX: Final = 0.75
_PAD_MM: Final = 1.0
_BIT: Final = 4
_BREAK: Final = "\u200b"


@dataclass(frozen=True, slots=True)
class Cell:
    """One label: so many modules wide, the way's code, the device's rating, the words, the number of its colour."""

    modules: int
    code: str
    rating: str
    words: str
    number: int | None
    blank: bool = False


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the labels of a home's boards, or of one board, as a PDF.

    Raises
    ------
    CantMakeError
        When the home has no board, or the subject is none.
    """
    home = wanted.home.existing()
    memo = wanted.memo if home is wanted.home else Memo()
    wanted.ticket.tick(0, 0, "Gathering what is known")
    facts = chart_facts(home, wanted.trade, memo)
    boards = _boards(facts, wanted.subject)
    details = home.details
    remarks: list[str] = []
    strips: list[Data] = []
    for board in boards:
        cells = board_cells(facts, board)
        if not cells:
            remarks.append(f"Nothing is listed in board {board.letter_on_map} yet, so it has no strip.")
        rows = rows_of(cells)
        room = facts.board_rooms.get(board.id)
        name = f"Board {board.letter_on_map}" + (f" · {board.name}" if board.name else "")
        strips.append(
            {
                "board": name + (f" · {room.name}" if room is not None and room.name else ""),
                "rows": [{"cells": [_cell(cell) for cell in row]} for row in rows],
                "notice": f"Board {board.letter_on_map}. {NOT_PROOF} In doubt, {use_main(facts)}.",
            }
        )
    data: Data = {
        "title": f"Board labels: {details.name}" if details.name else "Board labels",
        "home": details.name or NAMELESS,
        "day": day_said(wanted.day),
        "survey": survey_words(facts),
        "boards": strips,
        "module": MODULE_MM,
        "check": CHECK_MM,
        "pad": _PAD_MM,
        "least": _LEAST_PT,
        "not_proof": NOT_PROOF,
        "mains": main_words(facts),
        "call": details.call,
    }
    return (Made(typeset("labels", data), remarks=tuple(remarks)),)


def board_cells(facts: Facts, board: Board) -> tuple[Cell, ...]:
    """Give the labels of a board by its modules from the left, with blanks where no device is on record."""
    ways = {way.view.device.id: way for way in facts.ways}
    cells: list[Cell] = []
    at = 0
    devices = [device for device in facts.home.devices_on(board.id) if device.phase == "existing"]
    for device in devices:
        gap = min((device.module or at) - at, _MOST_MODULES)
        if device.module is not None and gap > 0:
            cells += _blanks(gap)
            at += gap
        width = min(device.modules, ROW_MODULES)
        cells.append(_labelled(facts, device, ways.get(device.id), width))
        at += width
    if devices and board.modules is not None:
        cells += _blanks(min(board.modules - at, _MOST_MODULES))
    return tuple(cells)


def rows_of(cells: Iterable[Cell], most: int = ROW_MODULES) -> tuple[tuple[Cell, ...], ...]:
    """Part labels into strips that fit on the paper, about as long as each other, never through a device."""
    listed = list(cells)
    total = sum(cell.modules for cell in listed)
    if not total:
        return ()
    count = -(-total // most)
    while True:
        aim = -(-total // count)
        rows: list[list[Cell]] = [[]]
        used = 0
        for cell in listed:
            if rows[-1] and (used + cell.modules > most or (used >= aim and len(rows) < count)):
                rows.append([])
                used = 0
            rows[-1].append(cell)
            used += cell.modules
        if len(rows) <= count:
            return tuple(map(tuple, rows))
        count += 1


def label_words(facts: Facts, way: WayFact) -> str:
    """Say in few words what is on a way."""
    found = one_line(way.view.device.label, 400)
    if way.joined:
        return f"joined with {' and '.join(i for i in way.joined if i != way.code)}: {use_main(facts)}"
    if way.view.boards_fed:
        fed = [board.name or f"board {board.letter_on_map}" for board in way.view.boards_fed]
        return ", ".join(fed)
    if not way.points:
        return f"not traced{f' (was: {found})' if found else ''}"
    words = short_words(facts, way)
    return words if way.seen else f"{words}?"


def _labelled(facts: Facts, device: Device, way: WayFact | None, width: int) -> Cell:
    rating = rating_words(device)
    if device.kind == "blank":
        return Cell(width, "", "", "blank", None, blank=True)
    if way is None:
        kind = device.label or device.kind
        return Cell(width, facts.home.code(device.id) if device.way else "", rating, kind, None)
    return Cell(width, way.code, rating, label_words(facts, way), way.number)


def _blanks(count: int) -> list[Cell]:
    return [Cell(1, "", "", "blank", None, blank=True) for _ in range(max(0, count))]


def _boards(facts: Facts, subject: str) -> Sequence[Board]:
    if not facts.boards:
        raise CantMakeError("There is no board in this home yet, so there is nothing to label.")
    if not subject:
        return facts.boards
    record = facts.home.peek(subject)
    board = facts.home.find(Board, record.board if isinstance(record, Device) else subject)
    if board is None:
        there = ", ".join(sorted((board.id for board in facts.boards), key=natural_key))
        raise CantMakeError(f"“{subject}” is no board of this home; there are: {there}.")
    return (board,)


def _cell(cell: Cell) -> Data:
    colour = circuit_ink(cell.number)[0] if cell.number is not None else ""
    frame = [n * _POINT_PER_PX for n in FRAMES[cell.number % len(FRAMES)]] if cell.number is not None else []
    wide_mm = cell.modules * MODULE_MM - 2 * _PAD_MM
    return {
        "modules": cell.modules,
        "code": _broken(cell.code, wide_mm),
        "rating": cell.rating,
        "words": [_broken(word, wide_mm) for word in cell.words.split()],
        "colour": colour,
        "frame": frame,
        "blank": cell.blank,
    }


def _broken(word: str, wide_mm: float) -> str:
    """Give a word that may be broken where it would be wider than its label even in the smallest letters."""
    room = wide_mm / 25.4 * 96
    if width_px(word, _LEAST_PT * _PX_PER_PT) * 1.15 <= room:
        return word
    return _BREAK.join(word[n : n + _BIT] for n in range(0, len(word), _BIT))
