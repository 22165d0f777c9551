"""The schedule of circuit details: a line for each circuit, a line for each board, with what nobody recorded named.

The columns name the quantities of the model schedule.

**Source:** BS 7671:2018 Appendix 6, schedule of circuit details, from memory.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from circuitmap.circuits import CircuitView, what_it_feeds
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, Run, Storey, Supply
from circuitmap.memo import Memo
from circuitmap.paper.supply_read import pfc_said, ze_said
from circuitmap.paper.tables import BLANK, MM2, Cell, Column, Table, number_text, size_text, table
from circuitmap.plan.where import room_of
from circuitmap.readings.judged_case import rcds_over, rules_of
from circuitmap.readings.judged_live import marking_of
from circuitmap.readings.results import Permitted, permitted_zs
from circuitmap.readings.verdict import Rules
from circuitmap.trade import Trade
from circuitmap.wiring.supply import feeders
from circuitmap.words import CARRYING

_ZS_DECIMALS: Final = 2
_WHOLE_FROM_OHM: Final = 100.0
_SIZE: Final = re.compile(r"\s+\d.*$")

CIRCUIT: Final = Column("Circuit", wide=7)
LABEL: Final = Column("Circuit description", wide=22)
CIRCUITS: Final = (
    CIRCUIT,
    LABEL,
    Column("Rooms or board served", wide=18),
    Column("Type of wiring", wide=8),
    Column("Reference method", wide=8),
    Column("Points served", kind="number", wide=6, decimals=0),
    Column("Live", MM2, "number", 6, "Conductors"),
    Column("cpc", MM2, "number", 6, "Conductors"),
    Column("BS (EN)", wide=10, group="Overcurrent device"),
    Column("Type", wide=4.5, group="Overcurrent device"),
    Column("Rating", "A", "number", 5.5, "Overcurrent device"),
    Column("Breaking capacity", "kA", "number", 7.5, "Overcurrent device"),
    Column("Maximum permitted Zs", "Ω", "number", 8, "Overcurrent device", _ZS_DECIMALS),
    Column("BS (EN)", wide=10, group="RCD"),
    Column("Type", wide=4.5, group="RCD"),
    Column("IΔn", "mA", "number", 5, "RCD"),
    Column("Rating", "A", "number", 5.5, "RCD"),
    Column("Not recorded", wide=20),
)
BOARDS: Final = (
    Column("Board", wide=6),
    Column("Name", wide=18),
    Column("Place", wide=20),
    Column("Fed from", wide=16),
    Column("Main switch or isolator", "A", "number", 10),
    Column("RCDs and what else stands in it", wide=50),
    Column("Ways with a circuit", kind="number", wide=9, decimals=0),
)
_STANDARD: Final = "BS (EN) is that of the kind of device where none was read off it."
_WIRING: Final = "Type of wiring is the cable's trade description."
_SOURCE: Final = "Maximum permitted Zs: {}."


def circuits_table(home: Home, views: Sequence[CircuitView], trade: Trade) -> Table:
    """Give the circuits board by board, each with what is recorded of it and the names of what is not."""
    rules = rules_of(home, trade)
    supply = next(iter(home.sorted(Supply)), None)
    earthing = supply.earthing if supply is not None else "unknown"
    permitted = [permitted_zs(rules, view, earthing) for view in views]
    rows = [_row(view, home, rules, limit) for view, limit in zip(views, permitted, strict=True)]
    sources = list(dict.fromkeys(limit.source.rstrip(".") for limit in permitted if limit is not None))
    says = _SOURCE.format("; ".join(sources)) if sources else ""
    return table("Circuits", "Circuit details", CIRCUITS, rows, BLANK, _WIRING, _STANDARD, says)


def boards_table(home: Home, views: Sequence[CircuitView], boards: Iterable[Board], trade: Trade, memo: Memo) -> Table:
    """Give the boards: where they are, what feeds them, their main switch and what else stands in them."""
    fed = feeders(home, memo)
    rows: list[Sequence[Cell]] = []
    for board in boards:
        ways = {view.device.id for view in views if view.board.id == board.id}
        devices = home.devices_on(board.id)
        main = next((d for d in devices if d.kind in ("main switch", "isolator")), None)
        rest = [_device_words(home, d, trade) for d in devices if d.id not in ways and d is not main]
        room = room_of(home, memo, board)
        storey = home.find(Storey, room.storey if room is not None else board.place.storey if board.place else None)
        place = ", ".join(each.name for each in (room, storey) if each is not None)
        where = " ".join(home.code(device) for device in fed.get(board.id, ()))
        source = {"supply": "the supply", "elsewhere": "elsewhere", "run": where}.get(board.source, where)
        rows.append(
            (
                board.letter_on_map,
                board.name,
                place,
                source or where,
                main.rating_a if main is not None else None,
                "; ".join(rest),
                len(ways) if ways else None,
            )
        )
    return table("Boards", "Boards", BOARDS, [[each or None for each in row] for row in rows])


def described(view: CircuitView, trade: Trade) -> str:
    """Give what a circuit is called: its label as found, or what it feeds where it has none."""
    if view.device.label.strip():
        return view.device.label.strip()
    return f"{what_it_feeds(view, trade)} (no label)" if view.members or view.boards_fed else "No label"


def _row(view: CircuitView, home: Home, rules: Rules, permitted: Permitted | None) -> list[Cell]:
    trade, device = rules.trade, view.device
    runs = _fixed(view, trade)
    sizes = [_sizes(run, trade) for run in runs]
    rcd = next(iter(rcds_over(view, trade)), None)
    marking = marking_of(rules, device)
    capacity = trade.breaking(device.kind, marking) if marking else None
    points = sum(trade.point(member.point.kind).counts_as_point for member in view.members)
    cells: list[Cell] = [
        view.code,
        described(view, trade),
        ", ".join([*(room.name for room in view.rooms), *(_board_words(board) for board in view.boards_fed)]) or None,
        ", ".join(dict.fromkeys(_SIZE.sub("", run.cable) for run in runs if run.cable)) or None,
        ", ".join(dict.fromkeys(run.method for run in runs if run.method)) or None,
        points or None,
        _several(live for live, _ in sizes),
        _several(cpc for _, cpc in sizes),
        device.standard or trade.device(device.kind).standard or None,
        device.curve or None,
        device.rating_a,
        capacity.ka if capacity is not None else None,
        _ohm(permitted),
        (rcd.standard or trade.device(rcd.kind).standard or None) if rcd is not None else None,
        rcd.rcd.type or None if rcd is not None and rcd.rcd is not None else None,
        rcd.rcd.trips_ma if rcd is not None and rcd.rcd is not None else None,
        rcd.rating_a if rcd is not None else None,
    ]
    return [*cells, "; ".join(_missing(view, cells, runs, sizes, rcd, trade)) or None]


def _missing(
    view: CircuitView,
    cells: Sequence[Cell],
    runs: Sequence[Run],
    sizes: Sequence[tuple[float | None, float | None]],
    rcd: Device | None,
    trade: Trade,
) -> Iterator[str]:
    """Name what nobody recorded, so that a blank is never taken for none."""
    named = {3: "type of wiring", 4: "reference method", 5: "points served", 6: "live size", 7: "cpc size",
             10: "rating", 11: "breaking capacity", 12: "maximum Zs"}  # fmt: skip
    yield from (words for place, words in named.items() if cells[place] is None)
    if view.device.curve == "" and trade.device(view.device.kind).types:
        yield "type of the device"
    some = sum(live is None for live, _ in sizes)
    if 0 < some < len(runs):
        yield f"size of {some} of {len(runs)} cables"
    if rcd is None:
        yield "no RCD recorded over it"
    elif rcd.rcd is None or rcd.rcd.trips_ma is None:
        yield "IΔn"
    elif not rcd.rcd.type:
        yield "type of the RCD"


def _board_words(board: Board) -> str:
    return f"board {board.letter_on_map}" + (f" ({board.name})" if board.name else "")


def _fixed(view: CircuitView, trade: Trade) -> list[Run]:
    """Give the runs of the fixed wiring; flexible cord only where there is nothing else."""
    carrying = [run for run in view.runs if run.role in CARRYING]
    fixed = [run for run in carrying if (cable := trade.cable(run.cable)) is None or cable.kind != "flex"]
    return fixed or carrying


def _sizes(run: Run, trade: Trade) -> tuple[float | None, float | None]:
    cable = trade.cable(run.cable)
    live = run.live_mm2 if run.live_mm2 is not None else cable.live_mm2 if cable is not None else None
    cpc = run.cpc_mm2 if run.cpc_mm2 is not None else cable.cpc_mm2 if cable is not None else None
    return live, cpc


def _several(sizes: Iterable[float | None]) -> Cell:
    """Give one size as a number, several as words; a cable without a cpc is said, never a zero."""
    held = sorted({size for size in sizes if size is not None}, reverse=True)
    if not held:
        return None
    if len(held) == 1 and held[0]:
        return held[0]
    return " and ".join(size_text(size) if size else "none" for size in held)


def _ohm(permitted: Permitted | None) -> Cell:
    if permitted is None:
        return None
    return round(permitted.ohm) if permitted.ohm >= _WHOLE_FROM_OHM else round(permitted.ohm, _ZS_DECIMALS)


def _device_words(home: Home, device: Device, trade: Trade) -> str:
    """Give a device that is no circuit in a few words: an RCD with its rating and the ways under it."""
    words = f"{home.code(device.id) if device.way else ''} {trade.device(device.kind).title}".strip()
    if device.rating_a is not None:
        words += f" {number_text(device.rating_a)} A"
    if device.rcd is not None:
        facts = [number_text(device.rcd.trips_ma) + " mA" if device.rcd.trips_ma is not None else "IΔn not recorded"]
        facts += [f"type {device.rcd.type}"] if device.rcd.type else []
        facts += ["time-delayed"] if device.rcd.delayed else []
        words += f" ({', '.join(facts)})"
    under = [home.code(d.id) for d in home.devices_on(device.board) if d.upstream == device.id]
    return f"{words} over {', '.join(under)}" if under else words


def supply_says(home: Home) -> tuple[tuple[str, str], ...]:
    """Give what is recorded of the supply, as pairs of what and words; what nobody saw is said."""
    supply = next(iter(home.sorted(Supply)), None)
    if supply is None:
        return (("Supply", "not recorded"),)
    said = [("Earthing", supply.earthing if supply.earthing != "unknown" else "not recorded")]
    figures = (
        ("Nominal voltage", f"{number_text(supply.voltage_v)} V" if supply.voltage_v is not None else ""),
        ("Phases", str(supply.phases or "")),
        ("Supply fuse", f"{number_text(supply.fuse_a)} A" if supply.fuse_a is not None else ""),
        ("Tails", f"{number_text(supply.tails_mm2)} mm²" if supply.tails_mm2 is not None else ""),
        ("Earthing conductor", f"{number_text(supply.earthing_mm2)} mm²" if supply.earthing_mm2 is not None else ""),
        ("Ze", ze_said(home, supply)),
        ("Fault current", pfc_said(home, supply)),
    )
    return (*said, *((about, words or "not recorded") for about, words in figures))
