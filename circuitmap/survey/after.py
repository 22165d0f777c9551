"""When the power comes back: in what order to put it on, and what was off that needs setting again or looking at."""

from collections.abc import Iterable
from typing import Final

from circuitmap.home.records import Check, Point, Round
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.likely import LIKELY, Chances
from circuitmap.survey.losses import GRAVEST, Loss, existing, impact, loads_of, titles
from circuitmap.trade import Trade
from circuitmap.words import IfOff

_ORDER: Final = (
    "Hobs, irons and heaters off; main switch on first, then RCDs, then the ways one by one, so that a trip names its "
    "way."
)
_ALL_BACK: Final = (
    "Clocks, timers, heating controls, smoke alarms, freezers, router and chargers: see that each is back."
)
_LEADS: Final[dict[IfOff, str]] = {
    "medical": "Look at once at",
    "phone": "See that a call can be made through",
    "security": "See that no fault shows at",
    "heating": "Reset if locked out",
    "spoils": "See that it runs again",
    "lost work": "Tell whoever works at",
    "resets": "Set again",
}
_MOST: Final = 6


def after_power(
    home: Home,
    trade: Trade | None = None,
    record: Round | None = None,
    memo: Memo | None = None,
    chances: Chances | None = None,
) -> tuple[str, ...]:
    """Give what to do and to look at when the power comes back, the order of putting it on first.

    With a switch-off only what was off in it, or likely was, is named to be looked at; what could have been stands in
    a line of its own. Without one it is for any switch-off, and names all that matters.
    """
    if record is None:
        losses = [Loss(p.id, load, False) for p in existing(home) for load in loads_of(p, trade)]
        return (_ORDER, *_look_at(home, losses), _ALL_BACK)
    off, perhaps = was_off(home, record, memo if memo is not None else Memo(), trade, chances)
    says = [_ORDER, *_look_at(home, off)]
    could = [loss for loss in perhaps if loss.word != "nothing"]
    if could:
        says.append(f"Could have been off too: {titles(home.table(Point), sorted(could, key=_gravity), _MOST)}.")
    return (*says, _ALL_BACK)


def was_off(
    home: Home, record: Round, memo: Memo, trade: Trade | None = None, chances: Chances | None = None
) -> tuple[tuple[Loss, ...], tuple[Loss, ...]]:
    """Give who lost what in a switch-off: surely or likely, as seen or as known now; and who could have.

    What was seen on while all of it was off has lost nothing. Life-supporting equipment is never a mere could-have.
    """
    taken_down = dict.fromkeys(record.off)
    last = ""
    for event in record.events:
        if event.what in ("off", "trip", "trip on closing"):
            taken_down.update(dict.fromkeys(event.devices))
            last = max(last, event.at)
    seen: dict[str, list[Check]] = {}
    for check in (home.find(Check, i) for i in home.used_by(record.id)):
        if check is not None and check.round == record.id:
            seen.setdefault(check.point, []).append(check)
    off: list[Loss] = []
    perhaps: list[Loss] = []
    for loss in impact(home, taken_down, memo, trade, chances):
        checks = seen.get(loss.point, [])
        if loss.sure or any(each.outcome in ("off", "faint glow") for each in checks):
            off.append(loss)
        elif any(each.outcome == "still on" and each.at > last for each in checks):
            continue
        elif loss.word == "medical" or (loss.chance is not None and loss.chance >= LIKELY):
            off.append(loss)
        else:
            perhaps.append(loss)
    return tuple(off), tuple(perhaps)


def _look_at(home: Home, losses: Iterable[Loss]) -> Iterable[str]:
    by_word: dict[IfOff, list[Loss]] = {}
    for loss in losses:
        by_word.setdefault(loss.word, []).append(loss)
    for word, lead in _LEADS.items():
        if word in by_word:
            yield f"{lead}: {titles(home.table(Point), by_word[word], _MOST)}."


def _gravity(loss: Loss) -> int:
    return GRAVEST.index(loss.word)
