"""What a quotation is made of: one option of an extension, the home as it would be, and the terms."""

import datetime
import math
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from circuitmap.drawing.elevation import called, face_said
from circuitmap.errors import PersonError
from circuitmap.extension.accept import together
from circuitmap.extension.estimate_says import CAUTIONS, assumptions, exclusions
from circuitmap.extension.kinds import KIND_SAYS, Fit, Option, Papers
from circuitmap.extension.pathing import RoutePoint
from circuitmap.extension.price import Priced, price
from circuitmap.extension.pricebook import Book
from circuitmap.extension.takeoff import Job, Taken, Work, takeoff
from circuitmap.home import Change, Home
from circuitmap.home.records import Device, Extension, Point, Record, Room, Wish
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.plan.elevation import face_at, faces_on
from circuitmap.plan.where import place_of
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade


class Offer(Struct, frozen=True, kw_only=True):
    """Everything that a quotation says; no range is in it, one is the estimator's alone.

    ``home`` is the home with what is planned on it, ``points`` the ids of the new points in the order of their
    numbers, ``paths`` the routes of their cables, ``gone`` the points that are taken out.
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
    not_done: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()


class NotSoundError(PersonError):
    """An option that nobody may quote for, with the reasons."""

    def __init__(self, option: Option) -> None:
        self.reasons = option.failed
        super().__init__(f"“{option.title}” can't be offered: {' '.join(option.failed)}")


def offer_of(
    home: Home,
    extension: Extension,
    options: Sequence[Option],
    book: Book,
    trade: Trade,
    memo: Memo,
    *,
    fit: tuple[Fit, ...] = (),
    day: datetime.date | None = None,
    number: str = "",
    not_done: tuple[str, ...] = (),
) -> Offer:
    """Make an offer of what was picked: one option, or several that do different wishes.

    Several are priced again as one job: they share the way there, setting up, isolation and tests.

    Parameters
    ----------
    home
        As it is now; what the options change is put on a copy of what is there.
    extension
        What is wished.
    options
        Those that were picked, priced.
    book
        The price book.
    fit
        What has to be in order before anything is added: what is short or not known is said in the offer.
    day, number
        The day of the quotation, and what it goes by.
    not_done
        Sentences on what is wished and not offered.

    Raises
    ------
    NotSoundError
        When something speaks against one of the options.
    PersonError
        When one has no price, two do the same wish or alter the same thing, or none is given.
    """
    _refuse_wrong(options)
    change = together(options)
    after = home.existing().apply(change)
    gone = [before for before, now in change.pairs if isinstance(before, Point) and _is_gone(now)]
    # What is taken out is drawn, crossed out, where it is.
    after = after.apply(Change("", tuple((after.peek(each.id), each) for each in gone)))
    taken, priced, job = _priced(options, book)
    return Offer(
        home=after,
        name=extension.name,
        scope=tuple(_scope(after, home, extension, options, trade, memo)),
        taken=taken,
        priced=priced,
        job=job,
        points=tuple(point for each in options for point in each.points),
        paths=tuple(route.path for each in options for route in each.routes),
        fit=tuple(each.says for each in fit if each.answer != "yes"),
        papers=_papers(options),
        assumes=tuple(dict.fromkeys(says for each in options for says in (*each.assumes, *each.unsure))),
        cautions=tuple(dict.fromkeys(says for each in options for says in each.cautions)),
        day=day,
        number=number,
        not_done=not_done,
        gone=tuple(each.id for each in gone),
    )


def _is_gone(record: Record | None) -> bool:
    return record is None or (isinstance(record, Point) and record.phase == "removed")


def _refuse_wrong(options: Sequence[Option]) -> None:
    if not options:
        raise PersonError("Nothing is picked to be offered; pick an option first.")
    done: set[int] = set()
    for each in options:
        if not each.is_sound:
            raise NotSoundError(each)
        if each.priced is None or each.taken is None:
            raise PersonError(f"“{each.title}” has no price yet; price it first.")
        if done & set(each.wishes):
            raise PersonError(f"“{each.title}” meets a requirement that another one meets; pick one of them.")
        done |= set(each.wishes)


def _priced(options: Sequence[Option], book: Book) -> tuple[Taken, Priced, Job]:
    """Give the lines and the price of all options as one job."""
    first = options[0]
    if len(options) == 1:
        assert first.taken is not None
        assert first.priced is not None
        return first.taken, first.priced, first.job
    works, jobs = [each.work for each in options], [each.job for each in options]
    work = Work(
        parts=tuple(part for each in works for part in each.parts),
        fittings=tuple(fitting for each in works for fitting in each.fittings),
        lengths=tuple(length for each in works for length in each.lengths),
        remedies=tuple(dict.fromkeys(remedy for each in works for remedy in each.remedies)),
        new_ways=sum(each.new_ways for each in works),
        new_way=next((each.new_way for each in works if each.new_ways), first.work.new_way),
        joints=sum(each.joints for each in works),
    )
    certified = [each for each in jobs if each.certificate == "installation certificate"]
    job = replace(
        first.job,
        certificate="installation certificate" if certified else first.job.certificate,
        circuits_certified=max(1, sum(each.circuits_certified for each in certified)),
        notify=next((each.notify for each in jobs if each.notify), ""),
        carpets=tuple(dict.fromkeys(room for each in jobs for room in each.carpets)),
    )
    taken = takeoff(work, book, job)
    return taken, price(taken, book, job, draws=0), job


def _papers(options: Sequence[Option]) -> Papers | None:
    """Give the papers of the whole job: those of the option that asks for most."""
    asked = [each.papers for each in options if each.papers is not None]
    return max(asked, key=_asks) if asked else None


def _asks(papers: Papers) -> tuple[bool, int]:
    return papers.certificate == "installation certificate", ("no", "not known", "yes").index(papers.notify)


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
    return (*offer.not_done, *exclusions(offer.taken, offer.job))


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
        said += f", {face_said(home, memo, trade, face)}, {show_length(left)} from its left corner"
    elif room is not None and room.name:
        said += f", {room.name}"
    if place.height_mm is not None:
        said += f", {place.height_mm} mm over the floor"
    return said


def _scope(
    after: Home, before: Home, extension: Extension, options: Sequence[Option], trade: Trade, memo: Memo
) -> Iterator[str]:
    for number, record in enumerate((point for each in options for point in each.points), 1):
        new = after.find(Point, record)
        if new is not None:
            yield f"New, no. {number}: {point_said(after, new, trade, memo)}."
    for option in options:
        for number in option.wishes:
            wish = extension.wishes[number] if number < len(extension.wishes) else None
            if wish is not None and wish.act != "add":
                yield _other_wish(before, wish, trade, memo)
        on = f", on {_way_said(before, option.way)}" if option.way else ""
        yield f"{option.title}{on}: {KIND_SAYS[option.kind]}"
        if option.length_mm > 0:
            row = trade.cable(option.cable)
            cable = f" ({row.title if row is not None else option.cable})" if option.cable else ""
            metres = option.length_mm / 1000
            yield f"Some {metres:.1f} m of cable{cable} are laid, measured along the routes drawn here."


def _way_said(home: Home, code: str) -> str:
    """Give a way's code with its label as found."""
    device = next((each for each in home.sorted(Device) if each.way and home.code(each.id) == code), None)
    return f"{code} “{device.label}”" if device is not None and device.label else code


def _other_wish(home: Home, wish: Wish, trade: Trade, memo: Memo) -> str:
    point = home.find(Point, wish.point) if wish.point is not None else None
    said = point_said(home, point, trade, memo) if point is not None else "a point"
    return f"{'Taken out' if wish.act == 'remove' else 'Moved from here'}: {said}."


def _amount_said(title: str, unit: str, amount: float) -> str:
    figure = f"{amount:.1f}".rstrip("0").rstrip(".") if amount != round(amount) else f"{amount:.0f}"
    if unit == "each":
        figure = f"{math.ceil(amount - 1e-9)}"  # nobody buys a tenth of a clip
        return title if amount == 1 else f"{title}: {figure}"
    return f"{title}: {figure} {unit}{'s' if unit != 'm' and amount != 1 else ''}"
