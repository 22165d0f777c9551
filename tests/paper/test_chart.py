"""The circuit chart read back by independent readers: every way and room, only what was seen, nothing over anything."""

import io
import math
import re
import subprocess
import sys
import typing
from functools import cache
from itertools import pairwise
from pathlib import Path

import pypdf
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest
from pypdf.generic import DictionaryObject

from circuitmap.circuits.views import views
from circuitmap.drawing.palette import circuit_ink, contrast
from circuitmap.drawing.plan import storeys_in_order
from circuitmap.home import Home
from circuitmap.home.looked import look_at
from circuitmap.home.records import Board, Limitation, OtherSource, Room, Supply, Tag
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError, make, paper_named
from circuitmap.paper.chart import IF_TRIPS, made
from circuitmap.paper.chart_draw import FRAMES, ground_of
from circuitmap.paper.chart_facts import Facts, chart_facts
from circuitmap.paper.chart_layout import Style
from circuitmap.paper.chart_pages import LARGE, NORMAL, choose
from circuitmap.paper.chart_words import NOT_PROOF, device_words, feeds_words, plain_words, stops_words, where_words
from circuitmap.places import sample_homes
from tests.bench.blocks import block
from tests.build import Builder
from tests.cli.shell import environment, run_alone
from tests.homes import PLANS, Plan, healthy
from tests.paper.charted import TRADE, changed, crowd, wanted
from tests.paper.letters_over import outside, over

SAMPLES = ("older-terrace", "rented-flat", "bungalow-tt")
CODE = re.compile(r"^[A-Z]\d+$")


@cache
def sample(name: str) -> Home:
    with look_at(sample_homes() / name) as looked:
        return looked.home


@cache
def pdf(name: str, size: str = "", *, large: bool = False) -> bytes:
    return made(wanted(home_of(name), size=size, large_print=large))[0].data


@cache
def home_of(name: str) -> Home:
    if name in SAMPLES:
        return sample(name)
    points, ways = map(int, name.split("/"))
    return crowd(points, ways)


def read(data: bytes) -> str:
    """All words of a document by an independent reader, each space as one, soft breaks gone."""
    pages = (page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
    return " ".join(" ".join(pages).replace("\u200b", "").split())


def facts_of(home: Home) -> Facts:
    return chart_facts(home.existing(), TRADE, Memo())


def surveyed(*, ring: bool = False) -> Builder:
    """Two ways, four sockets, each seen going off with its way; or one ring with a leg on either way."""
    b = Builder("Two ways")
    ground = b.storey()
    kitchen = b.room("Kitchen", ground, (0, 0, 5000, 4000))
    board = b.board(place=b.place(ground, 200, 200))
    main = b.device(board, "", "main switch", 100)
    ways = [b.device(board, str(n), upstream=main, label=f"Sockets {n}") for n in (3, 4)]
    points = [b.point("socket", (ground, 1000 + 900 * n, 3900), kitchen, cables=2) for n in range(4)]
    visit = b.visit()
    base = b.round(visit)
    for point in points:
        b.check(base, point, "still on")
    rounds = [(ways[0],), (ways[1],), tuple(ways)] if ring else [(ways[0],), (ways[1],)]
    if ring:
        b.chain(ways[0], *points, ways[1])
    for off in rounds:
        one = b.round(visit, *off)
        for n, point in enumerate(points):
            gone = len(off) == 2 if ring else off[0] == ways[n % 2]
            b.check(one, point, "off" if gone else "still on")
    return b


# -- what it says -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*SAMPLES, "90/60", "150/20"])
def test_every_way_with_its_device_and_what_it_feeds_is_in_the_document(name: str) -> None:
    text, facts = read(pdf(name, "A4")), facts_of(home_of(name))
    known = views(home_of(name).existing(), TRADE, Memo())
    assert [way.code for way in facts.ways] == [view.code for view in known]
    for way in facts.ways:
        for words in (way.code, device_words(way.view.device), way.view.device.label, feeds_words(facts, way)):
            assert " ".join(words.split()) in text, (way.code, words)


@pytest.mark.parametrize("name", [*SAMPLES, "90/60", "150/20"])
def test_every_room_with_points_and_every_board_is_in_the_document(name: str) -> None:
    text, home = read(pdf(name, "A4")), home_of(name)
    facts = facts_of(home)
    rooms = {fact.room.name for fact in facts.listed if fact.room is not None}
    assert rooms == {r.name for r in home.table(Room).values()} & rooms
    for words in (*rooms, *(f"Board {board.letter_on_map}" for board in home.table(Board).values())):
        assert words in text, words


@pytest.mark.parametrize("name", SAMPLES)
def test_every_point_stands_on_the_plan_with_its_code(name: str) -> None:
    """Codes on the plans, counted by an independent reader, are those of the points placed there."""
    facts = facts_of(home_of(name))
    reader = pypdf.PdfReader(io.BytesIO(pdf(name, "A4")))
    plan = reader.pages[0].extract_text().split("By way")[0].replace("“A4?”, “A3+A4” or", "")
    wanted_codes = [where_words(facts, fact) for fact in facts.points.values() if fact.is_placed]
    found = re.findall(r"[A-Z]\d+", plan)
    for code in set(wanted_codes):
        # Once more in the legend.
        assert found.count(code) == wanted_codes.count(code) + 1, code


def test_the_kitchen_of_the_terrace_reads_as_a_person_would_say_it() -> None:
    text = read(pdf("older-terrace"))
    assert "Lounge 4 sockets A5; light A3" in text.replace("\xa0", " ")
    assert "Cylinder cupboard: immersion heater stops working when A7 is off." in text
    assert "5 January 2026" in text
    assert "Last switch-off on 14 October 2025" in text


def test_only_points_seen_going_off_are_said_to_stop_working() -> None:
    b = surveyed()
    unseen = b.point("socket", ("G1", 2000, 200), "M1", cables=1)
    home = changed(b.home, {}, Tag(id="K1", target=unseen, device="D2", evidence="tested"))
    facts = facts_of(home)
    assert facts.points[unseen].status == "said"
    way = facts.ways[0]
    assert [fact.point.id for fact in way.seen] == ["P1", "P3"]
    stops = " ".join(stops_words(facts, way))
    assert "Stops working when A3 is off: Kitchen: 2 sockets." in stops
    assert "Not seen going off with A3 alone: Kitchen: socket. For these, use the main switch." in stops
    text = read(made(wanted(home))[0].data)
    assert "3 sockets" in text  # on the map it is
    assert "A3?" in text


def test_a_label_or_a_drawn_cable_alone_never_makes_it_stop_working() -> None:
    b = Builder("No survey")
    ground = b.storey()
    board = b.board()
    way = b.device(board, "1", label="Kitchen sockets")
    points = [b.point("socket", (ground, 500 * n, 0), cables=2) for n in range(3)]
    b.chain(way, *points, way)
    text = read(made(wanted(b.home))[0].data)
    assert "working when" not in text
    assert "use the main switch" in text
    assert "No switch-off was made" in text
    assert "none of it was seen going off" in text


def test_a_ring_with_a_leg_on_either_way_is_never_to_be_switched_off_by_one() -> None:
    home = surveyed(ring=True).home
    facts = facts_of(home)
    assert {fact.status for fact in facts.points.values()} == {"joined"}
    text = read(made(wanted(home))[0].data)
    assert "working when" not in text
    assert "Do not rely on A3: use the main switch." in text
    assert "Do not rely on A4: use the main switch." in text
    assert "stay live from A4" in text
    assert "A3+A4" in text
    plain = read(made(wanted(home, large_print=True))[0].data)
    assert "Works together with A4. Do not rely on it: use the main switch." in plain


def test_joined_ways_found_by_the_survey_alone_are_refused_too() -> None:
    b = surveyed(ring=True)
    home = changed(b.home, {})
    without_runs = Home.of([record for record in home.all() if record.kind_of != "run"])
    facts = facts_of(without_runs)
    assert {fact.status for fact in facts.points.values()} == {"joined"}
    assert all(way.joined == ("A3", "A4") for way in facts.ways)


def test_what_contradicts_itself_is_in_doubt() -> None:
    b = surveyed()
    home = changed(b.home, {}, Tag(id="K1", target="P1", device="D3", evidence="seen"))
    facts = facts_of(home)
    assert facts.points["P1"].status == "in doubt"
    text = read(made(wanted(home))[0].data)
    assert "A3/A4?" in text
    assert "Not settled which way feeds: Kitchen: socket." in text


def test_other_supplies_and_other_households_are_named() -> None:
    b = surveyed()
    supply = Supply(
        id="E1",
        sources=(
            OtherSource(kind="PV", where="roof", isolator="beside the board"), OtherSource(kind="landlord"),
        ),
        sources_asked=True,
    )  # fmt: skip
    home = changed(b.home, {"P2": {"belongs_to": "Flat 2"}}, supply)
    text = read(made(wanted(home))[0].data)
    assert "Solar panels (roof): the main switch does not switch this off. Its own isolator: beside the board." in text
    assert "The landlord’s supply: the main switch does not switch this off." in text
    assert "Belongs to Flat 2: Kitchen: socket. They hang on A4 here" in text


def test_solar_panels_are_never_said_to_stop() -> None:
    """A grid-tied inverter stops, its panels' side stays live (common practice, no source)."""
    home = healthy(next(plan for plan in PLANS if plan.pv))
    facts = facts_of(home)
    way = next(way for way in facts.ways if any(fact.point.kind == "PV inverter" for fact in way.points))
    said = " ".join(stops_words(facts, way))
    assert "working when" not in said
    assert f"With {way.code} off, what belongs to it may stay or become live" in said
    text = read(made(wanted(home))[0].data)
    assert "It does not switch off solar panels." in text
    assert "may stay live: leave it to a competent person" in read(made(wanted(home, large_print=True))[0].data)


def test_who_to_call_and_what_is_not_known_are_printed_and_left_out_with_the_address() -> None:
    b = surveyed()
    limitation = Limitation(id="L1", reason="Loft locked", agreed_by="occupier")
    home = changed(b.home, {"home": {"call": "R. Okonjo, 01234 567890"}}, limitation)
    (made_,) = made(wanted(home))
    text = read(made_.data)
    assert "Call: R. Okonjo, 01234 567890" in text
    assert "Loft locked. Agreed by: occupier." in text
    assert "Nobody asked yet whether there is another supply" in text
    assert not made_.remarks
    (blank,) = made(wanted(b.home))
    assert "Write in who is to be called" in read(blank.data)
    assert blank.remarks


def test_a_way_with_nothing_on_it_may_feed_something_else() -> None:
    b = surveyed()
    b.device("B1", "9", label="Shed")
    text = read(made(wanted(b.home))[0].data)
    assert "Nothing was found on A9 (labelled “Shed”)" in text
    assert "It may feed something that this chart doesn’t show; use the main switch." in text


def test_a_box_with_two_ways_is_named() -> None:
    assert "Hall: one box holds A2 and A3: with one off, the other is still live in it." in read(pdf("older-terrace"))


def test_planned_work_is_left_out_and_said_so() -> None:
    b = surveyed()
    planned = changed(b.home, {"P4": {"phase": "planned"}})
    facts = facts_of(planned)
    assert "P4" not in facts.points
    assert "Work that is only planned" in read(made(wanted(planned))[0].data)
    assert "Work that is only planned" not in read(made(wanted(b.home))[0].data)


# -- every page -------------------------------------------------------------------------------------------------------


def test_one_thing_is_said_as_one_and_several_as_several() -> None:
    facts = facts_of(sample("older-terrace"))
    said = {way.code: plain_words(facts, way) for way in facts.ways}
    assert "Lights (Hall, Understairs, Lounge, Kitchen, Utility)" in said["A3"]
    assert "smoke alarms (Hall, Landing), heat alarm, outdoor light (Yard)" in said["A3"]
    assert said["A4"].endswith("garden store switch, light (Garden store).")


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("name", [*SAMPLES, "90/60", "150/20"])
def test_no_letter_lies_on_another_or_out_of_the_page_and_every_page_has_the_caution(name: str, large: bool) -> None:
    document = pdfium.PdfDocument(pdf(name, "A4", large=large))
    try:
        for number, page in enumerate(document, 1):
            assert not over(page), number
            assert not outside(page, 20.0), number
            # A4 in points (ISO 216).
            assert {round(side) for side in page.get_size()} == {595, 842}
            assert NOT_PROOF in " ".join(page.get_textpage().get_text_range().split())
    finally:
        document.close()


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.name)
def test_homes_of_every_age_are_charted_whole(plan: Plan) -> None:
    home = healthy(plan)
    facts = facts_of(home)
    assert {fact.status for fact in facts.listed} <= {"seen", "said"}
    data = made(wanted(home))[0].data
    text = read(data)
    for way in facts.ways:
        for sentence in stops_words(facts, way):
            assert " ".join(sentence.split()) in text
    document = pdfium.PdfDocument(data)
    try:
        assert not any(over(page) or outside(page, 20.0) for page in document)
    finally:
        document.close()


@pytest.mark.parametrize(
    ("size", "turned", "points"), [("A3", "portrait", (842, 1191)), ("A4", "landscape", (842, 595))]
)
def test_paper_as_asked_for(size: str, turned: str, points: tuple[int, int]) -> None:
    data = made(wanted(sample("older-terrace"), size=size, turned=turned))[0].data
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == points


def test_the_plan_chooses_its_paper() -> None:
    """The terrace's storeys, one over the other, go on one page of A4; a long low house lies on its side."""
    assert pypdf.PdfReader(io.BytesIO(pdf("older-terrace"))).pages[0].mediabox.width < 600
    b = Builder("Long house")
    ground = b.storey()
    for n in range(5):
        b.room(f"Room {n}", ground, (4000 * n, 0, 4000 * n + 4000, 5000))
        b.point("socket", (ground, 4000 * n + 2000, 2500))
    page = pypdf.PdfReader(io.BytesIO(made(wanted(b.home))[0].data)).pages[0]
    assert page.mediabox.width > page.mediabox.height


def test_title_language_bookmarks_tags_and_fonts() -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf("older-terrace")))
    root = reader.root_object
    assert reader.metadata is not None
    assert reader.metadata.title == "Circuit chart: 9 Tanner's Row"
    assert root.get("/Lang") == "en-GB"
    assert held(root, "/MarkInfo").get("/Marked") == True  # noqa: E712  # a value of the PDF's own
    titles = str(reader.outline)
    for heading in ("Circuit chart", "Ground floor", "First floor", "By way", "What stops working", "By room"):
        assert heading in titles
    for page in reader.pages:
        fonts = held(held(page, "/Resources"), "/Font")
        assert fonts
        for name in fonts:
            (inner,) = typing.cast("list[DictionaryObject]", held(fonts, name).get("/DescendantFonts"))
            descriptor = held(typing.cast(DictionaryObject, inner.get_object()), "/FontDescriptor")
            assert {"/FontFile2", "/FontFile3"} & set(descriptor)


def held(of: DictionaryObject, name: str) -> DictionaryObject:
    """What a dictionary of a PDF has under a name."""
    found = of[name].get_object()
    assert isinstance(found, DictionaryObject)
    return found


def test_rows_are_never_split_over_pages() -> None:
    """Sentences of the longest table, each whole on one page."""
    name = "90/60"
    facts = facts_of(home_of(name))
    document = pdfium.PdfDocument(pdf(name, "A4"))
    try:
        pages = [" ".join(page.get_textpage().get_text_range().replace("\u200b", "").split()) for page in document]
    finally:
        document.close()
    assert len(pages) > 2
    for way in facts.ways:
        for sentence in stops_words(facts, way):
            assert any(sentence in page for page in pages), sentence


# -- codes and colours ------------------------------------------------------------------------------------------------


def test_neighbours_on_the_board_differ_without_colour() -> None:
    assert len(set(FRAMES)) == len(FRAMES) > 2
    for n, m in pairwise(range(60)):
        assert FRAMES[n % len(FRAMES)] != FRAMES[m % len(FRAMES)]


def test_printed_in_grey_every_circuit_stands_out_from_paper() -> None:
    """As grey by luminance (Rec. 709, as WCAG has it), 3:1 to white: WCAG 2.2, success criterion 1.4.11."""
    from PIL import ImageColor

    for n in range(60):
        red, green, blue = ImageColor.getrgb(circuit_ink(n)[0])[:3]
        grey = round(0.2126 * red + 0.7152 * green + 0.0722 * blue)
        assert contrast(f"#{grey:02X}{grey:02X}{grey:02X}", "#FFFFFF") >= 2.6, n


@pytest.mark.parametrize("name", [*SAMPLES, "90/60", "150/20"])
@pytest.mark.parametrize("style", [NORMAL, LARGE], ids=["normal", "large"])
def test_boxes_on_the_plan_don_t_meet(name: str, style: Style) -> None:
    """Codes, names and symbols as laid out: none over another, none out of its window, each within its real width."""
    from font_source_sans_pro import font_directory
    from fontTools.ttLib import TTFont

    widths = {}
    for bold, file in ((True, "SourceSansPro-Semibold.ttf"), (False, "SourceSansPro-Regular.ttf")):
        font = TTFont(f"{font_directory}/{file}")
        widths[bold] = (font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm)

    def wide(text: str, size: float, bold: bool) -> float:
        cmap, metrics, em = widths[bold]
        return float(sum(metrics[cmap[ord(letter)]][0] for letter in text) * size / em)

    home = home_of(name).existing()
    facts = chart_facts(home, TRADE, Memo())
    grounds = [g for s in storeys_in_order(home) if (g := ground_of(facts, Memo(), s)) is not None]
    seen = 0
    pages = choose(facts, grounds, "A4", "", style, Ticket(), alone=False)
    for drawn in (each for page in pages.pages for each in page):
        layout, things, size = drawn.layout, drawn.things, drawn.size_px
        boxes = [label.box for label in (*layout.codes, *layout.names)]
        for n, one in enumerate(boxes):
            assert min(one) >= 0
            assert one[2] <= size[0]
            assert one[3] <= size[1]
            for two in boxes[:n]:
                across = min(one[2], two[2]) - max(one[0], two[0])
                assert min(across, min(one[3], two[3]) - max(one[1], two[1])) < 0.01, (name, one, two)
        for n, thing in enumerate(things):
            x, y = layout.at[thing.record]
            for box in boxes:
                near = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
                assert math.dist(near, (x, y)) >= 0.95 * thing.radius, (name, thing, box)
            for other in things[:n]:
                assert math.dist(layout.at[other.record], (x, y)) >= 0.99 * (thing.radius + other.radius)
        for label in layout.codes:
            assert wide(label.lines[0], label.size, True) <= label.box[2] - label.box[0]
        for label in layout.names:
            assert max(wide(line, label.size, False) for line in label.lines) <= label.box[2] - label.box[0]
        seen += len(things)
    assert seen >= sum(fact.is_placed for fact in facts.points.values())


# -- manners ----------------------------------------------------------------------------------------------------------


def test_the_same_home_gives_the_same_bytes_in_another_process_too() -> None:
    home = sample_homes() / "rented-flat"
    code = (
        "import sys,hashlib,datetime\nfrom pathlib import Path\nfrom circuitmap.home.looked import look_at\n"
        "from circuitmap.paper.chart import made\nfrom tests.paper.charted import wanted\n"
        "for large in (False, True):\n"
        "    data = made(wanted(look_at(Path(sys.argv[1])).home, large_print=large))[0].data\n"
        "    print(hashlib.sha256(data).hexdigest())"
    )
    said = [
        subprocess.run(
            [sys.executable, "-c", code, str(home)], capture_output=True, text=True, check=True,
            env={**environment(), "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert said[0] == said[1]
    assert len(set(said[0].split())) == 2


def test_the_command_writes_it_without_the_desk(tmp_path: Path) -> None:
    out = tmp_path / "chart.pdf"
    done, loaded = run_alone("hand-over", str(sample_homes() / "older-terrace"), "chart", "-o", str(out))
    assert done.returncode == 0, done.stderr
    assert not {each for each in loaded if each.partition(".")[0] in {"PySide6", "scipy", "networkx", "pint", "PIL"}}
    assert out.read_bytes().startswith(b"%PDF")


def test_it_tells_how_far_it_is_and_stops_when_told() -> None:
    said: list[str] = []
    made(wanted(block(20, 20), ticket=Ticket(lambda _done, _of, words: said.append(words))))
    assert any(words.startswith("Laying out") for words in said)
    assert said[-1] == "Setting the pages"
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        made(wanted(sample("rented-flat"), ticket=ticket))


def test_a_form_that_it_has_not_is_a_sentence() -> None:
    with pytest.raises(CantMakeError, match="is written as pdf, not as docx"):
        make(paper_named("chart"), wanted(sample("rented-flat"), form="docx"))


# -- in large print ---------------------------------------------------------------------------------------------------


def test_large_print_has_the_card_the_ways_and_letters_of_sixteen_points() -> None:
    """Large print begins at 16 points (guidance of associations of blind people, from memory)."""
    data = pdf("older-terrace", large=True)
    text = read(data)
    first = " ".join(pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    for words in ("Which switch works what", "If something trips", *IF_TRIPS):
        assert words in first, words
    for way in facts_of(sample("older-terrace")).ways:
        assert way.code in first
    assert "Sockets (Hall, Lounge, Utility, Landing, Bedroom 1)." in text
    document = pdfium.PdfDocument(data)
    try:
        page = document[0].get_textpage()
        sizes = [pdfium_c.FPDFText_GetFontSize(page, n) for n in range(page.count_chars())]
    finally:
        document.close()
    assert sum(size >= 15.9 for size in sizes) > 0.85 * len(sizes)


# -- bad input --------------------------------------------------------------------------------------------------------


def test_points_on_one_spot_are_drawn_or_named() -> None:
    b = Builder("Heap")
    ground = b.storey()
    kitchen = b.room("Kitchen", ground, (0, 0, 4000, 3000))
    board = b.board()
    way = b.device(board, "1")
    for _ in range(60):
        point = b.point("socket", (ground, 2000, 1500), kitchen)
        b.home = changed(b.home, {}, Tag(id=f"K{point[1:]}", target=point, device=way, evidence="seen"))
    facts = facts_of(b.home)
    grounds = [g for s in storeys_in_order(b.home) if (g := ground_of(facts, Memo(), s)) is not None]
    pages = choose(facts, grounds, "A4", "", NORMAL, Ticket(), alone=False)
    drawn = [thing.record for page in pages.pages for each in page for thing in each.things]
    left = [record for page in pages.pages for each in page for record in each.left_out]
    assert sorted([*drawn, *left]) == sorted(facts.points)
    assert len(set(drawn)) == len(drawn) > 1
    text = read(made(wanted(b.home))[0].data)
    assert f"Too close together to be drawn here: socket A1? (× {len(left)})." in text


def test_a_point_dragged_ten_kilometres_off_is_on_a_page_of_its_own() -> None:
    b = surveyed()
    b.point("socket", ("G1", 10_000_000, 9_000_000))
    facts = facts_of(b.home)
    grounds = [g for s in storeys_in_order(b.home) if (g := ground_of(facts, Memo(), s)) is not None]
    pages = choose(facts, grounds, "A4", "", NORMAL, Ticket(), alone=False)
    drawn = sorted(thing.record for page in pages.pages for each in page for thing in each.things)
    assert drawn == ["B1", "P1", "P2", "P3", "P4", "P5"]
    assert len(pages.pages) <= 3


@pytest.mark.parametrize("large", [False, True])
def test_a_home_with_nothing_in_it_is_a_document(large: bool) -> None:
    (made_,) = made(wanted(Home.blank(), large_print=large))
    text = read(made_.data)
    assert NOT_PROOF in text
    assert "No board is on record" in text
    assert made_.remarks[0] == "No storey is drawn, so the chart has lists and no plan."


def test_a_survey_without_a_drawing_has_its_lists() -> None:
    b = Builder("List only")
    kitchen = b.room("Kitchen")
    board = b.board()
    way = b.device(board, "1")
    b.device(board, "2")
    point = b.point("socket", room=kitchen)
    visit = b.visit()
    base, one = b.round(visit), b.round(visit, way)
    b.check(base, point, "still on")
    b.check(one, point, "off")
    text = read(made(wanted(b.home))[0].data)
    assert "Kitchen: socket stops working when A1 is off." in text
    assert "1 point is listed by room only and not drawn on a plan." in text


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize(
    "typed",
    ["=HYPERLINK(\"http://example.org\")", "x" * 300, "word " * 60, "#panic() *bold* $x$ <a> \\", "مطبخ", "kitchen 🔌",
     "a\tb\x0bc"],
)  # fmt: skip
def test_what_was_typed_stays_text_and_within_its_place(typed: str, large: bool) -> None:
    b = surveyed()
    name = typed.strip()[:300]
    home = changed(
        b.home, {"M1": {"name": name}, "D2": {"label": name}, "home": {"name": name, "address": name, "call": name},
                 "G1": {"name": name}, "B1": {"name": name}, "P1": {"name": name}},
    )  # fmt: skip
    data = made(wanted(home, large_print=large))[0].data
    text = read(data)
    if typed.isascii() and " " not in typed and typed.isprintable():
        assert typed in text.replace(" ", "")
    for letter in typed:
        if not letter.isascii():
            assert f"[U+{ord(letter):04X}]" in text
    document = pdfium.PdfDocument(data)
    try:
        for page in document:
            assert not over(page)
            assert not outside(page, 15.0)
    finally:
        document.close()
