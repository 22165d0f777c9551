"""What is said before some devices go off: about people, other sources, old switches, light, what must be off first."""

from collections.abc import Iterable, Mapping
from typing import Final

from circuitmap.home.records import Device, Point, Supply
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from circuitmap.survey.kinds import is_carrier, is_existing, may_not_close
from circuitmap.survey.likely import Chances
from circuitmap.survey.losses import Loss, existing, impact, is_phone, listed, mains_for_carriers, titles
from circuitmap.survey.taken import other_sources
from circuitmap.trade import Trade

NOT_PROOF: Final = "A point that went off is not proved dead; this is not proof that it is safe to touch."
_OLD_KINDS: Final[dict[str, str]] = {
    "fuse BS 3036": "rewirable fuse",
    "fuse BS 1361": "cartridge fuse carrier",
    "MCB BS 3871": "breaker to BS 3871",
    "RCD BS 4293": "RCD to BS 4293",
    "voltage ELCB": "voltage-operated earth-leakage breaker",
}
_NEWER_KINDS: Final = frozenset({"RCBO", "AFDD"})
_NEWER_CURVES: Final = frozenset({"B", "C", "D"})  # BS EN 60898; breakers to BS 3871 are marked with a type 1 to 4
_OLD_BEFORE: Final = 1990  # common practice, no source: about when today's kinds took over
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


def cautions(
    home: Home,
    devices: Iterable[str],
    memo: Memo | None = None,
    trade: Trade | None = None,
    chances: Chances | None = None,
    *,
    with_losses: bool = True,
) -> tuple[str, ...]:
    """Give what is said before some devices go off, the most important first.

    Without losses, for where who loses what and may_stay_off are shown beside, they are not said again.
    """
    off = tuple(dict.fromkeys(devices))
    if not off:
        return ("Look with everything on: nothing is switched off, so nobody loses anything.",)
    memo = memo if memo is not None else Memo()
    losses = impact(home, off, memo, trade, chances)
    points = home.table(Point)
    says = ["Get the occupier's agreement first; nobody in a shower, on the stairs with their hands full or on medical "
            "equipment."]  # fmt: skip
    says += _about_sources(home)
    carriers = [home.code(i) for i in off if is_carrier(home.take(Device, i))]
    if carriers:
        says.append(
            f"{listed(carriers)}: a carrier is pulled, not switched. Main switch off, pull, main switch on; the whole "
            "home is down each time, and again when it goes back."
        )
    says += _about_people(losses, points, with_losses=with_losses)
    unsettled = [loss for loss in losses if not loss.sure and loss.load is not None]
    if unsettled and with_losses:
        them = "it" if len({loss.point for loss in unsettled}) == 1 else "them"
        says.append(
            f"It isn't known yet what feeds {titles(points, unsettled, 5)}: until that is settled, every switch-off "
            f"may take {them}."
        )
    all_settled = _all_settled(home, memo)
    if any(_is_large(points[loss.point], loss) for loss in losses) or not all_settled:
        says.append("Switch large loads off first (shower, cooker, hob, heaters, vehicle charging at the vehicle).")
    if any(points[loss.point].kind in _LIGHTS for loss in losses) or not all_settled:
        says.append("Lights may go out, on the stairs too: carry a torch and leave another lighting way on.")
    if with_losses and (old := may_stay_off(home, off)):
        says.append(old)
    if any(may_not_close(home.take(Device, i)) for i in off) or carriers:
        says.append("An RCD or an old switch may not go back on; a neutral–earth fault shows when it is reset.")
    says.append("Hobs, irons and heaters stay off until the power is back and looked after.")
    says.append(NOT_PROOF)
    return tuple(says)


def may_stay_off(home: Home, devices: Iterable[str]) -> str:
    """Give what is said, when asking, of old devices that may not go back on; empty when none is old.

    Old are the kinds that older standards made, whatever stands over them on the same board, and, in a home built
    before about 1990, what is on a board without a sign of renewal.

    **Source:** common practice, no source.
    """
    off = tuple(dict.fromkeys(devices))
    operated = [home.take(Device, i) for i in dict.fromkeys((*off, *mains_for_carriers(home, off)))]
    old_boards = {d.board for d in home.table(Device).values() if is_existing(d) and d.kind in _OLD_KINDS}
    named: list[str] = []
    for device in operated:
        if device.kind in _OLD_KINDS:
            named.append(f"{home.code(device.id)} ({_OLD_KINDS[device.kind]})")
        elif device.board in old_boards and may_not_close(device):
            named.append(f"{home.code(device.id)} ({device.kind} of an old board)")
    if named:
        first = f"{', '.join(named[:4])} and others" if len(named) > 4 else listed(named)
        return (
            f"{first} may not go back on: old switchgear can fail when it is worked. Say so when asking, and how long "
            "they could do without."
        )
    year = home.details.built_year
    if year is None or year >= _OLD_BEFORE:
        return ""
    doubtful = [d for d in operated if not _is_renewed(home, d.board)]
    if not doubtful:
        return ""
    return (
        f"The home is of {year}: unless its board was renewed, what is switched off may not go back on. Say so when "
        "asking."
    )


def _is_renewed(home: Home, board: str) -> bool:
    """Whether something on a board is of a newer make: combined devices, or breakers marked with a curve's letter."""
    return any(
        is_existing(device)
        and (device.kind in _NEWER_KINDS or (device.kind == "MCB" and device.curve.upper() in _NEWER_CURVES))
        for device in home.devices_on(board)
    )


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
            f"The main switch doesn't isolate {listed(dict.fromkeys(s.kind for s in sources))}: d.c. cables stay "
            "live, and a battery with a backup output can stay or come live."
        )
    if not any(supply.phases for supply in supplies):
        says.append("Ask how many phases come in; this survey is for single-phase homes only.")
    return says


def _about_people(losses: tuple[Loss, ...], points: Mapping[str, Point], *, with_losses: bool) -> list[str]:
    says: list[str] = []
    medical = [loss for loss in losses if loss.word == "medical"]
    if medical and with_losses:
        says.append(
            f"{titles(points, medical)}: life-supporting equipment isn't searched by switching off. It needs another "
            "supply that was proved, a carer who knows and a time limit, or its way stays on."
        )
    phones = [loss for loss in losses if loss.load is not None and is_phone(loss.load)]
    if any(with_losses or loss.word != "phone" for loss in phones):
        says.append("With the router off the telephone is lost too, emergency calls and telecare included.")
    others = dict.fromkeys(points[loss.point].belongs_to for loss in losses if points[loss.point].belongs_to)
    if others and with_losses:
        says.append(f"Another household loses supply ({listed(others)}): agree it with them too.")
    return says


def _is_large(point: Point, loss: Loss) -> bool:
    return point.kind in _LARGE or (loss.load is not None and (loss.load.power_w or 0) >= _LARGE_W)


def _all_settled(home: Home, memo: Memo) -> bool:
    known = deduce(home, memo)
    return all(known[point.id].verdict == "settled" for point in existing(home))
