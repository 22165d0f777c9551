"""The boards of an invented home: which devices, what stands over what, in the order in which they sit."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final, Literal

from circuitmap.home.records import Board, Device, Place, Rcd, Record
from circuitmap.survey.rehearsal.ways import Way
from circuitmap.words import DeviceKind

Era = Literal["fuses", "early breakers", "no RCD", "split", "RCDs", "RCBOs"]
Group = tuple[int, ...]
_MOST_WAYS: Final = 20
_MOST_CARRIERS: Final = 10
_MOST_BOARDS: Final = 26
MOST_WAYS: Final = _MOST_BOARDS * _MOST_CARRIERS
_YEARS: Final[dict[Era, tuple[int, int]]] = {
    "fuses": (1952, 1972), "early breakers": (1970, 1988), "no RCD": (1984, 1994), "split": (1990, 2008),
    "RCDs": (2008, 2018), "RCBOs": (2016, 2024),
}  # fmt: skip


@dataclass(slots=True)
class Boards:
    """What came of it: board and device records, and the year by which such a board was usual."""

    records: list[Record]
    year: int


def choose_era(rng: Random, fuse_board: bool, rcds: int | None, joins: bool) -> Era:
    """Choose of what age a board is; two ways joined under different RCDs would trip them, so not with RCBOs."""
    if fuse_board:
        return "fuses"
    if rcds is not None:
        return "no RCD" if rcds == 0 else "split" if rcds == 1 else "RCDs"
    eras: tuple[Era, ...] = ("early breakers", "no RCD", "split", "RCDs", "RCBOs")
    return rng.choices(eras, (8, 10, 27, 30, 0 if joins else 25))[0]


def count_boards(ways: int, era: Era) -> int:
    """Give how many boards so many ways need."""
    return max(1, -(-ways // (_MOST_CARRIERS if era == "fuses" else _MOST_WAYS)))


def fit(
    rng: Random,
    ways: Sequence[Way],
    era: Era,
    rcds: int | None,
    together: Sequence[Group],
    both_poles: Collection[int],
    places: Sequence[Place],
) -> Boards:
    """Fit out a board for each place; ways in one of ``together`` are under the same RCD, or under none.

    Ways in ``both_poles`` switch their neutral too. Every way is told its device and its code.
    """
    units = _units(ways, together)
    count = len(places)
    if rcds is None:
        rcds = {"split": count, "RCDs": 2 * count}.get(era, 0)
    fitted = Boards([], rng.randint(*_YEARS[era]))
    number = 0
    for board, held in enumerate(_deal(units, count)):
        here = rcds // count + (1 if board < rcds % count else 0)
        letter, name = chr(ord("A") + board), "Fuse board" if era == "fuses" else "Consumer unit"
        record = Board(id=f"B{board + 1}", letter_on_map=letter, place=places[board],
                       name=name if count == 1 else f"{name} {board + 1}")  # fmt: skip
        fitted.records.append(record)
        groups = _under_rcds(ways, held, here, era)
        number = _fit_one(rng, ways, era, groups, both_poles, record, number, fitted.records)
    return fitted


def _units(ways: Sequence[Way], together: Sequence[tuple[int, ...]]) -> list[Group]:
    bound = {way for group in together for way in group}
    return [*together, *((n,) for n in range(len(ways)) if n not in bound)]


def _deal(units: Sequence[Group], count: int) -> list[list[Group]]:
    """Share units out between boards, each in its turn, so that every board has some of everything."""
    boards: list[list[Group]] = [[] for _ in range(count)]
    for unit in units:
        min(boards, key=lambda held: sum(map(len, held))).append(unit)
    return boards


def _under_rcds(ways: Sequence[Way], units: Sequence[Group], rcds: int, era: Era) -> list[list[int]]:
    """Give the ways of one board by RCD; the last list has none over it."""
    if rcds == 0:
        return [[n for unit in units for n in unit]]
    groups: list[list[int]] = [[] for _ in range(rcds + 1)]
    for unit in sorted(units, key=lambda unit: ways[unit[0]].kind.takes):
        needs = any(ways[n].kind.needs_rcd for n in unit)
        if era == "split" and not needs and len(units) > 1:
            groups[-1] += unit
        else:
            min(groups[:-1], key=len).extend(unit)
    if not groups[0]:
        groups[0], groups[-1] = groups[-1], []
    return groups


def _fit_one(
    rng: Random,
    ways: Sequence[Way],
    era: Era,
    groups: list[list[int]],
    both_poles: Collection[int],
    into: Board,
    number: int,
    records: list[Record],
) -> int:
    """Add one board's devices: the main switch, then each RCD with its ways, then those without; give the last id."""
    board, letter = into.id, into.letter_on_map
    kind = _kind(era)
    curve = "2" if kind == "MCB BS 3871" else "" if kind == "fuse BS 3036" else "B"
    rcbo_neutral = rng.choice((True, False, None))
    number += 1
    main, module, way_number = f"D{number}", 2, 0
    records.append(Device(id=main, board=board, kind="main switch", rating_a=60.0 if era == "fuses" else 100.0,
                          module=0, modules=2, poles=2, label="Main switch"))  # fmt: skip
    rcds = len(groups) - 1
    for turn, group in enumerate(groups):
        over = main
        if turn < rcds:
            number += 1
            over = f"D{number}"
            records.append(Device(id=over, board=board, kind="RCD", rating_a=63.0 if rcds > 1 else 80.0, module=module,
                                  modules=2, poles=2, rcd=Rcd(trips_ma=30.0, type="A" if era == "RCDs" else "AC"),
                                  upstream=main, label="RCD" if rcds == 1 else f"RCD {turn + 1}"))  # fmt: skip
            module += 2
        for index in sorted(group, key=lambda n: (-ways[n].rating_a, n)):
            way = ways[index]
            number, way_number = number + 1, way_number + 1
            way.device, way.code = f"D{number}", f"{letter}{way_number}"
            records.append(Device(
                id=way.device, board=board, way=str(way_number), module=module, kind=kind, rating_a=way.rating_a,
                curve=curve, upstream=over, label=way.label,
                rcd=Rcd(trips_ma=30.0, type="A") if era == "RCBOs" else None,
                poles=2 if index in both_poles else None,
                neutral_switched=True if index in both_poles else rcbo_neutral if era == "RCBOs" else None,
            ))  # fmt: skip
            module += 1
    for _ in range(rng.choice((0, 0, 1, 2)) if era != "fuses" else 0):
        number, way_number = number + 1, way_number + 1
        records.append(Device(id=f"D{number}", board=board, way=str(way_number), module=module, kind="blank",
                              label=rng.choice(("", "Spare"))))  # fmt: skip
        module += 1
    return number


def _kind(era: Era) -> DeviceKind:
    if era == "fuses":
        return "fuse BS 3036"
    if era == "early breakers":
        return "MCB BS 3871"
    return "RCBO" if era == "RCBOs" else "MCB"
