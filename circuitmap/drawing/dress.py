"""How a circuit and its points are dressed: colour, code, and the state that the plan shows of a point.

A colour belongs to a device by the order of the ways, so that it stays while the rest changes. What feeds a point comes
from the circuit views; a point that none has claimed shows what the switch-offs leave possible.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.legend import ASSUMED, INFERRED, SEEN
from circuitmap.drawing.marks import Ink, State
from circuitmap.drawing.palette import circuit_ink
from circuitmap.memo import Memo
from circuitmap.survey.deduce import Deduced
from circuitmap.words import Evidence

_DASH: Final[dict[Evidence, tuple[float, ...]]] = {
    "seen": SEEN,
    "tested": INFERRED,
    "inferred": INFERRED,
    "assumed": ASSUMED,
}
_STRIPE_PX: Final = 1.0
_MOST_IN_DOUBT: Final = 2  # a plate has two halves; with more ways still possible, a point is simply not known yet


class Dress(Struct, frozen=True):
    """What a point shows: its state, its circuit's colour (and the other one's), and the code beside it."""

    state: State = ""
    role: str = "ink"
    also: str = ""
    code: str = ""


class CircuitDress(Struct, frozen=True):
    """A circuit's code, the number of its colour, and the stripe that tells colours apart when they come again."""

    code: str
    number: int

    @property
    def role(self) -> str:
        """Give the role of its colour."""
        return f"circuit:{self.number}"

    def ink(self, evidence: Evidence, width_px: float) -> Ink:
        """Give the line of one of its runs, dashed by how well the run is known."""
        return Ink(self.role, width_px, _DASH[evidence])

    def stripe(self, width_px: float) -> Ink | None:
        """Give the stripe along the middle of a line, None for the solid colours."""
        dash = circuit_ink(self.number)[1]
        return Ink("paper", max(_STRIPE_PX, width_px * 0.4), dash) if dash else None


def circuit_index(views: Sequence[CircuitView]) -> dict[str, int]:
    """Give the number of each circuit's colour by its device's id, in the order of the ways."""
    return {view.device.id: number for number, view in enumerate(views)}


def dash_of(evidence: Evidence) -> tuple[float, ...]:
    """Give the dash that tells how well a run is known: solid seen, long tested or inferred, dots assumed."""
    return _DASH[evidence]


def circuit_dresses(views: Sequence[CircuitView], memo: Memo) -> dict[str, CircuitDress]:
    """Give how each circuit is dressed, by its device's id; the same object while code and colour stay."""
    return {
        view.device.id: memo.steady("drawing.circuit dress", view.device.id, CircuitDress(view.code, number))
        for number, view in enumerate(views)
    }


def point_dresses(views: Sequence[CircuitView], dresses: Mapping[str, CircuitDress], memo: Memo) -> dict[str, Dress]:
    """Give the dress of every point that some circuit feeds: settled on one, in doubt between several."""
    found: dict[str, Dress] = {}
    several: dict[str, list[str]] = {}
    for view in views:
        device = view.device.id
        alone = memo.get("drawing.settled", device, (dresses[device],), _Settled(dresses[device]))
        for member in view.members:
            point = member.point.id
            if point in found:
                several.setdefault(point, [_device_of(found[point], dresses)]).append(device)
            else:
                found[point] = alone
    for point, devices in several.items():
        found[point] = in_doubt(devices, dresses, memo)
    return found


def dress_by_survey(deduced: Deduced | None, dresses: Mapping[str, CircuitDress], memo: Memo) -> Dress:
    """Give the dress of a point that no circuit has claimed, by what the switch-offs say of it."""
    if deduced is None:
        return PLAIN
    if deduced.verdict == "elsewhere":
        return ELSEWHERE
    if deduced.verdict == "in doubt" and 1 < len(deduced.candidates) <= _MOST_IN_DOUBT:
        known = [device for device in deduced.candidates if device in dresses]
        return in_doubt(known, dresses, memo) if len(known) > 1 else PLAIN
    return PLAIN


def in_doubt(devices: Iterable[str], dresses: Mapping[str, CircuitDress], memo: Memo) -> Dress:
    """Give the dress of a point that several circuits may feed: the first two colours and codes."""
    ids = tuple(dict.fromkeys(devices))
    first, other = dresses[ids[0]], dresses[ids[1]]
    code = "/".join(dresses[device].code for device in ids[:2]) + ("…" if len(ids) > 2 else "")
    return memo.steady("drawing.in doubt", ids, Dress("in doubt", first.role, other.role, code))


PLAIN: Final = Dress()
ELSEWHERE: Final = Dress("fed from elsewhere")


class _Settled:
    """Makes the dress of a point settled on one circuit."""

    def __init__(self, circuit: CircuitDress) -> None:
        self._circuit = circuit

    def __call__(self) -> Dress:
        return Dress("settled", self._circuit.role, "", self._circuit.code)


def _device_of(dress: Dress, dresses: Mapping[str, CircuitDress]) -> str:
    return next(device for device, circuit in dresses.items() if circuit.role == dress.role)
