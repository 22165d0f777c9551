"""The board as a strip on paper: one cell per device, drawn like the thing on the wall.

A cell shows its toggle (up) or its fuse carrier, type and rating ("B32"), code, label as found and its circuit's colour
as a band; what hangs under one RCD is bracketed.
"""

from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

from circuitmap.drawing.blocks import Block, Fill, Stroke, Text
from circuitmap.drawing.dress import CircuitDress
from circuitmap.drawing.marks import Ink
from circuitmap.drawing.typed import fitted, one_line, width_px
from circuitmap.home import Home
from circuitmap.home.phases import going
from circuitmap.home.records import Board, Device

CELL_PX: Final = 88.0
_HEAD: Final = 24.0
_BRACKET: Final = 24.0
_BODY_TOP: Final = 4.0
_BODY: Final = 66.0
_SMALL: Final = 11.0
_LABEL_LINES: Final = 3
_BAND: Final = 7.0
_ROW: Final = _BRACKET + _BODY + 3 * 16.0 + _LABEL_LINES * 14.0 + 12.0
_NOT_THERE: Final = (4.0, 3.0)
_OVER: Final = frozenset({"RCD", "RCD BS 4293", "voltage ELCB", "main switch", "isolator", "changeover switch"})
_WITH_TOGGLE: Final = _OVER | {"MCB", "RCBO", "AFDD", "MCB BS 3871"}


Promise = Literal["", "planned", "to go"]


class WayCell(Struct, frozen=True):
    """What one cell of the strip shows, as text; ``over`` is the device it is bracketed under."""

    device: str
    code: str
    rating: str
    kind: str
    label: str
    role: str
    stripe: tuple[float, ...]
    carrier: bool
    toggle: bool
    over: str
    promise: Promise = ""


def board_cells(home: Home, board: str, circuits: Mapping[str, CircuitDress]) -> tuple[WayCell, ...]:
    """Give the cells of a board in the order of its modules; a device that feeds no circuit has no colour."""
    cells: list[WayCell] = []
    goes = going(home)
    for device in home.devices_on(board):
        if device.phase == "removed":
            continue
        circuit = circuits.get(device.id)
        stripe = circuit.stripe(_BAND) if circuit else None
        above = home.find(Device, device.upstream)
        promise: Promise = "planned" if device.phase == "planned" else "to go" if device.id in goes else ""
        bracketed = above is not None and above.board == board and above.kind in _OVER and above.kind != "main switch"
        cells.append(
            WayCell(
                device.id,
                home.code(device.id) if device.way else "",
                rating_words(device),
                device.kind,
                f"{promise}: {device.label}".removesuffix(": ") if promise else device.label,
                circuit.role if circuit else "",
                stripe.dash if stripe else (),
                device.kind.startswith("fuse"),
                device.kind in _WITH_TOGGLE,
                above.id if above is not None and bracketed else "",
                promise,
            )
        )
    return tuple(cells)


def rating_words(device: Device) -> str:
    """Give a device's type and rating as the trade writes them: "B32", "30 A", "63 A 30 mA"."""
    rating = f"{device.rating_a:g}" if device.rating_a is not None else ""
    letter = device.curve if len(device.curve) == 1 and device.curve.isalpha() else ""
    words = f"{letter}{rating}" if letter else f"{rating} A" if rating else ""
    if device.rcd is not None and device.rcd.trips_ma is not None:
        words = f"{words} {device.rcd.trips_ma:g} mA".strip()
    return words


def board_block(home: Home, board: str, circuits: Mapping[str, CircuitDress], room_px: float) -> Block:
    """Lay a board's strip out in as many rows as its room asks for."""
    record = home.take(Board, board)
    cells = board_cells(home, board, circuits)
    across = max(1, int(room_px // CELL_PX))
    rows = [cells[n : n + across] for n in range(0, len(cells), across)]
    title = f"Board {record.letter_on_map}" + (f" · {one_line(record.name, 40)}" if record.name else "")
    draw = _Strip(home)
    draw.texts.append(Text(title, 0, _HEAD / 2, 13, "ink", bold=True))
    if not cells:
        draw.texts.append(Text("Nothing is listed in it yet.", 0, _HEAD + 10, _SMALL, "faint"))
        return Block(room_px, _HEAD + 24, texts=tuple(draw.texts))
    for n, row in enumerate(rows):
        draw.row(row, _HEAD + n * _ROW)
    wide = max(len(row) for row in rows) * CELL_PX
    high = _HEAD + len(rows) * _ROW
    return Block(wide, high, tuple(draw.strokes), (), tuple(draw.texts), tuple(draw.fills))


class _Strip:
    """Lays out rows of cells and is thrown away."""

    def __init__(self, home: Home) -> None:
        self._home = home
        self.strokes: list[Stroke] = []
        self.texts: list[Text] = []
        self.fills: list[Fill] = []

    def row(self, cells: tuple[WayCell, ...], top: float) -> None:
        start = 0
        for n in range(1, len(cells) + 1):
            if n == len(cells) or cells[n].over != cells[start].over:
                if cells[start].over:
                    self._bracket(cells[start].over, start, n, top)
                start = n
        for n, cell in enumerate(cells):
            self._cell(cell, n * CELL_PX, top + _BRACKET)

    def _bracket(self, over: str, first: int, after: int, top: float) -> None:
        device = self._home.take(Device, over)
        left, right, y = first * CELL_PX + 4, after * CELL_PX - 4, top + 15
        self.strokes.append(Stroke(((left, y + 6), (left, y), (right, y), (right, y + 6)), Ink("ink", 1.4)))
        words = fitted(f"under {device.kind} {rating_words(device)}".strip(), right - left, _SMALL)
        self.texts.append(Text(words, left + 2, y - 8, _SMALL, "ink"))

    def _cell(self, cell: WayCell, x: float, y: float) -> None:
        middle, top, low = x + CELL_PX / 2, y + _BODY_TOP, y + _BODY
        left, right = x + 8, x + CELL_PX - 8
        is_planned = cell.promise == "planned"  # not there yet: an outline in dashes, nothing filled in
        dash = _NOT_THERE if is_planned else ()
        self.strokes.append(Stroke(_box(left, top, right, low), Ink("ink", 1.4, dash)))
        if cell.carrier and not is_planned:
            self.fills.append(Fill(_box(middle - 20, top + 16, middle + 20, low - 16), "wall"))
            grip = Ink("paper", 2.0)
            self.strokes.append(Stroke(((middle - 12, (top + low) / 2), (middle + 12, (top + low) / 2)), grip))
        elif cell.toggle:
            self.strokes.append(Stroke(_box(middle - 9, top + 9, middle + 9, low - 9), Ink("ink", 1.2, dash)))
        if cell.toggle and not cell.carrier and not is_planned:
            self.fills.append(Fill(_box(middle - 7, top + 11, middle + 7, (top + low) / 2), "ink"))
        y = low + 12
        self.texts.append(Text(cell.code or fitted(cell.kind, CELL_PX - 6, 13), middle, y, 13, "ink", "middle", True))
        self.texts.append(Text(fitted(cell.rating, CELL_PX - 6, 13), middle, y + 16, 13, "ink", "middle"))
        if cell.role:
            self.fills.append(Fill(_box(left, y + 26, right, y + 26 + _BAND), cell.role))
            if cell.stripe:
                line = ((left, y + 26 + _BAND / 2), (right, y + 26 + _BAND / 2))
                self.strokes.append(Stroke(line, Ink("paper", _BAND * 0.4, cell.stripe)))
        if cell.code and not cell.role:  # it feeds no circuit: what it is matters more than a colour
            self.texts.append(Text(fitted(cell.kind, CELL_PX - 6, _SMALL), middle, y + 30, _SMALL, "faint", "middle"))
        for n, part in enumerate(_wrapped(cell.label, CELL_PX - 8)):
            self.texts.append(Text(part, middle, y + 44 + n * 14, _SMALL, "ink", "middle"))


def _wrapped(label: str, room_px: float) -> list[str]:
    """Give a label in at most three lines, the last one cut where there is more."""
    words = one_line(label, 80).split()
    lines: list[str] = []
    for n, word in enumerate(words):
        if lines and width_px(f"{lines[-1]} {word}", _SMALL) <= room_px:
            lines[-1] += f" {word}"
        elif len(lines) == _LABEL_LINES:
            lines[-1] = fitted(" ".join([lines[-1], *words[n:]]), room_px, _SMALL)
            break
        else:
            lines.append(word)
    return [fitted(line, room_px, _SMALL) for line in lines]


def _box(left: float, top: float, right: float, bottom: float) -> tuple[tuple[float, float], ...]:
    return ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
