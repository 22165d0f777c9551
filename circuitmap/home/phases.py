"""What is there, what is planned and what was taken out: a home without its promises.

``existing`` is there now, ``planned`` is a promise, ``removed`` was there and has been taken out; what an extension is
going to take stays existing until its work is done. What was read or seen at a thing stays with it in every phase.
"""

from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Device, Point, Record, Run

if TYPE_CHECKING:
    from circuitmap.home.snapshot import Home

PHASED: Final[tuple[type[Point] | type[Device] | type[Run], ...]] = (Point, Device, Run)


def is_there(record: Record) -> bool:
    """Whether a record tells of something that is there now; a record that has no phase always does."""
    return getattr(record, "phase", "existing") == "existing"


def not_there(home: "Home") -> tuple[str, ...]:
    """Give the ids of all that is planned or was taken out."""
    return tuple(record.id for kind in PHASED for record in home.table(kind).values() if record.phase != "existing")


def going(home: "Home") -> frozenset[str]:
    """Give the ids of all that planned work is going to take out; until it is done that is there as before."""
    from circuitmap.home.records import Extension
    from circuitmap.home.verbs_extend import is_planned

    return frozenset(i for each in home.table(Extension).values() if is_planned(each) for i in each.takes)


def without_promises(home: "Home") -> "Home":
    """Give a home with only what is there; the same object when nothing in it is planned or was taken out.

    What can't stand without a thing that isn't there goes with it: a run to a planned point, a tag to it.
    """
    from circuitmap.home.verbs_common import remove

    gone = not_there(home)
    return home.apply(remove(home, *gone, title="What is there")) if gone else home
