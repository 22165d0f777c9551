"""Impact and consent of a switch-off: what holds it up until it is settled.

Beside it stand who loses what (``losses``), what is said before (``cautions``), what an agreement covers and for how
long (``agreed``, ``limits``), and what to look at afterwards (``after``); their main verbs can be had from here.
"""

from collections.abc import Iterable
from datetime import tzinfo
from typing import Final

from circuitmap.home.records import Consent, Device, Point, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.after import after_power, was_off
from circuitmap.survey.agreed import overdue
from circuitmap.survey.cautions import NOT_PROOF, cautions
from circuitmap.survey.likely import Chances
from circuitmap.survey.limits import why_no_limit
from circuitmap.survey.losses import CONFIRMED, Loss, down, impact, listed, title, titles
from circuitmap.trade import Trade

__all__ = ["NOT_PROOF", "Loss", "after_power", "blocks", "cautions", "impact", "overdue", "was_off"]

_NAMED: Final = 4


def blocks(
    home: Home,
    devices: Iterable[str],
    consent: Consent | None,
    memo: Memo | None = None,
    trade: Trade | None = None,
    chances: Chances | None = None,
    zone: tzinfo | None = None,
) -> tuple[str, ...]:
    """Give what holds a switch-off up until it is settled, a sentence each; nothing when it may go ahead."""
    off = tuple(dict.fromkeys(devices))
    if not off:
        return ()
    memo = memo if memo is not None else Memo()
    says = [] if consent is not None else ["Nobody has agreed to this switch-off yet."]
    says += _devices_held(home, off, memo)
    losses = impact(home, off, memo, trade, chances)
    says += _medical_held(home, losses, consent, zone)
    says += _others_held(home, losses, consent)
    return tuple(says)


def _devices_held(home: Home, off: tuple[str, ...], memo: Memo) -> Iterable[str]:
    for device_id in off:
        device = home.take(Device, device_id)
        if device.how_switched in ("leave alone", "can't be reached"):
            how = "is to be left alone" if device.how_switched == "leave alone" else "can't be reached"
            yield f"{home.code(device_id)} {how}; take it out of this switch-off."
    for device_id in sorted(down(home, off, memo).may, key=natural_key):
        device = home.take(Device, device_id)
        if device.keep_on:
            through = "" if device_id in off else " and would go off with it"
            yield f"{home.code(device_id)} stays on ({device.keep_on}){through}."


def _medical_held(home: Home, losses: Iterable[Loss], consent: Consent | None, zone: tzinfo | None) -> Iterable[str]:
    """Life-supporting equipment, one by one: another supply on record and a time limit, or its way stays on."""
    arranged = {a.point for a in consent.arrangements if a.words.strip()} if consent else set()
    points = home.table(Point)
    medical = {loss.point: loss for loss in losses if loss.word == "medical"}
    for loss in medical.values():
        name = title(points[loss.point], loss.load)
        if loss.point not in arranged:
            verb = "loses" if loss.sure else "may lose"
            yield f"{name} {verb} supply: record another supply for it that was proved, or keep its way on."
    timed = [loss for loss in medical.values() if loss.point in arranged]
    if consent is not None and timed and (why := why_no_limit(consent, zone)):
        yield f"{titles(points, timed)}: record until when what was arranged lasts. {why}"


def _others_held(home: Home, losses: Iterable[Loss], consent: Consent | None) -> Iterable[str]:
    """Telephone, alarms and other households, all together: they are settled with whoever relies on them."""
    confirmed = set(consent.confirmed) if consent else set()
    points = home.table(Point)
    open_ = [loss for loss in losses if loss.word != "medical" and loss.point not in confirmed]
    held = [loss for loss in open_ if loss.word in CONFIRMED]
    if held:
        verb = "may lose" if any(not loss.sure for loss in held) else "loses" if len(held) == 1 else "lose"
        relied = "it" if len(held) == 1 else "them"
        yield f"{titles(points, held, _NAMED)} {verb} supply: settle it with whoever relies on {relied}."
    if consent is not None and consent.by == "other household":
        return
    named = {loss.point for loss in held}
    households: dict[str, list[str]] = {}
    for loss in open_:
        if points[loss.point].belongs_to and loss.point not in named:
            households.setdefault(points[loss.point].belongs_to, []).append(loss.point)
    for household, ids in households.items():
        what = listed(dict.fromkeys(ids))
        yield f"{what} belong{'s' if len(set(ids)) == 1 else ''} to {household}: get their agreement too."
