"""The sample homes are what their makers write, and the map finds in them what their READMEs say, no more."""

import re
from functools import cache

import pytest

from circuitmap import trade
from circuitmap.circuits import views
from circuitmap.findings import Finding, is_at_least, run
from circuitmap.findings.compared import compare
from circuitmap.home.assets import hash_of
from circuitmap.home.exchange import TextForm, read_folder, to_text
from circuitmap.home.records import Board, Check, Device, Isolation, Note, Point, Round, Run, Sheet, Tag
from circuitmap.memo import Memo
from circuitmap.pictures.open import look
from circuitmap.places import sample_homes
from circuitmap.plan import place_of, rooms_of_points, to_plan, to_px
from circuitmap.readings.book import readings_of
from circuitmap.readings.causes import Cause
from circuitmap.readings.diagnose import diagnose
from circuitmap.readings.entries import Side
from circuitmap.survey.deduce import deduce
from circuitmap.survey.impact import blocks
from circuitmap.survey.isolate import missing_steps
from tests.samples.make import MAKERS
from tests.samples.picture import lay_out
from tests.samples.visit import fed_by, is_checkable

NAMES = tuple(MAKERS)
_ROW = re.compile(r"^\| `(?P<rule>[a-z0-9-]+)` \| (?P<code>C1|C2|FI|C3) \|", re.MULTILINE)

each_home = pytest.mark.parametrize("name", NAMES)


@cache
def stored(name: str) -> TextForm:
    return read_folder(sample_homes() / name)


@cache
def found(name: str) -> tuple[Finding, ...]:
    return run(stored(name).home, trade.load(), Memo())


def test_every_stored_home_has_a_maker() -> None:
    assert sorted(path.name for path in sample_homes().iterdir() if path.is_dir()) == sorted(NAMES)


@each_home
def test_the_stored_home_is_what_its_maker_writes(name: str) -> None:
    hashes = {sheet.storey: sheet.asset for sheet in stored(name).home.sorted(Sheet)}
    made = MAKERS[name](hashes)
    assert to_text(made.home) == (sample_homes() / name / "home.json").read_bytes()
    assert [(mark.name, mark.at) for mark in made.marks] == [(mark.name, mark.at) for mark in stored(name).marks]
    assert all(mark.home == kept.home for mark, kept in zip(made.marks, stored(name).marks, strict=True))


@each_home
def test_a_picture_goes_by_its_bytes_and_lies_to_scale(name: str) -> None:
    home = stored(name).home
    for sheet in home.sorted(Sheet):
        _, data = stored(name).assets[sheet.asset]
        assert hash_of(data) == sheet.asset
        size = look(data)
        assert (size.width_px, size.height_px) == (sheet.width_px, sheet.height_px)
        assert sheet.px_to_plan_mm is not None
        layout = lay_out(home, sheet.storey)
        for x_mm, y_mm in ((layout.left_mm, layout.top_mm), (layout.right_mm, layout.bottom_mm)):
            assert to_px(sheet.px_to_plan_mm, x_mm, y_mm) == pytest.approx(layout.px(x_mm, y_mm), abs=0.01)
        # The two ends of the painted dimension line are as far apart as the words between them say.
        (a, b), y = (layout.px(x, layout.bottom_mm)[0] for x in (layout.left_mm, layout.right_mm)), 0.0
        across = to_plan(sheet.px_to_plan_mm, b, y)[0] - to_plan(sheet.px_to_plan_mm, a, y)[0]
        assert f"{across / 1000:.2f} m" in sheet.scale_note


@each_home
def test_painting_gives_the_same_picture_twice(name: str) -> None:
    once, twice = MAKERS[name](), MAKERS[name]()
    assert once.assets == twice.assets
    photos = {photo for note in once.home.sorted(Note) for photo in note.photos}
    assert len(once.assets) == len(once.home.sorted(Sheet)) + len(photos)


@each_home
def test_nothing_is_wrong_with_a_home(name: str) -> None:
    assert stored(name).home.problems() == []


@each_home
def test_findings_are_exactly_those_planted(name: str) -> None:
    readme = (sample_homes() / name / "README.md").read_text(encoding="utf-8")
    planted = sorted((row["code"], row["rule"]) for row in _ROW.finditer(readme))
    grave = sorted((f.code, f.rule) for f in found(name) if not f.aside and is_at_least(f.code, "C3"))
    assert grave == planted
    assert bool(planted) == (name != "rented-flat")


@each_home
def test_notes_are_few(name: str) -> None:
    notes = [f for f in found(name) if f.code == "note" and not f.aside]
    assert len(notes) <= 2, [f.says for f in notes]
    assert not any(f.rule in ("not-checked", "not-traced", "supply-page") for f in notes)


@each_home
def test_every_point_stands_in_a_room(name: str) -> None:
    home = stored(name).home
    rooms = rooms_of_points(home, Memo())
    assert [p.id for p in home.sorted(Point) if rooms[p.id] is None] == []
    assert [p.id for p in home.sorted(Point) if place_of(home, p) is None] == []


@each_home
def test_accessories_stand_on_the_walls_of_their_rooms(name: str) -> None:
    import shapely

    home = stored(name).home
    rooms = rooms_of_points(home, Memo())
    for point in home.sorted(Point):
        place, room = place_of(home, point), rooms[point.id]
        assert place is not None
        assert room is not None
        if place.faces_deg is None or not room.outline_mm:
            continue
        assert shapely.Polygon(room.outline_mm).boundary.distance(shapely.Point(place.x_mm, place.y_mm)) <= 1, point.id
    sockets = [p for p in home.sorted(Point) if trade.load().point(p.kind).is_socket_outlet]
    places = [place_of(home, point) for point in sockets]
    assert all(place is not None and place.faces_deg is not None for place in places)


@each_home
def test_the_deduction_settles_every_point_that_can_be_checked_on_the_way_that_feeds_it(name: str) -> None:
    home = stored(name).home
    truth, known = fed_by(home), deduce(home, Memo())
    for point in home.sorted(Point):
        assert point.id in truth, point.id
        if is_checkable(point):
            assert (known[point.id].verdict, known[point.id].candidates) == ("settled", (truth[point.id],)), point.id
    assert not home.table(Tag), "everything was found by switching off"


@each_home
def test_every_cable_is_counted_and_drawn(name: str) -> None:
    home = stored(name).home
    for view in views(home, trade.load(), Memo()):
        assert view.shape is not None, view.code
        assert view.missing == (), view.code
        assert view.device.cables_seen is not None, view.code
    assert all(run.length_mm and run.cable and run.colours for run in home.sorted(Run))
    assert all(p.cables_seen is not None or p.cables_seen_load is not None for p in home.sorted(Point))


@each_home
def test_every_switch_off_was_agreed_and_every_one_ended(name: str) -> None:
    home, memo, book = stored(name).home, Memo(), trade.load()
    rounds = home.sorted(Round)
    assert rounds[0].off == ()
    assert any(device.kind == "main switch" for device in (home.take(Device, i) for i in rounds[1].off))
    for each in rounds[1:]:
        assert each.consent is not None
        assert blocks(home, each.off, each.consent, memo, book) == ()
        assert each.events[-1].what == "power back"
        times = [event.at for event in each.events]
        checks = sorted(check.at for check in home.sorted(Check) if check.round == each.id)
        assert times == sorted(times)
        assert each.consent.at < times[0] < checks[0] <= checks[-1] < times[-1]


@each_home
def test_boxes_were_opened_after_proving_dead_only(name: str) -> None:
    home = stored(name).home
    proved = {i for isolation in home.sorted(Isolation) for i in isolation.box if isolation.is_proved}
    assert all(missing_steps(isolation, home) == () for isolation in home.sorted(Isolation))
    opened = {p.id for p in home.sorted(Point) if p.cables_seen is not None or p.cables_seen_load is not None}
    boards = {device.board for device in home.sorted(Device) if device.cables_seen is not None}
    assert opened | boards <= proved
    assert boards == {board.id for board in home.sorted(Board)}


def likeliest(name: str, code: str, side: Side | None = None) -> Cause:
    home, memo = stored(name).home, Memo()
    view = next(view for view in views(home, trade.load(), memo) if view.code == code)
    return diagnose(home, view, trade.load(), memo, side=side).causes[0]


@pytest.mark.parametrize(
    ("name", "code", "side", "says"),
    [
        ("older-terrace", "A4", None, r"^High-resistance joint of about 0\.4\d Ω .* in the line between P58 and P59"),
        ("older-terrace", "A5", None, "^As drawn"),
        ("bungalow-tt", "B1", None, "^Line and neutral swapped at P52"),
        ("bungalow-tt", "A2", None, "^As drawn"),
        ("rented-flat", "A3", None, "^As drawn"),
        ("rented-flat", "A4", "before", r"^High-resistance joint of about 0\.3\d Ω .* in the line between P17 and P18"),
        ("rented-flat", "A4", None, "^As drawn"),
    ],
)
def test_what_is_planted_in_the_wiring_comes_first_among_the_causes(
    name: str, code: str, side: Side | None, says: str
) -> None:
    cause = likeliest(name, code, side)
    assert re.search(says, cause.says)
    assert cause.probability > 0.5


@each_home
def test_nothing_is_odd_about_the_readings_as_records(name: str) -> None:
    home, memo = stored(name).home, Memo()
    books = [readings_of(home, view, memo) for view in views(home, trade.load(), memo)]
    assert [problem.words for book in books for problem in book.problems] == []
    assert any(book.entries for book in books)


def test_the_flat_reads_better_after_the_work_than_before() -> None:
    home, memo = stored("rented-flat").home, Memo()
    view = next(view for view in views(home, trade.load(), memo) if view.code == "A4")
    pairs = readings_of(home, view, memo).pairs
    changed = {(pair.after.test, pair.after.at, pair.paired_as) for pair in pairs if pair.after}
    behind = ("P18", "P19", "P20")
    assert {("linked", point, "lower") for point in behind} | {("linked", "P17", "same")} <= changed
    assert ("insulation", view.device.id, "higher") in changed


def test_the_terrace_is_cut_up_the_way_its_story_says() -> None:
    home = stored("older-terrace").home
    by_code = {view.code: view for view in views(home, trade.load(), Memo())}
    assert [code for code, view in by_code.items() if view.device.label == "Sockets"] == ["A4", "A5"]
    rear, front = by_code["A4"], by_code["A5"]
    assert rear.shape is not None
    assert rear.shape.kind == "ring with spurs"
    assert {room.name for room in rear.rooms} == {"Kitchen", "Bedroom 2", "Bedroom 3", "Garden store"}
    assert front.shape is not None
    assert front.shape.kind == "open ring"
    assert "Utility" in {room.name for room in front.rooms}
    assert 45 <= len(home.table(Point)) <= 75
    better = next(f for f in found("older-terrace") if f.rule == "same-label")
    assert "A4 “Sockets — rear, both floors”" in better.says


def test_what_changed_in_the_terrace_between_its_marks_is_what_its_story_says() -> None:
    found_first, left = stored("older-terrace").marks
    assert (found_first.name, left.name) == ("as found", "as left")
    assert found_first.home.problems() == []
    compared = compare(found_first.home, left.home, trade.load())
    told = {(d.kind, d.how, d.title.split(",")[0]) for d in compared.differences if d.kind in ("point", "way")}
    assert told == {
        ("point", "new", "Heating control P28 “Heating programmer”"),
        ("point", "gone", "Junction box P70"),
        ("way", "changed", "A7 “Immersion”"),
    }
    gone = [d.title for d in compared.of("finding", "gone")]
    assert any("loose" in title for title in gone)
    assert "C2: Dryer socket in Utility (P36) is scorched." in [d.title for d in compared.of("finding", "new")]
    assert len(compared.of("reading", "new")) > 50
    assert not compared.of("reading", "gone")


def test_what_changed_in_the_flat_is_what_was_read_again_after_the_work() -> None:
    before, after = stored("rented-flat").marks
    compared = compare(before.home, after.home, trade.load())
    assert {d.kind for d in compared.differences} == {"reading", "note", "finding"}
    assert any("put right" in d.says for d in compared.of("note"))
    lower = [d for d in compared.of("reading", "changed") if d.says.startswith("lower")]
    assert {point for d in lower for point in ("P18", "P19", "P20") if point in d.title} == {"P18", "P19", "P20"}
    assert compared.read_again > 0
    assert not compared.of("finding", "new")
    assert compared.of("finding", "gone")
