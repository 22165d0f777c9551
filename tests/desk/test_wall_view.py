"""The wall seen from its room, in the window: where it is opened from, what is dragged, what is said."""

import msgspec
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QCursor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QListWidget, QWidget

from circuitmap.desk.standing_words import set_height
from circuitmap.desk.window import Window
from circuitmap.drawing.elevation_marks import STRAY
from circuitmap.drawing.marks import Line, Words
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Extension, Place, Point, Room, Run
from circuitmap.plan.walls_drawn import draw_wall
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, press, px, settle, type_into
from tests.desk.wall_home import HOOP, click_wall, grab_wall, key, let_go_at, on, view_of, wall_home, wish

SHIFT = Qt.KeyboardModifier.ShiftModifier


def looking(opened: Opened, home: Home, stage: str = "wiring", select: str = "P1") -> Window:
    window = opened(home)
    window.adapter.set_stage(stage)
    window.adapter.select(select)
    window.actions_["show-wall"].trigger()
    settle()
    assert window.wall.is_shown
    return window


def place_of(window: Window, point: str) -> Place:
    place = window.adapter.home.take(Point, point).place
    assert place is not None
    return place


def path_of(window: Window, run: str = "R1") -> tuple[tuple[str, int, int, int], ...]:
    return window.adapter.home.take(Run, run).path_mm


def lines(window: Window) -> list[Line]:
    return [mark for mark in window.wall.state.scene.drawn.marks if isinstance(mark, Line)]


def said(window: Window) -> set[str]:
    return {mark.text for mark in window.wall.state.scene.drawn.marks if isinstance(mark, Words)}


# -- opening ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", ["draw", "wiring", "extend"])
def test_the_wall_of_what_is_selected_is_opened_and_the_plan_stays_as_it_was(opened: Opened, stage: str) -> None:
    window = opened(wall_home())
    window.adapter.set_stage(stage)
    window.view.zoom_by(1.7)
    before = window.view.transform(), window.view.mapToScene(QPoint(0, 0))
    window.adapter.select("P7")
    QTest.keyClick(window, Qt.Key.Key_6, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert window.wall.is_shown
    assert window.wall.state.face.id == "M1/1"
    assert "Kitchen, wall" in window.wall.state.scene.drawn.title
    key(window, Qt.Key.Key_Escape)  # lets go of what is chosen
    key(window, Qt.Key.Key_Escape)
    assert not window.wall.is_shown
    assert (window.view.transform(), window.view.mapToScene(QPoint(0, 0))) == before


def test_a_selected_wall_room_board_or_run_opens_its_wall(opened: Opened) -> None:
    window = opened(wall_home())
    QCursor.setPos(0, 0)
    for select, face in (("W3", "M1/2"), ("B1", "M1/3"), ("R1", "M1/0"), ("M1", "M1/0")):
        window.adapter.select(select)
        window.wall.open()
        assert window.wall.state.face.id == face, select
        window.show_plan()


def test_the_wall_under_the_pointer_is_opened_when_nothing_is_selected(opened: Opened) -> None:
    window = opened(wall_home())
    click_plan(window, 2000, 1500)
    window.adapter.select()
    spot = px(window, 3950, 700)
    QCursor.setPos(window.view.viewport().mapToGlobal(spot))
    window.actions_["show-wall"].trigger()
    assert window.wall.state.face.id == "M1/1"


def test_walls_are_stepped_through_by_keys_and_chosen_by_room_and_number(opened: Opened) -> None:
    window = looking(opened, wall_home())
    for which, face in ((Qt.Key.Key_Period, "M1/1"), (Qt.Key.Key_Period, "M1/2"), (Qt.Key.Key_Comma, "M1/1"),
                        (Qt.Key.Key_Comma, "M1/0"), (Qt.Key.Key_Comma, "M1/3")):  # fmt: skip
        key(window, which)
        assert window.wall.state.face.id == face
    page = window.wall.page
    assert [page.walls.itemText(n)[:8] for n in range(page.walls.count())] == [f"Wall {n}, " for n in range(1, 5)]
    page.walls.setFocus()
    page.walls.setCurrentIndex(1)
    page.walls.activated.emit(1)
    assert window.wall.state.face.id == "M1/1"
    click(window, page.after)
    assert window.wall.state.face.id == "M1/2"


def test_walls_are_found_by_their_room_and_number(opened: Opened) -> None:
    window = opened(wall_home())
    window.find_field.setFocus()
    QTest.keyClicks(window.find_field, "kitchen wall 2")
    assert any(found.text == "Kitchen, wall 2" for found in window.find_field.results)
    row = next(n for n, found in enumerate(window.find_field.results) if found.wall)
    for _ in range(row):
        QTest.keyClick(window.find_field, Qt.Key.Key_Down)
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    assert window.wall.is_shown
    assert window.wall.state.face.id == "M1/1"
    window.adapter.set_stage("survey")
    assert window.wall.named() == []


def test_a_wall_drawn_without_rooms_is_seen_from_both_sides(opened: Opened) -> None:
    base = Home.of([each for each in wall_home().all() if each.id == "G1"])
    window = opened(base.apply(draw_wall(base, "G1", (0, 0), (3000, 0), 100, "stud")))
    window.adapter.select("W1")
    window.wall.open()
    seen = {window.wall.state.face.id}
    key(window, Qt.Key.Key_Period)
    seen.add(window.wall.state.face.id)
    assert seen == {"W1/+", "W1/-"}
    assert window.wall.page.walls.count() == 2
    assert not window.wall.page.rooms.isVisible()


def test_without_walls_there_is_nothing_to_open_and_one_sentence_says_so(opened: Opened) -> None:
    window = opened(Home.of([Room(id="M1", name="Hall")]))
    QTest.keyClick(window, Qt.Key.Key_6, Qt.KeyboardModifier.ControlModifier)
    assert "draw a room or a wall first" in window.message


def test_a_survey_shows_the_plan_again_and_so_does_a_wall_that_is_no_more(opened: Opened) -> None:
    window = looking(opened, wall_home())
    window.adapter.set_stage("survey")
    assert not window.wall.is_shown
    for stage in ("survey", "readings", "hand over"):
        window.adapter.set_stage(stage)
        window.adapter.say("")
        QTest.keyClick(window, Qt.Key.Key_6, Qt.KeyboardModifier.ControlModifier)
        assert not window.wall.is_shown
        assert "Draw (F1), Wiring (F3) and Extend (F6)" in window.message
    window.adapter.set_stage("draw")
    window.wall.open()
    window.adapter.do(verbs.remove(window.adapter.home, "M1"))
    window.adapter.do(verbs.remove(window.adapter.home, *(f"W{n}" for n in range(1, 5))))
    assert not window.wall.is_shown


def test_another_home_forgets_what_was_looked_at(opened: Opened) -> None:
    window = looking(opened, wall_home())
    window.adapter.switch(Document.memory(wall_home("stud")))
    settle()
    assert not window.wall.is_shown
    window.wall.open()
    assert window.wall.state.chosen == ""


def test_a_plan_tool_brings_the_plan_back(opened: Opened) -> None:
    window = looking(opened, wall_home())
    window.take_tool("run")
    assert not window.wall.is_shown
    assert window.tabs.tabText(window.tabs.count() - 1) != "Wall"


# -- what is shown ----------------------------------------------------------------------------------------------------


def test_things_cables_zones_measures_and_cautions_are_all_there(opened: Opened) -> None:
    window = looking(opened, wall_home(wishes=[wish(2100)]))
    state, card = window.wall.state, window.wall.card
    assert [each.id for each in state.things] == ["P1", "P6", "wish 1", "P2"]
    assert [each.id for each in state.cables] == ["R1"]
    texts = said(window)
    assert {
        "P1",
        "P2",
        "P6, height?",
        "1",
        "window",
        "unit",
        "R1",
        "1900",
        "1100",
        "4000",
    } <= texts  # from the nearer corner
    rows = [card.list.item(n).text() for n in range(card.list.count())]
    assert "left 600, right 3400, up 450 mm" in rows[0]
    assert "Requirement 1 (no. 1): twin socket" in rows[2]
    assert "box 135 × 75 mm, 25 mm deep or more; brick" in rows[2]
    assert "50 mm deep" in card.caution
    assert "RCD of 30 mA" in card.caution
    assert "partition with metal parts" in card.caution
    assert "prove dead" in card.caution
    assert "competent person" in card.caution
    assert "P6" in card.noted


def test_a_wall_of_unknown_build_says_so(opened: Opened) -> None:
    window = looking(opened, wall_home("unknown"))
    assert "What the wall is built of is not known" in window.wall.card.noted


def test_a_path_drawn_on_the_plan_only_is_on_no_wall_and_said_so(opened: Opened) -> None:
    flat = tuple((s, x, y, 0) for s, x, y, _ in HOOP)
    home = wall_home()
    window = looking(opened, home.apply(verbs.edit(home, "R1", path_mm=flat)))
    assert not window.wall.state.cables
    assert "path of R1 was drawn on the plan only" in window.wall.card.noted


def test_a_slanting_wall_is_seen_straight_on(opened: Opened) -> None:
    """A side from (0, 0) to (3000, 4000) is 5 m long: 3, 4, 5."""
    outline = ((0, 0), (3000, 4000), (0, 4000))
    home = Home.of([*(each for each in wall_home().all() if each.id in ("G1",)),
                    Room(id="M9", name="Attic", storey="G1", outline_mm=outline)])  # fmt: skip
    window = opened(home)
    window.adapter.select("M9")
    window.wall.open()
    lengths = {round(face.length_mm) for face in window.wall.state.row()}
    assert lengths == {5000, 4000, 3000}
    for _ in range(3):
        assert window.wall.state.scene.drawn.marks
        key(window, Qt.Key.Key_Period)


def test_a_wall_with_twenty_things_lists_and_draws_them_all(opened: Opened) -> None:
    more = [Point(id=f"P{n}", kind="socket", place=Place(storey="G1", x_mm=150 + 200 * (n - 20), y_mm=3000,
                  height_mm=450 if n % 2 else 1100, wall="W3", faces_deg=270.0)) for n in range(20, 38)]  # fmt: skip
    window = looking(opened, wall_home("brick", *more), select="P20")
    assert len(window.wall.state.things) == 18
    assert {f"P{n}" for n in range(20, 38)} <= said(window)


# -- things -----------------------------------------------------------------------------------------------------------


def test_an_accessory_is_dragged_along_and_up_in_one_change_and_its_cable_goes_with_it(opened: Opened) -> None:
    window = looking(opened, wall_home())
    grab_wall(window, (600, 450), (903, 1097))
    assert (place_of(window, "P1").x_mm, place_of(window, "P1").height_mm) == (900, 1100)
    assert path_of(window)[:2] == (("G1", 900, 0, 1100), ("G1", 900, 0, 2325))
    window.adapter.undo()
    assert (place_of(window, "P1").x_mm, place_of(window, "P1").height_mm) == (600, 450)
    assert path_of(window) == HOOP


def test_heights_snap_to_the_usual_ones_and_shift_keeps_to_centimetres(opened: Opened) -> None:
    window = looking(opened, wall_home())
    per_px = 1 / view_of(window).zoom
    grab_wall(window, (600, 450), (900, 1200 - 4 * per_px))
    assert place_of(window, "P1").height_mm == 1200
    view = view_of(window)
    start, end = on(window, 900, 1200), on(window, 1000, 1200 - 4 * per_px)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, SHIFT, start)
    QTest.mouseMove(view, end)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, SHIFT, end)
    assert place_of(window, "P1").height_mm == pytest.approx(1200 - 4 * per_px, abs=10 + per_px)
    assert place_of(window, "P1").height_mm != 1200


def test_where_it_may_not_stand_is_said_live_and_nothing_is_changed(opened: Opened) -> None:
    window = looking(opened, wall_home())
    before = window.adapter.home
    grab_wall(window, (600, 450), (2600, 1500), let_go=False)
    assert "window there" in window.wall.state.refused
    assert "window there" in window.wall.card.words
    let_go_at(window, (2600, 1500))
    assert window.adapter.home is before
    assert "window there" in window.message


def test_undo_in_the_middle_of_a_drag_gives_the_drag_up(opened: Opened) -> None:
    window = looking(opened, wall_home())
    key(window, Qt.Key.Key_Right)
    grab_wall(window, (610, 450), (1000, 800), let_go=False)
    window.adapter.undo()
    assert window.wall.state.gesture.trial is None
    let_go_at(window, (1000, 800))
    assert place_of(window, "P1").x_mm == 600


def test_a_point_that_shares_a_plate_is_chosen_by_what_the_wall_shows_of_it(opened: Opened) -> None:
    home = wall_home()
    home = home.apply(verbs.add_point(home, "switch", home.take(Point, "P2").place))
    added = home.sorted(Point)[-1].id
    home = home.apply(verbs.share_plate(home, ("P2", added)))
    window = looking(opened, home, select="P1")
    window.adapter.select(added)
    assert window.wall.state.chosen == "P2"
    assert window.adapter.selection == (added,)


def test_esc_gives_a_drag_up(opened: Opened) -> None:
    window = looking(opened, wall_home())
    before = window.adapter.home
    grab_wall(window, (600, 450), (1000, 800), let_go=False)
    assert window.wall.state.scene.things[0].stood.u == pytest.approx(1000, abs=12)
    key(window, Qt.Key.Key_Escape)
    let_go_at(window, (1000, 800))
    assert window.adapter.home is before
    assert window.wall.state.scene.things[0].stood.u == 600


def test_a_wish_is_dragged_and_put_by_figures(opened: Opened) -> None:
    window = looking(opened, wall_home(wishes=[wish(2100)]), stage="extend")
    grab_wall(window, (2100, 1100), (1300, 1200))

    def wished() -> tuple[int, int | None]:
        place = window.adapter.home.take(Extension, "X1").wishes[0].place
        assert place is not None
        return place.x_mm, place.height_mm

    assert wished() == (pytest.approx(1300, abs=12), 1200)
    assert window.wall.state.chosen == "wish 1"
    assert window.extend.wish == 0
    type_into(window, "wall-figures", "1.8 m from the left, 450 mm up")
    assert wished() == (1800, 450)
    window.adapter.undo()
    assert wished()[1] == 1200


def test_figures_that_are_no_place_are_refused_in_a_sentence_and_stay_to_be_mended(opened: Opened) -> None:
    window = looking(opened, wall_home())
    before = window.adapter.home
    for typed, why in (("9 m from the left", "off it"), ("somewhere", "no place on a wall"),
                       ("2.6 m from the left, 1500 mm up", "window there")):  # fmt: skip
        type_into(window, "wall-figures", typed)
        assert why in window.message
        assert window.wall.card.figures.text() == typed
    assert window.adapter.home is before


def test_what_has_no_height_keeps_none_until_it_is_given_one(opened: Opened) -> None:
    window = looking(opened, wall_home(), select="P6")
    type_into(window, "wall-figures", "1.9 m from the left")
    assert (place_of(window, "P6").x_mm, place_of(window, "P6").height_mm) == (1900, None)
    grab_wall(window, (1900, 700), (1900, 455))
    assert place_of(window, "P6").height_mm == 450


def test_arrows_move_what_is_chosen_by_a_centimetre_and_with_shift_by_ten(opened: Opened) -> None:
    window = looking(opened, wall_home())
    key(window, Qt.Key.Key_Right)
    key(window, Qt.Key.Key_Up, SHIFT)
    assert (place_of(window, "P1").x_mm, place_of(window, "P1").height_mm) == (610, 550)


def test_what_is_chosen_on_the_wall_is_selected_in_the_window_and_the_other_way_round(opened: Opened) -> None:
    window = looking(opened, wall_home())
    click_wall(window, 3700, 1200)
    assert window.adapter.selection == ("P2",)
    window.adapter.select("R1")
    assert window.wall.state.chosen == "R1"
    key(window, Qt.Key.Key_N)
    assert window.wall.state.chosen == "P1"
    key(window, Qt.Key.Key_N, SHIFT)
    assert window.wall.state.chosen == "R1"


# -- cables -----------------------------------------------------------------------------------------------------------


def test_a_bend_that_is_dragged_shows_what_strays_and_is_stored_in_one_change(opened: Opened) -> None:
    window = looking(opened, wall_home(), select="R1")
    assert not [line for line in lines(window) if line.ink == STRAY]
    grab_wall(window, (600, 2325), (1000, 1700), let_go=False)
    assert [line for line in lines(window) if line.ink == STRAY]
    assert any(text.endswith(" slants") for text in said(window))
    assert "slants: a hidden cable runs straight up, down or sideways" in window.wall.card.words
    assert path_of(window) == HOOP
    let_go_at(window, (1000, 1700))
    _, x, _, z = path_of(window)[1]
    assert (x, z) == (pytest.approx(1000, abs=12), pytest.approx(1700, abs=12))
    length = window.adapter.home.take(Run, "R1").length_mm
    assert length is not None
    assert length < 6100
    window.adapter.undo()
    assert path_of(window) == HOOP
    assert window.adapter.home.take(Run, "R1").length_mm == 6100


def test_a_stretch_is_dragged_beside_itself_and_stays_straight(opened: Opened) -> None:
    window = looking(opened, wall_home(), select="R1")
    grab_wall(window, (1500, 2325), (1500, 1203))
    assert path_of(window) == (HOOP[0], ("G1", 600, 0, 1200), HOOP[3])
    assert "slants" not in window.wall.card.words
    assert "is in no zone" in window.wall.card.words  # 1200 is as high as the switch, but a window ends its zone
    assert "crosses a window" in window.wall.card.words


def test_bends_are_let_in_chosen_moved_and_taken_out_by_keys(opened: Opened) -> None:
    window = looking(opened, wall_home(), select="R1")
    key(window, Qt.Key.Key_B)
    assert window.wall.state.bend == 1
    key(window, Qt.Key.Key_B)
    assert window.wall.state.bend == 2
    key(window, Qt.Key.Key_Escape)
    window.adapter.select()
    window.adapter.select("R1")
    key(window, Qt.Key.Key_I)
    assert len(path_of(window)) == 5
    bend = window.wall.state.bend
    key(window, Qt.Key.Key_Down, SHIFT)
    assert path_of(window)[bend][3] == 2225
    assert window.wall.state.bend == bend
    type_into(window, "wall-figures", "2 m from the left, 100 mm down")
    assert path_of(window)[bend][1:] == (2000, 0, 2300)
    key(window, Qt.Key.Key_Delete)
    assert path_of(window) == HOOP
    assert window.adapter.home.find(Run, "R1") is not None


def test_a_double_click_lets_a_bend_in(opened: Opened) -> None:
    window = looking(opened, wall_home(), select="R1")
    QTest.mouseDClick(view_of(window), Qt.MouseButton.LeftButton, pos=on(window, 2000, 2325))
    assert len(path_of(window)) == 5
    assert path_of(window)[2][1] == pytest.approx(2000, abs=12)


def test_a_route_is_dragged_by_hand_with_its_length_and_price_and_goes_back(opened: Opened) -> None:
    window = looking(opened, wall_home(), stage="extend")
    state = window.wall.state
    lower = tuple((s, x, y, min(z, 2000)) for s, x, y, z in HOOP)
    state.show_paths([HOOP, lower])
    assert [each.id for each in state.cables] == ["R1", "route 1", "route 2"]
    before = window.adapter.home
    state.choose("route 2")
    grab_wall(window, (3700, 1600), (3450, 1600))
    assert window.adapter.home is before
    assert state.is_by_hand("route 2")
    words = window.wall.card.words
    assert "Drawn by hand" in words
    assert "than the option's own route 2" in words or "as long as the option's own route 2" in words
    assert "route 2 by hand" in " ".join(said(window))
    click(window, window.wall.card.as_laid)
    assert not state.is_by_hand("route 2")


# -- drawing ----------------------------------------------------------------------------------------------------------


def corners(window: Window, *spots: tuple[float, float]) -> None:
    for u, v in spots:
        click_wall(window, u, v)


def test_a_cable_is_drawn_corner_by_corner_and_becomes_the_path_of_the_run_between_its_ends(opened: Opened) -> None:
    home = wall_home()
    window = looking(opened, home.apply(verbs.edit(home, "R1", path_mm=())))
    window.adapter.select()
    key(window, Qt.Key.Key_D)
    corners(window, (3700, 1200), (3700, 2325), (602, 2322), (900, 900))
    key(window, Qt.Key.Key_Backspace)
    corners(window, (600, 450))
    key(window, Qt.Key.Key_Return)
    assert path_of(window) == HOOP  # drawn from the other end, kept the way the run goes
    assert not window.wall.state.is_drawing
    assert window.message == "R1 runs as drawn, 6.10 m."  # 1875 + 3100 + 1125 mm
    window.adapter.undo()
    assert path_of(window) == ()


def test_esc_gives_drawing_up_first_the_corners_then_the_pen(opened: Opened) -> None:
    window = looking(opened, wall_home())
    before = window.adapter.home
    key(window, Qt.Key.Key_D)
    corners(window, (700, 450), (700, 1800))
    key(window, Qt.Key.Key_Escape)
    assert window.wall.state.is_drawing
    assert window.wall.state.scene.judged.get("drawing") is None
    key(window, Qt.Key.Key_Escape)
    assert not window.wall.state.is_drawing
    assert window.adapter.home is before


def test_what_strays_of_a_drawn_cable_is_marked_with_its_length_and_why(opened: Opened) -> None:
    """From 1000 along to 2000 at 1700 high, in no zone but that of P6, whose plate is 146 mm wide: 1000 − 146 = 854."""
    window = looking(opened, wall_home(), select="P7")
    key(window, Qt.Key.Key_Comma)
    window.adapter.select()
    key(window, Qt.Key.Key_D)
    corners(window, (900, 1700), (1800, 1700))
    key(window, Qt.Key.Key_Return)
    assert window.wall.state.chosen == "drawn"
    assert "900 mm of cable, 900 mm of it strays:\n900 mm on this wall is in no zone" in window.wall.card.words
    assert any(text.startswith("900 mm is in no zone") for text in said(window))
    assert "not on the map" in window.message
    assert "not on the map" in window.wall.card.list.item(window.wall.card.list.count() - 1).text()
    click(window, window.wall.card.as_laid)
    assert all(each.id != "drawn" for each in window.wall.state.cables)


def test_in_wiring_a_cable_between_two_things_that_nothing_joins_is_a_run_of_its_own(opened: Opened) -> None:
    window = looking(opened, wall_home())
    window.adapter.select()
    key(window, Qt.Key.Key_D)
    corners(window, (600, 450), (3700, 450), (3700, 1200))
    key(window, Qt.Key.Key_Return)
    assert path_of(window) == (HOOP[0], ("G1", 3700, 0, 450), HOOP[3])  # the run that is there runs so
    key(window, Qt.Key.Key_D)
    window.adapter.select()
    corners(window, (600, 450), (600, 2325))
    key(window, Qt.Key.Key_Period)
    corners(window, (1500, 2325), (1500, 450))
    key(window, Qt.Key.Key_Return)
    run = window.adapter.home.sorted(Run)[-1]
    assert (run.a.at, run.b.at, run.evidence) == ("P1", "P7", "seen")
    assert run.path_mm == (
        ("G1", 600, 0, 450), ("G1", 600, 0, 2325), ("G1", 4000, 0, 2325), ("G1", 4000, 1500, 2325),
        ("G1", 4000, 1500, 450),
    )  # fmt: skip
    assert not window.wall.state.scene.judged[run.id].strays
    window.adapter.undo()
    assert window.adapter.home.find(Run, run.id) is None


def test_a_cable_is_drawn_by_keys_alone(opened: Opened) -> None:
    window = looking(opened, wall_home())
    key(window, Qt.Key.Key_D)
    key(window, Qt.Key.Key_Space)
    for _ in range(3):
        key(window, Qt.Key.Key_Up, SHIFT)
    key(window, Qt.Key.Key_Space)
    key(window, Qt.Key.Key_Return)
    assert window.wall.state.chosen == "drawn"
    path = window.wall.state.cable
    assert path is not None
    assert [spot[1:] for spot in path.path] == [(600, 0, 450), (600, 0, 750)]


def test_one_corner_is_no_cable(opened: Opened) -> None:
    window = looking(opened, wall_home())
    key(window, Qt.Key.Key_D)
    key(window, Qt.Key.Key_Return)
    assert "at least one more corner" in window.message
    assert window.wall.state.is_drawing


# -- looking ----------------------------------------------------------------------------------------------------------


def test_zoom_is_about_the_pointer_and_the_empty_wall_is_dragged_to_move_it(opened: Opened) -> None:
    window = looking(opened, wall_home())
    view = view_of(window)
    spot = on(window, 3000, 600)
    wheel = QWheelEvent(
        QPointF(spot), QPointF(view.mapToGlobal(spot)), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    before = view.zoom
    QApplication.sendEvent(view, wheel)
    assert view.zoom == pytest.approx(before * 1.25**2)
    there = view.to_px(3000, 600)
    assert (there.x(), there.y()) == (pytest.approx(spot.x(), abs=1), pytest.approx(spot.y(), abs=1))
    selected = window.wall.state.chosen
    grab_wall(window, (3000, 600), (2800, 700))
    moved = view.to_px(3000, 600) - there
    assert moved.x() == pytest.approx(-200 * view.zoom, abs=2)
    assert window.wall.state.chosen == selected
    window.actions_["fit"].trigger()
    assert view.zoom == pytest.approx(before, rel=0.02)


def test_a_click_on_the_empty_wall_lets_go_of_what_is_chosen(opened: Opened) -> None:
    window = looking(opened, wall_home())
    click_wall(window, 3000, 600)
    assert window.wall.state.chosen == ""


def test_a_home_that_may_not_be_changed_stays_as_it_is(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    window = looking(opened, wall_home())
    before = window.adapter.home
    monkeypatch.setattr(type(window.adapter.document), "read_only", property(lambda _: True))
    window.wall.card.refresh()
    assert not window.wall.card.figures.isEnabled()
    assert not window.wall.card.bend_in.isEnabled()
    assert window.adapter.home is before


def test_the_wall_in_words_is_told_to_who_cannot_see_it(opened: Opened) -> None:
    window = looking(opened, wall_home(wishes=[wish(2100)]))
    view = view_of(window)
    assert view.accessibleName()
    assert "centre 2100 mm from the left corner, 1100 mm over the floor" in view.accessibleDescription()
    press(window.wall.card.list, Qt.Key.Key_Down)
    assert window.wall.state.chosen == "P6"


def test_everything_on_the_wall_and_beside_it_is_reached_by_tab_and_has_a_name(opened: Opened) -> None:
    window = looking(opened, wall_home(wishes=[wish(2100)]), select="R1")
    key(window, Qt.Key.Key_B)
    reached = set()
    for _ in range(120):
        focus = QApplication.focusWidget()
        assert focus is not None
        reached.add(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    parts = [each for root in (window.wall.page, window.wall.card) for each in root.findChildren(QWidget)]
    wanted = [each for each in parts if each.isVisible() and each.isEnabled()
              and each.focusPolicy() & Qt.FocusPolicy.TabFocus and each.focusProxy() is None]  # fmt: skip
    assert len(wanted) >= 8
    for each in wanted:
        assert each in reached, each.objectName() or type(each)
        assert each.accessibleName() or getattr(each, "text", str)(), each.objectName() or type(each)
        if not isinstance(each, QListWidget):
            assert each.height() >= 32, each.objectName() or type(each)


def test_a_wall_that_is_opened_again_shows_what_is_selected_now(opened: Opened) -> None:
    window = looking(opened, wall_home())
    window.show_plan()
    window.adapter.select("P2")
    window.wall.open()
    assert window.wall.state.chosen == "P2"


def test_a_point_moved_on_the_plan_takes_the_end_of_its_drawn_cable_along(opened: Opened) -> None:
    window = opened(wall_home())
    window.adapter.select("P1")
    home = window.adapter.home
    place = msgspec.structs.replace(place_of(window, "P1"), x_mm=800)
    window.adapter.do(lambda now: verbs.move(now, "P1", place))
    assert path_of(window)[:2] == (("G1", 800, 0, 450), ("G1", 800, 0, 2325))
    window.adapter.undo()
    assert window.adapter.home.take(Run, "R1") == home.take(Run, "R1")


def test_a_height_that_is_typed_takes_the_end_of_the_drawn_cable_along(opened: Opened) -> None:
    window = opened(wall_home())
    window.adapter.do(lambda home: set_height(home, "P1", 900))
    assert path_of(window)[0] == ("G1", 600, 0, 900)
    window.adapter.undo()
    assert path_of(window) == HOOP
