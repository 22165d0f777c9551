"""The tables as one frozen value that every rule is handed."""

import math
from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from circuitmap.errors import OurError, TradeError
from circuitmap.trade import rows
from circuitmap.trade.editions import carried, choose, latest
from circuitmap.trade.rows import (
    Access,
    Blind,
    Box,
    Breaking,
    Cable,
    Checking,
    Conductor,
    Constant,
    DeviceRow,
    Diversity,
    Due,
    Edition,
    Effort,
    FactorTable,
    FixtureRow,
    Heavy,
    Imperial,
    IzRow,
    Lamps,
    LetThrough,
    Likely,
    Limit,
    Method,
    Notice,
    Pace,
    PointRow,
    RcdNeed,
    Row,
    Size,
    StandsIn,
    Suits,
    Suspect,
    Suspicion,
    Synonym,
    Tester,
    TripMultiple,
    ZsTable,
)
from circuitmap.words import ClearedBy, DeviceKind, FixtureKind, PointKind

Choices = Iterable[tuple[str, str]]
DEFAULT_EDITION: Final = "18th+A2"
MILLI: Final = 1e-3
SIZE_AGREES_MM2: Final = 0.005


class Trade(Struct, frozen=True, eq=False, kw_only=True):
    """The facts of the trade: conductors, cables, ratings, devices, points, limits by edition."""

    conductors: tuple[Conductor, ...]
    imperials: dict[str, Imperial]
    constants: dict[str, Constant]
    cable_rows: dict[str, Cable]
    methods: tuple[Method, ...]
    iz_rows: tuple[IzRow, ...]
    factors: dict[str, FactorTable]
    device_rows: dict[str, DeviceRow]
    trips: tuple[TripMultiple, ...]
    zs_tables: tuple[ZsTable, ...]
    let_throughs: tuple[LetThrough, ...]
    diversity_rows: dict[str, Diversity]
    point_rows: dict[str, PointRow]
    checking_rows: dict[str, Checking]
    paces: dict[str, Pace]
    size_rows: dict[str, Size]
    fixture_rows: dict[str, FixtureRow]
    effort_rows: dict[str, Effort]
    edition_rows: dict[str, Edition]
    limit_rows: dict[str, tuple[Limit, ...]]
    rcd_rows: dict[str, tuple[RcdNeed, ...]]
    heavy_rows: dict[str, Heavy]
    notice_rows: dict[str, Notice]
    boxes: dict[str, Box]
    breaking_rows: dict[tuple[str, str], Breaking]
    lamp_rows: dict[tuple[bool, bool, bool], Lamps]
    blind_rows: tuple[Blind, ...]
    suspect_rows: tuple[Suspect, ...]
    suspicion_rows: dict[str, Suspicion]
    access_rows: dict[str, Access]
    due_rows: tuple[Due, ...]
    synonym_rows: dict[str, Synonym]
    spellings: dict[str, Synonym]
    likely_rows: dict[str, Likely]
    suits_rows: dict[str, Suits]
    stand_ins: dict[tuple[str, str], StandsIn]

    @property
    def editions(self) -> tuple[str, ...]:
        """Give the codes of the editions, oldest first."""
        return tuple(self.edition_rows)

    # limits ---------------------------------------------------------------------------------------------------

    def limit(self, name: str, edition: str, choices: Choices = ()) -> Row:
        """Give the figure of a limit in an edition, with a home's own choices before the default.

        Parameters
        ----------
        name
            The limit's name, such as "ring area m2"; an unknown one is our mistake.
        edition
            One of ``editions``.
        choices
            Pairs of a limit's name and either a side of a disagreement or a figure.

        Raises
        ------
        TradeError
            When the edition is unknown or the choice can't be used.
        """
        return carried(self.edition_rows, choose(self.sides(name, edition), choices), edition)

    def sides(self, name: str, edition: str) -> tuple[Limit, ...]:
        """Give what each side says of a limit in an edition (one row where nobody disagrees)."""
        if name not in self.limit_rows:
            raise OurError(f"No limit is called “{name}”.")
        found = latest(self.edition_rows, self.limit_rows[name], edition)
        if not found:
            raise TradeError(f"The limit {name} has no figure in edition {edition}. Choose a later edition.")
        return found

    def rcd(self, category: str, edition: str) -> RcdNeed | None:
        """Give the need for 30 mA protection of a category, or None where the edition asks for none."""
        if category not in self.rcd_rows:
            raise OurError(f"No category of residual current protection is called “{category}”.")
        found = latest(self.edition_rows, self.rcd_rows[category], edition)
        return found[0] if found else None

    def heavy(self, kind: PointKind) -> Heavy | None:
        """Give the rule that keeps such a fixed load off a socket ring, if there is one."""
        return self.heavy_rows.get(kind)

    def box(self, kind: PointKind) -> Box | None:
        """Give the depth of box that such an accessory needs, if it is known."""
        return self.boxes.get(kind)

    # tests ----------------------------------------------------------------------------------------------------

    def breaking(self, kind: DeviceKind, marking: str = "") -> Breaking | None:
        """Give a device's short-circuit capacity by its marking; None for a kind or marking that no row has."""
        return self.breaking_rows.get((kind, marking))

    def lamps(self, l_n: bool, l_e: bool, n_e: bool) -> Lamps:
        """Give what a plug-in indicator's lamps mean: line to neutral, line to earth, neutral to earth lit or not."""
        return self.lamp_rows[l_n, l_e, n_e]

    def blind(self, tester: Tester = "simple") -> tuple[Blind, ...]:
        """Give what a class of plug-in tester can't see."""
        return tuple(row for row in self.blind_rows if tester not in row.seen_by)

    def suspects(self) -> tuple[Suspect, ...]:
        """Give what to take off when insulation reads low, the likeliest first."""
        return self.suspect_rows

    def suspicion(self, name: str) -> Suspicion:
        """Give how much likelier a fact makes a leak, by the fact's name."""
        if name not in self.suspicion_rows:
            raise OurError(f"No suspicion is called “{name}”.")
        return self.suspicion_rows[name]

    def suspicions(self, part: str, kind: PointKind) -> tuple[Suspicion, ...]:
        """Give what the kind of a point makes likelier of its accessory, what is built into it, or its equipment."""
        return tuple(row for row in self.suspicion_rows.values() if row.part in (part, "any") and kind in row.kinds)

    def access(self, name: str) -> Access:
        """Give what an act of looking for a leak takes, by its name."""
        if name not in self.access_rows:
            raise OurError(f"No access is called “{name}”.")
        return self.access_rows[name]

    def opening(self, kind: PointKind) -> Access:
        """Give what it takes to open a point of a kind."""
        return next((row for row in self.access_rows.values() if kind in row.kinds), self.access_rows["open"])

    # words ----------------------------------------------------------------------------------------------------

    def device(self, kind: DeviceKind) -> DeviceRow:
        """Give the row of a device word."""
        return self.device_rows[kind]

    def devices(self) -> tuple[DeviceRow, ...]:
        """Give the rows of all device words."""
        return tuple(self.device_rows.values())

    def point(self, kind: PointKind) -> PointRow:
        """Give the row of a point word."""
        return self.point_rows[kind]

    def points(self) -> tuple[PointRow, ...]:
        """Give the rows of all point words."""
        return tuple(self.point_rows.values())

    def checking(self, kind: PointKind) -> Checking:
        """Give how far an answer at such a point can be believed."""
        return self.checking_rows[self.point_rows[kind].checked]

    def pace(self, name: str) -> float:
        """Give how long or how fast something goes in a survey, in the unit of its row."""
        if name not in self.paces:
            raise OurError(f"No pace is called “{name}”.")
        return self.paces[name].value

    def size_mm(self, name: str) -> float:
        """Give how large a part of a building usually is, in millimetres."""
        if name not in self.size_rows:
            raise OurError(f"No size is called “{name}”.")
        return self.size_rows[name].value

    def fixture(self, kind: FixtureKind) -> FixtureRow:
        """Give how large a kind of fixture usually is."""
        return self.fixture_rows[kind]

    def effort_min(self, name: str) -> float:
        """Give how many minutes a stretch of a route likely takes, in the unit of its row."""
        if name not in self.effort_rows:
            raise OurError(f"No effort is called “{name}”.")
        return self.effort_rows[name].value

    def dues(self) -> tuple[Due, ...]:
        """Give when things are due, in the order of their table."""
        return self.due_rows

    def synonyms(self) -> tuple[Synonym, ...]:
        """Give what words on labels say, in the order of their table."""
        return tuple(self.synonym_rows.values())

    def synonym(self, words: str) -> Synonym | None:
        """Give what some words say together, spelled as ``spelled`` gives them; None for words without a row."""
        return self.spellings.get(words)

    # what is likely -------------------------------------------------------------------------------------------

    def likely(self, name: str) -> float:
        """Give how many times likelier an observation makes a way; an unknown name is our mistake."""
        if name not in self.likely_rows:
            raise OurError(f"Nothing likely is called “{name}”.")
        return self.likely_rows[name].times

    def suits(self, kind: PointKind) -> Suits:
        """Give how well ways suit a kind of point: the row for the kind, or else for its family."""
        return self.suits_rows.get(kind) or self.suits_rows[f"family {self.point_rows[kind].family}"]

    def stand_in(self, kind: PointKind, labelled: str) -> StandsIn | None:
        """Give the row for a kind of point on ways labelled for another kind or family, if it is often found there."""
        found = self.stand_ins.get((kind, labelled))
        return found or self.stand_ins.get((f"family {self.point_rows[kind].family}", labelled))

    # cables ---------------------------------------------------------------------------------------------------

    def cable(self, code: str) -> Cable | None:
        """Give a cable's make-up by its code, or None for one that isn't in the tables."""
        return self.cable_rows.get(code)

    def cables(self) -> tuple[Cable, ...]:
        """Give all cables, in the order of their table."""
        return tuple(self.cable_rows.values())

    def usual_cables(self, rating_a: float | None = None, kind: str = "") -> tuple[Cable, ...]:
        """Give the cables customary at a device rating, thinnest first; all that may be extended when it is unknown."""
        return tuple(
            sorted(
                (
                    cable
                    for cable in self.cable_rows.values()
                    if not cable.do_not_extend
                    and (not kind or cable.kind == kind)
                    and (rating_a is None or rating_a in cable.usual_in_a)
                    and not (rating_a is not None and cable.until_year is not None)
                ),
                key=_thickness,
            )
        )

    def ohm_per_m(self, mm2: float, conductor: str = "solid") -> float | None:
        """Give a copper conductor's resistance at 20 °C in ohms per metre: the standard's maximum.

        **Source:** IEC 60228; an imperial size gives what it is likely to read.

        Parameters
        ----------
        mm2
            A size of the tables; any other gives None rather than a guess.
        conductor
            "solid" (class 1 and 2), "tinned", "flex" (class 5 and 6) or "ideal".
        """
        for row in self.conductors:
            if abs(row.mm2 - mm2) < SIZE_AGREES_MM2:
                by_make = {
                    "solid": row.max_mohm_per_m,
                    "tinned": row.tinned_mohm_per_m,
                    "flex": row.flex_mohm_per_m,
                    "ideal": row.ideal_mohm_per_m,
                }
                return by_make[conductor] * MILLI
        for old in self.imperials.values():
            if abs(old.mm2 - mm2) < SIZE_AGREES_MM2:
                return (old.ideal_mohm_per_m if conductor == "ideal" else old.likely_mohm_per_m) * MILLI
        return None

    def cable_ohm_per_m(self, cable: Cable) -> tuple[float | None, float | None]:
        """Give a cable's live and protective conductor in ohms per metre at 20 °C (None where it can't be known)."""
        if cable.metal == "aluminium":
            rho = self.constants["aluminium rho 20"].value * MILLI
            return rho / cable.live_mm2, rho / cable.cpc_mm2 if cable.cpc_mm2 else None
        make = "flex" if cable.kind == "flex" else "solid"
        return self.ohm_per_m(cable.live_mm2, make), self.ohm_per_m(cable.cpc_mm2, make) if cable.cpc_mm2 else None

    def iz(self, cable: Cable | float, method: str) -> float | None:
        """Give what a cable carries by a reference method in amperes, or None where it can't be known.

        Parameters
        ----------
        cable
            A cable, or the live size of flat cable in mm².
        method
            A code of ``methods``; "" or an unknown one gives None, except for flexible cord.
        """
        row = self._iz_row(cable)
        return None if row is None else row.by_method.get(method, row.by_method.get("any"))

    def iz_range(self, cable: Cable | float) -> tuple[float, float] | None:
        """Give the least and the most a cable carries over all reference methods, in amperes."""
        row = self._iz_row(cable)
        return None if row is None else (min(row.by_method.values()), max(row.by_method.values()))

    def drop_mv_per_a_m(self, cable: Cable | float) -> float | None:
        """Give a cable's volt drop in mV per ampere and metre at working temperature."""
        row = self._iz_row(cable)
        return None if row is None else row.drop_mv_per_a_m

    def factor(self, name: str, at: float = 1) -> float | None:
        """Give a correction factor; between two rows the worse one, past the last None.

        Parameters
        ----------
        name
            "Ca" (°C), "Cg bunched", "Cg single layer" (circuits), "Ci" (mm of insulation around) or "Cf BS 3036".
        at
            What it depends on, in that unit.
        """
        table = self.factors[name]
        if math.isnan(at):
            return None
        return next((value for place, value in zip(table.at, table.value, strict=True) if at <= place), None)

    def _iz_row(self, cable: Cable | float) -> IzRow | None:
        table, mm2 = (cable.iz, cable.live_mm2) if isinstance(cable, Cable) else ("flat", cable)
        return next((r for r in self.iz_rows if r.table == table and abs(r.mm2 - mm2) < SIZE_AGREES_MM2), None)

    # fault loop -----------------------------------------------------------------------------------------------

    def trip_a(self, kind: ClearedBy, type: str, in_a: float) -> float | None:
        """Give the current in amperes that surely trips a breaker at once; None for a kind with no such figure."""
        found = next((row for row in self.trips if kind in row.kinds and row.type == type), None)
        return None if found is None else found.multiple * in_a

    def max_zs(self, kind: ClearedBy, type: str, in_a: float, edition: str, time_s: float = 0.4) -> Row | None:
        """Give the greatest earth fault loop impedance of a device in ohms, as printed or else by arithmetic.

        Zs = U0 × Cmin / Ia, rounded down to two decimals, where U0 is 230 V and Ia the current of ``trip_a``.

        **Source:** BS 7671 411.4.4 and its tables 41.2 to 41.4.

        Parameters
        ----------
        kind, type
            The device and its type letter or number ("" for a fuse).
        in_a
            Its rating in amperes.
        edition
            One of ``editions``.
        time_s
            The disconnection time asked for: 0.4 s for final circuits, 5 s for distribution.
        """
        printed = self._printed_zs(kind, type, edition, time_s)
        name = f"max Zs {kind} {type}".rstrip()
        if printed is not None and in_a in printed.in_a:
            ohm = printed.ohm[printed.in_a.index(in_a)]
            row = Row(
                name=name,
                value=ohm,
                unit="Ω",
                source=printed.source,
                edition=printed.edition,
                sure=printed.sure,
                note=printed.note,
            )
            return carried(self.edition_rows, row, edition)
        ia_a = self.trip_a(kind, type, in_a)
        if ia_a is None or ia_a <= 0:
            return None
        cmin, u0 = self.limit("Cmin", edition), self.limit("supply voltage V", edition)
        ohm = math.floor(u0.value * cmin.value / ia_a * 100 + 1e-9) / 100
        source = f"arithmetic {u0.value * cmin.value:g} / Ia, rounded down; {cmin.source}"
        return Row(name=name, value=ohm, unit="Ω", source=source, edition=edition, sure=cmin.sure)

    def plug_fuses_a(self, edition: str, time_s: float = 0.4) -> tuple[float, ...]:
        """Give the ratings, in amperes, of the fuses to BS 1362 whose greatest Zs is known, the smallest first."""
        printed = self._printed_zs("plug fuse", "", edition, time_s)
        return tuple(sorted(printed.in_a)) if printed is not None else ()

    def _printed_zs(self, kind: ClearedBy, type: str, edition: str, time_s: float) -> ZsTable | None:
        mine = [row for row in self.zs_tables if kind in row.kinds and row.type == type and row.time_s <= time_s]
        return max(latest(self.edition_rows, mine, edition), key=_time, default=None)


def _thickness(cable: Cable) -> float:
    return cable.live_mm2


def _time(table: rows.ZsTable) -> float:
    return table.time_s
