"""Chart, loop view, causes and verdicts inside the stage: they follow the way, and what they name can be gone to."""

from time import thread_time

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.desk.stages.readings import CAUSES, CHART, GRID, VERDICTS
from circuitmap.desk.window import Window
from circuitmap.home import verbs
from circuitmap.home.records import Link
from tests.desk.conftest import Opened
from tests.desk.driving import settle
from tests.desk.meter_home import MeterHome, enter, key, keys, read_way, readings


@pytest.fixture
def home() -> MeterHome:
    """A sweep in which the third socket reads far too much."""
    made = MeterHome()
    visit = made.do(verbs.start_visit(made.home))
    meter = made.with_meter()
    made.do(verbs.prove_meter(made.home, visit, meter, "0.00"))
    typed = ("0.21", "0.21", "0.21", "0.50", "0.21", "0.21", "0.21")
    for place, text in zip((made.ring, *made.sockets), typed, strict=True):
        made.do(verbs.record_reading(made.home, visit, "linked", text, device=made.ring, at=place, cores=("L", "N"),
                                     link=Link(kind="cross", cores=("L", "N")), instrument=meter))  # fmt: skip
    return made


def wait_for_causes(window: Window) -> None:
    for _ in range(100):
        settle()
        if window.readings_stage.sights.causes.diagnosis is not None:
            return
        QTest.qWait(20)


def test_verdicts_stand_in_words_worst_first_and_lead_to_their_reading(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "ends")
    stage = window.readings_stage
    assert stage.tabs.tabText(VERDICTS) == "Verdicts 1"
    window.actions_["readings-verdicts"].trigger()
    assert stage.said.sentences[0].startswith("Look: L to N at P3 reads 0.50 Ω")
    stage.said.setCurrentRow(0)
    key(Qt.Key.Key_Return)
    settle()
    assert stage.tabs.currentIndex() == GRID
    assert stage.group is not None
    assert stage.group.id == "cross-N"
    row = stage.model.row(stage.grid.row)
    assert row is not None
    assert row.line.at == home.sockets[2]


def test_a_problem_of_the_book_is_a_sentence_that_leads_to_its_reading(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "ends")
    stage = window.readings_stage
    enter("0.42")
    settle()
    odd = [n for n, said in enumerate(stage.said.sentences) if "rn" in said and said.startswith("Query")]
    assert odd, stage.said.sentences
    stage.said.itemClicked.emit(stage.said.item(odd[0]))
    assert stage.group is not None
    assert stage.group.id == "ends"
    assert stage.grid.row == 0


def test_the_chart_follows_the_test_on_show_and_the_way(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    assert stage.sights.sight.view.chart is None, "nothing is worked out before somebody looks"
    window.actions_["readings-chart"].trigger()
    settle()
    sight = stage.sights.sight
    assert sight.circuit is not None
    assert sight.key is not None
    assert (sight.key.link, sight.key.cores) == ("cross", ("L", "N"))
    window.actions_["readings-next-test"].trigger()
    window.actions_["readings-chart"].trigger()
    settle()
    assert sight.key.cores == ("L", "E")
    window.adapter.select(home.lights)
    settle()
    assert sight.circuit.device.id == home.lights
    window.adapter.set_stage("wiring")
    settle()
    assert sight.circuit is None


def test_a_place_chosen_in_the_chart_is_the_row_of_the_grid(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    stage.show_chart()
    settle()
    stage.sights.sight.view.setFocus()
    for _ in range(4):
        key(Qt.Key.Key_Right)
    key(Qt.Key.Key_Return)
    settle()
    row = stage.model.row(stage.grid.row)
    assert row is not None
    assert window.adapter.selection == (row.line.at,)
    assert row.line.at == home.sockets[2]


def test_what_to_read_next_opens_its_cell(opened: Opened) -> None:
    home = MeterHome()
    visit = home.do(verbs.start_visit(home.home))
    for core, text in (("L", ">99.9"), ("N", "0.42"), ("E", "0.67")):
        home.do(verbs.record_reading(home.home, visit, "ring end to end", text, device=home.ring, at=home.ring,
                                     cores=(core, core)))  # fmt: skip
    window = opened(home.home)
    read_way(window, home.ring, "insulation")
    stage = window.readings_stage
    window.actions_["readings-causes"].trigger()
    wait_for_causes(window)
    causes = stage.sights.causes
    assert causes.diagnosis is not None
    assert causes.diagnosis.next
    first = causes.diagnosis.next[0]
    causes.next.setFocus()
    causes.next.setCurrentRow(0)
    key(Qt.Key.Key_Return)
    settle()
    assert stage.tabs.currentIndex() == GRID
    assert stage.grid.editor is not None
    row = stage.model.row(stage.grid.row)
    assert row is not None
    assert (row.line.test, row.line.at, row.line.cores) == (first.test, first.at, first.cores)


def test_a_cause_lights_up_its_place_until_one_types_again(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    window.actions_["readings-causes"].trigger()
    wait_for_causes(window)
    key(Qt.Key.Key_Home)
    settle()
    assert home.sockets[2] in window.adapter.lit_ids
    window.actions_["readings-grid"].trigger()
    settle()
    assert not window.adapter.lit_ids


@pytest.mark.parametrize("tab", [GRID, CHART, CAUSES, VERDICTS])
def test_a_way_with_nothing_read_or_drawn_shows_every_page(opened: Opened, home: MeterHome, tab: int) -> None:
    window = opened(home.home)
    read_way(window, home.bare)
    window.readings_stage.tabs.setCurrentIndex(tab)
    settle()
    assert window.readings_stage.tabs.isVisible()


def test_a_thousand_points_are_typed_without_holding_the_window_up(opened: Opened) -> None:
    """The window's own work for one reading; 100 ms is the limit, doubled here for a slow machine."""
    big = MeterHome(1000)
    visit = big.do(verbs.start_visit(big.home))
    meter = big.with_meter()
    big.do(verbs.prove_meter(big.home, visit, meter, "0.00"))
    window = opened(big.home)
    read_way(window, big.ring, "cross-N")
    settle()
    held_s = []
    for text in ("4.1", "4.2", "4.3"):
        keys(text)
        begun = thread_time()
        key(Qt.Key.Key_Return)
        held_s.append(thread_time() - begun)
        settle()
    assert len(readings(window)) == 3
    assert window.readings_stage.model.rowCount() == 1002
    assert min(held_s) < 0.2, held_s
