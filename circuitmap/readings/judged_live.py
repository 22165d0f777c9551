"""Verdicts on a circuit's live readings and on polarity: Zs, RCD trip times, fault current, indicator lamps."""

from collections.abc import Iterable, Iterator

from circuitmap.home.records import Device as DeviceRecord
from circuitmap.home.records import Rcd
from circuitmap.readings.entries import Entry
from circuitmap.readings.judged_case import Case, Judged, cores_of, ids_of, least_trip_ma, place_of, rcds_over, shown
from circuitmap.readings.judged_ring import earth_path_at
from circuitmap.readings.loop import (
    How,
    Protection,
    behind_fuse,
    disconnection_s,
    judge_prediction,
    judge_zs,
    zs_limit,
    zs_ohm,
)
from circuitmap.readings.polarity import judge_continuity, judge_indicated, judge_polarity
from circuitmap.readings.rcd import HALF, MS, RATED, Device, judge_trip
from circuitmap.readings.ring import at_work_ohm
from circuitmap.readings.supply import judge_fault_current
from circuitmap.readings.verdict import Rules, Verdict, span_of, unknown, unusable
from circuitmap.words import Earthing

# A loop test that passes less than this doesn't trip an RCD: such tests pass 15 mA (common practice, no source).
NO_TRIP_BELOW_A = 1.0
# How far loop testers are out, as a share of what they show (common practice, no source).
LOOP_SHARE = 0.1
_FAST = "RCD fast test times"


def judged_loops(case: Case) -> Iterator[Judged]:
    """Judge every Zs reading against its device, and beside Ze + (R1+R2) where both were measured."""
    for entry in case.of_test("Zs"):
        if cores_of(entry) not in (frozenset(), frozenset({"L", "E"})):
            continue
        at = place_of(case, entry)
        how = how_taken(case, entry)
        path = earth_path_at(case, at)
        verdict = _zs(case, entry, at, how, path)
        yield Judged(verdict, ids_of((entry,)), (at,), f"Zs {at}")
        if case.base_ohm is not None and path is not None:
            expected_ohm = zs_ohm(case.base_ohm, path[0])
            beside = judge_prediction(case.rules, expected_ohm, shown(entry), spread=LOOP_SHARE, how=how)
            yield Judged(beside, (*ids_of((entry,)), path[1], *case.base), (at,), f"Ze + (R1+R2) {at}")


def judged_calculated(case: Case) -> Iterator[Judged]:
    """Judge Ze + (R1+R2) where R1+R2 was read and Zs wasn't: the highest of a circuit decides."""
    if case.base_ohm is None or case.of_test("Zs") or case.earthing == "TT":
        return
    paths = []
    for entry in case.of_test("linked"):
        at = place_of(case, entry)
        path = earth_path_at(case, at)
        if path is not None and path[1] == entry.reading.id and at != case.way:
            paths.append((path[0], at, path[1]))
    if not paths:
        return
    most_ohm, at, reading = max(paths)
    device = protection_of(case)
    member = next((m for m in case.view.members if m.point.id == at), None)
    if member is None or member.after_fuse is not None:
        return
    calculated = zs_ohm(case.base_ohm, most_ohm)
    warm = case.base_ohm + at_work_ohm(case.rules, most_ohm)
    verdict = judge_zs(
        case.rules, device, calculated, time_s=disconnection_time_s(case), earthing=case.earthing, at_work_ohm=warm
    )
    why = f"Calculated from Ze and R1+R2, not measured. {verdict.why}".rstrip()
    said = Verdict(verdict.kind, verdict.says, why, verdict.source, verdict.level)
    yield Judged(said, (reading, *case.base), (at,), f"Zs {at}")


def judged_trips(case: Case) -> Iterator[Judged]:
    """Judge the RCD trip times that were read on this circuit."""
    for entry in case.of_test("RCD trip"):
        at = place_of(case, entry)
        own = _rcd_at(case, at)
        over = rcds_over(case.view, case.rules.trade)
        if own is not None:
            device, tested = Device("RCD", own.trips_ma, own.delayed), at
        elif over:
            device, tested = device_of(over[0]), over[0].id
        else:
            says = f"A trip time was read on {case.view.code}, and no RCD is recorded over it."
            none = unknown("no RCD recorded", says, "Look for it at the board and at the points before this one.")
            yield Judged(none, ids_of((entry,)), (at,), "RCD")
            continue
        yield judged_trip(case.rules, case.earthing, device, tested, entry)


def judged_trip(rules: Rules, earthing: Earthing, device: Device, tested: str, entry: Entry) -> Judged:
    """Judge one trip time of one residual current device."""
    subject = f"RCD {tested}"
    times = _times(rules, device, entry.reading.test_a)
    if times is None:
        says = "The test current was written down, the rating of the RCD wasn't."
        return Judged(unknown("no limit", says, "Read its rating."), ids_of((entry,)), (tested,), subject)
    verdict = judge_trip(rules, device, shown(entry), times_rated=times, earthing=earthing)
    return Judged(verdict, ids_of((entry,)), (tested,), f"{subject} at {times:g}")


def judged_polarity(case: Case) -> Iterator[Judged]:
    """Judge what a plug-in indicator showed and what a polarity test found; else what continuity leaves open."""
    for entry in case.of_test("plug-in indicator"):
        at = place_of(case, entry)
        yield Judged(judge_indicated(case.rules, entry.reading.indicated), ids_of((entry,)), (at,), f"indicator {at}")
    tested = case.of_test("polarity")
    for entry in tested:
        at = place_of(case, entry)
        yield Judged(judge_polarity(entry.reading.indicated), ids_of((entry,)), (at,), f"polarity {at}")
    sweeps = [e for e in case.of_test("linked") if e.link in ("cross", "radial") and e.value_si is not None]
    if sweeps and not tested:
        # Nothing on record says whether probes were at a socket's front or on its terminals.
        steps = {frozenset(cores_of(entry)) for entry in sweeps}
        verdict = judge_continuity(
            has_step_2=frozenset({"L", "N"}) in steps, has_step_3=frozenset({"L", "E"}) in steps, at_front=False
        )
        yield Judged(verdict, ids_of(sweeps), (case.way,), "polarity by continuity")


def judged_currents(case: Case) -> Iterator[Judged]:
    """Judge prospective fault currents that were read at this way against what its device can break."""
    for entry in case.of_test("PFC"):
        device = case.view.device
        verdict = judge_fault_current(case.rules, device.kind, shown(entry), marking_of(case.rules, device))
        yield Judged(verdict, ids_of((entry,)), (case.way,), "PFC")


def protection_of(case: Case, point: str = "") -> Protection:
    """Give what disconnects a fault on a circuit, with the smallest RCD over it or over one of its points."""
    device = case.view.device
    rated = least_trip_ma(rcds_over(case.view, case.rules.trade))
    own = _rcd_at(case, point) if point else None
    ratings = [ma for ma in (rated, own.trips_ma if own is not None else None) if ma is not None]
    return Protection(device.kind, device.curve, device.rating_a, min(ratings, default=None))


def how_taken(case: Case, entry: Entry) -> How:
    """Give how a loop was read: through an RCD with a test that doesn't trip it, unless its current says otherwise."""
    through = bool(rcds_over(case.view, case.rules.trade)) or _rcd_at(case, place_of(case, entry)) is not None
    test_a = entry.reading.test_a
    return How(is_no_trip=test_a < NO_TRIP_BELOW_A if test_a is not None else through, is_through_rcd=through)


def device_of(record: DeviceRecord) -> Device:
    """Give a device at the board as a residual current device."""
    rcd = record.rcd
    return Device(record.kind, rcd.trips_ma if rcd is not None else None, rcd is not None and rcd.delayed)


def marking_of(rules: Rules, device: DeviceRecord) -> str:
    """Give what stands on a device of its breaking capacity, "" where nobody wrote it down."""
    for word in (*device.standard.split(), device.curve):
        if word and rules.trade.breaking(device.kind, word) is not None:
            return word
    return ""


def disconnection_time_s(case: Case) -> float:
    """Give how quickly a fault on a circuit must be cleared, in seconds; 0.4 where it can't be known."""
    in_a = case.view.device.rating_a
    if in_a is None:
        return 0.4
    trade = case.rules.trade
    sockets = any(trade.point(m.point.kind).is_socket_outlet for m in case.view.members)
    only_boards = bool(case.view.boards_fed) and not case.view.members
    row = disconnection_s(case.rules, case.earthing, in_a, feeds_sockets=sockets, is_distribution=only_boards)
    return row.value if row is not None else 0.4


def _zs(case: Case, entry: Entry, at: str, how: How, path: tuple[float, str] | None) -> Verdict:
    member = next((m for m in case.view.members if m.point.id == at), None)
    device, time_s = protection_of(case, at), disconnection_time_s(case)
    if member is not None and member.after_fuse is not None and case.earthing != "TT":
        bad = unusable({"Zs": shown(entry)})
        fuse = member.after_fuse
        device, is_sure = behind_fuse(case.rules, device, fuse.fuse_a, time_s)
        limit = zs_limit(case.rules, device, time_s)
        span = span_of(shown(entry))
        if bad is None and not is_sure and (limit is None or span is None or span.most > limit.reading_ohm):
            says = f"Zs {entry.shown} is behind the fuse of {fuse.id}, for which the tables have no limit."
            next_step = "Read what is on that fuse." if fuse.fuse_a is None else "Ask its maker for its limit."
            return unknown("no limit", says, next_step)
    warm = None
    if path is not None and case.base_ohm is not None:
        warm = case.base_ohm + at_work_ohm(case.rules, path[0])
    return judge_zs(
        case.rules,
        device,
        shown(entry),
        time_s=time_s,
        earthing=case.earthing,
        how=how,
        at_work_ohm=warm,
    )


def _times(rules: Rules, device: Device, test_a: float | None) -> float | None:
    """Give the test current in times the rating; at its rating where nobody wrote it down."""
    if test_a is None:
        return RATED
    if device.trips_ma is None:
        return None
    times = test_a * MS / device.trips_ma
    known: Iterable[float] = (HALF, RATED, rules.value(_FAST))
    return next((each for each in known if abs(each - times) <= 0.05 * each), round(times, 3))


def _rcd_at(case: Case, point: str) -> Rcd | None:
    member = next((m for m in case.view.members if m.point.id == point), None)
    if member is None:
        return None
    if member.point.rcd is not None:
        return member.point.rcd
    return member.after_fuse.rcd if member.after_fuse is not None else None
