"""A home full of what is private: in its records, its history, its marks and its pictures."""

import io
import random
from collections.abc import Iterator
from pathlib import Path

from PIL import Image, PngImagePlugin

from circuitmap.home import Home, verbs
from circuitmap.home.assets import Asset, hash_of
from circuitmap.home.document import Document
from circuitmap.home.records import Check, Isolation, Limitation, Note, Point, Sheet, Visit
from circuitmap.home.snapshot import Home as Snapshot

ADDRESS = "17 Larkspur Mews, Nether Wallop-on-Brook, ZZ9 9ZZ"
OLD_ADDRESS = "3 Juniper Close, Upper Snodbury"
CALL = "Mrs Ottoline Quibell 00000 555 0199"
PERSON = "Bartholomew Featherstone"
OLD_PERSON = "Cornelia Wigglesworth"
AGREED = "Ottoline Quibell"
NOTE = "The spare key is under the third flowerpot"
OLD_NOTE = "Dog is called Beelzebub and bites"
GONE_NAME = "Grandfather's stamp collection lamp"
MARK = "as found"
PLACE = "GPS 51.123456 N"
SECRETS = {
    "address": (ADDRESS, "17 Larkspur Mews", "Nether Wallop-on-Brook", "ZZ9 9ZZ"),
    "people": (PERSON, AGREED),
    "call": (CALL,),
    "notes": (NOTE,),
    "history": (OLD_ADDRESS, "3 Juniper Close", OLD_PERSON, OLD_NOTE, GONE_NAME),
    "pictures": (PLACE, "Snapper of Snodbury"),
}


def photo(seed: int) -> Asset:
    """A small photograph with noise, place and owner in its Exif, a comment and something hung on behind."""
    picture = Image.frombytes("L", (64, 48), random.Random(seed).randbytes(64 * 48))
    exif = Image.Exif()
    exif[0x010E], exif[0x013B] = PLACE, "Snapper of Snodbury"
    stream = io.BytesIO()
    picture.save(stream, "JPEG", exif=exif, comment=PLACE.encode(), quality=80)
    return "image/jpeg", stream.getvalue() + PLACE.encode()


def plan() -> Asset:
    """A plan as PNG with its maker in a text chunk."""
    told = PngImagePlugin.PngInfo()
    told.add_text("Author", "Snapper of Snodbury")
    told.add_itxt("Comment", PLACE)
    stream = io.BytesIO()
    Image.frombytes("L", (120, 90), random.Random(3).randbytes(120 * 90)).save(stream, "PNG", pnginfo=told)
    return "image/png", stream.getvalue()


def secret_home(path: Path) -> Home:
    """Write the home file, by edits as a person makes them, and give the home as it is at last."""
    first, second, sheet = photo(1), photo(2), plan()
    names = [hash_of(each[1]) for each in (first, second, sheet)]
    with Document.create(path, Home.blank("17 Larkspur Mews")) as document:
        document.do(verbs.edit(document.home, "home", address=OLD_ADDRESS, tenure="rented", country="England"))
        document.do(verbs.add_storey(document.home, "Ground", 0))
        document.do(_add(document.home, Sheet(id="H1", storey="G1", asset=names[2], width_px=120, height_px=90)),
                    {names[2]: sheet})  # fmt: skip
        document.do(verbs.add_room(document.home, "Kitchen", (), "G1"))
        document.do(verbs.add_board(document.home, "A", name=f"Board of {ADDRESS.split(',')[0].upper()}"))
        document.do(verbs.add_device(document.home, "B1", "MCB", "1", 32, label="Sockets"))
        document.do(verbs.add_point(document.home, "socket", None, "M1", name=GONE_NAME))
        document.do(verbs.add_point(document.home, "socket", None, "M1", name="Worktop"))
        document.do(verbs.start_visit(document.home, "2026-01-05"))
        document.do(verbs.edit(document.home, "V1", by=OLD_PERSON))
        document.do(_add(document.home, Note(id="N1", subject="P2", text=OLD_NOTE, seen=("damp",), photos=(names[0],))),
                    {names[0]: first})  # fmt: skip
        document.mark(MARK)
        document.do(verbs.edit(document.home, "home", address=ADDRESS, call=CALL))
        document.do(verbs.edit(document.home, "V1", by=PERSON))
        document.do(verbs.edit(document.home, "N1", text=NOTE, photos=(names[1],)), {names[1]: second})
        document.do(verbs.remove(document.home, "P1"))
        document.do(_add(document.home, Limitation(id="L1", reason=f"Loft locked, {PERSON} says", agreed_by=AGREED)))
        document.do(_add(document.home, Isolation(
            id="J1", visit="V1", box=("P2",), at="2026-01-05T10:00:00Z", by=PERSON.upper())))  # fmt: skip
        document.do(verbs.open_round(document.home, "V1", (), at="2026-01-05T09:00:00Z"))
        document.do(_add(document.home, Check(
            id="C1", round="S1", point="P2", outcome="can't tell", at="2026-01-05T09:05:00Z",
            why=f"asked {AGREED.replace(' ', '  ')} at {ADDRESS}")))  # fmt: skip
        assert document.home.table(Visit)
        assert "P1" not in document.home.table(Point)
        return document.home


def _add(home: Snapshot, record):  # type: ignore[no-untyped-def]  # any record
    from circuitmap.home import Change

    return Change(f"Add {record.id}", ((None, record),))


def pictures() -> Iterator[bytes]:
    """Every picture of the home as it was brought in."""
    yield from (photo(1)[1], photo(2)[1], plan()[1])
