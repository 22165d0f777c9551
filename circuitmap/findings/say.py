"""Plain words for what findings name: a point in its room, a list of things, a way with its label."""

from collections.abc import Iterable, Sized

from circuitmap.circuits import CircuitView, Member
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Point, Room
from circuitmap.words import kind_said

_MOST = 5


def say_point(point: Point, room: Room | None) -> str:
    """Give a point as a person would point at it: what it is, its room, its number and where it is to be found."""
    size = {1: "", 2: "twin "}.get(point.gangs, f"{point.gangs}-gang ") if "socket" in point.kind else ""
    what = shorten(point.name, 40) if point.name else f"the {size}{kind_said(point.kind)}"
    room_words = (
        f" in {shorten(room.name, 30)}" if room is not None and room.name.casefold() not in what.casefold() else ""
    )
    where = f", {shorten(point.where, 40)}" if point.where.strip() else ""
    return f"{what}{room_words} ({point.id}{where})"


def say_member(view: CircuitView, point_id: str) -> str:
    """Give a member of a circuit by its id; anything else is named as it is."""
    member = member_of(view, point_id)
    if member is not None:
        return say_point(member.point, member.room)
    if point_id == view.device.id:
        return f"the board ({view.code})"
    board = next((b for b in view.boards_fed if b.id == point_id), None)
    if board is not None:
        return f"board {board.letter_on_map}" + (f" ({shorten(board.name, 30)})" if board.name else "")
    return point_id


def member_of(view: CircuitView, point_id: str) -> Member | None:
    """Give a member of a circuit by its id."""
    return next((m for m in view.members if m.point.id == point_id), None)


def say_way(view: CircuitView) -> str:
    """Give a way by its code and, where it has one, its label as found."""
    label = shorten(view.device.label, 30)
    return f"{view.code} “{label}”" if label else view.code


def listed(things: Iterable[str], most: int = _MOST) -> str:
    """Give a few things as a list in words; of many, the first few and how many more."""
    named = list(things)
    if len(named) > most:
        return ", ".join(named[:most]) + f" and {len(named) - most} more"
    return " and ".join(([", ".join(named[:-1])] if len(named) > 1 else []) + named[-1:])


def agrees(things: Sized, one: str, many: str) -> str:
    """Give the word that agrees with how many things were named."""
    return one if len(things) == 1 else many


def capital(words: str) -> str:
    """Give a sentence its capital."""
    return words[:1].upper() + words[1:]
