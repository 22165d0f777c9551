"""What a quotation is made of: one option of an extension, the home as it would be, and the terms."""

import datetime
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from circuitmap.drawing.elevation import called, face_said
from circuitmap.errors import PersonError
from circuitmap.extension.estimate_says import CAUTIONS, assumptions, exclusions
from circuitmap.extension.kinds import KIND_SAYS, Fit, Option, Papers
from circuitmap.extension.pathing import RoutePoint
from circuitmap.extension.price import Priced
from circuitmap.extension.pricebook import Book
from circuitmap.extension.takeoff import Job, Taken
from circuitmap.home import Home
from circuitmap.home.records import Extension, Point, Room, Wish
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.plan.elevation import face_at, faces_on
from circuitmap.plan.where import place_of
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade


class Offer(Struct, frozen=True, kw_only=True):
    """Everything that a quotation says; no range is in it, one is the estimator's alone.

    ``home`` is the home with what is planned on it, ``points`` the ids of the new points in the order of their
    numbers, ``paths`` the routes of their cables.
    """

    home: Home
    name: str
    scope: tuple[str, ...]
    taken: Taken
    priced: Priced
    job: Job
    points: tuple[str, ...] = ()
    paths: tuple[tuple[RoutePoint, ...], ...] = ()
    fit: tuple[str, ...] = ()
    papers: Papers | None = None
    assumes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    day: datetime.date | None = None
    number: str = ""


class NotSoundError(PersonError):
    """An option that nobody may quote for, with the reasons."""

    def __init__(self, option: Option) -> None:
        self.reasons = option.failed
        super().__init__(f"“{option.title}” can't be offered: {' '.join(option.failed)}")


def offer_of(
    home: Home,
    extension: Extension,
    option: Option,
    trade: Trade,
    memo: Memo,
    *,
    fit: tuple[Fit, ...] = (),
    day: datetime.date | None = None,
    number: str = "",
) -> Offer:
    """Make an offer of one option.

    Parameters
    ----------
    home
        As it is now; the option's change is put on a copy.
    extension
        What is wished.
    option
        The one that was picked, priced.
    fit
        What has to be in order before anything is added: what is short or not known is said in the offer.
    day, number
        The day of the quotation, and what it goes by.

    Raises
    ------
    NotSoundError
        When something speaks against the option.
    PersonError
        When it has no price.
    """
    if not option.is_sound:
        raise NotSoundError(option)
    if option.priced is None or option.taken is None:
        raise PersonError(f"“{option.title}” has no price yet; price it first.")
    after = home.apply(option.change)
    return Offer(
        home=after,
        name=extension.name,
        scope=tuple(_scope(after, home, extension, option, trade, memo)),
        taken=option.taken,
        priced=option.priced,
        job=option.job,
        points=option.points,
        paths=tuple(route.path for route in option.routes),
        fit=tuple(each.says for each in fit if each.answer != "yes"),
        papers=option.papers,
        assumes=tuple(dict.fromkeys((*option.assumes, *option.unsure))),
        cautions=option.cautions,
        day=day,
        number=number,
    )


def assumed(offer: Offer, book: Book) -> tuple[str, ...]:
    """Give what the price rests on, without the sums set aside or offered apart, which stand in tables of their own."""
    bare = replace(offer.priced, provisional=(), optional=())
    return tuple(dict.fromkeys((*assumptions(offer.taken, bare, book, offer.job), *offer.assumes)))


def included(offer: Offer) -> tuple[str, ...]:
    """Give what is in the price: tasks and materials with their amounts, each once."""
    sums: dict[tuple[str, str], float] = {}
    for each in offer.priced.lines:
        key = (each.title, each.unit)
        sums[key] = sums.get(key, 0.0) + each.line.quantity
    return tuple(_amount_said(title, unit, amount) for (title, unit), amount in sums.items())


def excluded(offer: Offer) -> tuple[str, ...]:
    """Give what is not in the price."""
    return exclusions(offer.taken, offer.job)


def cautioned(offer: Offer) -> tuple[str, ...]:
    """Give the cautions, the general first."""
    return tuple(dict.fromkeys((*CAUTIONS, *offer.cautions)))


def point_said(home: Home, point: Point, trade: Trade, memo: Memo) -> str:
    """Say a new point in words: what, in which room, on which wall, how high."""
    room = rooms_of_points(home, memo).get(point.id)
    return _placed(called(trade, point), home, point, room, trade, memo)


def _placed(what: str, home: Home, point: Point, room: Room | None, trade: Trade, memo: Memo) -> str:
    place = place_of(home, point)
    said = what
    if place is None:
        return f"{said}, {room.name}" if room is not None and room.name else said
    face = face_at(faces_on(home, memo, trade, place.storey), place.x_mm, place.y_mm, place.faces_deg)
    if face is not None and place.faces_deg is not None:
        left, _ = face.at(place.x_mm, place.y_mm)
        said += f", {face_said(home, face)}, {show_length(left)} from its left corner"
    elif room is not None and room.name:
        said += f", {room.name}"
    if place.height_mm is not None:
        said += f", {place.height_mm} mm over the floor"
    return said


def _scope(after: Home, before: Home, extension: Extension, option: Option, trade: Trade, memo: Memo) -> Iterator[str]:
    for number, record in enumerate(option.points, 1):
        point = after.find(Point, record)
        if point is not None:
            yield f"New, no. {number}: {point_said(after, point, trade, memo)}."
    for number in option.wishes:
        wish = extension.wishes[number] if number < len(extension.wishes) else None
        if wish is not None and wish.act != "add":
            yield _other_wish(before, wish, trade, memo)
    if option.way:
        yield f"{option.title}, on {option.way}: {KIND_SAYS[option.kind]}"
    else:
        yield f"{option.title}: {KIND_SAYS[option.kind]}"
    if option.length_mm > 0:
        row = trade.cable(option.cable)
        cable = f" ({row.title if row is not None else option.cable})" if option.cable else ""
        yield f"Some {option.length_mm / 1000:.1f} m of cable{cable} are laid, measured along the routes drawn here."


def _other_wish(home: Home, wish: Wish, trade: Trade, memo: Memo) -> str:
    point = home.find(Point, wish.point) if wish.point is not None else None
    said = point_said(home, point, trade, memo) if point is not None else "a point"
    return f"{'Taken out' if wish.act == 'remove' else 'Moved'}: {said}."


def _amount_said(title: str, unit: str, amount: float) -> str:
    figure = f"{amount:.1f}".rstrip("0").rstrip(".") if amount != round(amount) else f"{amount:.0f}"
    if unit == "each":
        return title if amount == 1 else f"{title}: {figure}"
    return f"{title}: {figure} {unit}{'s' if unit != 'm' and amount != 1 else ''}"
