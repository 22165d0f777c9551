"""Homes for the tests of the shelf, as small files in a folder."""

import json
from pathlib import Path

import msgspec

from circuitmap.home import Change, Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Note, Visit
from tests.build import Builder


def small(name: str = "Mill Cottage", **details: object) -> Builder:
    """A home of one room, one way and one socket."""
    built = Builder(name)
    if details:
        built.do(verbs.edit(built.home, "home", **details))
    kitchen = built.room("Kitchen", built.storey(), (0, 0, 4000, 3000))
    board = built.board()
    built.device(board, "1", label="Sockets")
    built.point("socket", ("G1", 1000, 500), name="Worktop left")
    assert kitchen
    return built


def visited(built: Builder, day: str, purpose: str = "survey") -> str:
    visit = built.visit(day)
    built.home = built.home.apply(verbs.edit(built.home, visit, purpose=purpose))
    assert isinstance(built.home.get(visit), Visit)
    return visit


def noted(built: Builder, subject: str, *seen: str, text: str = "") -> str:
    note = Note(id=built.home.next_id(Note), subject=subject, seen=seen, text=text)  # type: ignore[arg-type]
    built.home = built.home.apply(Change("See", ((None, note),)))
    return note.id


def save(home: Home, path: Path) -> Path:
    Document.create(path, home).close()
    return path


def lines(text: str) -> list[dict[str, object]]:
    return [json.loads(line) for line in text.splitlines()]


def encoded(value: object) -> bytes:
    return msgspec.json.encode(value)
