"""Dedicated appliances first: ways that likely feed one appliance each, told by a glance at it instead of a walk."""

from typing import Final

import numpy as np

from circuitmap.home.records import Point, Round
from circuitmap.survey.planner.outlook import Outlook, Rows, is_listed

GLANCED: Final = 0.2  # an appliance this likely to go off is looked at
_LIKELY: Final = 0.5
_WORTH: Final = 2  # fewer ways than this are left to the walks
_FEW: Final = 3.0  # expected points on a way that is still called dedicated


def glance_at(look: Outlook) -> tuple[str, ...]:
    """Give up to the most ways that may be off at once, each likely the own way of an appliance still in doubt.

    A way is glanced at once only, and none alone. Listed loads are no glance: they are looked for one way at a time.
    """
    if not len(look.rows):
        return ()
    done = {device for record in look.home.table(Round).values() if record.visit == look.visit for device in record.off}
    own = _appliances(look)
    mass = look.scales.belief.chances[:, : look.scales.belief.ways].sum(axis=0)
    listed = [chances for _, chances, _ in look.listed]
    found: list[str] = []
    for unit, takes in zip(look.units, look.takes, strict=True):
        if unit in done or float(mass[takes].sum()) > _FEW or len(found) >= max(look.method.most_off, 1):
            continue
        if any(float(chances[takes].sum()) > GLANCED for chances in listed):
            continue
        if len(own) and float(look.believed[own][:, takes].sum(axis=1).max()) >= _LIKELY:
            found.append(unit)
    return tuple(found) if len(found) >= min(_WORTH, max(look.method.most_off, 1)) else ()


def _appliances(look: Outlook) -> Rows:
    rows = [
        n
        for n, i in enumerate(look.open)
        if look.trade.point((point := look.home.take(Point, i)).kind).dedicated_usually
        and not is_listed(point, look.trade)
    ]
    return np.array(rows, dtype=np.intp)
