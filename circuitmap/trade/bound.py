"""The tables read into one frozen value, the person's own rows over ours."""

from functools import cache
from pathlib import Path

from circuitmap.places import resources
from circuitmap.trade.book import Trade
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
    Size,
    StandsIn,
    Suits,
    Suspect,
    Suspicion,
    Synonym,
    TripMultiple,
    ZsTable,
)
from circuitmap.trade.spelling import spelled
from circuitmap.trade.tables import Tables, read, rows_of


def load(user_dir: Path | None = None) -> Trade:
    """Load the trade tables, the person's own layered over ours; ours alone are read once.

    Parameters
    ----------
    user_dir
        A folder that may hold files named as ours, with rows that change or add to them.

    Raises
    ------
    TradeError
        When a table can't be used; every problem is listed.
    """
    return _ours() if user_dir is None or not user_dir.is_dir() else _bound(read(_folder(), user_dir))


@cache
def _ours() -> Trade:
    return _bound(read(_folder(), None))


def _folder() -> Path:
    return resources() / "trade"


def _bound(tables: Tables) -> Trade:
    limits: dict[str, tuple[Limit, ...]] = {}
    for limit in rows_of(tables, "limit", Limit):
        limits[limit.name] = (*limits.get(limit.name, ()), limit)
    needs: dict[str, tuple[RcdNeed, ...]] = {}
    for need in rows_of(tables, "rcd", RcdNeed):
        needs[need.category] = (*needs.get(need.category, ()), need)
    return Trade(
        conductors=tuple(rows_of(tables, "conductor", Conductor)),
        imperials={row.name: row for row in rows_of(tables, "imperial", Imperial)},
        constants={row.name: row for row in rows_of(tables, "constant", Constant)},
        cable_rows={row.code: row for row in rows_of(tables, "cable", Cable)},
        methods=tuple(rows_of(tables, "method", Method)),
        iz_rows=tuple(rows_of(tables, "iz", IzRow)),
        factors={row.name: row for row in rows_of(tables, "factor", FactorTable)},
        device_rows={row.kind: row for row in rows_of(tables, "device", DeviceRow)},
        trips=tuple(rows_of(tables, "trip", TripMultiple)),
        zs_tables=tuple(rows_of(tables, "zs", ZsTable)),
        let_throughs=tuple(rows_of(tables, "let_through", LetThrough)),
        diversity_rows={row.use: row for row in rows_of(tables, "diversity", Diversity)},
        point_rows={row.kind: row for row in rows_of(tables, "point", PointRow)},
        checking_rows={row.how: row for row in rows_of(tables, "checking", Checking)},
        paces={row.name: row for row in rows_of(tables, "pace", Pace)},
        size_rows={row.name: row for row in rows_of(tables, "size", Size)},
        fixture_rows={row.kind: row for row in rows_of(tables, "fixture", FixtureRow)},
        effort_rows={row.name: row for row in rows_of(tables, "effort", Effort)},
        edition_rows={row.code: row for row in rows_of(tables, "edition", Edition)},
        limit_rows=limits,
        rcd_rows=needs,
        notice_rows={row.country: row for row in rows_of(tables, "notice", Notice)},
        heavy_rows={kind: row for row in rows_of(tables, "heavy", Heavy) for kind in row.kinds},
        boxes={kind: row for row in rows_of(tables, "box", Box) for kind in row.kinds},
        breaking_rows={(kind, row.marking): row for row in rows_of(tables, "breaking", Breaking) for kind in row.kinds},
        lamp_rows={(row.l_n, row.l_e, row.n_e): row for row in rows_of(tables, "lamps", Lamps)},
        blind_rows=tuple(rows_of(tables, "blind", Blind)),
        suspect_rows=tuple(sorted(rows_of(tables, "suspect", Suspect), key=_place)),
        suspicion_rows={row.name: row for row in rows_of(tables, "suspicion", Suspicion)},
        access_rows={row.name: row for row in rows_of(tables, "access", Access)},
        due_rows=tuple(rows_of(tables, "due", Due)),
        synonym_rows={row.word: row for row in rows_of(tables, "synonym", Synonym)},
        spellings={spelled(text): row for row in rows_of(tables, "synonym", Synonym) for text in (row.word, *row.also)},
        likely_rows={row.name: row for row in rows_of(tables, "likely", Likely)},
        suits_rows={name: row for row in rows_of(tables, "suits", Suits) for name in _keys(row)},
        stand_ins={
            (name, label): row
            for row in rows_of(tables, "stands_in", StandsIn)
            for name in _keys(row)
            for label in row.labelled
        },
    )


def _keys(row: Suits | StandsIn) -> tuple[str, ...]:
    return (*(f"family {family}" for family in row.families), *row.kinds)


def _place(suspect: Suspect) -> int:
    return suspect.order
