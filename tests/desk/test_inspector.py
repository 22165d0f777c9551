"""What is selected, changed in place: each fact goes to the record it was typed for, and nothing else is touched."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QLineEdit, QListWidget, QPushButton
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import CountField, TextField
from circuitmap.desk.inspect_places import SupplyPage
from circuitmap.desk.inspect_points import PlatePage, PointPage
from circuitmap.desk.inspect_runs import RunPage, SeveralPage, find_thing
from circuitmap.desk.inspect_ways import DevicePage
from circuitmap.desk.inspector import Inspector
from circuitmap.desk.theme import Look
from circuitmap.errors import HomeError
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Board, Device, End, Load, Plate, Point, Rcd, Room, Run
from circuitmap.words import EVIDENCE
from tests.build import Builder
from tests.desk.driving import settle, show


@pytest.fixture
def inspector(adapter: Adapter, look: Look, qtbot: QtBot) -> Iterator[Inspector]:
    made = Inspector(adapter, look)
    qtbot.addWidget(made)
    made.resize(340, 900)
    show(made)
    yield made
    made.hide()


@pytest.fixture
def refusals(adapter: Adapter) -> list[str]:
    heard: list[str] = []

    def hear(sentence: str, refused: bool) -> None:
        if refused:
            heard.append(sentence)

    adapter.said.connect(hear)
    return heard


def way(adapter: Adapter, number: str) -> str:
    return next(d.id for d in adapter.home.sorted(Device) if d.way == number)


def point(adapter: Adapter, record_id: str) -> Point:
    return adapter.home.take(Point, record_id)


def run(adapter: Adapter, record_id: str) -> Run:
    return adapter.home.take(Run, record_id)


def page_of_point(inspector: Inspector, adapter: Adapter, record_id: str) -> PointPage:
    adapter.select(record_id)
    settle()
    page = inspector.page
    assert isinstance(page, PointPage)
    return page


def page_of_run(inspector: Inspector, adapter: Adapter, record_id: str) -> RunPage:
    adapter.select(record_id)
    settle()
    page = inspector.page
    assert isinstance(page, RunPage)
    return page


def page_of_device(inspector: Inspector, adapter: Adapter, record_id: str) -> DevicePage:
    adapter.select(record_id)
    settle()
    page = inspector.page
    assert isinstance(page, DevicePage)
    return page


def type_in(field: QLineEdit, text: str, key: Qt.Key = Qt.Key.Key_Return) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, key)
    QApplication.processEvents()


def choose(field: QComboBox, words: str) -> None:
    """Choose with keys as a person does: walk the list until the words stand there, then Enter."""
    walk_to(field, words)
    QTest.keyClick(field, Qt.Key.Key_Return)
    QApplication.processEvents()


def walk_to(field: QComboBox, words: str) -> None:
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Home)
    for _ in range(field.count()):
        if field.currentText().startswith(words):
            return
        QTest.keyClick(field, Qt.Key.Key_Down)
    raise AssertionError(f"{words} is not offered")


def tick(box: QListWidget, words: str) -> None:
    row = next(n for n in range(box.count()) if words in box.item(n).text())
    box.setFocus()
    box.setCurrentRow(row)
    QTest.keyClick(box, Qt.Key.Key_Space)
    QApplication.processEvents()


def ticked(box: QListWidget) -> list[str]:
    items = [box.item(n) for n in range(box.count())]
    return [item.text() for item in items if item.checkState() == Qt.CheckState.Checked]


# -- which page ---------------------------------------------------------------------------------------------------


def test_each_kind_of_thing_has_its_page(inspector: Inspector, adapter: Adapter) -> None:
    room, board = next(iter(adapter.home.table(Room))), next(iter(adapter.home.table(Board)))
    names = []
    for chosen in (("P1",), (way(adapter, "1"),), ("R1",), (room,), (board,), ("P1", "P2"), ("home",), ()):
        adapter.select(*chosen)
        names.append(type(inspector.page).__name__)
    assert names == [
        "PointPage", "DevicePage", "RunPage", "RoomPage", "BoardPage", "SeveralPage", "SupplyPage", "SupplyPage",
    ]  # fmt: skip


def test_only_the_page_of_what_is_selected_is_on_show(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    assert page.isVisible()
    adapter.select("R1")
    assert not page.isVisible()


# -- a fact goes to the record it was typed for ---------------------------------------------------------------------


def test_what_was_typed_of_one_point_never_lands_on_another(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    page.name.setFocus()
    QTest.keyClicks(page.name, "Fridge")
    adapter.select("P2")  # as a click on a finding does, while the field keeps the focus
    QTest.keyClick(page.name, Qt.Key.Key_Return)
    assert (point(adapter, "P1").name, point(adapter, "P2").name) == ("Fridge", "")
    assert page.name.text() == ""


def test_what_was_typed_is_saved_when_something_of_another_kind_is_selected(
    inspector: Inspector, adapter: Adapter
) -> None:
    page = page_of_point(inspector, adapter, "P1")
    page.where.setFocus()
    QTest.keyClicks(page.where, "behind the door")
    adapter.select("R1")
    assert point(adapter, "P1").where == "behind the door"
    assert run(adapter, "R1").method == ""


def test_what_was_typed_in_one_home_stays_out_of_the_next(inspector: Inspector, adapter: Adapter, small: Home) -> None:
    page = page_of_point(inspector, adapter, "P1")
    page.name.setFocus()
    QTest.keyClicks(page.name, "Fridge")
    first = adapter.document
    saved: list[str] = []
    first.listen(lambda change, _revision: saved.append(change.title))
    adapter.switch(Document.memory(small))
    assert len(saved) == 1
    assert all(p.name == "" for p in adapter.home.sorted(Point))


def test_typing_about_something_that_is_removed_is_let_go_quietly(
    inspector: Inspector, adapter: Adapter, refusals: list[str]
) -> None:
    page = page_of_point(inspector, adapter, "P1")
    page.name.setFocus()
    QTest.keyClicks(page.name, "Fridge")
    adapter.do(lambda home: verbs.remove(home, "P1"))
    settle()
    adapter.select("P2")
    assert refusals == []
    assert point(adapter, "P2").name == ""


def test_a_change_by_others_shows_in_the_field(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    adapter.do(verbs.edit(adapter.home, "P1", name="Fridge"))
    assert page.name.text() == "Fridge"
    adapter.undo()
    assert page.name.text() == ""


def test_a_choice_is_saved_where_the_keys_end_and_nothing_on_the_way(inspector: Inspector, adapter: Adapter) -> None:
    titles: list[str] = []
    adapter.document.listen(lambda change, _revision: titles.append(change.title))
    page = page_of_run(inspector, adapter, "R1")
    walk_to(page.evidence, "tested")
    assert titles == []
    QTest.keyClick(page.evidence, Qt.Key.Key_Escape)
    assert page.evidence.currentText() == "seen"
    walk_to(page.evidence, "tested")
    page.length.setFocus()
    assert run(adapter, "R1").evidence == "tested"
    walk_to(page.evidence, "assumed")
    adapter.select("R2")
    assert (run(adapter, "R1").evidence, run(adapter, "R2").evidence) == ("assumed", "seen")
    assert len(titles) == 2


def test_a_choice_in_the_opened_list_is_saved_at_once(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_run(inspector, adapter, "R1")
    page.evidence.setFocus()
    page.evidence.showPopup()
    settle()
    rows = page.evidence.view()
    spot = rows.visualRect(page.evidence.model().index(page.evidence.findData("tested"), 0)).center()
    QTest.mouseMove(rows.viewport(), spot)
    QTest.qWait(QApplication.doubleClickInterval() + 50)  # the list lets a click pass that may belong to its opening
    QTest.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert run(adapter, "R1").evidence == "tested"


# -- a point ------------------------------------------------------------------------------------------------------


def test_every_field_of_a_point_is_saved_at_once_and_undone_in_one_step(inspector: Inspector, adapter: Adapter) -> None:
    before = point(adapter, "P1")
    page = page_of_point(inspector, adapter, "P1")
    for field, typed, name, value in (
        (page.name, "Fridge", "name", "Fridge"),
        (page.where, "left of the sink", "where", "left of the sink"),
        (page.box_depth, "35", "box_depth_mm", 35),
    ):
        type_in(field, typed)
        assert getattr(point(adapter, "P1"), name) == value
        adapter.undo()
        assert point(adapter, "P1") == before
    QTest.mouseClick(page.outdoor, Qt.MouseButton.LeftButton, pos=QPoint(8, page.outdoor.height() // 2))
    assert point(adapter, "P1").outdoor is True
    choose(page.kind, "fused connection unit")
    assert point(adapter, "P1").kind == "fused unit"
    type_in(page.fuse, "13 A")
    assert point(adapter, "P1").fuse_a == 13.0


@pytest.mark.parametrize(("typed", "said"), [("3 bananas", "bananas"), ("-5 mm", ""), ("9**9**9", "")])
def test_a_depth_that_is_none_is_refused_in_words_and_springs_back(
    inspector: Inspector, adapter: Adapter, refusals: list[str], typed: str, said: str
) -> None:
    page = page_of_point(inspector, adapter, "P1")
    type_in(page.box_depth, "35 mm")
    before = adapter.home
    type_in(page.box_depth, typed)
    assert adapter.home == before
    assert page.box_depth.text() == "35 mm"
    assert len(refusals) == 1
    assert said in refusals[0]


def test_cables_go_from_counted_to_not_counted_and_back(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    page.cables.setFocus()
    for _ in range(3):
        QTest.keyClick(page.cables, Qt.Key.Key_Down)
    assert point(adapter, "P1").cables_seen is None
    assert page.cables.text() == "not counted"
    QTest.keyClick(page.cables, Qt.Key.Key_Up)
    assert point(adapter, "P1").cables_seen == 0


def test_a_point_that_is_only_listed_says_its_room_and_a_placed_one_has_it_from_the_plan(
    inspector: Inspector, adapter: Adapter
) -> None:
    rooms = adapter.home.sorted(Room)
    added = adapter.do(lambda home: verbs.add_point(home, "socket", room=rooms[0].id))
    assert added is not None
    page = page_of_point(inspector, adapter, added[0])
    assert page.room.isVisible()
    choose(page.room, rooms[1].name)
    assert point(adapter, added[0]).room == rooms[1].id
    assert not page_of_point(inspector, adapter, "P1").room.isVisible()


def test_a_switch_works_several_lights_and_a_tick_takes_none_of_the_others_away(look: Look, qtbot: QtBot) -> None:
    b = Builder()
    ground = b.storey()
    lights = [b.point("light", (ground, 100 * n, 0)) for n in range(3)]
    switch = b.point("switch", (ground, 900, 0))
    b.do(verbs.edit(b.home, switch, controls=(lights[0], lights[2])))
    adapter = Adapter(Document.memory(b.home), trade.load())
    made = Inspector(adapter, look)
    qtbot.addWidget(made)
    show(made)
    page = page_of_point(made, adapter, switch)
    assert [words.split()[0] for words in ticked(page.controls)] == [lights[0], lights[2]]
    tick(page.controls, lights[1])
    assert set(point(adapter, switch).controls) == set(lights)
    tick(page.controls, lights[0])
    assert set(point(adapter, switch).controls) == {lights[1], lights[2]}


def test_a_way_said_to_feed_a_point_goes_beside_those_said_before(inspector: Inspector, adapter: Adapter) -> None:
    first, second = way(adapter, "1"), way(adapter, "2")
    adapter.do(verbs.tag(adapter.home, "P1", first, "tested"))
    page = page_of_point(inspector, adapter, "P1")
    assert not page.tags._several.isVisible()
    page.tags.way.setCurrentIndex(page.tags.way.findData(second))
    page.tags.way.activated.emit(page.tags.way.currentIndex())
    tags = {tag.device: tag.evidence for tag in verbs.tags_of(adapter.home, "P1")}
    assert tags[first] == "tested"
    assert set(tags) == {first, second}
    settle()
    assert page.tags._several.isVisible()
    back = next(b for b in page.tags.findChildren(QPushButton) if b.accessibleName().startswith("Take back: A2"))
    QTest.mouseClick(back, Qt.MouseButton.LeftButton)
    assert [tag.device for tag in verbs.tags_of(adapter.home, "P1")] == [first]


@pytest.mark.parametrize("evidence", EVIDENCE)
def test_how_it_is_known_what_feeds_a_point_can_be_said(inspector: Inspector, adapter: Adapter, evidence: str) -> None:
    page = page_of_point(inspector, adapter, "P1")
    choose(page.tags.evidence, f"known by: {evidence}")
    assert verbs.tags_of(adapter.home, "P1") == ()  # nothing is said of any way yet
    choose(page.tags.way, "A1")
    assert [tag.evidence for tag in verbs.tags_of(adapter.home, "P1")] == [evidence]


def test_walking_the_list_of_ways_with_keys_doesnt_say_that_each_of_them_feeds_the_point(
    inspector: Inspector, adapter: Adapter
) -> None:
    page = page_of_point(inspector, adapter, "P1")
    choose(page.tags.way, "A3")
    assert [adapter.home.code(tag.device) for tag in verbs.tags_of(adapter.home, "P1")] == ["A3"]


def test_what_was_seen_is_noted_by_a_tick_and_taken_out_by_another(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    tick(page.seen, "loose accessory")
    assert [note.seen for note in verbs.notes_of(adapter.home, "P1")] == [("loose accessory",)]
    tick(page.seen, "loose accessory")
    assert verbs.notes_of(adapter.home, "P1") == ()


def test_danger_seen_says_at_once_to_make_safe(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    assert not page.urgent.isVisible()
    tick(page.seen, "live part touchable")
    assert page.urgent.isVisible()
    assert page.urgent_words.text().startswith("Make safe and tell the person responsible now")
    assert not page_of_point(inspector, adapter, "P2").urgent.isVisible()


def test_what_hangs_on_a_point_is_added_with_its_watts_and_removed(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P2")
    type_in(page.loads._what, "oven 2.9 kW")
    assert point(adapter, "P2").loads == (Load(what="oven", power_w=2900),)
    settle()
    row = next(b for b in page.loads.findChildren(QPushButton))
    QTest.mouseClick(row, Qt.MouseButton.LeftButton)
    assert point(adapter, "P2").loads == ()


def test_a_page_says_that_it_is_no_proof(inspector: Inspector, adapter: Adapter) -> None:
    words = page_of_point(inspector, adapter, "P1").fed.text()
    assert words.startswith("Fed by A1, by its cable (seen).")
    assert "not proof" in words


def test_the_remove_button_removes_and_undo_brings_back(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_point(inspector, adapter, "P1")
    QTest.mouseClick(page.gone, Qt.MouseButton.LeftButton)
    assert adapter.home.find(Point, "P1") is None
    adapter.undo()
    assert adapter.home.find(Point, "P1") is not None


# -- a plate ------------------------------------------------------------------------------------------------------


def test_a_plate_names_what_is_in_its_box_and_every_way_to_isolate(inspector: Inspector, adapter: Adapter) -> None:
    added = adapter.do(lambda home: verbs.share_plate(home, ["P1", "P5"]))
    assert added is not None
    page = page_of_point(inspector, adapter, "P1")
    QTest.mouseClick(page.plate, Qt.MouseButton.LeftButton)
    plate = inspector.page
    assert isinstance(plate, PlatePage)
    assert plate.title.text() == f"Plate {added[0]}"
    assert "A1 and A3" in plate.ways.text()
    type_in(plate.box_depth, "47 mm")
    assert adapter.home.take(Plate, added[0]).depth_mm == 47
    QTest.mouseClick(plate.gone, Qt.MouseButton.LeftButton)
    assert adapter.home.find(Plate, added[0]) is None
    assert point(adapter, "P1").place is not None
    assert point(adapter, "P5").place is not None


# -- a way --------------------------------------------------------------------------------------------------------


def test_an_rcd_keeps_its_type_and_delay_when_another_trip_is_chosen(inspector: Inspector, adapter: Adapter) -> None:
    rcd = next(d.id for d in adapter.home.sorted(Device) if d.kind == "RCD")
    adapter.do(verbs.edit(adapter.home, rcd, rcd=Rcd(trips_ma=100.0, type="AC", delayed=True)))
    page = page_of_device(inspector, adapter, rcd)
    assert page.delayed.isChecked()
    choose(page.trips, "300 mA")
    assert adapter.home.take(Device, rcd).rcd == Rcd(trips_ma=300.0, type="AC", delayed=True)
    choose(page.rcd_type, "A")
    assert adapter.home.take(Device, rcd).rcd is not None
    assert adapter.home.take(Device, rcd).rcd.delayed  # type: ignore[union-attr]  # said in the line above


def test_a_way_warns_before_its_cables_are_counted(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_device(inspector, adapter, way(adapter, "1"))
    words = " ".join(label.text() for label in page.findChildren(QLabel) if label.isVisible())
    assert "skilled persons only" in words
    assert "stay live" in words


def test_a_device_can_be_put_under_an_rcd_and_out_again(inspector: Inspector, adapter: Adapter) -> None:
    lights = way(adapter, "3")
    page = page_of_device(inspector, adapter, lights)
    choose(page.upstream, "RCD")
    over = adapter.home.take(Device, lights).upstream
    assert over is not None
    assert adapter.home.take(Device, over).kind == "RCD"
    choose(page.upstream, "nothing recorded")
    assert adapter.home.take(Device, lights).upstream is None


# -- a run --------------------------------------------------------------------------------------------------------


def test_a_length_is_typed_in_any_unit(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_run(inspector, adapter, "R1")
    for typed, length_mm in (("4.5", 4500), ("12 ft 6 in", 3810), ("320 cm", 3200)):
        type_in(page.length, typed)
        assert run(adapter, "R1").length_mm == length_mm


def test_an_end_is_followed_seen_loose_or_not_followed(
    inspector: Inspector, adapter: Adapter, refusals: list[str]
) -> None:
    page = page_of_run(inspector, adapter, "R1")
    for button, state in ((page.loose_b, "loose"), (page.unknown_b, "unknown")):
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        assert (run(adapter, "R1").b.at, run(adapter, "R1").b.state) == (None, state)
    for button, state in ((page.loose_a, "loose"), (page.unknown_a, "unknown")):
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        assert (run(adapter, "R1").a.at, run(adapter, "R1").a.state) == (None, state)
    assert page.end_b.text() == "not followed"
    type_in(page.end_b, "p3")
    assert run(adapter, "R1").b == End(at="P3")
    type_in(page.end_a, "a1")
    assert run(adapter, "R1").a.at == way(adapter, "1")
    assert refusals == []


@pytest.mark.parametrize("typed", ["P99", "nowhere at all", "<b>x</b>", "x" * 3000])
def test_an_end_at_nothing_is_refused_in_words_and_springs_back(
    inspector: Inspector, adapter: Adapter, refusals: list[str], typed: str
) -> None:
    page = page_of_run(inspector, adapter, "R2")
    before, shown = adapter.home, page.end_b.text()
    type_in(page.end_b, typed[:60])
    assert adapter.home == before
    assert page.end_b.text() == shown
    assert len(refusals) == 1
    assert "no point, way or board" in refusals[0]
    assert len(refusals[0]) < 200


def test_a_way_s_code_is_never_taken_for_a_board_s_number() -> None:
    b = Builder()
    first = b.board("A")
    second = b.board("B")
    ways = {letter: b.device(board, "1") for letter, board in (("A", first), ("B", second))}
    assert find_thing(b.home, "B1") == ways["B"]  # and not the board whose record is B1
    assert find_thing(b.home, " board  b ") == second
    assert find_thing(b.home, "A") == first
    with pytest.raises(HomeError):
        find_thing(b.home, "B2")


def test_an_open_conductor_opens_the_ring_in_that_conductor_only(inspector: Inspector, adapter: Adapter) -> None:
    page = page_of_run(inspector, adapter, "R2")
    view = adapter.view_of(way(adapter, "1"))
    assert view is not None
    assert view.shape is not None
    assert set(view.shape.closed) == {"L", "N", "E"}
    page.open["E"].setFocus()
    QTest.keyClick(page.open["E"], Qt.Key.Key_Space)
    assert [(f.kind, f.cores, f.evidence) for f in run(adapter, "R2").faults] == [("open", ("E",), "inferred")]
    choose(page.open_evidence, "tested")
    assert [(f.cores, f.evidence) for f in run(adapter, "R2").faults] == [(("E",), "tested")]
    view = adapter.view_of(way(adapter, "1"))
    assert view is not None
    assert view.shape is not None
    assert set(view.shape.closed) == {"L", "N"}
    QTest.keyClick(page.open["E"], Qt.Key.Key_Space)
    assert run(adapter, "R2").faults == ()


# -- several ------------------------------------------------------------------------------------------------------


def test_cables_of_several_points_are_only_set_to_what_was_chosen(inspector: Inspector, adapter: Adapter) -> None:
    adapter.select("P1", "P5")
    settle()
    page = inspector.page
    assert isinstance(page, SeveralPage)
    before = adapter.home
    choose(page.count, "leave as it is")
    assert adapter.home == before
    page.count.setCurrentIndex(page.count.findData(3))
    page.count.activated.emit(page.count.currentIndex())
    assert [point(adapter, i).cables_seen for i in ("P1", "P5")] == [3, 3]
    adapter.undo()
    assert adapter.home == before


def test_runs_chosen_together_get_one_cable_in_one_change(inspector: Inspector, adapter: Adapter) -> None:
    adapter.select("R1", "R2", "R3")
    page = inspector.page
    assert isinstance(page, SeveralPage)
    title = adapter.document.undo_title
    page.evidence.setCurrentIndex(page.evidence.findData("tested"))
    page.evidence.activated.emit(page.evidence.currentIndex())
    assert {run(adapter, i).evidence for i in ("R1", "R2", "R3")} == {"tested"}
    adapter.undo()
    assert {run(adapter, i).evidence for i in ("R1", "R2", "R3")} == {"seen"}
    assert adapter.document.undo_title == title


def test_points_chosen_together_go_on_one_plate(inspector: Inspector, adapter: Adapter) -> None:
    adapter.select("P1", "P2")
    page = inspector.page
    assert isinstance(page, SeveralPage)
    settle()
    QTest.mouseClick(page.plate, Qt.MouseButton.LeftButton)
    assert point(adapter, "P1").plate == point(adapter, "P2").plate is not None


# -- manners ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("label", ["<b>fett</b> <img src=x>", "x" * 10_000, "מטבח 3", "🔌 café", "a\nb & c"])
def test_labels_stay_plain_text_and_the_panel_keeps_its_width(
    inspector: Inspector, adapter: Adapter, label: str
) -> None:
    room = next(iter(adapter.home.table(Room)))
    for record, field in (("P1", "name"), ("P1", "where"), (room, "name"), (way(adapter, "1"), "label")):
        assert adapter.do(verbs.edit(adapter.home, record, **{field: label})) is not None
    for chosen in ("P1", "P6", way(adapter, "1"), room):
        adapter.select(chosen)
        settle()
        for text in inspector.findChildren(QLabel):
            if text.isVisible():
                assert text.textFormat() == Qt.TextFormat.PlainText
        assert inspector.minimumSizeHint().width() <= 340


def test_every_field_has_a_name_for_a_screen_reader(inspector: Inspector, adapter: Adapter) -> None:
    for chosen in (("P1",), ("P6",), (way(adapter, "1"),), ("R1",), ("P1", "P2"), ("R1", "R2"), ("home",)):
        adapter.select(*chosen)
        settle()
        for kind in (TextField, CountField, QComboBox, QListWidget):
            for field in inspector.findChildren(kind):
                assert field.accessibleName(), (chosen, field)


def test_a_home_open_to_read_only_shows_everything_and_changes_nothing(
    look: Look, qtbot: QtBot, small: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = Document.memory(small)
    monkeypatch.setattr(type(document), "read_only", property(lambda _self: True))
    adapter = Adapter(document, trade.load())
    made = Inspector(adapter, look)
    qtbot.addWidget(made)
    show(made)
    page = page_of_point(made, adapter, "P1")
    for widget in (page.name, page.cables, page.seen, page.loads, page.tags, page.gone, page.outdoor):
        assert not widget.isEnabled()
    assert page.title.isEnabled()
    adapter.select()
    supply = made.page
    assert isinstance(supply, SupplyPage)
    assert not supply.name.isEnabled()
