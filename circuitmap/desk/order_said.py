"""How the order of a ring is put into words: the way round, each part to accept, what the map says against it."""

from typing import Final

from circuitmap.desk.causes_list import Row
from circuitmap.desk.causes_said import odds_words, percent
from circuitmap.desk.order_work import CROSS, ENDS, ONE_LEG, Choice, Counting, Told
from circuitmap.readings.inferred import Offer
from circuitmap.readings.order import RingOrder, Stretch

NO_CIRCUIT: Final = "Choose a ring: the order of its points is drawn here from two sweeps."
NOT_A_RING: Final = "On the map {code} is no ring ({kind}): an order is drawn of rings only."
INTRO: Final = (
    "Read step 1, and at every point two sweeps: one with one leg linked, one cross-linked. They give the order round "
    "the ring, the distances, and what sits on a spur."
)
CAUTION: Final = (
    "What is inferred from readings nobody has seen: it is drawn as inferred. It proves nothing dead; look before you "
    "cut, drill or take off a cable."
)
ALL_DRAWN: Final = "All that the two sweeps tell is on the map."
NO_LENGTH: Final = (
    "How many metres that is isn’t known: the map has no cable for {code}, or more than one kind. Give its runs their "
    "cable, and distances come in metres."
)
READ_WORDS: Final = {
    ENDS: "Read step 1, end to end",
    ONE_LEG: "Read the sweep, one leg linked",
    CROSS: "Read the sweep, cross-linked",
}
_UNTOLD: Final = "⇄"
_ON: Final = "→"
_FIRM: Final = "\u00a0"  # a space at which no line breaks
_MOST_PARTS: Final = 60


def head_words(told: Told) -> str:
    """Say how much is told of the ring, and how surely."""
    order = told.order
    if order.problem:
        return order.problem
    count, spurs = len(order.order), sum(len(spur.points) for spur in order.spurs)
    long = f", about {order.loop_m:.0f} m in all" if order.loop_m is not None else ""
    said = [f"{_points(count)} round the ring{long}{f', {_points(spurs)} on spurs' if spurs else ''}."]
    said.append(sure_words(order))
    open_ = sum(1 for placed in order.placed if placed.standing == "can't tell")
    if open_:
        said.append(f"Of {_points(open_)} it can’t be told whether {'it sits' if open_ == 1 else 'they sit'} on it.")
    return " ".join(filter(None, said))


def sure_words(order: RingOrder) -> str:
    """Say how sure the order of the points is."""
    between = [stretch for stretch in order.stretches if order.device not in (stretch.a, stretch.b)]
    untold = [stretch for stretch in between if not stretch.is_told]
    if not between:
        return ""
    if untold:
        pairs = ", ".join(f"{s.a} and {s.b}" for s in untold[:4]) + (" and others" if len(untold) > 4 else "")
        return f"Which comes first can’t be told of {pairs} ({_UNTOLD})."
    least = percent(min(stretch.sure for stretch in between))
    words = f"more than {least[1:]}" if least.startswith(">") else f"{least} or more"
    return f"The order of neighbours is told with {words}."


def round_words(order: RingOrder) -> str:
    """Give the way round from the linked leg: point, how far, next point; what hangs on a point behind it."""
    hung: dict[str, list[str]] = {}
    for spur in order.spurs:
        if spur.at:
            hung.setdefault(spur.at, []).extend(spur.points)
    stops = [order.code] if order.stretches else []
    for stretch in order.stretches[:_MOST_PARTS]:
        sign = _ON if stretch.is_told else _UNTOLD
        name = order.code if stretch.b == order.device else stretch.b
        spurs = f"{_FIRM}(spur:{_FIRM}{', '.join(hung[stretch.b])})" if stretch.b in hung else ""
        stops.append(f"{sign}{_FIRM}{_far(stretch)} {sign}{_FIRM}{name}{spurs}")
    more = len(order.stretches) - _MOST_PARTS
    return " ".join(stops) + (f" … and {more} more" if more > 0 else "")


def choice_row(choice: Choice, order: RingOrder) -> Row:
    """Give a part to accept as a row."""
    offer = choice.offer
    below = [f"{odds_words(offer.sure).capitalize()}."]
    if offer.drawn:
        below = ["On the map already; it gets this length."]
    elif offer.warns:
        below.append("The map says otherwise.")
    if choice.others:
        below.append(f"Or from {' or '.join(other.a for other in choice.others)}.")
    return Row(percent(offer.sure), offer.sure, part_words(offer, order), " ".join(below))


def part_words(offer: Offer, order: RingOrder) -> str:
    """Say from where to where a part goes, and how far within what."""
    a, b = (order.code if end == order.device else end for end in (offer.a, offer.b))
    where = "a spur" if offer.part == "spur" else "round the ring"
    return f"{a} to {b}, {length_words(offer, order)}{where}."


def length_words(offer: Offer, order: RingOrder) -> str:
    """Give a part's length with how far it may be out; its share of the loop where no metres are known."""
    if offer.length_m is not None:
        out_m = (offer.tolerance or 0.0) * offer.length_m
        return f"about {offer.length_m:.1f} m ± {max(out_m, 0.1):.1f} m, "
    pair = (offer.a, offer.b)
    stretch = next((s for s in order.stretches if (s.a, s.b) == pair and offer.part == "ring"), None)
    return f"about {100 * stretch.share:.0f} % of the loop, " if stretch is not None else ""


def why_words(choice: Choice) -> str:
    """Say on what a part rests, and what the map has of it."""
    offer = choice.offer
    said = [offer.why]
    if offer.drawn:
        said.append(f"{' and '.join(offer.drawn)} on the map is this part already: accepting gives it its length.")
    if offer.leg:
        said.append(f"It becomes {offer.leg}, the cable at the board that nobody followed yet.")
    return " ".join(said)


def accept_words(offer: Offer, order: RingOrder, *, instead: bool = False) -> str:
    """Give what the button of a part says."""
    a, b = (order.code if end == order.device else end for end in (offer.a, offer.b))
    if offer.drawn:
        return f"Accept the length of {offer.drawn[0]}"
    return f"Rather {a} to {b} ({percent(offer.sure)})" if instead else f"Accept {a} to {b}"


def counting_row(counting: Counting) -> Row:
    """Give a point to count at as a row."""
    known = {None: "Not counted yet.", 1: "1 cable counted."}.get(
        counting.counted, f"{counting.counted} cables counted."
    )
    return Row(counting.at, None, counting.asks, f"{known} {counting.tells}")


def parts_words(told: Told) -> str:
    """Say how many parts are still to be accepted."""
    if not told.choices:
        return ALL_DRAWN if told.on_map else "Nothing can be drawn from it yet."
    count = len(told.choices)
    drawn = f"; {told.on_map} more {'is' if told.on_map == 1 else 'are'} on the map" if told.on_map else ""
    return f"{'1 part' if count == 1 else f'{count} parts'} to accept{drawn}."


def _points(count: int) -> str:
    return "1 point" if count == 1 else f"{count} points"


def _far(stretch: Stretch) -> str:
    far = f"{stretch.length_m:.1f} m" if stretch.length_m is not None else f"{100 * stretch.share:.0f} %"
    return far.replace(" ", _FIRM)
