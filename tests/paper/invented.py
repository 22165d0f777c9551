"""Documents that are only in the tests: what a press may be given to make, good and bad."""

import csv
import io
import json

import typst
from font_source_sans_pro import font_directory

from circuitmap.home.records import Board, Note, Point, Room, Sheet
from circuitmap.paper.catalogue import Paper
from circuitmap.paper.wanted import Choice, Made, Wanted

_EVERY: tuple[Choice, ...] = (
    "size", "turned", "large print", "subject", "moments", "storey", "theme", "scale", "leave out",
)  # fmt: skip
_BOX = '<rect x="20" y="20" width="160" height="90"/>'
_SVG = f'<svg xmlns="http://www.w3.org/2000/svg" width="{{0}}" height="200">{_BOX}</svg>'
_TEMPLATE = """
#let data = json("data.json")
#set document(title: "Rooms")
#set page(paper: data.size, flipped: data.wide)
#set text(font: "Source Sans Pro", size: data.letters * 1pt)
= Rooms
#image("drawing.svg", width: 60%)
#for row in data.rows [#row.at(0): #row.at(1) \\ ]
"""


def paper(
    name: str, forms: tuple[str, ...], choices: tuple[Choice, ...] = (), says: str = "", of: str = "BDP", how: str = ""
) -> Paper:
    title = name.replace("-", " ").capitalize()
    module = f"tests.paper.invented{how}"
    return Paper(name, title, says or f"{title}, for whoever asks.", forms, choices, module, of)


PAGES = paper("room-list", ("pdf", "xlsx", "csv"), _EVERY, "Every room with its points, to be kept beside the board.")
DRAWING = paper("drawing-out", ("svg", "png", "dxf", "geojson"), ("storey", "theme", "scale"))
SLOW = paper("slow-one", ("pdf",), ("large print",), "Takes its time, and says how far it is.", how="_slow")
DEAF = paper("deaf-one", ("pdf",), (), "Never looks whether it is to stop.", how="_deaf")
NEVER = paper("never", ("pdf",), (), "Can't be made of any home.", how="_never")
BROKEN = paper("broken", ("pdf",), (), "Breaks.", how="_broken")
CARD = paper("card", ("pdf",), ("subject", "moment"), "One card for one box.", "BP")
INVENTED = (PAGES, CARD, DRAWING, SLOW, DEAF, NEVER, BROKEN)


def made(wanted: Wanted) -> tuple[Made, ...]:
    """What the tables above name: told apart by what is asked for."""
    form = wanted.form
    if form == "pdf":
        return (Made(pdf(wanted), "", remarks(wanted)),)
    if form == "csv":
        stream = io.StringIO(newline="")
        csv.writer(stream).writerows(rows(wanted))
        return (Made(stream.getvalue().encode()),)
    if form == "xlsx":
        return (Made(workbook(wanted)),)
    if form == "svg":
        storeys = sorted({room.storey for room in wanted.home.sorted(Room)}) or ["none"]
        return tuple(Made(_SVG.format(200 + 40 * n).encode(), f"storey {each}") for n, each in enumerate(storeys))
    if form == "png":
        return (Made(png(wanted)),)
    if form == "dxf":
        return (Made(dxf()),)
    return (Made(b'{"type":"FeatureCollection","features":[]}'),)


def pdf(wanted: Wanted) -> bytes:
    data = {"rows": rows(wanted), "wide": wanted.turned == "landscape", "size": (wanted.size or "A4").lower(),
            "letters": 30 if wanted.large_print else 11}  # fmt: skip
    files = {
        "main.typ": _TEMPLATE.encode(),
        "data.json": json.dumps(data).encode(),
        "drawing.svg": _SVG.format(400).encode(),
    }
    found = typst.compile(files, format="pdf", font_paths=[font_directory], ignore_system_fonts=True, timestamp=0)
    assert isinstance(found, bytes)
    return found


def rows(wanted: Wanted) -> list[tuple[str, str]]:
    home = wanted.home.existing()
    notes = sum(1 for each in home.sorted(Note) if each.text)
    found = [(room.name or room.id, room.use) for room in home.sorted(Room)]
    found += [(point.id, point.kind) for point in home.sorted(Point) if wanted.subject in ("", point.id)]
    found += [(board.id, "board") for board in home.sorted(Board) if wanted.subject in ("", board.id)]
    found += [("earlier", f"{wanted.earlier_name} → {wanted.later_name}")] if wanted.earlier is not None else []
    found += [("earlier points", str(len(wanted.earlier.table(Point))))] if wanted.earlier is not None else []
    found += [("picture", "here" if wanted.asset(sheet.asset) else "missing") for sheet in home.sorted(Sheet)]
    return [*found, ("notes", str(notes)), ("address", home.details.address), ("day", wanted.day.isoformat())]


def remarks(wanted: Wanted) -> tuple[str, ...]:
    return () if wanted.home.table(Room) else ("No room is drawn yet, so none is listed.",)


def workbook(wanted: Wanted) -> bytes:
    import xlsxwriter

    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, {"strings_to_formulas": False})
    sheet = book.add_worksheet("Rooms")
    for n, row in enumerate(rows(wanted)):
        sheet.write_row(n, 0, row)
    book.add_worksheet("Empty")
    book.close()
    return stream.getvalue()


def png(wanted: Wanted) -> bytes:
    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (int(4 * (wanted.scale or 50)), 120), "black" if wanted.dark else "white").save(stream, "PNG")
    return stream.getvalue()


def dxf() -> bytes:
    import ezdxf

    drawing = ezdxf.new()
    drawing.modelspace().add_line((0, 0), (4000, 3000))
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue().encode()
