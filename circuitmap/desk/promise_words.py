"""Whether a thing on the map is there: a promise says that it is one, and what is to go says so too."""

from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.phases import is_there
from circuitmap.home.records import Extension
from circuitmap.home.verbs_extend import is_planned


def promise_words(home: Home, ids: tuple[str, ...]) -> str:
    """Say of one record that it is planned, to go or taken out, and by which extension; nothing of what simply is."""
    record = home.peek(ids[0]) if len(ids) == 1 else None
    if record is None:
        return ""
    mine = [each for each in home.sorted(Extension) if record.id in (*each.puts, *each.takes)]
    planned = next((each for each in mine if is_planned(each)), None)
    done = next((each for each in mine if each.done_on is not None and record.id in each.takes), None)
    phase = getattr(record, "phase", "existing")
    if phase == "planned":
        return "Planned, not there yet" + (f": part of {_named(planned)}." if planned is not None else ".")
    if phase == "removed":
        return "Taken out" + (f" when {_named(done)} was done on {done.done_on}." if done is not None else ".")
    if planned is not None and record.id in planned.takes:
        return f"There now; to go when {_named(planned)} is done."
    altered = next((e for e in home.table(Extension).values() if is_planned(e) and _alters(e, record.id)), None)
    return f"There now; to be altered when {_named(altered)} is done." if altered and is_there(record) else ""


def _alters(extension: Extension, record: str) -> bool:
    return any(alter.record == record for alter in extension.alters)


def _named(extension: Extension) -> str:
    return f"“{shorten(extension.name, 30)}” ({extension.id})"
