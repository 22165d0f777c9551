"""Before and after a switch-off: who loses what, what to say first, what holds it up, what to look at afterwards.

Until a load's feed is settled by a switch-off, every switch-off may take it; nothing here makes that smaller by guess.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Consent, Device, Load, Point, Supply, Tag, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.deduce import Deduced, deduce
from circuitmap.survey.kinds import is_carrier, is_main, may_not_close
from circuitmap.survey.taken import Taken, main_switches, other_sources, taken
from circuitmap.trade import Trade
from circuitmap.words import IfOff, rank

NOT_PROOF: Final = "A point that went off is not proved dead; this is not proof that it is safe to touch."
_CONFIRM: Final[frozenset[IfOff]] = frozenset({"security", "phone"})
_LARGE_W: Final = 2000.0  # common practice, no source: showers, hobs, ovens and heaters are above it
_LARGE: Final[frozenset[str]] = frozenset(
    {
        "shower",
        "hob",
        "oven",
        "cooker connection unit",
        "cooker control unit",
        "immersion heater",
        "storage heater",
        "panel heater",
        "EV charging point",
        "heat pump",
        "hot tub",
    }
)
_LIGHTS: Final[frozenset[str]] = frozenset({"light", "downlight", "ceiling rose"})
_PHONE_WORDS: Final = ("router", "phone", "telephone", "telecare", "hub")


@dataclass(frozen=True, slots=True)
class Loss:
    """A point, and one load on it, that a switch-off takes; not ``sure`` while its feed isn't settled."""

    point: str
    load: Load | None
    sure: bool


def impact(home: Home, devices: Iterable[str], memo: Memo, trade: Trade | None = None) -> tuple[Loss, ...]:
    """Give who loses what when some devices go off; with the trade tables, kinds that matter count as loads too.

    Points without a load are named only when it is sure that they lose supply.
    """
    out, known = _down(home, devices, memo), deduce(home, memo)
    said = _said(home)
    losses: list[Loss] = []
    for point in sorted(_here(home), key=lambda each: natural_key(each.id)):
        loads = _loads(point, trade)
        found = known[point.id]
        if _surely(found, said.get(point.id, frozenset()), out):
            losses += [Loss(point.id, load, True) for load in loads] or [Loss(point.id, None, True)]
        elif out.may and _may(found, out):
            losses += [Loss(point.id, load, False) for load in loads if load.if_off != "nothing"]
    return tuple(losses)


def cautions(
    home: Home, devices: Iterable[str], memo: Memo | None = None, trade: Trade | None = None
) -> tuple[str, ...]:
    """Give what is said before some devices go off, the most important first."""
    off = tuple(dict.fromkeys(devices))
    if not off:
        return ("Look with everything on: nothing is switched off, so nobody loses anything.",)
    memo = memo if memo is not None else Memo()
    losses = impact(home, off, memo, trade)
    points = home.table(Point)
    says = ["Get the occupier's agreement first; nobody in a shower, on the stairs with their hands full or on medical "
            "equipment."]  # fmt: skip
    says += _about_sources(home)
    carriers = [home.code(i) for i in off if is_carrier(home.take(Device, i))]
    if carriers:
        says.append(
            f"{_list(carriers)}: a carrier is pulled, not switched. Main switch off, pull, main switch on; the whole "
            "home is down each time, and again when it goes back."
        )
    says += _about_people(losses, points)
    unsettled = [loss for loss in losses if not loss.sure]
    if unsettled:
        says.append(
            f"It isn't known yet what feeds {_list(_title(points[i.point], i.load) for i in unsettled[:5])}"
            f"{' and others' if len(unsettled) > 5 else ''}: until that is settled, every switch-off may take it."
        )
    if any(_is_large(points[loss.point], loss.load) for loss in losses) or not _all_settled(home, memo):
        says.append("Switch large loads off first (shower, cooker, hob, heaters, vehicle charging at the vehicle).")
    if any(points[loss.point].kind in _LIGHTS for loss in losses) or not _all_settled(home, memo):
        says.append("Lights may go out, on the stairs too: carry a torch and leave another lighting way on.")
    if any(may_not_close(home.take(Device, i)) for i in off) or carriers:
        says.append("An old switch or RCD may not go back on; a neutral–earth fault shows when it is reset.")
    says.append("Hobs, irons and heaters stay off until the power is back and looked after.")
    says.append(NOT_PROOF)
    return tuple(says)


def blocks(
    home: Home,
    devices: Iterable[str],
    consent: Consent | None,
    memo: Memo | None = None,
    trade: Trade | None = None,
) -> tuple[str, ...]:
    """Give what holds a switch-off up until it is settled, a sentence each; nothing when it may go ahead."""
    off = tuple(dict.fromkeys(devices))
    if not off:
        return ()
    memo = memo if memo is not None else Memo()
    says = [] if consent is not None else ["Nobody has agreed to this switch-off yet."]
    for device_id in off:
        device = home.take(Device, device_id)
        if device.how_switched in ("leave alone", "can't be reached"):
            how = "is to be left alone" if device.how_switched == "leave alone" else "can't be reached"
            says.append(f"{home.code(device_id)} {how}; take it out of this switch-off.")
    for device_id in sorted(_down(home, off, memo).may, key=natural_key):
        device = home.take(Device, device_id)
        if device.keep_on:
            through = "" if device_id in off else " and would go off with it"
            says.append(f"{home.code(device_id)} stays on ({device.keep_on}){through}.")
    arranged = {a.point for a in consent.arrangements if a.words.strip()} if consent else set()
    confirmed = set(consent.confirmed) if consent else set()
    points = home.table(Point)
    said: set[str] = set()
    for loss in impact(home, off, memo, trade):
        point, load = points[loss.point], loss.load
        name = _title(point, load)
        verb = "loses" if loss.sure else "may lose"
        if load is not None and load.if_off == "medical":
            if loss.point not in arranged:
                said.add(f"{name} {verb} supply: record another supply for it that was proved, or keep its way on.")
            elif consent is not None and not consent.until.strip():
                said.add(f"{name}: record until when the arrangement made for it lasts.")
        elif load is not None and load.if_off in _CONFIRM and loss.point not in confirmed:
            said.add(f"{name} {verb} supply: confirm that this is all right.")
        elif point.belongs_to and loss.point not in confirmed and not (consent and consent.by == "other household"):
            said.add(f"{point.id} belongs to {point.belongs_to}: get their agreement too.")
    return tuple(says + sorted(said))


def after_power(home: Home, trade: Trade | None = None) -> tuple[str, ...]:
    """Give what to do and to look at when the power comes back."""
    says = [
        "Hobs, irons and heaters off; main switch on first, then RCDs, then the ways one by one, so that a trip names "
        "its way.",
    ]
    by_word: dict[IfOff, list[str]] = {}
    for point in sorted(_here(home), key=lambda each: natural_key(each.id)):
        for load in _loads(point, trade):
            by_word.setdefault(load.if_off, []).append(_title(point, load))
    for word, lead in _AFTER:
        if names := list(dict.fromkeys(by_word.get(word, ()))):
            says.append(f"{lead}: {_list(names[:6])}{' and others' if len(names) > 6 else ''}.")
    says.append("Clocks, timers, heating controls, smoke alarms, freezers, router and chargers: see that each is back.")
    return tuple(says)


_AFTER: Final[tuple[tuple[IfOff, str], ...]] = (
    ("medical", "Look at once at"),
    ("phone", "See that a call can be made through"),
    ("security", "See that no fault shows at"),
    ("heating", "Reset if locked out"),
    ("spoils", "See that it runs again"),
    ("lost work", "Tell whoever works at"),
    ("resets", "Set again"),
)


def _down(home: Home, devices: Iterable[str], memo: Memo) -> Taken:
    """Give what is without supply at some time in a switch-off, main switches for carriers included."""
    off = list(devices)
    for device_id in tuple(off):
        device = home.take(Device, device_id)
        if is_carrier(device):
            mains = [each.id for each in home.devices_on(device.board) if is_main(each)]
            off += mains or [each.id for each in main_switches(home)]
    return taken(home, off, memo)


def _surely(found: Deduced, tagged: frozenset[str], out: Taken) -> bool:
    if found.verdict == "settled":
        return found.candidates[0] in out.sure
    return bool(tagged & out.sure)


def _may(found: Deduced, out: Taken) -> bool:
    return found.verdict != "settled" or found.candidates[0] in out.may


def _said(home: Home) -> dict[str, frozenset[str]]:
    """Give what was said directly by somebody who saw it: the devices tagged to each point."""
    gathered: dict[str, set[str]] = {}
    for tag in home.table(Tag).values():
        if rank(tag.evidence) == 2:
            gathered.setdefault(tag.target, set()).add(tag.device)
    return {target: frozenset(devices) for target, devices in gathered.items()}


def _here(home: Home) -> Iterable[Point]:
    return (point for point in home.table(Point).values() if point.phase == "existing")


def _loads(point: Point, trade: Trade | None) -> tuple[Load, ...]:
    if point.loads or trade is None:
        return point.loads
    row = trade.point(point.kind)
    if row.if_off == "" or row.if_off == "nothing":
        return ()
    return (Load(what=row.title, if_off=row.if_off),)


def _about_sources(home: Home) -> list[str]:
    supplies, sources = home.sorted(Supply), other_sources(home)
    says: list[str] = []
    if not any(supply.sources_asked for supply in supplies):
        says.append(
            "Ask first about other sources: solar panels, battery, generator inlet, a vehicle that feeds back, UPS, a "
            "neighbour's or landlord's supply, off-peak board, second meter."
        )
    if sources:
        says.append(
            f"The main switch doesn't isolate {_list(dict.fromkeys(s.kind for s in sources))}: d.c. cables stay live, "
            "and a battery with a backup output can stay or come live."
        )
    if not any(supply.phases for supply in supplies):
        says.append("Ask how many phases come in; this survey is for single-phase homes only.")
    return says


def _about_people(losses: tuple[Loss, ...], points: Mapping[str, Point]) -> list[str]:
    says: list[str] = []
    medical = [loss for loss in losses if loss.load is not None and loss.load.if_off == "medical"]
    if medical:
        says.append(
            f"{_list(_title(points[i.point], i.load) for i in medical)}: life-supporting equipment isn't searched by "
            "switching off. It needs another supply that was proved, a carer who knows and a time limit, or its way "
            "stays on."
        )
    if any(loss.load is not None and _is_phone(loss.load) for loss in losses):
        says.append("With the router off the telephone is lost too, emergency calls and telecare included.")
    others = dict.fromkeys(points[loss.point].belongs_to for loss in losses if points[loss.point].belongs_to)
    if others:
        says.append(f"Another household loses supply ({_list(others)}): agree it with them too.")
    return says


def _is_phone(load: Load) -> bool:
    words = f"{load.what} {load.name}".casefold()
    return load.if_off == "phone" or any(word in words for word in _PHONE_WORDS)


def _title(point: Point, load: Load | None) -> str:
    what = (load.name or load.what) if load is not None else (point.name or point.kind)
    return f"{what} ({point.id})"


def _is_large(point: Point, load: Load | None) -> bool:
    return point.kind in _LARGE or (load is not None and (load.power_w or 0) >= _LARGE_W)


def _all_settled(home: Home, memo: Memo) -> bool:
    known = deduce(home, memo)
    return all(known[point.id].verdict == "settled" for point in _here(home))


def _list(names: Iterable[str]) -> str:
    named = list(names)
    return " and ".join([", ".join(named[:-1]), named[-1]]) if len(named) > 1 else "".join(named)
