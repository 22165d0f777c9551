"""Verbs of notes: what was seen at something, with words and photographs, and that it was put right."""

from collections.abc import Iterable

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.records import Note, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import describe, edit, remove
from circuitmap.words import Condition, Core

MOST_PHOTOS = 40


def note(
    home: Home,
    subject: str,
    seen: tuple[Condition, ...] = (),
    text: str = "",
    cores: tuple[Core, ...] = (),
    visit: str | None = None,
    photos: Iterable[str] = (),
) -> Change:
    """Note what was seen at something; ``photos`` are assets by their SHA-256.

    Raises
    ------
    HomeError
        When there is no such thing, or there are more photographs than a note takes.
    """
    subject_record = home.get(subject)
    kept = _at_most(tuple(dict.fromkeys(photos)))
    record = Note(id=home.next_id(Note), subject=subject, seen=seen, text=text, cores=cores, visit=visit, photos=kept)
    what = ", ".join(seen) or ("a photograph" if kept else "something")
    return Change(f"Note {what} at {subject_record.id}", ((None, record),))


def write_note(home: Home, note_id: str, text: str) -> Change:
    """Set the words of a note."""
    home.take(Note, note_id)
    return edit(home, note_id, "Write a note", text=text)


def set_conditions(home: Home, note_id: str, seen: Iterable[Condition]) -> Change:
    """Set what a note says was seen, each once."""
    home.take(Note, note_id)
    return edit(home, note_id, "Say what was seen", seen=tuple(dict.fromkeys(seen)))


def add_photos(home: Home, note_id: str, photos: Iterable[str]) -> Change:
    """Add photographs to a note; one that it has already isn't added again.

    Raises
    ------
    HomeError
        When there is no such note, or it would have more photographs than a note takes.
    """
    held = home.take(Note, note_id)
    kept = _at_most(tuple(dict.fromkeys((*held.photos, *photos))))
    more = len(kept) - len(held.photos)
    return edit(home, note_id, f"Add {'a photograph' if more == 1 else f'{more} photographs'}", photos=kept)


def remove_photos(home: Home, note_id: str, photos: Iterable[str]) -> Change:
    """Take photographs off a note; a note that says nothing else goes with its last one.

    The picture itself stays in the home's history, so that undo brings it back.

    Raises
    ------
    HomeError
        When there is no such note, or it hasn't such a photograph.
    """
    held, gone = home.take(Note, note_id), set(photos)
    if not gone <= set(held.photos):
        raise HomeError("That photograph is not on this note any more.", note_id)
    title = "Remove a photograph" if len(gone) == 1 else f"Remove {len(gone)} photographs"
    left = msgspec.structs.replace(held, photos=tuple(photo for photo in held.photos if photo not in gone))
    if not (left.photos or left.text or left.seen or left.cores):
        return remove(home, note_id, title=title)
    return Change(title, ((held, left),) if left != held else ())


def clear(home: Home, note_id: str, visit: str) -> Change:
    """Say that what a note tells of was put right on a visit."""
    return edit(home, note_id, "Mark as put right", cleared=visit)


def reopen(home: Home, note_id: str) -> Change:
    """Say that what a note tells of is not put right after all."""
    home.take(Note, note_id)
    return edit(home, note_id, "Not put right after all", cleared=None)


def notes_of(home: Home, subject: str) -> tuple[Note, ...]:
    """Give the notes about something that are not cleared."""
    return tuple(each for each in all_notes_of(home, subject) if each.cleared is None)


def all_notes_of(home: Home, subject: str) -> tuple[Note, ...]:
    """Give every note about something in the order they were made, those that were put right too."""
    found = (home.find(Note, i) for i in sorted(home.used_by(subject), key=natural_key))
    return tuple(n for n in found if n is not None and n.subject == subject)


def note_said(home: Home, held: Note) -> str:
    """Give a note in a few words, for lists and for who can't see its photographs."""
    parts = [", ".join(held.seen), " ".join(held.text.split())]
    count = len(held.photos)
    if count:
        parts.append(f"{count} photograph{'' if count == 1 else 's'}")
    if held.cleared is not None:
        parts.append("put right")
    said = "; ".join(part for part in parts if part)
    return said or f"a note about {describe(home.get(held.subject))}"


def _at_most(photos: tuple[str, ...]) -> tuple[str, ...]:
    if len(photos) > MOST_PHOTOS:
        raise HomeError(f"A note takes {MOST_PHOTOS} photographs; put the others on another note.")
    return photos
