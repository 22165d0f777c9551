"""Ze and the fault current of a supply as documents tell them: what a meter read as read, what was noted as noted."""

from typing import Final, Literal

from circuitmap.home import Home
from circuitmap.home.records import Board, Reading, Supply
from circuitmap.quantities.show import show_ohm
from circuitmap.words import ReadingTest

NOT_READ: Final = "not read"
_Asked = Literal["Ze", "PFC"]
_SAME: Final = 1e-6


def ze_said(home: Home, supply: Supply) -> str:
    """Give Ze in words: "0.24 Ω, read at board A"; where nobody read it, what was noted of it."""
    return _said(home, "Ze", supply.ze_ohm)


def pfc_said(home: Home, supply: Supply) -> str:
    """Give the prospective fault current in words, as ``ze_said`` does; noted in kA, read in A."""
    return _said(home, "PFC", supply.pfc_ka * 1000 if supply.pfc_ka is not None else None)


def _said(home: Home, test: _Asked, noted: float | None) -> str:
    read = _latest(home, test)
    if not read:
        return f"{_shown(test, noted)}, as noted" if noted is not None else NOT_READ
    words = []
    for board, reading in read:
        value = reading.value_si
        shown = _shown(test, value) if value is not None else reading.typed or reading.not_possible
        words.append(f"{reading.bound if reading.bound != '=' else ''}{shown}, read at board {board}")
    said = "; ".join(words)
    if noted is not None and all(each.value_si is None or abs(each.value_si - noted) > _SAME for _, each in read):
        said += f" (noted: {_shown(test, noted)})"
    return said


def _latest(home: Home, test: ReadingTest) -> list[tuple[str, Reading]]:
    """Give the last reading of a test at each board that has one, by the board's letter."""
    found: dict[str, Reading] = {}
    for reading in home.sorted(Reading):
        board = home.find(Board, reading.at)
        if reading.test == test and board is not None:
            found[board.letter_on_map] = reading
    return sorted(found.items())


def _shown(test: _Asked, value_si: float | None) -> str:
    if value_si is None:
        return ""
    return show_ohm(value_si) if test == "Ze" else f"{value_si / 1000:g} kA"
