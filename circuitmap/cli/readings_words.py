"""The readings of a way in plain text, a hundred columns wide, units in the headings."""

import re
from collections.abc import Iterable, Iterator, Mapping
from math import isfinite
from typing import TYPE_CHECKING, Final

from circuitmap.cli.readings_way import WayRead
from circuitmap.cli.ways import LINK_WORDS, table, titled, wrapped

if TYPE_CHECKING:
    from circuitmap.readings.causes import Diagnosis
    from circuitmap.readings.entries import Entry
    from circuitmap.readings.judged import Judged
    from circuitmap.readings.leak_state import Step
    from circuitmap.readings.order import Placed, RingOrder
    from circuitmap.readings.predict import Predicted
    from circuitmap.readings.residuals import Awaited, Residual

_NOTHING: Final = "–"
_OUT_NAMED: Final = 4
_ENDS: Final = {"L": "r1, line", "N": "rn, neutral", "E": "r2, cpc"}
_MOST_REASONS: Final = 5
_HERE: Final = "\0"
_EVEN: Final = "fine"
Rooms = Mapping[str, str]


def way_in_words(way: WayRead, rooms: Rooms, *, with_expected: bool) -> Iterator[str]:
    """Give the lines of one way; what is still to be read only where that was asked for."""
    yield titled(way.view)
    yield from _compared(way, rooms)
    yield from _others(way)
    if with_expected:
        yield from _expected(way, rooms)
    yield from _before_after(way)
    yield from _section("About the readings", [problem.words for problem in way.book.problems])
    yield from verdicts(way.judged)
    if way.residuals or with_expected:
        yield from _diagnosis(way.diagnosis)
    if way.order is not None:
        yield from _order(way.order, rooms)
    if way.step is not None:
        yield from _step(way.step)


def way_in_a_line(way: WayRead) -> str:
    """Give a way without readings in one line."""
    return f"{titled(way.view)}, no readings"


# -- readings beside the map --------------------------------------------------------------------------------------


def _compared(way: WayRead, rooms: Rooms) -> Iterator[str]:
    groups: dict[str, list[Residual]] = {}
    for each in way.residuals:
        if each.expected is not None:
            groups.setdefault(_title(each.entry.test, each.entry.link, each.entry.reading.cores), []).append(each)
    for title, held in groups.items():
        yield from ("", f"  {title}")
        first = "Conductor" if held[0].entry.test == "ring end to end" else "Point"
        titles = (first, "Expected, Ω", "± sd, Ω", "Read, Ω", "Off by, sd", "Fit", "Room")
        rows = [
            (
                _point(way, each.at, each.entry.test, each.entry.reading.cores), _wanted(each.expected),
                _spread(each.expected), _read(each), _sds(each.off_by_sd), each.fit.word if each.fit else "",
                rooms.get(each.at, ""),
            )
            for each in held
        ]  # fmt: skip
        yield from table(titles, rows, figures=(1, 2, 3, 4))
    taken = [(each.at, each.expected) for held in groups.values() for each in held if each.expected is not None]
    yield from _reasons(taken)


def _others(way: WayRead) -> Iterator[str]:
    rows = [
        (named(each.entry), "Board" if each.at == way.view.device.id else each.at, each.entry.shown)
        for each in way.residuals
        if each.expected is None
    ]
    if rows:
        yield from ("", "  Other readings")
        yield from table(("Test", "Point", "Read"), rows)


def _expected(way: WayRead, rooms: Rooms) -> Iterator[str]:
    """Give what is still to be read: the conductors end to end, and the sweeps side by side."""
    ends = [each for each in way.awaited if each.line.test == "ring end to end"]
    sweeps = [each for each in way.awaited if each.line.test == "linked"]
    if ends:
        yield from ("", "  Still to be read: end to end at the board")
        rows = [
            (_point(way, each.line.at, each.line.test, each.line.cores), _wanted(each.expected), _spread(each.expected))
            for each in ends
        ]
        yield from table(("Conductor", "Expected, Ω", "± sd, Ω"), rows, figures=(1, 2))
    if sweeps:
        yield from ("", "  Still to be read: point by point, expected ± sd in Ω")
        columns = list(dict.fromkeys(_column(each) for each in sweeps))
        cells = {(each.line.at, _column(each)): _both(each.expected) for each in sweeps}
        places = dict.fromkeys(each.line.at for each in sweeps)
        lines = [
            [_point(way, at), *(cells.get((at, column), "") for column in columns), rooms.get(at or "", "")]
            for at in places
        ]
        yield from table(["Point", *columns, "Room"], lines, figures=range(1, len(columns) + 1))
    yield from _reasons([(each.line.at or "", each.expected) for each in way.awaited])


def _reasons(expected: "Iterable[tuple[str, Predicted]]") -> Iterator[str]:
    """Say why something can't be told or should be open; a reason that differs only in its point is said once."""
    places: dict[tuple[str, str], dict[str, None]] = {}
    for at, each in expected:
        if each.ohm is None or each.is_open:
            sign = "open" if each.is_open else _NOTHING
            places.setdefault((sign, re.sub(rf"\b{re.escape(at)}\b", _HERE, each.why) if at else each.why), {})[at] = (
                None
            )
    for (sign, why), held in list(places.items())[:_MOST_REASONS]:
        said = why.removeprefix("Open circuit: ").replace(_HERE, ", ".join(held))
        yield from wrapped(f"{sign}: {said}", "  ", "    ")
    if len(places) > _MOST_REASONS:
        yield f"  and {len(places) - _MOST_REASONS} more such reasons; --json has them all."


def _column(each: "Awaited") -> str:
    return f"{'–'.join(each.line.cores)} {LINK_WORDS[each.line.link or 'radial']}"


def _point(way: WayRead, at: str | None, test: str = "", cores: tuple[str, ...] = ()) -> str:
    if test == "ring end to end" and cores:
        return _ENDS.get(cores[0], cores[0])
    return "Board" if at in (None, way.view.device.id) else str(at)


def _title(test: str, link: "str | None", cores: tuple[str, ...]) -> str:
    if test == "ring end to end":
        return "End to end at the board"
    return f"{'–'.join(cores) or 'Linked'}, {LINK_WORDS.get(link or '', test)}"


def named(entry: "Entry") -> str:
    """Give a reading by its test, conductors and test values."""
    reading = entry.reading
    parts = [entry.test, "–".join(reading.cores)]
    parts += [f"{reading.test_v:g} V"] if reading.test_v is not None else []
    parts += [f"{reading.test_a * 1000:g} mA"] if reading.test_a is not None else []
    parts += [f"{reading.phase_deg:g}°"] if reading.phase_deg is not None else []
    apart, more = reading.apart[:_OUT_NAMED], len(reading.apart) - _OUT_NAMED
    out = ", ".join(apart) + (f" and {more} more" if more > 0 else "")
    parts += [f"without {out}"] if apart else []
    words = " ".join(part for part in parts if part)
    return f"{words[0].upper()}{words[1:]}"


def _wanted(expected: "Predicted | None") -> str:
    if expected is None or expected.ohm is None:
        return _NOTHING
    return "open" if expected.is_open else f"{expected.ohm:.2f}"


def _spread(expected: "Predicted | None") -> str:
    is_number = expected is not None and expected.ohm is not None and isfinite(expected.ohm)
    return f"{expected.sd_ohm:.2f}" if is_number and expected is not None else ""


def _both(expected: "Predicted") -> str:
    spread = _spread(expected)
    return f"{_wanted(expected)} ± {spread}" if spread else _wanted(expected)


def _read(each: "Residual") -> str:
    value, bound = each.entry.value_si, each.entry.reading.bound
    if value is None:
        return "not read"
    return f"{value:.2f}" if bound == "=" else f"{bound}{value:g}"


def _sds(off: float | None) -> str:
    return f"{off:+.1f}" if off is not None and isfinite(off) else ""


def _before_after(way: WayRead) -> Iterator[str]:
    rows = []
    for pair in way.book.pairs:
        before, after = pair.before, pair.after
        if before is not None and after is not None:
            reading = after.reading
            is_copper = after.test in ("linked", "ring end to end")
            test = _title(after.test, after.link, reading.cores) if is_copper else named(after)
            change = pair.words.partition(":")[0]
            rows.append((test, _point(way, after.at, after.test, reading.cores), before.shown, after.shown, change))
    if rows:
        yield from ("", "  Before and after the work")
        yield from table(("Test", "Point", "Before", "After", "Change"), rows)


# -- what it means ------------------------------------------------------------------------------------------------


def verdicts(judged: "Iterable[Judged]") -> Iterator[str]:
    """Give verdicts as a table with their levels in words."""
    held = list(judged)
    if not held:
        return
    yield from ("", "  Verdicts")
    rows: list[tuple[str, str]] = []
    for each in held:
        verdict = each.verdict
        since = f" ({each.since})" if each.since else ""
        is_placed = each.at and all(place[0] == "P" for place in each.at)
        is_said = len(each.at) == 1 and re.search(rf"\b{re.escape(each.at[0])}\b", verdict.says) is not None
        at = f"{', '.join(each.at[:6])}: " if is_placed and not is_said else ""
        why = f" {verdict.why}" if verdict.why and verdict.level != _EVEN else ""
        rows.append((verdict.level, f"{at}{verdict.says}{why}{since}"))
    yield from table(("Level", "What is said of it"), list(dict.fromkeys(rows)))


def _diagnosis(found: "Diagnosis") -> Iterator[str]:
    if found.causes:
        yield from ("", "  Likely causes")
        rows = [(_percent(each.probability), f"{each.says} {each.why}".strip()) for each in found.causes]
        if found.others >= 0.005:
            rows.append((_percent(found.others), "something else, too unlikely each to be listed."))
        yield from table(("Odds, %", "Cause"), rows, figures=(0,))
    if found.next:
        yield from ("", "  Read next")
        for number, each in enumerate(found.next, start=1):
            yield from wrapped(f"{number}. {each.says} {each.why}".rstrip(), "  ", "     ")
    yield from _section("Notes", found.notes)


def _percent(share: float) -> str:
    if 0.995 <= share < 1:
        return ">99"
    return f"{share * 100:.0f}" if share >= 0.005 else "<1"


def _order(order: "RingOrder", rooms: Rooms) -> Iterator[str]:
    leg = f", from leg {order.leg}" if order.leg else ""
    loop = f", loop {order.loop_m:.0f} m" if order.loop_m is not None else ""
    yield from ("", f"  Order round the ring by the two sweeps{leg}{loop}")
    if order.problem:
        yield from wrapped(order.problem, "  ", "  ")
    if order.placed:
        unit = "m" if order.loop_m is not None else "% of the loop"
        titles = ("Point", f"From the leg, {unit}", "±", "Stands on", f"Spur, {unit}", "Room")
        rows = [
            (
                each.at, *_along(each), each.standing, _along_spur(each) if each.is_on_spur else "",
                rooms.get(each.at, ""),
            )
            for each in order.placed
        ]  # fmt: skip
        yield from table(titles, rows, figures=(1, 2, 4))
    for says in (*(each.says for each in order.aside), *order.notes):
        yield from wrapped(says, "  - ", "    ")


def _along(placed: "Placed") -> tuple[str, str]:
    if placed.from_leg_m is not None and placed.from_leg_sd_m is not None:
        return f"{placed.from_leg_m:.1f}", f"{placed.from_leg_sd_m:.1f}"
    return f"{placed.share * 100:.0f}", f"{placed.share_sd * 100:.0f}"


def _along_spur(placed: "Placed") -> str:
    return f"{placed.spur_m:.1f}" if placed.spur_m is not None else f"{placed.spur_share * 100:.0f}"


def _step(step: "Step") -> Iterator[str]:
    yield from ("", "  Hunt for low insulation: what to do next")
    yield from wrapped(f"{step.says} {step.why}".rstrip(), "  ", "  ")
    for each in step.asked:
        yield from wrapped(f"Read: {each.title}.", "  - ", "    ")
    if step.minutes or step.left:
        yield f"  About {max(round(step.minutes), 1)} min for this step, {max(round(step.left), 1)} min to the end."
    for says, _source in step.cautions:
        yield from wrapped(f"Caution: {says}", "  ", "  ")


def _section(title: str, sentences: "Iterable[str]") -> Iterator[str]:
    held = list(sentences)
    if held:
        yield from ("", f"  {title}")
        for says in held:
            yield from wrapped(says, "  - ", "    ")
