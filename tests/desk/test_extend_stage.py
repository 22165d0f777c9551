"""The Extend stage by mouse and keys: wishes on the terrace, its options, one planned, undone, done, taken back."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap.desk.stages.extend import OPTIONS, PLANNED
from circuitmap.desk.window import Window
from circuitmap.drawing.marks import Glyph
from circuitmap.home import Home, verbs
from circuitmap.home.records import Device, Extension, Point, Run
from circuitmap.home.verbs_extend import is_planned
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, drag_plan, press, px, type_into
from tests.desk.extend_home import (
    FIRST,
    SECOND,
    along,
    cards,
    extend,
    key,
    laid_out,
    over_plan,
    plant_two,
    rest,
    terrace,
)


def same_facts(one: Home, other: Home) -> bool:
    """Whether two homes hold the same facts: all that is there, without what is planned."""
    kinds = (Point, Run, Device)
    return all(one.existing().table(kind) == other.existing().table(kind) for kind in kinds)


def test_two_wishes_are_planted_and_a_way_planned_undone_redone_and_done(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    before = window.adapter.home
    plant_two(window, qtbot)
    extension = stage.state.extension
    assert extension is not None
    places = [wish.place for wish in extension.wishes if wish.place is not None]
    # The wall's face is x = 5000 in the terrace's own list of rooms; a socket sits at 450 mm (common practice).
    assert [(p.x_mm, p.height_mm, p.faces_deg) for p in places] == [(5000, 450, 180.0)] * 2
    # A pixel is some 15 mm here, and wishes lie on a grid of 10.
    assert all(abs(p.y_mm - spot[1]) <= 20 for p, spot in zip(places, (FIRST, SECOND), strict=True))
    assert over_plan(window) == ["req. 1", "req. 2"]
    assert same_facts(before, window.adapter.home)

    key(window, Qt.Key.Key_2)
    assert stage.tabs.currentIndex() == OPTIONS
    found = cards(window)
    assert len(found) >= 3
    first, second = found[:2]
    assert first.hasFocus()
    assert stage.state.shown_option is first.option
    assert {"new, req. 1", "new, req. 2"} <= set(over_plan(window))
    assert "req. 1" not in over_plan(window)
    QTest.keyClick(first, Qt.Key.Key_Right)
    assert second.hasFocus()
    assert stage.state.shown_option is second.option

    QTest.mouseMove(window.board)
    QTest.mouseMove(first, QPoint(40, 40))
    QApplication.processEvents()
    assert stage.state.shown_option is first.option
    assert stage.state.shown_paths == tuple(route.path for route in first.option.routes)
    window.view.setFocus()
    QTest.mouseMove(window.board, QPoint(5, 5))
    QApplication.processEvents()
    assert stage.state.shown_option is None
    assert over_plan(window) == ["req. 1", "req. 2"]

    first.setFocus()
    QTest.keyClick(first, Qt.Key.Key_Return)
    detail = stage.options.detail
    assert stage.options.opened is first.option
    for check in first.option.checks:
        assert check.verdict.says in detail.text
    for expect in first.option.expected:
        assert f"{expect.point}: R1+R2" in detail.text
    for line in first.option.cautions:
        assert line in detail.text
    qtbot.waitUntil(lambda: detail.range.text().startswith("low "), timeout=30_000)
    QTest.keyClick(first, "p")
    QApplication.processEvents()
    assert first.is_picked
    assert window.adapter.home.take(Extension, extension.id).picked == first.option.key

    click(window, stage.options.accept_button)
    assert stage.tabs.currentIndex() == PLANNED
    home = window.adapter.home
    record = home.take(Extension, extension.id)
    assert is_planned(record)
    stage.planned.focus_inside()
    assert stage.planned.quote_button.hasFocus()  # a space too many says nothing of the work
    assert set(first.option.points) <= set(record.puts)
    assert all(home.take(Point, i).phase == "planned" for i in first.option.points)
    assert same_facts(before, home)
    rest()
    for point in first.option.points:
        assert f"{point}: twin socket, Kitchen, wall 2" in stage.planned.text
    qtbot.waitUntil(lambda: all(f"{i}: R1+R2" in stage.planned.text for i in first.option.points), timeout=30_000)

    window.actions_["undo"].trigger()
    assert not is_planned(window.adapter.home.take(Extension, extension.id))
    assert not set(first.option.points) & set(window.adapter.home.table(Point))
    window.actions_["redo"].trigger()
    assert window.adapter.home.take(Extension, extension.id) == record

    key(window, Qt.Key.Key_D)
    home = window.adapter.home
    assert home.take(Extension, extension.id).done_on is not None
    assert all(home.take(Point, i).phase == "existing" for i in first.option.points)
    assert all(home.take(Run, i).evidence == "seen" for i in first.option.runs)


def test_what_is_planned_never_looks_like_a_fact(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    way = next(card for card in cards(window) if card.option.kind == "new way")
    stage.pick(way.option)
    stage.accept()
    rest()
    home = window.adapter.home
    record = home.take(Extension, "X1")
    device = next(i for i in record.puts if home.find(Device, i) is not None)
    point = way.option.points[0]
    button = window.board.button_of(device)
    assert "planned" in button.accessibleName()
    assert " on" not in button.accessibleName()
    marks = [m for m in window.view.plan_scene.marks_of(point) if isinstance(m, Glyph)]  # what lies on the plan
    assert {m.state for m in marks} == {""}
    assert {m.role for m in marks} == {"accent"}
    model = window.table.view.model()
    row = next(n for n in range(model.rowCount()) if model.index(n, 0).data().split()[0] == point)
    assert model.index(row, 1).data().startswith("planned: ")
    assert model.index(row, 4).data() == ""
    for each in (point, device, way.option.runs[0]):
        window.adapter.select(each)
        page = window.inspector.page
        assert page is not None
        assert page.promise.text() == "Planned, not there yet: part of “Extension 1” (X1)."


def test_what_is_to_go_says_so_until_it_is_gone(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    click_plan(window, *at(window, "P37"))
    assert window.adapter.selection == ("P37",)
    click(window, stage.wishes.remove_button)
    assert [wish.act for wish in stage.state.wishes] == ["remove"]
    assert over_plan(window) == ["to go, req. 1"]
    laid_out(window, qtbot)
    stage.pick(cards(window)[0].option)
    stage.accept()
    rest()
    window.adapter.select("P37")
    page = window.inspector.page
    assert page is not None
    assert page.promise.text() == "There now; to go when “Extension 1” (X1) is done."
    words = [m.text for m in window.view.plan_scene.marks_of("goes") if hasattr(m, "text")]
    assert words == ["to go"]
    model = window.table.view.model()
    row = next(n for n in range(model.rowCount()) if model.index(n, 0).data().split()[0] == "P37")
    assert model.index(row, 1).data().startswith("to go: ")
    stage.say_done()
    assert window.adapter.home.take(Point, "P37").phase == "removed"
    assert "goes" not in window.view.plan_scene.ids


def at(window: Window, point: str) -> tuple[float, float]:
    """Where a point's symbol is on the plan."""
    centre = window.view.plan_scene.glyph_centre(point)
    assert centre is not None
    return centre


def test_a_wish_in_mid_air_is_refused_in_a_sentence(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    click(window, stage.wishes.card.plant_button)
    click_plan(window, 2600, 4500)
    assert window.message == "The twin socket would be in mid-air: click on a wall, or nearer to one."
    assert stage.state.extension is None
    assert window.adapter.tool == "wish"


def test_a_wish_where_a_point_or_a_wish_is_gets_one_sentence(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    click(window, stage.wishes.card.plant_button)
    click_plan(window, 4960, 2700)  # P32, a twin socket at 450 mm, is on this wall at y = 2700
    # Two twin plates of 146 mm (BS 4662, from memory) want their middles 150 mm apart, rounded up to 10 mm.
    said = "The twin socket P32 stands there already; keep their middles 150 mm apart along the wall, or go higher."
    assert window.message == said
    assert stage.state.wishes == ()
    click_plan(window, *FIRST)
    click_plan(window, FIRST[0], FIRST[1] + 100)
    assert len(stage.state.wishes) == 1
    assert window.message.startswith("Requirement 1, a twin socket, is to stand there already;")


def test_wishes_are_typed_in_words_and_what_is_wrong_stays_in_the_field(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    type_into(window, "wish-words", "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm")
    wish = stage.state.wishes[0]
    assert wish.place is not None
    # Wall 2 starts at y = 2000 in the corner with wall 1 (drawn so in the terrace).
    assert (wish.kind, wish.gangs, wish.place.x_mm, wish.place.y_mm, wish.place.height_mm) == (
        "socket", 2, 5000, 3400, 1100,
    )  # fmt: skip
    type_into(window, "wish-words", "twin socket, Ballroom, wall 2, 1.4 m, 1100 mm")
    assert window.message.startswith("There is no room “Ballroom”; there are ")
    assert stage.wishes.typed.text() == "twin socket, Ballroom, wall 2, 1.4 m, 1100 mm"
    type_into(window, "wish-words", "")
    assert window.message.startswith("Nothing is typed;")
    assert len(stage.state.wishes) == 1


def test_the_fields_change_the_wish_that_is_chosen(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    type_into(window, "wish-words", "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm")
    card = stage.wishes.card
    assert card.title.text() == "Requirement 1: twin socket"
    for field, typed in (
        (card.height_field, "300 mm"),
        (card.behind, "the fridge"),
        (card.where, "Kitchen, wall 2, 2.4 m, 0.3 m"),
    ):
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, typed)
        QTest.keyClick(field, Qt.Key.Key_Return)
    press(card.deep, Qt.Key.Key_Space)
    card.loads._what.setFocus()
    QTest.keyClicks(card.loads._what, "fridge 150 W")
    QTest.keyClick(card.loads._what, Qt.Key.Key_Return)
    wish = stage.state.wishes[0]
    assert wish.place is not None
    assert (wish.place.y_mm, wish.place.height_mm, wish.behind, wish.deep) == (4400, 300, "the fridge", True)
    assert [(load.what, load.power_w) for load in wish.loads] == [("fridge", 150.0)]
    card.height_field.setFocus()
    card.height_field.selectAll()
    QTest.keyClicks(card.height_field, "9 m")
    QTest.keyClick(card.height_field, Qt.Key.Key_Return)
    assert "high" in window.message
    assert card.height_field.text() == "300 mm"
    assert stage.state.wishes[0] == wish


def test_a_switch_is_wished_for_the_light_that_it_goes_with(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    type_into(window, "wish-words", "switch, Kitchen, wall 3, 0.3 m, 1200 mm")
    goes_with = stage.wishes.card.works
    assert goes_with.isVisible()
    goes_with.setFocus()
    lights = [goes_with.itemData(n) for n in range(goes_with.count())]
    light = next(i for i in lights[1:] if window.adapter.trade.point(terrace().take(Point, i).kind).is_light)
    for _ in range(lights.index(light)):
        QTest.keyClick(goes_with, Qt.Key.Key_Down)
    QTest.keyClick(goes_with, Qt.Key.Key_Return)
    assert stage.state.wishes[0].point == light
    assert stage.wishes.list.row_at(0).says.startswith(f"switch for {light}, Kitchen, wall 3")
    stage.wishes.card._save_kind("socket")
    assert (stage.state.wishes[0].kind, stage.state.wishes[0].point) == ("socket", None)


def test_a_wish_is_dragged_nudged_and_taken_away(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    click(window, stage.wishes.card.plant_button)
    click_plan(window, *FIRST)
    window.adapter.set_tool("select")
    middle = (5000 - 15 / window.view.zoom, 4400.0)  # of the pennant, 30 px high, off the wall
    drag_plan(window, middle, (4940.0, 3600.0))
    wish = stage.state.wishes[0]
    assert wish.place is not None
    assert wish.place.x_mm == 5000
    assert abs(wish.place.y_mm - 3600) <= 20
    y = wish.place.y_mm
    press(window.view, Qt.Key.Key_Down)
    press(window.view, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    moved = stage.state.wishes[0].place
    assert moved is not None
    assert moved.y_mm == y + 10 - 100
    drag_plan(window, (5000 - 15 / window.view.zoom, float(moved.y_mm)), (2600.0, 4500.0))
    assert "mid-air" in window.message
    assert stage.state.wishes[0].place == moved
    press(window.view, Qt.Key.Key_Delete)
    assert stage.state.wishes == ()
    window.actions_["undo"].trigger()
    assert len(stage.state.wishes) == 1


def test_a_point_that_is_dragged_is_wished_elsewhere_and_stays_where_it_is(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    before = window.adapter.home.take(Point, "P32")
    drag_plan(window, at(window, "P32"), (4940.0, 4400.0))
    wish = stage.state.wishes[0]
    assert (wish.act, wish.point) == ("move", "P32")
    assert wish.place is not None
    assert wish.place.x_mm == 5000
    assert abs(wish.place.y_mm - 4400) <= 20
    assert window.adapter.home.take(Point, "P32") == before
    assert over_plan(window) == ["to move", "req. 1"]
    laid_out(window, qtbot)
    assert cards(window)
    window.adapter.select("P22")
    press(window.view, Qt.Key.Key_Escape)
    window.adapter.select("P22")
    press(window.view, Qt.Key.Key_Delete)
    assert [w.act for w in stage.state.wishes] == ["move", "remove"]
    assert window.adapter.home.take(Point, "P22").phase == "existing"


def test_a_chosen_point_is_wished_elsewhere_by_the_next_click(opened: Opened) -> None:
    window = opened(terrace())
    stage = extend(window)
    click_plan(window, *at(window, "P22"))
    key(window, Qt.Key.Key_M)
    assert window.adapter.tool == "wish"
    click_plan(window, *SECOND)
    wish = stage.state.wishes[0]
    assert (wish.act, wish.point) == ("move", "P22")
    assert window.adapter.tool == "select"
    assert stage.draft.act == "add"


def test_what_is_picked_is_worked_out_anew_when_the_map_moves_on_before_it_is_planned(
    opened: Opened, qtbot: QtBot
) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.show_options()
    option = cards(window)[0].option
    stage.pick(option)
    place = stage.state.wishes[0].place
    added = window.adapter.do(lambda home: verbs.add_point(home, "socket", along(place, 5000)))
    assert added is not None
    assert added[0] in option.points  # the id that the option had given out
    key(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: stage.state.is_planned, timeout=30_000)
    home = window.adapter.home
    record = home.take(Extension, "X1")
    assert added[0] not in record.puts
    assert home.take(Point, added[0]).phase == "existing"
    assert sum(home.find(Point, i) is not None for i in record.puts) >= 2
    assert record.picked == option.key


def test_several_extensions_stand_beside_each_other(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.pick(cards(window)[0].option)
    stage.accept()
    key(window, Qt.Key.Key_N)
    assert stage.name.hasFocus()
    QTest.keyClicks(stage.name, "Bedroom lights")
    QTest.keyClick(stage.name, Qt.Key.Key_Return)
    assert [x.name for x in stage.state.extensions] == ["Extension 1", "Bedroom lights"]
    assert stage.state.wishes == ()
    type_into(window, "wish-words", "light, Bedroom 1, ceiling, wall 1, 1.0 m, 1.0 m")
    assert [len(x.wishes) for x in stage.state.extensions] == [2, 1]
    laid_out(window, qtbot)
    assert cards(window)
    key(window, Qt.Key.Key_Right)
    assert stage.state.is_planned
    stage.tabs.setCurrentIndex(PLANNED)
    click(window, stage.planned.back_button)
    assert not stage.state.is_planned
    stage.take_away()
    assert [x.name for x in stage.state.extensions] == ["Bedroom lights"]
    type_name = stage.name
    type_name.setFocus()
    type_name.selectAll()
    QTest.keyClick(type_name, Qt.Key.Key_Backspace)
    QTest.keyClick(type_name, Qt.Key.Key_Return)
    assert window.message.startswith("An extension needs a name")
    assert stage.state.extensions[0].name == "Bedroom lights"


def test_ways_for_different_wishes_are_picked_beside_each_other(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    type_into(window, "wish-words", "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm")
    type_into(window, "wish-words", "remove P37")
    laid_out(window, qtbot)
    by_wish = {card.option.wishes: card.option for card in reversed(cards(window))}
    assert set(by_wish) == {(0,), (1,)}
    other = next(c.option for c in cards(window) if c.option.wishes == (0,) and c.option is not by_wish[(0,)])
    for option in (by_wish[(0,)], by_wish[(1,)], other):
        stage.pick(option)
    assert stage.asked.picked in ((other, by_wish[(1,)]), (by_wish[(1,)], other))
    stage.accept()
    record = window.adapter.home.take(Extension, "X1")
    assert "P37" in record.takes
    assert set(other.points) <= set(record.puts)


def test_every_action_of_the_stage_is_found_and_has_a_key(opened: Opened) -> None:
    window = opened(terrace())
    extend(window)
    mine = [act for act, _ in window.actions_.all() if act.menu == "Extend"]
    assert len(mine) >= 18
    assert [act.id for act in mine if not act.key] == ["extend-take-away"]
    for act in mine:
        window.find_field.setFocus()
        window.find_field.setText(act.text.replace("&", ""))
        QApplication.processEvents()
    assert px(window, 2600, 4500)
