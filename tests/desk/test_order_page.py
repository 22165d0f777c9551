"""The ring drawn from two sweeps on the desk: accepted part by part until it is a ring, and what can't be told."""

from collections.abc import Callable
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from circuitmap.desk.order_page import OrderCard
from circuitmap.desk.order_said import ALL_DRAWN, INTRO, NO_LENGTH, READ_WORDS
from circuitmap.desk.order_work import CROSS, ENDS, ONE_LEG, Told
from circuitmap.desk.stages.readings import GRID, ORDER, TABS
from circuitmap.desk.theme import TARGET_PX
from circuitmap.desk.window import Window
from circuitmap.home import verbs
from circuitmap.home.records import Point, Reading, Run
from tests.desk.conftest import Opened
from tests.desk.driving import click, press, settle
from tests.desk.meter_home import enter, key, read_way, readings
from tests.desk.order_home import LEGS_M, ROUND, OrderHome

Shown = Callable[[OrderHome], Window]
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shown(opened: Opened) -> Shown:
    """Opens a home at the order of its ring, come to by keys."""

    def show_order(home: OrderHome) -> Window:
        window = opened(home.home)
        read_way(window, home.ring, ONE_LEG)
        key(Qt.Key.Key_6, Qt.KeyboardModifier.AltModifier)
        settle()
        assert window.readings_stage.tabs.currentIndex() == ORDER
        return window

    return show_order


def card_of(window: Window) -> OrderCard:
    return window.readings_stage.order


def told_of(window: Window) -> Told:
    told = card_of(window).told
    assert told is not None
    return told


def parts_of(window: Window) -> list[tuple[str, str]]:
    return [(each.offer.a, each.offer.b) for each in card_of(window).parts.choices]


def rows_of(window: Window) -> list[str]:
    rows = card_of(window).parts.list
    return [rows.row_at(n).sentence for n in range(rows.count())]


def joined(window: Window) -> dict[frozenset[str], Run]:
    runs = window.adapter.home.sorted(Run)
    return {frozenset((r.a.at, r.b.at)): r for r in runs if r.a.at and r.b.at}


def kind_of(window: Window, home: OrderHome) -> str:
    view = window.adapter.view_of(home.ring)
    assert view is not None
    return view.shape.kind if view.shape is not None else ""


def swept(**facts: object) -> OrderHome:
    home = OrderHome(**facts)  # type: ignore[arg-type]  # test shorthand
    home.read_all()
    return home


# accepting ------------------------------------------------------------------------------------------------------------


def test_parts_are_accepted_one_by_one_with_enter_until_the_circuit_is_the_ring_that_is_wired(shown: Shown) -> None:
    home = swept()
    window = shown(home)
    stops = [home.ring, *ROUND, home.ring]
    wired = [*pairwise(stops), ("P1", "P4")]
    assert parts_of(window) == wired
    card = card_of(window)
    assert card.parts.list.hasFocus()
    for count in range(len(wired), 0, -1):
        assert len(parts_of(window)) == count
        first = parts_of(window)[0]
        key(Qt.Key.Key_Return)
        settle()
        assert frozenset(first) in joined(window)
        assert first not in parts_of(window)
    lengths = dict(zip(map(frozenset, wired), (*LEGS_M, 6.0), strict=True))
    runs = joined(window)
    for pair, length_m in lengths.items():
        run = runs[pair]
        assert (run.evidence, run.length_from) == ("inferred", "reading")
        assert run.length_mm == pytest.approx(length_m * 1000, abs=600)
    assert set(home.legs) <= {run.id for run in runs.values()}  # the cables at the board were followed, none added
    assert kind_of(window, home) == "ring with spurs"
    view = window.adapter.view_of(home.ring)
    assert view is not None
    assert view.shape is not None
    assert view.shape.loop[1:] in (ROUND, ROUND[::-1])
    assert card.parts.count.text() == ALL_DRAWN
    assert not card.parts.list.isVisible()
    assert not card.caution.isVisible()


def test_each_accepted_part_is_one_step_to_undo_and_comes_back_to_the_list(shown: Shown) -> None:
    home = swept()
    window = shown(home)
    before = parts_of(window)
    key(Qt.Key.Key_Return)
    settle()
    key(Qt.Key.Key_Return)
    settle()
    assert parts_of(window) == before[2:]
    assert window.adapter.document.undo_title == f"Infer from readings: {before[1][0]} to {before[1][1]}"
    key(Qt.Key.Key_Z, CTRL)
    settle()
    assert parts_of(window) == before[1:]
    key(Qt.Key.Key_Z, CTRL)
    settle()
    assert parts_of(window) == before
    assert window.adapter.home.table(Run) == home.home.table(Run)


def test_two_quick_enters_accept_two_parts_and_never_one_twice(shown: Shown) -> None:
    window = shown(swept())
    before = parts_of(window)
    rows = card_of(window).parts.list
    QTest.keyClick(rows, Qt.Key.Key_Return)
    QTest.keyClick(rows, Qt.Key.Key_Return)
    settle()
    assert parts_of(window) == before[2:]


def test_all_that_are_sure_are_accepted_in_one_step(shown: Shown) -> None:
    home = swept(beyond_m=4)
    window = shown(home)
    parts = card_of(window).parts
    assert parts.all_button.text() == "Accept all 9 that are sure"
    press(parts.all_button, Qt.Key.Key_Space)
    settle()
    assert parts.list.hasFocus()  # not on a button that accepts the next one
    assert kind_of(window, home) == "ring with spurs"
    assert [b for _, b in parts_of(window)] == ["P9"]  # on P1 or on P4: that is for somebody to say
    assert not parts.all_button.isVisible()
    assert window.adapter.document.undo_title == "Infer from readings: 9 parts of A1"
    window.adapter.undo()
    settle()
    assert window.adapter.home.table(Run) == home.home.table(Run)
    assert len(parts_of(window)) == 10


def test_a_click_on_a_row_chooses_it_and_draws_nothing(shown: Shown) -> None:
    home = swept()
    window = shown(home)
    rows = card_of(window).parts.list
    QTest.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=rows.visualItemRect(rows.item(2)).center())
    settle()
    chosen = card_of(window).parts.choice
    assert chosen is not None
    assert (chosen.offer.a, chosen.offer.b) == ("P2", "P7")
    assert window.adapter.home.table(Run) == home.home.table(Run)
    click(window, card_of(window).parts.accept_button)
    settle()
    assert frozenset(("P2", "P7")) in joined(window)


def test_choosing_a_part_lights_its_places_and_draws_it_dotted_until_one_looks_elsewhere(shown: Shown) -> None:
    home = swept()
    window = shown(home)
    ghosts: list[object] = []
    card_of(window).ghosted.connect(ghosts.append)
    key(Qt.Key.Key_Down)
    assert window.adapter.lit_ids == {"P5", "P2"}
    (line,) = window.view._ghost
    assert line.pts == ((9000, 4000), (8500, 0))  # type: ignore[union-attr]  # a Line
    window.adapter.light(frozenset(("P3",)))
    window.adapter.light()
    settle()
    assert window.adapter.lit_ids == {"P5", "P2"}  # again, once nothing else is pointed at
    window.readings_stage.show_grid()
    assert window.adapter.lit_ids == frozenset()
    assert ghosts[-1] == ()


def test_a_storey_chosen_by_hand_stays_while_a_part_is_chosen(shown: Shown) -> None:
    home = swept()
    upstairs = home.storey("First", 1)
    window = shown(home)
    window.adapter.set_storey(upstairs)
    settle()
    assert window.adapter.storey == upstairs
    assert window.view._ghost == ()
    key(Qt.Key.Key_Down)
    assert window.adapter.storey != upstairs  # the next part is shown where it is


def test_the_part_chosen_stays_in_sight_with_what_is_said_of_it(shown: Shown) -> None:
    window = shown(swept(beyond_m=4))
    rows, card, page = card_of(window).parts.list, card_of(window).parts.card, window.readings_stage.order_page
    for which in (Qt.Key.Key_End, Qt.Key.Key_Up, Qt.Key.Key_Return, Qt.Key.Key_Home, Qt.Key.Key_Down):
        key(which)
        settle()
        row = rows.visualItemRect(rows.currentItem())
        assert rows.viewport().rect().contains(row), which
        view = page.viewport()
        assert view.rect().contains(rows.viewport().mapTo(view, row.center())), which
        assert view.rect().contains(card.mapTo(view, card.rect().topLeft())), which


# what the map has already ---------------------------------------------------------------------------------------------


def test_what_the_map_says_otherwise_is_named_and_never_taken_away(shown: Shown) -> None:
    home = swept()
    wrong = home.run("P5", "P8", cable="T&E 2.5/1.5")
    window = shown(home)
    parts = card_of(window).parts
    assert parts.all_button.text() == "Accept all 5 that are sure"
    at = parts_of(window).index(("P5", "P2"))
    assert "The map says otherwise" in rows_of(window)[at]
    for _ in range(at):
        key(Qt.Key.Key_Down)
    assert parts.warning.isVisible()
    assert f"{wrong} joins P5 and P8" in parts.warning.text()
    assert "nothing is taken away" in parts.warning.text()
    key(Qt.Key.Key_Return)
    settle()
    runs = joined(window)
    assert frozenset(("P5", "P2")) in runs
    assert runs[frozenset(("P5", "P8"))].id == wrong


def test_what_is_drawn_is_not_offered_again_but_gets_a_length_unless_that_was_measured(shown: Shown) -> None:
    home = swept()
    known = home.run("P5", "P2", cable="T&E 2.5/1.5")
    home.do(verbs.edit(home.home, known, "", length_mm=9100, length_from="measured"))
    bare = home.run("P2", "P7", cable="T&E 2.5/1.5")
    window = shown(home)
    assert ("P5", "P2") not in parts_of(window)
    assert "; 1 more is on the map" in card_of(window).parts.count.text()
    at = parts_of(window).index(("P2", "P7"))
    assert "On the map already" in rows_of(window)[at]
    for _ in range(at):
        key(Qt.Key.Key_Down)
    assert card_of(window).parts.accept_button.text() == f"Accept the length of {bare}"
    key(Qt.Key.Key_Return)
    settle()
    run = window.adapter.home.take(Run, bare)
    assert run.length_mm == pytest.approx(7000, abs=400)
    assert (run.length_from, run.evidence) == ("reading", "seen")
    assert ("P2", "P7") not in parts_of(window)
    assert window.adapter.home.take(Run, known).length_mm == 9100


def test_without_a_cable_on_the_map_shares_are_told_and_what_metres_take(shown: Shown) -> None:
    window = shown(swept(legs=False))
    assert NO_LENGTH.format(code="A1") in card_of(window).says.text()
    assert "about 9 % of the loop" in rows_of(window)[0]
    key(Qt.Key.Key_Return)
    settle()
    run = joined(window)[frozenset((told_of(window).order.device, "P5"))]
    assert run.length_mm is None
    window.adapter.do(verbs.edit(window.adapter.home, run.id, "", cable="T&E 2.5/1.5"))
    settle()
    assert NO_LENGTH.format(code="A1") not in card_of(window).says.text()
    lengths = {(c.offer.a, c.offer.b): c.offer.length_m for c in card_of(window).parts.choices}
    assert lengths["P5", "P2"] == pytest.approx(9, abs=0.6)
    assert lengths[told_of(window).order.device, "P5"] == pytest.approx(6, abs=0.5)  # what is drawn gets its length


# what can't be told ---------------------------------------------------------------------------------------------------


def test_a_part_that_may_hang_on_something_else_shows_both_and_either_is_accepted(shown: Shown) -> None:
    home = swept(beyond_m=4)
    window = shown(home)
    parts = card_of(window).parts
    key(Qt.Key.Key_End)
    assert parts.choice is not None
    assert "Or from P4" in rows_of(window)[-1]
    assert parts.accept_button.text() == "Accept P1 to P9"
    (other,) = parts.others
    assert other.text().startswith("Rather P4 to P9")
    press(other, Qt.Key.Key_Space)
    settle()
    assert parts.list.hasFocus()
    assert joined(window)[frozenset(("P4", "P9"))].length_mm == pytest.approx(4000, abs=700)
    assert "P9" not in [b for _, b in parts_of(window)]
    window.adapter.undo()
    settle()
    assert "P9" in [b for _, b in parts_of(window)]


def test_a_spur_of_which_it_cannot_be_told_where_it_leaves_may_be_drawn_from_either_point(shown: Shown) -> None:
    home = swept(legs_m=(6, 9, 7, 11, 0.4, 8, 10, 12))
    window = shown(home)
    assert "Which comes first can’t be told of P1 and P8 (⇄)" in card_of(window).says.text()
    assert "⇄\u00a00.7\u00a0m ⇄\u00a0P8" in card_of(window).round.text()
    assert [each.is_sure for each in told_of(window).choices] == [True] * 3 + [False] * 3 + [True] * 2 + [False]
    key(Qt.Key.Key_End)
    (other,) = card_of(window).parts.others
    press(other, Qt.Key.Key_Space)
    settle()
    assert frozenset(("P8", "P4")) in joined(window)
    assert "P4" not in [b for _, b in parts_of(window)]


def test_cables_are_counted_where_it_cannot_tell_and_the_count_tells(shown: Shown) -> None:
    home = swept(beyond_m=4)
    window = shown(home)
    counts = card_of(window).counts
    assert [each.at for each in counts.countings] == ["P1", "P4"]
    assert "count the cables at P1 and P4" in counts.notes.text()
    assert not counts.row.isVisible()
    counts.list.setFocus()
    settle()
    key(Qt.Key.Key_Down)
    key(Qt.Key.Key_Return)
    assert counts.at == "P4"
    assert window.adapter.selection == ("P4",)
    assert counts.field.hasFocus()
    enter("2")
    settle()
    assert window.adapter.home.take(Point, "P4").cables_seen == 2
    assert window.adapter.document.undo_title == "2 cables at socket P4"
    best = card_of(window).parts.choices[-1]
    assert (best.offer.a, best.offer.b) == ("P4", "P9")
    assert best.offer.sure > 0.9


def test_a_point_of_which_a_short_spur_cannot_be_ruled_out_asks_for_its_cables(shown: Shown) -> None:
    window = shown(swept(spur_m=0.5))
    card = card_of(window)
    assert "whether it sits on it" in card.says.text()
    assert [each.at for each in card.counts.countings] == ["P4"]
    assert "On the ring, or at the end of a spur?" in card.counts.list.row_at(0).sentence
    assert "count the cables at P4" in card.counts.notes.text()


# what is missing ------------------------------------------------------------------------------------------------------


def buttons(card: OrderCard) -> list[str]:
    return [each.text() for each in card.missing if each.isVisible()]


def test_without_any_reading_it_says_what_is_read_and_each_button_opens_its_grid(shown: Shown) -> None:
    window = shown(OrderHome())
    card = card_of(window)
    assert INTRO in card.says.text()
    assert buttons(card) == [READ_WORDS[each] for each in (ENDS, ONE_LEG, CROSS)]
    assert not card.parts.isVisible()
    for test in (ENDS, ONE_LEG, CROSS):
        window.readings_stage.show_order()
        settle()
        button = next(each for each in card.missing if each.text() == READ_WORDS[test])
        press(button, Qt.Key.Key_Space)
        settle()
        assert window.readings_stage.tabs.currentIndex() == GRID
        assert window.readings_stage.group is not None
        assert window.readings_stage.group.id == test
        assert window.readings_stage.grid.hasFocus()


def test_the_sweep_that_is_missing_is_named_and_typed_for_points_without_any_run(shown: Shown) -> None:
    home = OrderHome()
    home.ends()
    home.sweep("cross", ("L", "N"))
    window = shown(home)
    card = card_of(window)
    assert "with one leg linked, line to cpc, is missing" in card.says.text()
    assert buttons(card) == [READ_WORDS[ONE_LEG]]
    assert card.missing[1].hasFocus()
    key(Qt.Key.Key_Space)
    settle()
    stage = window.readings_stage
    lines = stage.model.group.lines if stage.model.group is not None else ()
    assert [line.at for line in lines] == [home.ring, *(f"P{n}" for n in range(1, 9))]
    for n in range(len(lines)):
        row = stage.model.row(n)
        assert row is not None
        assert "No run is drawn" in row.sentence  # nothing to expect: it can't tell
    typed = home.shown("one leg", ("L", "E"))
    already = len(readings(window))
    for line in lines:
        enter(typed[str(line.at)])
    settle()
    taken = readings(window)[already:]
    assert [(each.at, each.typed) for each in taken] == [(line.at, typed[str(line.at)]) for line in lines]
    key(Qt.Key.Key_6, Qt.KeyboardModifier.AltModifier)
    settle()
    assert not told_of(window).order.problem
    assert told_of(window).order.order == ROUND
    assert card.parts.list.hasFocus()
    assert len(parts_of(window)) == 9


def test_a_circuit_that_is_no_ring_says_so_and_asks_for_nothing(shown: Shown) -> None:
    home = OrderHome()
    home.ring = home.other
    window = shown(home)
    assert "On the map A2 is no ring" in card_of(window).says.text()
    assert buttons(card_of(window)) == []


def test_readings_that_fit_no_ring_are_refused_with_a_sentence_and_nothing_to_accept(shown: Shown) -> None:
    home = OrderHome()
    home.read_all(**{home.ring: "2.90"})  # the far leg doesn't agree with the ends
    window = shown(home)
    assert "one of them is wrong, so no order is drawn" in card_of(window).says.text()
    assert buttons(card_of(window)) == []
    assert not card_of(window).parts.isVisible()


def test_a_reading_that_is_no_number_is_set_aside_with_its_sentence(shown: Shown) -> None:
    home = OrderHome()
    home.read_all(P3=">99.9")
    window = shown(home)
    assert "P3 read >99.9" in card_of(window).counts.notes.text()
    assert "P3" not in told_of(window).order.order
    assert ("P8", "P6") in parts_of(window)


def test_readings_that_come_while_one_looks_change_the_order(shown: Shown) -> None:
    home = swept()
    window = shown(home)
    (taken,) = [r for r in window.adapter.home.sorted(Reading) if r.at == "P5" and r.link and r.link.kind == "one leg"]
    window.adapter.do(verbs.remove(window.adapter.home, taken.id))
    settle()
    assert "P5 was read cross-linked and not with one leg linked" in card_of(window).counts.notes.text()
    assert parts_of(window)[0] == (home.ring, "P2")
    window.adapter.undo()
    settle()
    assert parts_of(window)[0] == (home.ring, "P5")


# reach ----------------------------------------------------------------------------------------------------------------


def test_everything_has_a_name_is_reached_by_tab_and_is_large_enough(shown: Shown) -> None:
    window = shown(swept(beyond_m=4))
    card = card_of(window)
    key(Qt.Key.Key_End)
    card.counts.list.setCurrentRow(0)
    settle()
    wanted: list[QWidget] = [
        card.parts.list, card.parts.accept_button, card.parts.all_button, *card.parts.others, card.counts.list,
        card.counts.field,
    ]  # fmt: skip
    for widget in wanted:
        assert widget.isVisible()
        assert widget.height() >= TARGET_PX, widget
        assert widget.accessibleName() or (isinstance(widget, QPushButton) and widget.text()), widget
    card.parts.list.setFocus()
    reached: set[QWidget] = set()
    for _ in range(60):
        focus = QApplication.focusWidget()
        assert focus is not None
        reached.add(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    missed = [each for each in wanted if each not in reached]
    assert not missed


def test_the_six_pages_of_the_stage_fit_beside_each_other(shown: Shown) -> None:
    window = shown(swept())
    bar = window.readings_stage.tabs.tabBar()
    assert len(TABS) == bar.count()
    assert bar.tabRect(bar.count() - 1).right() <= bar.width()
    assert all(bar.tabRect(n).left() >= 0 for n in range(bar.count()))
